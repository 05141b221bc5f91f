"""What is said, with which exit code, where a disk, a right or a name is in the way: nothing changes.

Refusals are made by the calls that a disk would refuse, for whoever runs these tests may be allowed all.
"""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click
import pytest
from click.testing import CliRunner, Result

from harness.cli import main
from harness.disk.lock import LOCK_FILE, Locked
from harness.disk.words import unread, why
from harness.disk.writing import write_set
from tests.docs.pages import ROOT
from tests.faults.test_faults import held

PUMP = ROOT / "samples" / "pump.yaml"
DESIGN = str(ROOT / "exports" / "pump" / "design.json")
KEPT = "the previous version is as it was\n"


def run(*words: object) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


@pytest.fixture
def machine(tmp_path: Path) -> Path:
    """A survey with an entry in its record and its page."""
    survey = tmp_path / "pump.yaml"
    survey.write_bytes(PUMP.read_bytes())
    assert run("record", "add", survey, "note", "--text", "oiled").exit_code == 0
    assert run("record", "page", survey, "-o", tmp_path / "out" / "page.html").exit_code == 0
    return survey


def test_a_file_that_is_protected_is_not_written_over_and_named(tmp_path: Path) -> None:
    """A renaming would ask nobody: neither the owner of all, nor whoever owns the folder."""
    out = tmp_path / "out"
    write_set(out, {"a.txt": b"old", "b.txt": b"old", "gone.txt": b"old"})
    for name, gone in (("b.txt", []), ("gone.txt", ["gone.txt"])):
        (out / name).chmod(0o444)
        with pytest.raises(OSError, match="protected against writing"):
            write_set(out, {"a.txt": b"new", "b.txt": b"new"}, gone)
        assert set(held(out).values()) == {b"old"} and len(list(out.iterdir())) == 3
        (out / name).chmod(0o644)


def test_the_command_says_which_file_is_protected(machine: Path) -> None:
    page = machine.parent / "out" / "page.html"
    page.chmod(0o444)
    before = page.read_bytes()
    done = run("record", "page", machine, "-o", page)
    assert (done.exit_code, page.read_bytes()) == (3, before)
    assert done.stderr == (
        f"Error: {page}: cannot be written: it is protected against writing: take that off if it may be "
        f"written over, or name another place; {KEPT}"
    )


def test_a_file_of_somebody_elses_is_not_written_over(machine: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "access", lambda path, mode: False)
    done = run("record", "page", machine, "-o", machine.parent / "out" / "page.html")
    assert done.exit_code == 3 and "protected against writing" in done.stderr


def test_a_folder_with_the_name_of_a_file_of_a_set_is_named(tmp_path: Path) -> None:
    out = tmp_path / "out"
    (out / "request.pdf" / "mine").mkdir(parents=True)
    done = run("quote", DESIGN, "--out", out)
    assert done.exit_code == 3 and [each.name for each in out.iterdir()] == ["request.pdf"]
    assert done.stderr == (
        f"Error: {out / 'request.pdf'}: cannot be written: there is a folder of this name: take it away, "
        f"or name another place; {KEPT}"
    )


def refuse_opening(monkeypatch: pytest.MonkeyPatch, name: str, number: int) -> None:
    """Let every opening of a file of that name fail as a disk would."""
    real_open, real_path_open = os.open, Path.open

    def opened(path: Any, *more: Any, **named: Any) -> int:
        if Path(os.fsdecode(path)).name == name:
            raise OSError(number, os.strerror(number), os.fsdecode(path))
        return real_open(path, *more, **named)

    def path_opened(path: Path, *more: Any, **named: Any) -> Any:
        if path.name == name:
            raise OSError(number, os.strerror(number), str(path))
        return real_path_open(path, *more, **named)

    monkeypatch.setattr(os, "open", opened)
    monkeypatch.setattr(Path, "open", path_opened)


RIGHT = "cannot be read: you have no right to it: get the right, or work on a copy of your own\n"


