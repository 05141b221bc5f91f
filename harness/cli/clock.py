"""The one place that looks at the clock: when an entry of a record was written."""

from __future__ import annotations

from datetime import datetime


def now() -> datetime:
    """The computer's clock with its offset."""
    return datetime.now().astimezone()
