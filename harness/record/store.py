"""The record of a machine: a folder beside its survey with one file that is only ever added to.

`roller-record/record.jsonl` holds one entry a line (harness.record.entry), `roller-record/attachments/` the
files that belong to them. An entry is kept when ``append`` returns: written in one go behind all others, and
on the disk. Nothing that was written is ever written over or taken out, here or anywhere in the program.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from datetime import date, datetime
from math import isfinite
from pathlib import Path
from typing import Any

from harness.disk.lock import Locked, locked
from harness.disk.words import unread, why
from harness.disk.writing import settle_folder, write_set
from harness.model.limits import LIMITS
from harness.record.attaching import CannotKeep, attach, refused
from harness.record.entry import (
    FIRST,
    KINDS,
    LARGEST_ENTRY_BYTES,
    MOST_HOURS,
    MOST_NUMBERS,
    BadEntry,
    Damaged,
    Entry,
    RecordError,
    line_of,
    mark_of,
    plain,
    read_line,
    was_whole,
)

FILE = "record.jsonl"
SUFFIX = "-record"
LARGEST_RECORD_BYTES = LIMITS["record bytes"].most
READ_TRIES = 40  # a reader waits two seconds for a writer, then reads what is there
EXPLAINED = """This folder is the record of a machine: what was changed, read, mended and replaced.

record.jsonl   one entry a line, the oldest first; any text editor shows it. Do not save it from one: entries
               are only ever added, and every line is sealed by a sum over itself and the line before.
attachments/   photos and other files; the entries name them.

