"""Which entries of a record are meant: by kind, by subject, by day, or by words in them."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator
from typing import Any

from harness.record.entry import Entry


def folded(text: str) -> str:
    """A text as it is compared: capitals and the ways to write an accent make no difference."""
    return unicodedata.normalize("NFC", text).casefold()


def chosen(
    entries: Iterable[Entry], *, kind: str = "", subject: str = "", since: str = "", words: Iterable[str] = ()
) -> list[Entry]:
    """Those of a kind, of a subject, about a day ("2026-11-26") or later, with all these words in them."""
    wanted = [folded(word) for word in words]
    return [
        entry
        for entry in entries
        if (not kind or folded(entry.kind) == folded(kind))
        and (not subject or folded(entry.subject) == folded(subject))
        and (not since or entry.day >= since)
        and _has_all(entry, wanted)
    ]


def _has_all(entry: Entry, words: list[str]) -> bool:
    if not words:
        return True
    text = folded("\n".join(_texts(entry)))
    return all(word in text for word in words)


def _texts(entry: Entry) -> Iterator[str]:
    yield from (str(entry.number), entry.when, entry.by, entry.kind, entry.subject, entry.text)
    yield from _inside(dict(entry.fields))
    for one in entry.attachments:
        yield one.file
        yield one.named


def _inside(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        for key, below in value.items():
            yield key
            yield from _inside(below)
    elif isinstance(value, list):
        for below in value:
            yield from _inside(below)
    elif value is not None:
        yield str(value)
