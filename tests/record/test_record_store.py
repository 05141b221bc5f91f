"""An entry that was acknowledged is there, whatever happens before, during and after it."""

from __future__ import annotations

import json
import os
import re
import resource
import subprocess
import sys
from collections import Counter
from datetime import date, timedelta
from hashlib import sha256
from itertools import pairwise
from pathlib import Path

import pytest

from harness.disk import lock
from harness.record import store
from harness.record.attaching import LARGEST_ATTACHMENT_BYTES, CannotKeep, is_safe, safe_name
from harness.record.chain import verified
from harness.record.entry import KINDS, LARGEST_ENTRY_BYTES, BadEntry, Damaged, Entry
from harness.record.store import Record, Unreadable, record_folder
from tests.record.made import NOON, filled, later

BIDI_AND_CONTROLS = "a\u202eb \x1b[2J\x07 \x85 \u2028 line\nbreak\r\n \u200f \x00 \ufeff end"


def test_the_record_lies_beside_its_survey() -> None:
    assert record_folder(Path("yard/roller.yaml")) == Path("yard/roller-record")


def test_an_entry_reads_back_as_it_was_given(tmp_path: Path) -> None:
    record = Record.open(tmp_path / "roller-record")
    assert record.entries().lines == ()
    assert not record.folder.exists()
    photo = tmp_path / "lamp.JPG"
    photo.write_bytes(b"\xff\xd8 light")
    kept = record.append(
        "replaced", "bulb, 55 W", {"fitted": ["left", 1, 2.5, None, True]}, [photo], date(2026, 11, 20),
        written=NOON, subject="left head lamp", by="J", hours=4210.5,
    )  # fmt: skip
    assert kept.remarks == ()
    (entry,) = record.entries()
    assert entry == kept.entry
    assert (entry.number, entry.kind, entry.text, entry.subject) == (
        1, "replaced", "bulb, 55 W", "left head lamp",
    )  # fmt: skip
    assert (entry.when, entry.written) == ("2026-11-20", "2026-11-26T12:00:00+00:00")
    assert (entry.by, entry.hours, entry.sound) == ("J", 4210.5, True)
    assert entry.fields == {"fitted": ["left", 1, 2.5, None, True]}
    (attached,) = entry.attachments
    assert attached.named == "lamp.JPG"
    assert attached.sha256 == sha256(b"\xff\xd8 light").hexdigest()
    assert (record.folder / "attachments" / attached.file).read_bytes() == b"\xff\xd8 light"
    assert attached.size == 8


def test_the_file_is_plain_lines_of_json_that_need_no_tool(tmp_path: Path) -> None:
    record = filled(tmp_path / "r")
    lines = record.file.read_text(encoding="utf-8").splitlines()
    held = [json.loads(line) for line in lines]
    assert [one["number"] for one in held] == [1, 2, 3, 4]
    assert held[0]["before"] == "0" * 64
    assert all(after["before"] == one["hash"] for one, after in pairwise(held))
    for line, one in zip(lines, held, strict=True):  # the sum, worked out from what the guide says alone
        body = re.sub(r', "hash": "[0-9a-f]{64}"\}$', "}", line)
        assert sha256(body.encode()).hexdigest() == one["hash"]
    assert "record.jsonl" in (record.folder / "read-me.txt").read_text(encoding="utf-8")


def test_nothing_in_the_file_moves_a_terminal_or_turns_its_text(tmp_path: Path) -> None:
    record = Record.open(tmp_path / "r")
    record.append("note", BIDI_AND_CONTROLS, {"k\u202e": "\x9b"}, written=NOON, by="\u2066x")
    raw = record.file.read_text(encoding="utf-8")
    assert len(raw.splitlines()) == 1
    assert not set(raw.rstrip("\n")) & set("\x1b\x07\x85\x9b\u202e\u2066\u200f\u2028\r\x00\ufeff")
    (entry,) = record.entries()
    assert entry.text == BIDI_AND_CONTROLS
    assert entry.fields == {"k\u202e": "\x9b"}