Keep the folder beside the survey, and keep copies of both somewhere else.
"""


class Unreadable(RecordError):
    """The record cannot be read at all."""


@dataclass(frozen=True, slots=True)
class Contents:
    """What a record holds, line by line."""

    lines: tuple[Entry | Damaged, ...]

    @property
    def entries(self) -> tuple[Entry, ...]:
        """Those that can be read, in their order."""
        return tuple(one for one in self.lines if isinstance(one, Entry))

    @property
    def damaged(self) -> tuple[Damaged, ...]:
        """The lines that cannot be read."""
        return tuple(one for one in self.lines if isinstance(one, Damaged))

    def __iter__(self) -> Iterator[Entry]:
        return iter(self.entries)


@dataclass(frozen=True, slots=True)
class Kept:
    """An entry that is on the disk, and what there is to say about it."""

    entry: Entry
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _End:
    """The end of the file: what the next line begins with."""

    size: int
    number: int = 0  # of the last entry
    mark: str = FIRST
    written: str = ""
    broken: bool = False  # no line break at the end
    half: bool = False  # and no whole entry either


def record_folder(survey: Path) -> Path:
    """Where the record of a survey lies: `roller.yaml` has `roller-record` beside it."""
    return survey.with_name(survey.stem + SUFFIX)


class Record:
    """The record in one folder; nothing is made before the first entry."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.file = folder / FILE

    @classmethod
    def open(cls, folder: Path) -> Record:
        """The record in a folder, which need not be there yet."""
        return cls(folder)

    def entries(self) -> Contents:
        """Everything in it, damaged lines told apart; nothing where there is no record. Raises Unreadable."""
        return Contents(tuple(one for _, one in self.numbered_lines()))

    def numbered_lines(self) -> Iterator[tuple[bytes, Entry | Damaged]]:
        """Every line with what it holds, the oldest first. Raises Unreadable."""
        with self._reading() as stream:
            if stream is None:
                return
            number = 0
            while line := stream.readline(LARGEST_ENTRY_BYTES + 2):
                number += 1
                ended = line.endswith(b"\n")
                if not ended and len(line) > LARGEST_ENTRY_BYTES:
                    ended = _skip_line(stream)
                    yield line, Damaged(number, "is longer than any entry", _start(line), half=not ended)
                    continue
                line = line.removesuffix(b"\n")
                yield line, read_line(line, number, ended=ended)

    @contextmanager
    def _reading(self) -> Iterator[Any]:
        try:
            handle = self._opened(os.O_RDONLY)
        except FileNotFoundError:
            yield None
            return
        except OSError as error:
            raise Unreadable(f"{self.file}: cannot be read: {unread(error)}") from None
        with os.fdopen(handle, "rb") as stream:
            if os.fstat(handle).st_size > LARGEST_RECORD_BYTES:
                most = f"{LARGEST_RECORD_BYTES / 1e6:g} MB"
                raise Unreadable(f"{self.file}: is larger than {most}, which no record is")
            try:
                with self._shared(handle):
                    yield stream
            except OSError as error:
                raise Unreadable(f"{self.file}: cannot be read: {unread(error)}") from None

    @contextmanager
    def _shared(self, handle: int) -> Iterator[None]:
        """Beside other readers; whoever writes on and on, or a disk that knows no locks, stops no reader."""
        lock = locked(handle, self.folder, alone=False, tries=READ_TRIES)
        try:
            lock.__enter__()
        except (Locked, OSError):
            yield
            return
        try:
            yield
        finally:
            lock.__exit__(None, None, None)

    def _opened(self, flags: int) -> int:
        """A handle to the file of entries; raises Unreadable where it is something else than a plain file."""
        if self.file.is_symlink():
            raise Unreadable(f"{self.file}: is a link, and a record is never read or written through one")
        more = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
        handle = os.open(self.file, flags | more, 0o644)
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            os.close(handle)
            raise Unreadable(f"{self.file}: is not a plain file")
        return handle

    def append(
        self,
        kind: str,
        what: str,
        fields: Mapping[str, Any] | None = None,
        attachments: Sequence[Path] = (),
        when: date | datetime | None = None,
        *,
        written: datetime,
        subject: str = "",
        by: str = "",
        hours: float | None = None,
    ) -> Kept:
        """Add an entry; it is on the disk when this returns.

        what: the text. fields: what this kind has besides, as JSON can hold it. attachments: files to copy
        in. when: the day or moment it is about, that of ``written`` unless given. written: the clock, with
        its offset. hours: of the hours meter. Raises BadEntry where the entry cannot be kept as it is,
        CannotKeep where the disk or another writer refuses it, Unreadable; the entries before are whole in
        every case.
        """
        draft = _draft(kind, what, fields or {}, attachments, when, written, subject, by, hours)
        line_of(draft)  # too large, or of the wrong sort: said before anything is copied
        self._make_folder()
        try:
            draft = replace(draft, attachments=attach(self.folder, [*map(Path, attachments)]))
            return self._added(draft)
        except Locked as error:
            raise CannotKeep(f"{error}; the entries before are as they were") from None
        except OSError as error:
            raise CannotKeep(refused(self.file, error)) from None

    def _make_folder(self) -> None:
        try:
            self.folder.mkdir(exist_ok=True)
        except OSError as error:
            raise CannotKeep(f"{self.folder}: cannot be made: {why(error)}") from None
        with suppress(OSError, Locked):  # a help to readers, no more
            if not self.file.exists():
                write_set(self.folder, {"read-me.txt": EXPLAINED.encode()})

    def _added(self, draft: Entry) -> Kept:
        handle = self._opened(os.O_RDWR | os.O_APPEND | os.O_CREAT)
        try:
            with locked(handle, self.folder):
                if os.fstat(handle).st_size > LARGEST_RECORD_BYTES:
                    raise CannotKeep(self._full())
                end = _end_of(handle)
                if end.number + 1 >= MOST_NUMBERS:
                    raise CannotKeep(f"{self.file}: its last entry has a number after which none can come")
                entry = replace(draft, number=end.number + 1, before=end.mark, after_half=end.half)
                line = line_of(entry)
                if end.size + len(line) + 2 > LARGEST_RECORD_BYTES:
                    raise CannotKeep(self._full())
                _write(handle, (b"\n" if end.broken else b"") + line + b"\n", self.file)
            settle_folder(self.folder)  # whoever made the file may not have come so far yet
            settle_folder(self.folder.parent)
        finally:
            os.close(handle)
        kept = read_line(line, entry.number)
        assert isinstance(kept, Entry)
        return Kept(kept, tuple(_remarks(end, kept)))

    def _full(self) -> str:
        return (
            f"{self.file}: the record is full at {LARGEST_RECORD_BYTES / 1e6:g} MB: "
            "rename its folder to keep it, and a new one is begun"
        )


