"""A file that is gone, emptied or replaced as it is opened is told; nothing of two versions is kept."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.faults.vanishing import RECORD, furnish, meanwhile

CASES = (  # command, file, what happens to it, at which opening, exit code, words
    ("check pump.yaml", "pump.yaml", "gone", 1, 3, "pump.yaml: there is no such file"),
    ("check pump.yaml", "pump.yaml", "a folder", 1, 3, "is a folder; name the file in it"),
    ("check pump.yaml", "pump.yaml", "empty", 1, 2, "pump.yaml:1:1: the survey is empty"),
    ("check pump.xlsx", "pump.xlsx", "empty", 1, 2, "this is not a workbook"),
    ("prices check prices.csv", "prices.csv", "gone", 1, 3, "prices.csv: there is no such file"),
    ("as-wired pump.yaml", "pump-choices.yaml", "a link to itself", 1, 3, "pump-choices.yaml"),
    ("compare pump.yaml made/design.json", "made/design.json", "empty", 1, 2, "design.json:1:1: is empty"),
    ("record show pump.yaml", RECORD, "a folder", 1, 3, "is not a plain file"),
    ("record add pump.yaml note --text hums --attach lamp.jpg", "lamp.jpg", "gone", 1, 2, "no such file"),
    ("export pump.yaml -o all.zip --no-paper", "pump.yaml", "empty", 2, 2, "the survey is empty"),
    ("export pump.yaml -o all.zip --no-paper", "pump-choices.yaml", "gone", 2, 3, "no such file"),
)  # fmt: skip


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("vanishing") / "yard"
    furnish(folder)
    return folder


@pytest.mark.parametrize(("command", "file", "what", "at", "code", "words"), CASES)
def test_it_is_told_in_words_and_nothing_is_written(
    yard: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: str, file: str, what: str, at: int,
    code: int, words: str,
) -> None:  # fmt: skip
    here = tmp_path.resolve() / "yard"
    shutil.copytree(yard, here)
    monkeypatch.chdir(here)
    ended = meanwhile(command, here / file, what, at)
    assert ended.code == code and ended.opened >= at and words in ended.said, ended
    assert not (here / "all.zip").exists()


def test_an_export_keeps_no_other_survey_than_it_was_made_of(
    yard: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another whole survey is put in its place when the export comes to keep it."""
    here = tmp_path.resolve() / "yard"
    shutil.copytree(yard, here)
    monkeypatch.chdir(here)
    text = (here / "pump.yaml").read_text(encoding="utf-8")
    (here / "another").write_text(text.replace("Skid pump", "Other pump"), encoding="utf-8")
    ended = meanwhile("export pump.yaml -o all.zip --no-paper", here / "pump.yaml", "empty", 2)
    assert ended.code == 3 and "was changed while it was worked out" in ended.said
    assert not (here / "all.zip").exists()
