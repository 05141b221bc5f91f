"""Texts of price lists and designs as they stand in the files that this program keeps for the counter."""

from __future__ import annotations

import re

from harness.signs import shown

_BREAKS = re.compile("[\t\n]+")


def on_one_line(text: str) -> str:
    """The text with what nobody sees by its number, and tabs and line breaks as spaces."""
    return _BREAKS.sub(" ", shown(text))


def quoted(text: str) -> str:
    """The text as YAML in single quotes, where no sign but the quote itself has a meaning (YAML 1.2, 7.3.2).

    >>> quoted("*it's: [1")
    "'*it''s: [1'"
    """
    return "'" + on_one_line(text).replace("'", "''") + "'"
