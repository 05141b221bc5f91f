"""What one cell says, as a survey would write it; or why that cannot be told."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import date, timedelta

from harness.survey.sheets.package import Raw

AS_TEXT = "format the cell as text, then type it again"
_BUILT_IN_DATES = frozenset([*range(14, 23), *range(27, 37), *range(45, 48), *range(50, 59)])
_BUILT_IN_PER_CENT = frozenset((9, 10))
_LITERALS = re.compile(r'"[^"]*"|\\.|_.|\*.|\[[^\]]*\]')
_WITH_UNIT = re.compile(r'[#0.,]+\s*"([^"]+)"')


@dataclass(frozen=True, slots=True)
class Unreadable:
    """A cell whose content is not what somebody typed."""

    what: str
    fix: str


def said(raw: Raw, *, from_1904: bool, yes_no: bool) -> str | Unreadable:
    """The text of a cell; ``yes_no``: the column takes yes or no."""
    if raw.formula:
        return Unreadable(
            "a formula stands here, and a survey holds only what was found on the machine",
            "type the value itself, or copy the cell and paste it as a value",
        )
    if raw.kind == "text":
        return raw.text.replace("\r\n", "\n").replace("\r", "\n")
    if raw.kind == "error":
        return Unreadable(f"the cell holds the error {raw.text}", "type what belongs here")
    if raw.kind == "truth":
        true = raw.text.lower() in ("1", "true")
        return ("yes" if true else "no") if yes_no else str(true).upper()
    if raw.kind == "date":
        return _dated(raw.text[:10])
    return _number(raw, from_1904)


def _number(raw: Raw, from_1904: bool) -> str | Unreadable:
    try:
        value = float(raw.text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        return Unreadable(f"the cell holds {raw.text!r}, which is no number", "type it again")
    code = int(raw.shows[1:]) if re.fullmatch(r"#[0-9]{1,4}", raw.shows) else -1
    bare = _LITERALS.sub("", raw.shows) if code < 0 else ""
    if code in _BUILT_IN_DATES or (bare.lower() != "general" and re.search("[dmyhs]", bare, re.IGNORECASE)):
        return _dated(_day(value, from_1904))
    if code in _BUILT_IN_PER_CENT or "%" in bare:
        return f"{plain(value * 100)} %"
    unit = _WITH_UNIT.fullmatch(raw.shows.split(";")[0])
    return f"{plain(value)} {unit[1].strip()}" if unit and unit[1].strip() else plain(value)


def plain(value: float) -> str:
    """A number as it was typed: the 15 digits that a spreadsheet keeps, so 0.3 for 0.30000000000000004."""
    text = f"{value:.15g}"
    if "e" not in text:
        return text
    return f"{value:.0f}" if abs(value) >= 1 else f"{value:.20f}".rstrip("0").rstrip(".")


def _day(value: float, from_1904: bool) -> str:
    start = date(1904, 1, 1) if from_1904 else date(1899, 12, 30)
    try:
        return (start + timedelta(days=int(value))).isoformat()
    except OverflowError:
        return "a day long gone"


def _dated(day: str) -> Unreadable:
    """A date stands where somebody typed 1-2 or 3/8: which of the two it was is lost."""
    found = re.fullmatch(r"[0-9]{4}-([0-9]{2})-([0-9]{2})", day)
    meant = ""
    if found:
        month, number = int(found[1]), int(found[2])
        meant = f" ({number}-{month}, {month}-{number}, {number}/{month} or {month}/{number})"
    return Unreadable(f"the spreadsheet has made the date {day} of what was typed here{meant}", AS_TEXT)
