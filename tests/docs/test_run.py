"""Every command that a page shows in a block is run as it stands there, page by page, and does its work."""

from __future__ import annotations

import re
import shlex
import shutil
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner

from harness import pipeline
from harness.book.data import design_json
from harness.cli import main
from harness.survey import read
from tests.docs.pages import ALL_BLOCKS, PAGES, ROOT
from tests.running import made_once

SAMPLES = ROOT / "samples"
OF_ROLLER = ("my-machine.yaml", "roller.yaml", "today.yaml", "roller-2.yaml")
ELSEWHERE = ("command: ", "output: ")  # blocks that other tests and .ci/run look after
DONE = (0, 1)  # 1: done, and a danger was found or a page of a comparison differs


def shown(page: str) -> list[list[str]]:
    """The calls of a page's blocks in their order, in words, without what stands beside them."""
    calls = []
    for block in ALL_BLOCKS:
        if block.page != page or block.language not in ("sh", "text", "") or block.mark.startswith(ELSEWHERE):
            continue
        for line in block.text.replace("\\\n", " ").splitlines():
            if line.startswith("harness "):
                calls.append(shlex.split(re.split(r" {2,}", line)[0])[1:])
    return calls


@cache
def built(name: str) -> str:
    """A sample as design.json."""
    return design_json(pipeline.design(read(SAMPLES / f"{name}.yaml")))


designed_once = made_once(pipeline._designed)  # by every command of every page


def furnish(folder: Path, page: str) -> None:
    """The files that the pages speak of; where no lamp is named, the small machine does as well."""
    lamp = any("head lamp" in word for words in shown(page) for word in words)
    (folder / "samples").mkdir()
    for each in (*SAMPLES.glob("*.yaml"), *SAMPLES.glob("*.csv")):
        shutil.copy(each, folder / "samples" / each.name)
    for name in OF_ROLLER:
        shutil.copy(SAMPLES / ("roller.yaml" if lamp or name != OF_ROLLER[0] else "pump.yaml"), folder / name)
    other = (SAMPLES / "roller.yaml").read_text(encoding="utf-8").replace("power: 55 W", "power: 70 W")
    for name in OF_ROLLER[2:]:
        (folder / name).write_text(other, encoding="utf-8")
    shutil.copy(SAMPLES / "pump.yaml", folder / "machine.yaml")
    (folder / "try.yaml").write_text("leave out sizes: [GXL 16 AWG]\n", encoding="utf-8")
    (folder / "lamp.jpg").write_bytes(b"\xff\xd8\xff\xe0 a picture")
    for name in ("roller", "pump"):
        (folder / "exports" / name).mkdir(parents=True)
        (folder / "exports" / name / "design.json").write_text(built(name), encoding="utf-8")


def call(words: list[str]) -> None:
    if "-o" in words:  # what the page writes is not there yet
        Path(words[words.index("-o") + 1]).unlink(missing_ok=True)
    if words[0] == "convert":
        Path(words[2]).unlink(missing_ok=True)
    if words[0] == "start" and "--add" not in words:  # a page shows two ways to begin the same
        shutil.rmtree(words[1], ignore_errors=True)
    if words[0] == "build":
        words = [*words, "--no-paper"]  # the slow part; test_docs builds with it
    result = CliRunner().invoke(main, words, input="\n" * 60)
    assert result.exit_code in DONE, f"harness {shlex.join(words)}\n{result.output}"
    assert result.output.strip() or words[0] == "compare"  # where nothing differs it prints nothing


@pytest.mark.parametrize("page", [page.name for page in PAGES if shown(page.name)])
def test_the_commands_of_a_page_work_one_after_the_other(
    page: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    furnish(tmp_path, page)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(pipeline, "_designed", designed_once)
    for words in shown(page):
        call(words)


def test_a_command_that_does_not_work_would_be_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(AssertionError, match="no-such"):
        call(["check", "no-such.yaml"])
