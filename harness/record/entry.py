"""One entry of a record and the line of text it is: what it holds, how it is written, read and sealed.

A line is one JSON object in UTF-8. Its own ``hash`` stands last and is the SHA-256 of the line without it, so
that anybody can work it out again: take `, "hash": "..."` off, close the brace, and sum what is left.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from math import isfinite
from typing import Any

from harness.model.limits import LIMITS

LARGEST_ENTRY_BYTES = LIMITS["entry bytes"].most
DEEPEST = LIMITS["entry depth"].most
MOST_HOURS = LIMITS["hours"].most
MOST_NUMBERS = LIMITS["entry number"].most
FIRST = "0" * 64  # what stands as the hash before the first line

_TAIL = re.compile(rb', "hash": "([0-9a-f]{64})"\}')
_TAIL_BYTES = 77
# What would move a terminal's cursor, turn text round, or end a line for some programs; JSON itself escapes
# only what is below a space. It reads back the same.
_ESCAPED = re.compile("[\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ufffe\uffff]")
_SURROGATES = re.compile("[\ud800-\udfff]")


class RecordError(Exception):
    """Something a person has to be told about a record, in words."""


class BadEntry(RecordError):
    """The entry itself cannot be kept as it is; nothing was written."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of entry: its name, what it is for, and what it cannot do without."""

    name: str
    words: str
    needs: tuple[str, ...]  # of "text", "subject", "hours", "attachment"


KINDS = {
    kind.name: kind
    for kind in (
        Kind("change", "as-built change: the machine is no longer as the survey says", ("text",)),
        Kind("reading", "a reading taken with a meter", ("text",)),
        Kind("repair", "what was mended, and how", ("text",)),
        Kind("replaced", "a part that was replaced by another of its sort", ("subject",)),
        Kind("hours", "the hours meter was read", ("hours",)),
        Kind("note", "anything worth keeping", ("text",)),
        Kind("photo", "a photo, or any other file", ("attachment",)),
    )
}


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file kept beside the record."""

    file: str  # its name in the folder of attachments
    named: str  # what it was called where it came from
    size: int  # bytes
    sha256: str


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry as it stands in the record."""

    number: int  # that of its line, counted from 1, unless lines were taken out
    when: str  # the day or moment it is about, ISO 8601
    written: str  # the clock of the computer when it was entered, ISO 8601 with its offset
    by: str
    hours: float | None  # what the hours meter showed
    kind: str
    subject: str  # a part, wire, fuse, circuit or place; "" for the machine
    text: str
    fields: Mapping[str, Any]  # what this kind of entry has besides
    attachments: tuple[Attachment, ...]
    before: str  # the mark of the line before
    hash: str = ""
    after_half: bool = False  # the line before was half a line when this was written
    sound: bool = True  # its hash fits what it says

    @property
    def day(self) -> str:
        """The day it is about: "2026-11-26"."""
        return self.when[:10]


@dataclass(frozen=True, slots=True)
class Damaged:
    """A line that cannot be read as an entry."""

    line: int  # counted from 1
    why: str
    start: str  # how it begins
    half: bool  # the last line, and without its end: most likely its writer was stopped


def plain(value: Any, left: int = DEEPEST) -> Any:
    """A value as JSON gives it back: tuples as lists, halves of letters as a mark; raises BadEntry."""
    if left < 0:
        raise BadEntry(f"the fields are nested more than {DEEPEST} deep")
    if value is None or isinstance(value, bool | int):
        return value
    if isinstance(value, str):
        return _SURROGATES.sub("\ufffd", value)
    if isinstance(value, float):
        if not isfinite(value):
            raise BadEntry(f"{value} is no figure")
        return value
    if isinstance(value, Mapping):
        if not all(isinstance(key, str) for key in value):
            raise BadEntry("the fields have a name that is no text")
        return {plain(key): plain(item, left - 1) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item, left - 1) for item in value]
    raise BadEntry(f"a {type(value).__name__} cannot be kept in a record")


def escaped(words: str) -> str:
    """JSON with everything in its texts escaped that would move a terminal or turn its letters round."""
    return _ESCAPED.sub(lambda found: f"\\u{ord(found[0]):04x}", words)


def as_named(entry: Entry) -> dict[str, Any]:
    """What an entry says, under the names it has in the file; its seal is not among them."""
    return {
        "number": entry.number,
        "when": entry.when,
        "written": entry.written,
        "by": entry.by,
        "hours": entry.hours,
        "kind": entry.kind,
        "subject": entry.subject,
        "text": entry.text,
        "fields": dict(entry.fields),
        "attachments": [
            {"file": one.file, "named": one.named, "bytes": one.size, "sha256": one.sha256}
            for one in entry.attachments
        ],
    }