def _write(handle: int, content: bytes, file: Path) -> None:
    """Write in one go, down to the disk; raises CannotKeep. What came through of it stays, unfinished."""
    try:
        done = os.write(handle, content)
        while done < len(content):  # the disk took a part: the next try tells why
            done += os.write(handle, content[done:])
    except OSError as error:
        raise CannotKeep(refused(file, error)) from None
    try:
        os.fsync(handle)
    except OSError as error:
        raise CannotKeep(
            f"{file}: the entry was written, but the disk does not say that it holds it "
            f"({error.strerror or error}): look whether it is there"
        ) from None


def _draft(
    kind: str,
    what: str,
    fields: Mapping[str, Any],
    attachments: Sequence[Path],
    when: date | datetime | None,
    written: datetime,
    subject: str,
    by: str,
    hours: float | None,
) -> Entry:
    """The entry but for what its place in the record gives it; raises BadEntry."""
    if kind not in KINDS:
        raise BadEntry(f"there is no kind of entry {kind!r}; there are: {', '.join(KINDS)}")
    if hours is not None and not (isfinite(hours) and 0 <= hours <= MOST_HOURS):
        raise BadEntry(f"{hours:g} is not what an hours meter shows")
    if written.utcoffset() is None:
        raise BadEntry("the clock does not say its offset")
    has = {
        "text": what.strip(),
        "subject": subject.strip(),
        "hours": hours is not None,
        "attachment": attachments,
    }
    lacking = [need for need in KINDS[kind].needs if not has[need]]
    if lacking:
        raise BadEntry(f"{KINDS[kind].words}: say its {' and '.join(lacking)} too")
    moment = written if when is None else when
    return Entry(
        number=0,
        when=moment.isoformat(timespec="seconds") if isinstance(moment, datetime) else moment.isoformat(),
        written=written.isoformat(timespec="seconds"),
        by=by,
        hours=hours,
        kind=kind,
        subject=subject,
        text=what,
        fields=plain(fields),
        attachments=(),
        before=FIRST,
    )


def _remarks(end: _End, entry: Entry) -> Iterator[str]:
    if end.half:
        yield f"the line before entry {entry.number} is half a line: its writer was stopped, or the disk full"
    if clock_moved_back(end.written, entry.written):
        yield (
            f"the clock of this computer ({entry.written}) is behind the entry before ({end.written}): "
            "entries keep their order by number"
        )


def clock_moved_back(before: str, after: str) -> bool:
    """Whether the second clock time is earlier than the first; False where one of them cannot be read."""
    try:
        return datetime.fromisoformat(after) < datetime.fromisoformat(before)
    except (ValueError, TypeError):
        return False


def _start(line: bytes) -> str:
    return line[:60].decode(errors="replace")


def _skip_line(stream: Any) -> bool:
    """Read on behind the next line break; False where there is none."""
    while piece := stream.readline(1 << 20):
        if piece.endswith(b"\n"):
            return True
    return False


def _end_of(handle: int) -> _End:
    """The end of the file; only where its last line is no whole entry is all of it looked through."""
    size = os.fstat(handle).st_size
    if size == 0:
        return _End(0)
    reach = 1 << 16
    while True:
        start = max(0, size - reach)
        tail = _read_at(handle, start, size - start)
        broken = not tail.endswith(b"\n")
        _, found, last = tail.removesuffix(b"\n").rpartition(b"\n")
        if found or start == 0:
            break
        if reach > 2 * LARGEST_ENTRY_BYTES:
            last = b""  # longer than any entry
            break
        reach *= 4
    entry = read_line(last, 0)
    if isinstance(entry, Entry) and entry.sound:
        return _End(size, entry.number, mark_of(last), entry.written, broken)
    return _scanned(handle, size, broken)


def _scanned(handle: int, size: int, broken: bool) -> _End:
    """The same by reading every line: the number after the highest one, and after the count of lines."""
    lines, number, written, last = 0, 0, "", b""
    copy = os.dup(handle)
    with os.fdopen(copy, "rb") as stream:
        stream.seek(0)
        for last in stream:
            lines += 1
            entry = read_line(last.removesuffix(b"\n"), lines)
            if isinstance(entry, Entry) and entry.sound:
                number, written = max(number, entry.number), entry.written
    last = last.removesuffix(b"\n")
    half = broken and not was_whole(last)
    return _End(size, max(number, lines), mark_of(last), written, broken, half)


def _read_at(handle: int, start: int, count: int) -> bytes:
    os.lseek(handle, start, os.SEEK_SET)
    found = b""
    while len(found) < count and (piece := os.read(handle, count - len(found))):
        found += piece
    return found