@pytest.mark.parametrize(
    "words", ["check SURVEY", "as-built SURVEY", "record page SURVEY", "start FOLDER --add horn"]
)
def test_a_survey_that_may_not_be_read(machine: Path, monkeypatch: pytest.MonkeyPatch, words: str) -> None:
    survey = machine.rename(machine.with_name("survey.yaml"))
    (machine.parent / "pump-record").rename(machine.parent / "survey-record")
    refuse_opening(monkeypatch, "survey.yaml", errno.EACCES)
    meant = {"SURVEY": survey, "FOLDER": survey.parent}
    done = run(*(meant.get(word, word) for word in words.split()))
    assert (done.exit_code, done.stdout, done.stderr) == (3, "", f"Error: {survey}: {RIGHT}")


@pytest.mark.parametrize("words", [["record", "show"], ["as-built"], ["record", "verify"]])
def test_a_record_that_may_not_be_read(
    machine: Path, monkeypatch: pytest.MonkeyPatch, words: list[str]
) -> None:
    refuse_opening(monkeypatch, "record.jsonl", errno.EACCES)
    done = run(*words, machine)
    assert (done.exit_code, done.stdout) == (3, "")
    assert done.stderr == f"Error: {machine.parent / 'pump-record' / 'record.jsonl'}: {RIGHT}"


@pytest.mark.parametrize("other", ["folder", "pipe"])
def test_no_export_leaves_out_a_record_that_cannot_be_read(
    machine: Path, monkeypatch: pytest.MonkeyPatch, other: str
) -> None:
    monkeypatch.setattr(sys.modules["harness.cli.export"], "_files", lambda design, paper: {})
    record = machine.parent / "pump-record" / "record.jsonl"
    record.unlink()
    record.mkdir() if other == "folder" else os.mkfifo(record)
    done = run("export", machine, "-o", machine.parent / "all.zip")
    assert done.exit_code == 3 and not (machine.parent / "all.zip").exists()
    assert done.stderr == f"Error: {record}: is not a plain file\n"


@pytest.mark.parametrize("number", [errno.ENOLCK, errno.EOPNOTSUPP])
def test_a_disk_that_knows_no_locks_is_written_to_with_a_lock_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    def no(*asked: object) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr("harness.disk.lock.fcntl.flock", no)
    write_set(tmp_path / "out", {"a": b"old", "b": b"old"})
    write_set(tmp_path / "out", {"a": b"new", "b": b"new"})
    assert held(tmp_path / "out") == {"a": b"new", "b": b"new"}
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == ["a", "b"]
    monkeypatch.setattr("harness.disk.lock.PAUSE_S", 0.0)
    (tmp_path / "out" / LOCK_FILE).touch()  # somebody is at work, or died of something no program survives
    with pytest.raises(Locked, match=f"if nothing else is at work on it, take {LOCK_FILE} away"):
        write_set(tmp_path / "out", {"a": b"newer", "b": b"newer"})


def test_ctrl_c_is_told_from_a_danger_by_its_exit_code(
    machine: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """128 and the number of SIGINT, as shells give it (common practice; POSIX asks for more than 128)."""

    def interrupted(*asked: object, **named: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("harness.disk.writing.put", interrupted)
    page = machine.parent / "out" / "page.html"
    before = page.read_bytes()
    done = run("record", "page", machine, "-o", page)
    assert (done.exit_code, done.stderr) == (130, "\nstopped\n")
    assert page.read_bytes() == before and [each.name for each in page.parent.iterdir()] == ["page.html"]


def paths_of(group: click.Group) -> list[click.Parameter]:
    found: list[click.Parameter] = []
    for command in group.commands.values():
        found += paths_of(command) if isinstance(command, click.Group) else command.params
    return [each for each in found if isinstance(each.type, click.Path)]


def test_no_path_of_any_command_is_refused_before_somebody_can_say_what_to_do() -> None:
    """The library would end with exit code 2 and "is not readable"."""
    paths = paths_of(main)
    assert len(paths) > 40
    assert not [each for each in paths if getattr(each.type, "readable", False)]


@pytest.mark.parametrize("words", [why, unread])
@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EACCES, errno.EROFS, errno.EIO, errno.ELOOP])
def test_what_a_disk_answers_comes_with_what_to_do(words: Callable[[OSError], str], number: int) -> None:
    said = words(OSError(number, os.strerror(number)))
    assert ":" in said and os.strerror(number) not in said
