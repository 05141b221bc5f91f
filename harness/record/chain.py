"""Whether a record is what was written: every line's own sum, the line it follows, and the files it names."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from harness.record.attaching import FOLDER, digest_of, is_safe
from harness.record.entry import FIRST, BadEntry, Damaged, Entry, mark_of
from harness.record.store import Record, clock_moved_back


@dataclass(frozen=True, slots=True)
class Verdict:
    """What was found: breaks of the chain, and what is only worth knowing."""

    lines: int
    good: tuple[int, ...]  # the numbers of the lines that are whole and follow what they say they follow
    breaks: tuple[str, ...]
    remarks: tuple[str, ...]
    last: str  # the mark of the last line: noted elsewhere, it shows later that nothing was cut off

    @property
    def whole(self) -> bool:
        """Whether nothing is broken."""
        return not self.breaks


def verified(record: Record) -> Verdict:
    """Read a record through and hold every line against its sum, the line before and its attachments.

    Raises Unreadable (harness.record.store).
    """
    breaks: list[str] = []
    remarks: list[str] = []
    good: list[int] = []
    named: set[str] = set()
    mark, number, written, lines = FIRST, 0, "", 0
    unread = ""  # what is wrong with the line before, until the next one says whether it was so all along
    previous: Entry | Damaged | None = None
    saved_anew = 0
    for line, one in [*record.numbered_lines()]:  # read at once: no writer waits while files are summed
        lines += 1
        saved_anew += line.endswith(b"\r")
        if isinstance(one, Entry) and one.sound and one.after_half and one.before == mark and unread:
            remarks.append(
                f"line {lines - 1}: is half a line, and was when the next was written: its writer was "
                "stopped, or the disk was full; nobody was told that it was kept"
            )
        elif unread:
            breaks.append(unread)
        unread = ""
        if isinstance(one, Entry):
            found = [*_broken(lines, one, mark, previous), *_attachments(record, lines, one, named)]
            breaks += found
            if not found:
                good.append(lines)
            if one.number != lines and one.number != number + 1:
                remarks.append(f"line {lines}: holds entry {one.number}, which is not the next number")
            if clock_moved_back(written, one.written):
                remarks.append(f"line {lines}: was written by a clock behind that of the entry before")
            number, written = one.number, one.written
        else:
            end = "; it is the last and has no end, so its writer may have been stopped" if one.half else ""
            end += "; the next entry closes it off" if one.half else ""
            unread = f"line {lines}: {one.why}{end}"
        mark, previous = mark_of(line), one
    if unread:
        breaks.append(unread)
    if saved_anew:
        remarks.append(
            f"{saved_anew} lines end in CR LF: a text editor has saved the file; with line ends put back "
            "to LF they are as they were"
        )
    remarks += _unnamed(record, named)
    return Verdict(lines, tuple(good), tuple(breaks), tuple(remarks), mark)


def _broken(line: int, entry: Entry, mark: str, previous: Entry | Damaged | None) -> Iterator[str]:
    """What is wrong between a line and the one before; a damaged one before is a break of its own."""
    if not entry.sound:
        yield f"line {line}: was altered after it was written: its sum does not fit"
    elif entry.before != mark and previous is None:
        yield f"line {line}: is not the first that was written: lines before it were taken out"
    elif entry.before != mark and isinstance(previous, Entry) and previous.sound:
        yield f"line {line}: does not follow line {line - 1}: a line was taken out, put in or exchanged here"


def _attachments(record: Record, line: int, entry: Entry, named: set[str]) -> Iterator[str]:
    for one in entry.attachments:
        if not is_safe(one.file):
            yield f"line {line}: names a file that cannot be one of its attachments"
            continue
        named.add(one.file)
        try:
            size, digest = digest_of(record.folder / FOLDER / one.file)
        except BadEntry as error:
            yield f"line {line}: attachment {error}"
            continue
        if (size, digest) != (one.size, one.sha256):
            yield f"line {line}: attachment {one.file} is not as it was when it was kept"


def _unnamed(record: Record, named: set[str]) -> Iterator[str]:
    """Files of no entry: copied in, and then the entry was not written."""
    place = record.folder / FOLDER
    try:
        found = sorted(path.name for path in place.iterdir()) if not place.is_symlink() else []
    except OSError:
        return
    for name in found:
        if name not in named:
            yield f"{FOLDER}/{name}: belongs to no entry"
