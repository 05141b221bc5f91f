"""What a set of files is after its writer was killed or refused, and the same bytes each time."""

from __future__ import annotations

import errno
import io
import os
import signal
import struct
import time
import zipfile
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest
from openpyxl import Workbook, load_workbook

from harness.disk import lock, writing
from harness.disk.writing import MARKER, PREFIX, unfinished, write_set
from harness.packing import packed
from tests.faults.killing import killed_before, killed_writing, left_unfinished, steps_of
from tests.faults.reproducible import differing

NAMES = ("book.html", "drawings/tracks.svg")
OLD = {**{name: b"old " + name.encode() * 4000 for name in NAMES}, "book.pdf": b"old paper"}
NEW = {name: b"new " + name.encode() * 4000 for name in NAMES}
GONE = ["book.pdf"]


def held(folder: Path) -> dict[str, bytes]:
    """All files but those written to the side and the marker."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and not path.relative_to(folder).parts[0].startswith((PREFIX, MARKER))
    }


def litter(folder: Path) -> list[str]:
    return [path.name for path in folder.iterdir() if path.name.startswith((PREFIX, MARKER))]


@pytest.fixture(autouse=True)
def _calm(monkeypatch: pytest.MonkeyPatch) -> None:
    """Who is killed needs no answer from the disk itself, which takes its time."""
    monkeypatch.setattr(os, "fsync", lambda handle: None)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_set(tmp_path / "out", OLD)
    return tmp_path / "out"


def test_killed_before_any_step_a_set_is_old_or_new_or_told_and_the_next_run_mends_it(
    folder: Path, tmp_path: Path
) -> None:
    """Every step on the disk in turn; two of three times what is mixed is mended by another's file alone."""
    steps = steps_of(lambda: write_set(tmp_path / "other", NEW), tmp_path)
    seen = {"old": 0, "told": 0, "new": 0}
    for step in range(1, steps + 20):
        write_set(folder, OLD)
        died = killed_before(lambda: write_set(folder, NEW, GONE), folder, step)
        found = held(folder)
        assert all(content in (OLD.get(name), NEW.get(name)) for name, content in found.items())
        state = "told" if unfinished(folder) else "old" if found == OLD else "new"
        assert state != "new" or found == NEW
        seen[state] += 1
        write_set(folder, {"record.html": b"of another command"})
        assert litter(folder) == []
        after = held(folder)
        assert after.pop("record.html") == b"of another command"
        assert after == (OLD if state == "old" else NEW)
        (folder / "record.html").unlink()
        if not died:
            break
    else:
        pytest.fail("it never came to its end")
    assert min(seen.values()) >= 3, seen


def test_the_marker_says_in_words_what_is_mixed(folder: Path) -> None:
    left_unfinished(folder, NEW)
    words = (folder / MARKER).read_text(encoding="utf-8")
    assert "Run the same command again" in words
    assert all(f"  {name}\n" in words for name in NAMES)


@pytest.mark.parametrize("most_bytes", [1, 4000, 40_000])
def test_killed_in_the_middle_of_a_file_the_old_version_is_whole(folder: Path, most_bytes: int) -> None:
    assert killed_writing(lambda: write_set(folder, NEW, GONE), most_bytes)
    assert held(folder) == OLD and not unfinished(folder)
    write_set(folder, NEW, GONE)
    assert held(folder) == NEW and litter(folder) == []


def refusing(monkeypatch: pytest.MonkeyPatch, name: str, at: int, number: int) -> list[int]:
    """Let the ``at``-th call of ``os.name`` fail as a disk would."""
    left, real = [at], getattr(os, name)

    def call(*args, **more):  # type: ignore[no-untyped-def]
        left[0] -= 1
        if left[0] == 0:
            raise OSError(number, os.strerror(number))
        return real(*args, **more)

    monkeypatch.setattr(os, name, call)
    return left


CALLS = ("mkdir", "open", "fsync", "chmod", "rename", "replace", "link")


@pytest.mark.parametrize("name", CALLS)
def test_a_call_that_the_disk_refuses_leaves_the_old_version(folder: Path, name: str) -> None:
    """Each call of each sort in turn refused once: all old with an error, or all new."""
    refused = 0
    for at in range(1, 60):
        with pytest.MonkeyPatch.context() as patch:
            left = refusing(patch, name, at, errno.EIO)
            try:
                write_set(folder, NEW, GONE)
            except OSError as error:
                assert error.errno == errno.EIO
                refused += 1
                assert held(folder) == OLD
                continue
            finally:
                patch.undo()
                assert not unfinished(folder)
                assert litter(folder) == [] or name == "open"  # by which it is cleared: the next one does
        assert held(folder) == NEW
        write_set(folder, OLD)
        if left[0] > 0:
            break
    assert refused or name in ("rename", "link", "open")  # the last two can be done without