def line_of(entry: Entry) -> bytes:
    """The line of an entry with its hash, without the line break; raises BadEntry where it is too large."""
    half = {"after half a line": True} if entry.after_half else {}
    held = {**as_named(entry), **half, "before": entry.before}
    try:
        words = json.dumps(plain(held), ensure_ascii=False, allow_nan=False)
    except ValueError:  # a whole number of thousands of digits
        raise BadEntry("the fields hold a figure that is too long") from None
    body = escaped(words).encode()
    line = body[:-1] + b', "hash": "' + sha256(body).hexdigest().encode() + b'"}'
    if len(line) > LARGEST_ENTRY_BYTES:
        raise BadEntry(
            f"the entry is {len(line) / 1e6:.1f} MB, at most {LARGEST_ENTRY_BYTES / 1e6:g} MB fit into one: "
            "attach the long text as a file"
        )
    return line


def mark_of(line: bytes) -> str:
    """What the next line names as the one before it: the line's own hash, or the sum of a damaged line."""
    found = _own_hash(line)
    return found if found else sha256(line).hexdigest()


def _own_hash(line: bytes) -> str:
    """The hash at the end of a line, "" where it is missing or does not fit."""
    found = _TAIL.fullmatch(line, max(0, len(line) - _TAIL_BYTES))
    if found is None or sha256(line[: found.start()] + b"}").hexdigest().encode() != found[1]:
        return ""
    return found[1].decode()


def read_line(line: bytes, number: int, *, ended: bool = True) -> Entry | Damaged:
    """The entry in a line, whether its hash fits or not.

    number: of the line. ended: by a line break.
    """
    own = _own_hash(line)
    try:
        return _entry(
            json.loads(line.decode(), parse_constant=_no_figure, parse_float=_float), sound=bool(own)
        )
    except UnicodeDecodeError:
        why = "is not text in UTF-8"
    except (ValueError, RecursionError):
        why = "is not a whole entry" if line.strip() else "is blank"
    except (KeyError, TypeError):
        why = "does not say what an entry says"
    except BadEntry as error:
        why = f"cannot be an entry: {error}"
    return Damaged(number, why, line[:60].decode(errors="replace"), half=not ended and not was_whole(line))


def was_whole(line: bytes) -> bool:
    """Whether a line that cannot be read was once written to its end: the hash stands there."""
    return _TAIL.search(line) is not None


def _no_figure(words: str) -> Any:
    raise ValueError(words)


def _float(words: str) -> float:
    value = float(words)
    if not isfinite(value):
        raise ValueError(words)
    return value


def _text(held: Mapping[str, Any], key: str) -> str:
    value = held[key]
    if not isinstance(value, str):
        raise TypeError(key)
    return value


def _whole(held: Mapping[str, Any], key: str) -> int:
    value = held[key]
    if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value < MOST_NUMBERS:
        raise TypeError(key)
    return value


def _attachment(held: Any) -> Attachment:
    if not isinstance(held, dict):
        raise TypeError("attachments")
    return Attachment(_text(held, "file"), _text(held, "named"), _whole(held, "bytes"), _text(held, "sha256"))


def _entry(held: Any, *, sound: bool) -> Entry:
    """Raises KeyError, TypeError or BadEntry where something is missing or of the wrong sort."""
    if not isinstance(held, dict) or not isinstance(held["fields"], dict):
        raise TypeError("fields")
    hours = held["hours"]
    if hours is not None and (
        not isinstance(hours, int | float) or isinstance(hours, bool) or not 0 <= hours < MOST_NUMBERS
    ):
        raise TypeError("hours")
    if not isinstance(held["attachments"], list):
        raise TypeError("attachments")
    return Entry(
        number=_whole(held, "number"),
        when=_text(held, "when"),
        written=_text(held, "written"),
        by=_text(held, "by"),
        hours=None if hours is None else float(hours),
        kind=_text(held, "kind"),
        subject=_text(held, "subject"),
        text=_text(held, "text"),
        fields=plain(held["fields"]),
        attachments=tuple(map(_attachment, held["attachments"])),
        before=_text(held, "before"),
        hash=_text(held, "hash"),
        after_half=held.get("after half a line") is True,
        sound=sound,
    )
