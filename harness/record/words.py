"""Entries of a record in words: lines for a terminal, a tree for programs, and figures in short."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from harness.book.text import one_line
from harness.record.edits import BadEdit, edit_of, said
from harness.record.entry import Damaged, Entry, as_named

INDENT = "    "


def size_words(count: int) -> str:
    """A number of bytes: "120 kB".

    >>> size_words(120_400)
    '120 kB'
    """
    if count < 1000:
        return f"{count} bytes"
    return f"{count / 1000:.0f} kB" if count < 1_000_000 else f"{count / 1e6:.1f} MB"


def field_lines(entry: Entry) -> Iterator[str]:
    """What an entry has besides its text: a line for each edit of the survey, and one for the rest."""
    edits = entry.fields.get("edits")
    if isinstance(edits, list):
        yield from map(_edit_words, edits)
    others = [
        f"{key}: {words}"
        for key, value in entry.fields.items()
        if (key != "edits" or not isinstance(value, list)) and (words := _value(value)).strip()
    ]
    if others:
        yield "; ".join(others)


def _edit_words(held: Any) -> str:
    try:
        return edit_of(held).words()
    except BadEdit as error:
        return f"an edit that cannot be made: {error}"


def _value(value: Any) -> str:
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, list | dict):
        return said(_texts(value))
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "" if value is None else str(value)


def _texts(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _texts(below) for key, below in value.items()}
    if isinstance(value, list):
        return [_texts(below) for below in value]
    return _value(value)


def head_words(entry: Entry) -> str:
    """The first line of an entry: number, day, kind, subject, hours, who."""
    hours = f"{entry.hours:g} h" if entry.hours is not None else ""
    by = f"by {entry.by}" if entry.by else ""
    altered = "" if entry.sound else "(altered after it was written)"
    words = (f"{entry.number}", entry.day, entry.kind, entry.subject, hours, by, altered)
    return "  ".join(one_line(word) for word in words if word)


def entry_lines(entry: Entry) -> Iterator[str]:
    """An entry for a terminal; nothing in it moves the cursor or turns letters round."""
    yield head_words(entry)
    for line in entry.text.splitlines():
        if line.strip():
            yield INDENT + one_line(line)
    for line in field_lines(entry):
        yield INDENT + one_line(line)
    for one in entry.attachments:
        yield INDENT + one_line(f"attachments/{one.file} ({one.named}, {size_words(one.size)})")


def damaged_words(damaged: Damaged) -> str:
    """A line that could not be read."""
    end = "; it is the last one: its writer may have been stopped" if damaged.half else ""
    start = f" It begins: {damaged.start}" if damaged.start.strip() else ""
    return one_line(f"line {damaged.line}: {damaged.why}{end}.{start}")


def entry_dict(entry: Entry) -> dict[str, Any]:
    """An entry for programs, named as in the file."""
    return {**as_named(entry), "hash": entry.hash, "sound": entry.sound}
