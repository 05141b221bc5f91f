"""The second process: what it makes is what the first would have made, and a build gets on without it."""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
import time
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from harness.book.shop import paper
from harness.cli import main
from harness.drawing import loom
from harness.drawing.tracks import sheets
from harness.making import outputs, second
from harness.making.outputs import DRAWINGS, OUTPUTS, output
from harness.making.second import Second
from harness.model.design import Design
from harness.pipeline import design
from harness.survey import read

ROOT = Path(__file__).parents[2]
PUMP = ROOT / "samples" / "pump.yaml"


@pytest.fixture
def two(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(second, "cores", lambda: 2)


@pytest.fixture(scope="module")
def pump() -> Design:
    return design(read(PUMP))


def _built(folder: Path, *words: str) -> dict[str, bytes]:
    result = CliRunner().invoke(main, ["build", str(PUMP), "--out", str(folder), *words])
    assert result.exit_code == 0, result.output
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_two_processes_make_the_same_bytes_as_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    alone = _built(tmp_path / "alone")
    monkeypatch.setattr(second, "cores", lambda: 2)
    both = _built(tmp_path / "both")
    assert "book.pdf" in both and "book.html" in both
    assert {name: both[name] == alone[name] for name in alone} == dict.fromkeys(both, True)


def test_a_build_without_paper_makes_all_but_the_pdf(tmp_path: Path) -> None:
    (tmp_path / "book.pdf").write_text("of an earlier survey")
    assert set(_built(tmp_path, "--no-paper")) == set(OUTPUTS) - {"book.pdf"}


def test_files_come_by_name_in_any_order(two: None, pump: Design) -> None:
    with Second() as helper:
        helper.ask(pump, ["tracks.svg", "fuses.svg"], None)
        fuses, tracks = helper.take("fuses.svg"), helper.take("tracks.svg")
        assert fuses is not None and b"<svg" in fuses
        assert tracks is not None and tracks != fuses
        assert helper.take("loom.svg") is None  # was not asked for


def test_a_process_that_dies_leaves_the_work_to_us(two: None, pump: Design) -> None:
    with Second() as helper:
        assert helper._process is not None
        helper._process.kill()
        helper.ask(pump, ["tracks.svg"], None)
        assert helper.take("tracks.svg") is None


def test_what_cannot_be_made_there_is_left_to_us(two: None, pump: Design) -> None:
    with Second() as helper:
        helper.ask(pump, ["no such output", "tracks.svg"], None)
        assert helper.take("tracks.svg") is None


def test_a_system_that_starts_no_process_builds_all_the_same(
    two: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "executable", str(tmp_path / "no python"))
    assert "book.pdf" in _built(tmp_path / "out")


def test_the_design_comes_from_there_and_its_files_are_made_of_it(two: None, pump: Design) -> None:
    machine, meanwhile = read(PUMP), []
    with Second(["fuses.svg"]) as helper:
        made = helper.design(machine, None, (), lambda: meanwhile.append("done"))
        assert made == pump and meanwhile == ["done"]
        helper.ask(made, ["fuses.svg"], None)  # which it is at already
        there = helper.take("fuses.svg")
    assert there == output("fuses.svg", pump, {})


def test_a_machine_that_cannot_be_designed_there_is_left_to_us(two: None) -> None:
    with Second() as helper:
        assert helper.design(replace(read(PUMP), cable="no such cable"), None, (), lambda: None) is None


def test_why_a_design_cannot_be_made_is_told_with_two_processes_too(two: None, tmp_path: Path) -> None:
    words = ["build", str(PUMP), "--out", str(tmp_path / "out"), "--stock", "GXL 99"]
    result = CliRunner().invoke(main, words)
    assert result.exit_code == 2 and "--stock" in result.output
    assert not (tmp_path / "out").exists()


def test_the_first_process_of_two_loads_no_numerical_library(two: None, tmp_path: Path) -> None:
    """Loading is most of the time of a small machine; the second does it while the first reads the survey."""
    code = (
        "import sys\n"
        "from harness.making import second\n"
        "second.cores = lambda: 2\n"
        "from harness.cli import main\n"
        f"main(['build', {str(PUMP)!r}, '--no-paper', '--out', {str(tmp_path)!r}], standalone_mode=False)\n"
    )
    ends = "import atexit, sys; atexit.register(lambda: print(*sorted(sys.modules), file=sys.stderr))\n"
    done = subprocess.run([sys.executable, "-c", ends + code], capture_output=True, text=True, check=True)
    loaded = set(done.stderr.split())
    assert "openpyxl" in loaded
    assert not loaded & {"scipy", "typst", "harness.pipeline"}


@pytest.mark.parametrize("letter", [True, False])
def test_a_build_makes_each_file_once_and_binds_the_book_for_paper_once(
    letter: bool, pump: Design, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In both processes together: what the second is not asked for, the first makes."""
    made = replace(pump, machine=replace(pump.machine, sizes="AWG" if letter else "mm2"))
    theirs = outputs.shared(list(OUTPUTS), made.machine.sizes, None)
    drawn: list[tuple[str, str | None]] = []
    bound: list[int] = []
    for name in ("tracks_svg", "circuits_svg", "loom_svg"):
        where = loom if name == "loom_svg" else sheets
        real = getattr(where, name)

        def draw(design: Design, *form: str, name: str = name, real: Any = real) -> str:
            drawn.append((name, *(form or (None,))))
            return str(real(design, *form))

        monkeypatch.setattr(where, name, draw)
        monkeypatch.setattr(paper, name, draw)
    bind = paper.book_of
    monkeypatch.setattr(paper, "book_of", lambda *given: bound.append(1) or bind(*given))
    monkeypatch.setattr("typst.compile", lambda *given, **how: b"%PDF")
    monkeypatch.setattr(second, "_answer", lambda answer, pipe: None)
    second._make(made, theirs, None, BytesIO())
    ours: dict[str, bytes] = {}
    for name in DRAWINGS:
        if name not in theirs:
            ours[name] = output(name, made, ours)
    assert len(bound) == 1
    # All three for letter paper as well; on A4 only the loom, which takes A3 for its file.
    assert len(drawn) == len(set(drawn)) == (6 if letter else 4)


def test_the_process_ends_with_the_block(two: None) -> None:
    with Second() as helper:
        process = helper._process
    assert process is not None and process.poll() is not None


def test_the_process_ends_when_the_first_was_killed(monkeypatch: pytest.MonkeyPatch) -> None:
    """In the middle of what it makes: nobody will ever take it."""
    listen, tell = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(tell)
            os.dup2(listen, 0)
            sys.stdin = os.fdopen(0)
            monkeypatch.setattr("harness.making.outputs.warm", lambda until: None)
            monkeypatch.setattr("harness.making.outputs.output", lambda *asked: time.sleep(60))
            second.serve()
        finally:
            os._exit(70)
    os.close(listen)
    os.write(tell, pickle.dumps(("a design", ("loom.svg",), None)))
    os.close(tell)  # as the system does for one that is killed
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 1  # 70, had it made its drawing first


def test_a_file_named_like_a_library_is_not_taken_for_it(two: None, tmp_path: Path, pump: Design) -> None:
    """A survey may lie in a folder with anything in it; the second process must load nothing from there."""
    for name in ("typst.py", "pickle.py", "harness.py"):
        (tmp_path / name).write_text(f"open({str(tmp_path / 'loaded')!r}, 'w')\n")
    code = (
        "import sys; sys.path.remove(''); sys.path.insert(0, " + repr(str(ROOT)) + ")\n"
        "from harness.making import second\n"
        "second.cores = lambda: 2\n"
        "from harness.pipeline import design; from harness.survey import read\n"
        "with second.Second() as helper:\n"
        f"    helper.ask(design(read({str(PUMP)!r})), ['fuses.svg'], None)\n"
        "    print(len(helper.take('fuses.svg')))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=True
    )
    assert int(done.stdout) > 1000
    assert not (tmp_path / "loaded").exists()