@pytest.mark.parametrize(
    ("kind", "lacking"), [(kind.name, need) for kind in KINDS.values() for need in kind.needs]
)
def test_a_kind_says_what_it_cannot_do_without(kind: str, lacking: str, tmp_path: Path) -> None:
    with pytest.raises(BadEntry, match=lacking):
        Record.open(tmp_path / "r").append(kind, " ", written=NOON)
    assert not (tmp_path / "r").exists()


@pytest.mark.parametrize("hours", [-1.0, float("nan"), float("inf"), 1e8])
def test_hours_that_no_meter_shows_are_refused(hours: float, tmp_path: Path) -> None:
    with pytest.raises(BadEntry, match="hours meter"):
        Record.open(tmp_path / "r").append("hours", "", written=NOON, hours=hours)


@pytest.mark.parametrize(
    "value", [float("nan"), {1: 2}, {"a": object()}, 10**5000], ids=["nan", "key", "object", "long"]
)
def test_fields_that_json_cannot_hold_are_refused(value: object, tmp_path: Path) -> None:
    with pytest.raises(BadEntry):
        Record.open(tmp_path / "r").append("note", "x", {"v": value}, written=NOON)


def test_an_unknown_kind_is_refused_with_those_there_are(tmp_path: Path) -> None:
    with pytest.raises(BadEntry, match="repair"):
        Record.open(tmp_path / "r").append("repare", "x", written=NOON)


# ------------------------------------------------------------------------------------------------- limits


def test_a_note_of_a_megabyte_fits_and_a_larger_entry_is_refused(tmp_path: Path) -> None:
    record = filled(tmp_path / "r", 1)
    record.append("note", "ä" * 500_000, written=later(1))
    before = record.file.read_bytes()
    with pytest.raises(BadEntry, match="attach the long text as a file"):
        record.append("note", "x" * LARGEST_ENTRY_BYTES, written=later(2))
    assert record.file.read_bytes() == before
    record.append("note", "after it", written=later(3))
    assert [entry.number for entry in record.entries()] == [1, 2, 3]


