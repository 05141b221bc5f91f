"""What the tests of the record share: a clock that goes as told, and a few entries."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

from harness.record.store import Record

NOON = datetime(2026, 11, 26, 12, 0, tzinfo=UTC)


def later(minutes: float) -> datetime:
    return NOON + timedelta(minutes=minutes)


def filled(folder: Path, count: int = 4) -> Record:
    """A record of so many entries of several kinds."""
    record = Record.open(folder)
    texts = ("new bulb", "cracked at the hinge, tinned end cut off", "12.6 V at the posts", "ran all day")
    for at in range(count):
        kind = ("repair", "note", "reading", "repair")[at % 4]
        record.append(
            kind, texts[at % 4], {"at": at}, written=later(at), subject="left head lamp", hours=4200.5
        )
    return record