def test_where_nothing_can_be_taken_back_the_mix_is_told(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk without hard links, and a renaming that is refused half way."""

    def none(*args: object, **more: object) -> None:
        raise OSError(errno.EPERM, "no links here")

    monkeypatch.setattr(os, "link", none)
    refusing(monkeypatch, "replace", 3, errno.EIO)  # the marker's own is the first
    with pytest.raises(OSError):
        write_set(folder, NEW, GONE)
    monkeypatch.undo()
    assert unfinished(folder)
    write_set(folder, {"record.html": b"later"})
    assert held(folder) == {**NEW, "record.html": b"later"} and litter(folder) == []


def test_what_a_living_writer_has_written_to_the_side_is_left_alone(folder: Path) -> None:
    with writing.staged(folder) as side:
        with writing.new_file(side, "a.txt") as stream:
            stream.write(b"mine")
        write_set(folder, {"b.txt": b"theirs"})
        assert (side / "new" / "a.txt").read_bytes() == b"mine"
        writing.put(folder, side)
    assert (folder / "a.txt").read_bytes() == b"mine" and litter(folder) == []


def writers(folder: Path, count: int) -> Iterator[int]:
    """Processes that write sets of their own into one folder, 20 times each."""
    for which in range(count):
        child = os.fork()
        if child == 0:
            code = 70
            try:
                mine = {name: f"{which} {name}".encode() * 2000 for name in NAMES}
                for _ in range(20):
                    write_set(folder, mine)
                code = 0
            finally:
                os._exit(code)
        yield child


def test_writers_into_one_folder_leave_the_whole_set_of_one(folder: Path) -> None:
    children = [*writers(folder, 3)]
    assert [os.waitpid(child, 0)[1] for child in children] == [0, 0, 0]
    found = held(folder)
    assert len({found[name].split(b" ", 1)[0] for name in NAMES}) == 1
    assert litter(folder) == []


def test_a_writer_that_never_ends_is_told(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lock, "PAUSE_S", 0.0)
    with lock.folder_locked(folder), pytest.raises(lock.Locked, match="somebody else is writing"):
        write_set(folder, NEW)
    assert held(folder) == OLD


def test_without_locks_of_the_system_sets_are_written_all_the_same(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lock, "fcntl", None)
    write_set(folder, NEW, GONE)
    assert held(folder) == NEW and litter(folder) == []


@pytest.mark.parametrize("words", ["mine\n", "(.harness-new-../x)\n", "(.harness-new-none)"])
def test_a_file_of_the_users_that_is_called_like_the_marker_stays(folder: Path, words: str) -> None:
    (folder / MARKER).write_text(words)
    with pytest.raises(FileExistsError):
        write_set(folder, NEW)
    assert (folder / MARKER).read_text() == words and held(folder) == OLD


def test_a_planted_marker_takes_nothing_outside_its_folder(folder: Path, tmp_path: Path) -> None:
    side = folder / f"{PREFIX}planted"
    (side / "new" / "drawings").mkdir(parents=True)
    (side / "new" / "drawings" / "x").write_text("planted")
    (side / "gone").write_text("../mine\n/etc/nothing-of-ours\nbook.pdf\n")
    (tmp_path / "mine").write_text("mine")
    (folder / MARKER).write_text(f"  x\n({side.name})\n")
    write_set(folder, NEW)
    assert (tmp_path / "mine").read_text() == "mine"
    assert held(folder) == {**NEW, "drawings/x": b"planted"}


def test_rights_of_a_file_stay_and_links_are_replaced(folder: Path, tmp_path: Path) -> None:
    (folder / "book.html").chmod(0o600)
    (tmp_path / "letter").write_text("mine")
    (folder / "drawings/tracks.svg").unlink()
    (folder / "drawings/tracks.svg").symlink_to(tmp_path / "letter")
    write_set(folder, NEW)
    assert (folder / "book.html").stat().st_mode & 0o777 == 0o600
    assert (tmp_path / "letter").read_text() == "mine" and not (folder / NAMES[1]).is_symlink()


def test_the_killed_are_really_killed(tmp_path: Path) -> None:
    """The judge can fail: a child that ends by itself is not counted, one that dies in the middle is."""
    assert not killed_before(lambda: None, tmp_path, 1)
    assert killed_before(lambda: (tmp_path / "a").mkdir(), tmp_path, 1)
    assert not (tmp_path / "a").exists()
    assert signal.SIGKILL == 9


def test_two_surroundings_give_the_same_bytes() -> None:
    """Some of what the command tries: a zip of everything, a workbook, labels, a record's page.

    An entry that is added tells when, and the clocks of the two stand years apart: it has to be found, in
    the file and in what is said of it, or nothing would be.
    """
    pump = "{yard}/pump.yaml"
    groups = {
        "zip": (("export", pump, "-o", "all.zip", "--no-paper"),),
        "others": (("convert", pump, "new.xlsx"), ("draw", pump, "labels"), ("record", "page", pump)),
        "clock": (("record", "add", pump, "note", "--text", "hums when cold"),),
    }
    assert differing("pump", groups) == [
        f"clock $ {' '.join(groups['clock'][0])}", "clock yard/pump-record/record.jsonl"
    ]  # fmt: skip


def test_a_clock_that_stands_at_1970_makes_the_same_workbook(monkeypatch: pytest.MonkeyPatch) -> None:
    """As on a computer whose clock battery is flat; a zip file can name no day before 1980."""
    book = Workbook()
    book.active["A1"] = "WH/BK"
    usual = packed(book)
    monkeypatch.setattr(
        zipfile, "time", SimpleNamespace(**{**vars(time), "localtime": lambda _: time.gmtime(0)})
    )
    with pytest.raises((ValueError, struct.error)):
        book.save(io.BytesIO())  # without care it fails
    book = Workbook()
    book.active["A1"] = "WH/BK"
    assert packed(book) == usual
    assert load_workbook(io.BytesIO(usual)).active["A1"].value == "WH/BK"