def test_a_full_record_is_refused_with_words(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    record = filled(tmp_path / "r")
    monkeypatch.setattr(store, "LARGEST_RECORD_BYTES", record.file.stat().st_size + 100)
    before = record.file.read_bytes()
    with pytest.raises(CannotKeep, match="full"):
        record.append("note", "one more", written=later(9))
    assert record.file.read_bytes() == before
    monkeypatch.setattr(store, "LARGEST_RECORD_BYTES", 100)
    with pytest.raises(Unreadable, match="larger than"):
        record.entries()


def test_of_a_hundred_thousand_entries_each_is_read_once_and_one_more_needs_but_the_last(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A workshop's lifetime: what is added does not wait for what is there."""
    record = filled(tmp_path / "r", 1)
    record.file.write_bytes(record.file.read_bytes() * 100_000)
    looked_at = Counter[str]()
    read_line = store.read_line

    def counted(line: bytes, number: int, **how: bool) -> Entry | Damaged:
        looked_at[step] += 1
        return read_line(line, number, **how)

    monkeypatch.setattr(store, "read_line", counted)
    step = "all"
    assert len(record.entries().entries) == 100_000
    step = "one more"
    record.append("note", "on", written=later(9))
    assert looked_at == {"all": 100_000, "one more": 2}  # the last of those before, and itself


# ------------------------------------------------------------------------------------------------ a bad end


@pytest.mark.parametrize("cut", [1, 2, 30, 76, 77, 200])
def test_a_half_last_line_is_told_and_kept_and_the_next_entry_starts_on_a_new_line(
    cut: int, tmp_path: Path
) -> None:
    record = filled(tmp_path / "r")
    whole = record.file.read_bytes()
    record.file.write_bytes(whole[:-cut])
    found = record.entries()
    lost = cut > 1  # without its line break alone it is still whole
    assert len(found.entries) == 4 - lost
    assert [one.line for one in found.damaged] == [4] * lost
    assert all(one.half for one in found.damaged)
    assert verified(record).whole is not lost
    kept = record.append("note", "after", written=later(9))
    assert record.file.read_bytes().startswith(whole[:-cut] + b"\n")
    assert kept.entry.number == 5
    assert kept.entry.after_half is lost
    assert any("half a line" in remark for remark in kept.remarks) is lost
    assert len(record.entries().entries) == 5 - lost
    verdict = verified(record)
    assert verdict.whole, verdict.breaks
    assert any("half a line" in remark for remark in verdict.remarks) is lost


def test_a_damaged_line_is_told_with_its_number_and_the_rest_is_read(tmp_path: Path) -> None:
    record = filled(tmp_path / "r", 6)
    lines = record.file.read_bytes().split(b"\n")
    for at, wrong in ((1, b"\xff\xfe\x00"), (2, b""), (3, b"[" * 100_000), (4, b'{"number": 1}')):
        lines[at] = wrong
    record.file.write_bytes(b"\n".join(lines))
    found = record.entries()
    assert [entry.number for entry in found] == [1, 6]
    assert [one.line for one in found.damaged] == [2, 3, 4, 5]
    assert [one.why for one in found.damaged] == [
        "is not text in UTF-8", "is blank", "is not a whole entry", "does not say what an entry says",
    ]  # fmt: skip
    assert record.append("note", "on", written=later(9)).entry.number == 7


@pytest.mark.parametrize(
    "held",
    [
        '"number": true', '"number": -1', '"hours": "ten"', '"hours": 1e999', '"hours": NaN', '"text": 5',
        '"fields": []', '"attachments": {}', '"attachments": [1]', '"attachments": [{"file": "../x"}]',
        '"hash": null', '"kind": ["x"]', '"number": ' + "9" * 5000,
    ],
)  # fmt: skip
def test_a_line_of_the_wrong_sort_is_damaged_and_stops_nothing(held: str, tmp_path: Path) -> None:
    record = filled(tmp_path / "r", 2)
    lines = record.file.read_text(encoding="utf-8").split("\n")
    lines[0] = lines[0][:-1] + f", {held}}}"  # of a key that stands twice the last one counts
    record.file.write_text("\n".join(lines), encoding="utf-8")
    assert [entry.number for entry in record.entries()] == [2]
    assert [one.line for one in record.entries().damaged] == [1]


def test_a_line_longer_than_any_entry_is_passed_over(tmp_path: Path) -> None:
    record = filled(tmp_path / "r", 2)
    with record.file.open("ab") as stream:
        stream.write(b"x" * (3 * LARGEST_ENTRY_BYTES) + b"\n")
    assert record.append("note", "on", written=later(9)).entry.number == 4
    found = record.entries()
    assert [entry.number for entry in found] == [1, 2, 4]
    assert [(one.line, one.why) for one in found.damaged] == [(3, "is longer than any entry")]


def test_numbers_go_on_behind_a_line_that_was_taken_out(tmp_path: Path) -> None:
    record = filled(tmp_path / "r", 4)
    lines = record.file.read_bytes().splitlines(keepends=True)
    record.file.write_bytes(b"".join(lines[:1] + lines[2:]))
    assert record.append("note", "on", written=later(9)).entry.number == 5
    assert any("line 2: does not follow line 1" in one for one in verified(record).breaks)


def test_a_clock_that_was_moved_back_is_said_and_not_refused(tmp_path: Path) -> None:
    record = filled(tmp_path / "r", 2)
    kept = record.append("note", "battery was off", written=NOON - timedelta(days=3650))
    assert any("clock" in remark for remark in kept.remarks)
    record.append("note", "set again", written=later(9))
    assert [entry.text for entry in record.entries()][2:] == ["battery was off", "set again"]
    assert [entry.number for entry in record.entries()] == [1, 2, 3, 4]
    verdict = verified(record)
    assert verdict.whole
    assert any("line 3" in remark and "clock" in remark for remark in verdict.remarks)


def test_the_same_moment_in_another_zone_is_no_clock_moved_back() -> None:
    assert not store.clock_moved_back("2026-11-26T12:00:00+00:00", "2026-11-26T07:00:01-05:00")
    assert store.clock_moved_back("2026-11-26T12:00:00+00:00", "2026-11-26T12:59:59+01:00")
    assert not store.clock_moved_back("nonsense", "2026-11-26T12:59:59+01:00")


# -------------------------------------------------------------------------------------------------- the disk

FULL = """
import resource, sys
from pathlib import Path
from harness.record.attaching import CannotKeep
from harness.record.store import Record
from tests.record.made import later
record = Record.open(Path(sys.argv[1]))
most = record.file.stat().st_size + int(sys.argv[2])
resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
try:
    record.append("note", "x" * 5000, written=later(9))
except CannotKeep as error:
    print(error)
    raise SystemExit(3)
"""


@pytest.mark.parametrize("room", [0, 1, 100, 4000])
def test_where_the_file_may_not_grow_the_entry_is_refused_and_nothing_before_is_harmed(
    room: int, tmp_path: Path
) -> None:
    """A real limit of the system on the size of a file, in a process of its own."""
    record = filled(tmp_path / "r", 3)
    before = record.file.read_bytes()
    done = subprocess.run(
        [sys.executable, "-c", FULL, str(record.folder), str(room)], capture_output=True, text=True
    )
    assert done.returncode == 3, done.stderr
    assert "was not kept" in done.stdout
    assert record.file.read_bytes().startswith(before)
    assert record.file.stat().st_size == len(before) + room
    assert len(record.entries().entries) == 3
    kept = record.append("note", "there is room again", written=later(10))
    assert kept.entry.after_half is (room > 0)
    assert [entry.text for entry in record.entries()][-1] == "there is room again"
    assert verified(record).whole
    assert resource.getrlimit(resource.RLIMIT_FSIZE)[0] == resource.RLIM_INFINITY


def test_a_full_disk_is_told_in_words(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the device that is always full answers to a write."""
    record = filled(tmp_path / "r", 3)
    before = record.file.read_bytes()
    full = os.open("/dev/full", os.O_WRONLY)
    really = os.write
    monkeypatch.setattr(store.os, "write", lambda handle, content: really(full, content))
    with pytest.raises(CannotKeep, match=r"not kept: the disk is full: .*; the entries before are as they"):
        record.append("note", "x", written=later(9))
    monkeypatch.undo()
    os.close(full)
    assert record.file.read_bytes() == before


def test_an_attachment_that_does_not_fit_leaves_nothing_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record = filled(tmp_path / "r", 1)
    photo = tmp_path / "photo.jpg"
    photo.write_bytes(b"x" * 1000)

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(CannotKeep):
        record.append("photo", "", attachments=[photo], written=later(1))
    monkeypatch.undo()
    assert not (record.folder / "attachments").exists()
    assert len(record.entries().entries) == 1


def test_a_disk_that_does_not_confirm_is_told_as_such(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record = filled(tmp_path / "r", 1)

    def failed(handle: int) -> None:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(os, "fsync", failed)
    with pytest.raises(CannotKeep, match="look whether it is there"):
        record.append("note", "x", written=later(1))


# --------------------------------------------------------------------------------------------- other writers


def test_a_writer_that_does_not_end_is_told_and_does_not_stop_readers(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record = filled(tmp_path / "r", 2)
    monkeypatch.setattr(lock, "PAUSE_S", 0.0)
    with record.file.open("rb") as other, lock.locked(other.fileno(), record.folder):
        with pytest.raises(CannotKeep, match="somebody else"):
            record.append("note", "x", written=later(9))
        assert len(record.entries().entries) == 2
    record.append("note", "x", written=later(9))


def test_where_the_system_has_no_locks_a_lock_file_takes_their_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lock, "fcntl", None)
    monkeypatch.setattr(lock, "PAUSE_S", 0.0)
    record = filled(tmp_path / "r", 2)
    assert not (record.folder / lock.LOCK_FILE).exists()
    (record.folder / lock.LOCK_FILE).touch()
    with pytest.raises(CannotKeep, match=r"take harness\.lock away"):
        record.append("note", "x", written=later(9))
    assert len(record.entries().entries) == 2


# ---------------------------------------------------------------------------------------------- attachments


def test_links_folders_devices_and_what_is_too_large_are_refused(tmp_path: Path) -> None:
    record = filled(tmp_path / "r", 1)
    before = record.file.read_bytes()
    (tmp_path / "real.jpg").write_bytes(b"x")
    (tmp_path / "link.jpg").symlink_to(tmp_path / "real.jpg")
    os.mkfifo(tmp_path / "pipe")
    with (tmp_path / "large").open("wb") as stream:
        stream.truncate(LARGEST_ATTACHMENT_BYTES + 1)
    for path, why in (
        (tmp_path / "link.jpg", "is a link"), (tmp_path, "plain file"), (Path("/dev/zero"), "plain file"),
        (tmp_path / "pipe", "plain file"), (tmp_path / "large", "at most 50 MB"),
        (tmp_path / "none", "no such file"),
    ):  # fmt: skip
        with pytest.raises(BadEntry, match=why):
            record.append("photo", "", attachments=[tmp_path / "real.jpg", path], written=later(1))
    with pytest.raises(BadEntry, match="at most 20"):
        record.append("photo", "", attachments=[tmp_path / "real.jpg"] * 21, written=later(1))
    assert record.file.read_bytes() == before
    assert not (record.folder / "attachments").exists()


@pytest.mark.parametrize(
    "named",
    [
        "a.jpg", "../../x.jpg", "..", "-rf", "CON.txt", "a b\nc\x1b[2J.png", "\u202egpj.exe", "א ב.jpg",
        "x" * 300 + ".jpeg", ".hidden", "<img src=x>.svg", "a.tar.gz", "%00", "\udcff\udcfe.bin", "名" * 90,
    ],
)  # fmt: skip
def test_names_are_made_safe(named: str) -> None:
    name = safe_name(named, "0123456789abcdef" * 4)
    assert is_safe(name)
    assert len(name.encode()) <= 90
    assert not set(name) & set("/\\<>:\"|?*'&% \n\x1b\u202e")
    assert name[0] not in ".-"


def test_a_hostile_file_name_is_kept_as_what_it_was_called(tmp_path: Path) -> None:
    record = Record.open(tmp_path / "r")
    path = tmp_path / "a\u202e<b>\n\x1b[31m.jpg"
    path.write_bytes(b"x")
    kept = record.append("photo", "", attachments=[path], written=NOON)
    (one,) = kept.entry.attachments
    assert one.named == path.name
    assert (record.folder / "attachments" / one.file).is_file()
    assert verified(record).whole


def test_a_record_that_is_a_link_or_a_pipe_is_not_followed(tmp_path: Path) -> None:
    record = Record.open(tmp_path / "r")
    record.folder.mkdir()
    other = tmp_path / "other.txt"
    other.write_text("mine\n")
    record.file.symlink_to(other)
    with pytest.raises(Unreadable, match="link"):
        record.append("note", "x", written=NOON)
    with pytest.raises(Unreadable, match="link"):
        record.entries()
    assert other.read_text() == "mine\n"
    record.file.unlink()
    os.mkfifo(record.file)
    with pytest.raises(Unreadable, match="plain file"):
        record.entries()
    record.file.unlink()
    (record.folder / "attachments").symlink_to(tmp_path)
    with pytest.raises(BadEntry, match="not a folder"):
        record.append("photo", "", attachments=[other], written=NOON)
