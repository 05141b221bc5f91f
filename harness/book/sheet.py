"""A printable table before it is a worksheet: columns with units, rows of plain values, widths, heights."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Literal

from harness.lists.measure import CENTIMETRE, feet_inches, round_down, round_up

Value = str | int | float | None
Look = Literal["line", "heading", "danger", "fault"]

BOLD_LOOKS = frozenset({"title", "heading", "danger"})
TICK = "☐"  # to be marked by hand on paper

LINE_POINTS = 11.6  # height of one line of 9 point text
ROW_PADDING_POINTS = 3.0
HIGHEST_ROW_POINTS = 409.0  # what the format allows
CELL_PADDING = 1.4  # widths of "0" lost to both sides of a cell
BEHIND_NUMBER = 0.7  # more of it behind a right-aligned number
BOLD = 1.09
WRAP_TOLERANCE = 1e-6  # float noise in sums of character widths
SAFETY = 1.04  # the reader's own font may run a little wider

# Advance widths of the plain sans-serif metric (thousandths of an em), by groups that are near enough alike.
_WIDTHS = {
    222: "ijl'|",
    278: " .,:;/\\!ftI[]",
    333: '-()`r"*',
    500: "ckszxyvJ",
    556: "0123456789abdeghnopqu_?$#L",
    584: "+=<>~^",
    667: "ABEKPSVXY&",
    722: "CDHNRUwTFZ",
    778: "GOQ",
    833: "mM",
    944: "W@%",
}
_WIDTH_OF = {character: width / 556 for width, group in _WIDTHS.items() for character in group}
_USUAL = 0.75 * 1000 / 556
_WIDE = 1.3 * 1000 / 556


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its title with the unit, how numbers show, how wide it may and must be (widths of "0")."""

    title: str
    most: float = 24.0
    shows: str = "General"  # number format
    align: Literal["left", "right", "center"] = "left"
    least: float = 0.0  # room for handwriting


@dataclass(frozen=True, slots=True)
class Row:
    """One row of values, as many as there are columns or fewer."""

    values: tuple[Value, ...]
    look: Look = "line"


@dataclass(frozen=True, slots=True)
class Sheet:
    """One worksheet to be."""

    name: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    frozen_columns: int = 1
    filters: bool = True
    landscape: bool = True
    spilling: frozenset[int] = field(
        default_factory=frozenset
    )  # columns whose headings run over their neighbours


def number(title: str, shows: str = "0.00", most: float = 10.0) -> Column:
    """Return a column of numbers, right-aligned."""
    return Column(title, most, shows, "right")


def tick(title: str) -> Column:
    """Return a column of boxes to mark by hand."""
    return Column(title, 5, align="center")


def yes(flag: bool) -> str:
    """Write a flag so that only what is true stands out."""
    return "yes" if flag else ""


def metres_and_feet(length_m: float, *, up: bool = True) -> str:
    """Write a length both ways, neither shorter than it is: "2.45 m (8' 1/2\")".

    ``up``: False for what is left over, of which neither may promise more than there is.
    """
    if not up:
        return f"{round_down(length_m, step=CENTIMETRE):.2f} m ({feet_inches(length_m, up=False)})"
    return f"{round_up(length_m, step=CENTIMETRE):.2f} m ({feet_inches(length_m)})"


@lru_cache(maxsize=4096)
def _character(character: str) -> float:
    if character in _WIDTH_OF:
        return _WIDTH_OF[character]
    if unicodedata.east_asian_width(character) in ("W", "F") or ord(character) > 0xFFFF:
        return _WIDE
    return 0.0 if unicodedata.combining(character) else _USUAL


@lru_cache(maxsize=4096)
def text_width(text: str) -> float:
    """Return how wide one line of text is, in widths of "0"."""
    return sum(map(_character, text))


def _pieces(text: str) -> list[str]:
    """Cut a line where it may wrap: after spaces."""
    return re.findall(r"\S*\s*", text)[:-1]


def lines_needed(text: str, width: float) -> int:
    """Return how many lines a text takes when wrapped into ``width`` (in widths of "0")."""
    count = 0
    for line in text.split("\n"):
        count += 1
        if text_width(line) <= width:
            continue
        used = 0.0
        for piece in _pieces(line):
            wide, bare = text_width(piece), text_width(piece.rstrip())
            if used and used + bare > width + WRAP_TOLERANCE:
                count += 1
                used = 0.0
            if bare > width + WRAP_TOLERANCE:
                count += math.ceil(bare / width) - 1
                wide = bare % width
            used += wide
    return count


def shown(value: Value, shows: str) -> str:
    """Return a value as the reader will see it, near enough for measuring."""
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    if shows == "General":
        return f"{value:g}"
    places = len(shows.rstrip("%").partition(".")[2])
    return f"{value:.{places}{'%' if shows.endswith('%') else 'f'}}"


def _longest_word(text: str) -> float:
    return max(map(text_width, text.split()), default=0.0)


def _column_width(column: Column, values: Sequence[str]) -> float:
    """Return the width a column needs: its widest text up to the cap, never less than a number."""
    natural = max(map(text_width, values), default=0.0) * SAFETY
    title_word = _longest_word(column.title) * BOLD
    floor = (
        natural if column.align == "right" else min(max(map(_longest_word, values), default=0.0), column.most)
    )
    padding = CELL_PADDING + (BEHIND_NUMBER if column.align == "right" else 0.0)
    return math.ceil((max(min(natural, column.most), floor, title_word, column.least) + padding) * 10) / 10


def column_widths(sheet: Sheet) -> list[float]:
    """Return the width of every column, in widths of "0"; a spilling heading does not widen its column."""
    texts: list[list[str]] = [[] for _ in sheet.columns]
    for row in sheet.rows:
        for index, value in enumerate(row.values):
            if not (row.look == "heading" and index in sheet.spilling):
                texts[index].append(shown(value, sheet.columns[index].shows))
    return [_column_width(column, values) for column, values in zip(sheet.columns, texts, strict=True)]


def row_height(sheet: Sheet, row: Row, widths: Sequence[float]) -> float:
    """Return the height in points that shows every wrapped text of a row in full."""
    bold = BOLD if row.look in BOLD_LOOKS else 1.0
    lines = 1
    for index, value in enumerate(row.values):
        if isinstance(value, str) and not (row.look == "heading" and index in sheet.spilling):
            lines = max(lines, lines_needed(value, (widths[index] - CELL_PADDING) / bold))
    return min(lines * LINE_POINTS + ROW_PADDING_POINTS, HIGHEST_ROW_POINTS)


def headings_in_rows(sheet: Sheet) -> Sheet:
    """The sheet with every heading that is wider than all columns parted into rows: paper ends there."""
    widths = column_widths(sheet)
    rows: list[Row] = []
    for row in sheet.rows:
        first = row.values[0] if row.values else None
        alone = row.look == "heading" and 0 in sheet.spilling and not any(row.values[1:])
        if not alone or not isinstance(first, str):
            rows.append(row)
            continue
        room, line = (sum(widths) - CELL_PADDING) / BOLD, ""
        for piece in [*_pieces(first)]:
            if line and text_width((line + piece).rstrip()) > room:
                rows.append(Row((line.rstrip(), *row.values[1:]), "heading"))
                line = ""
            line += piece
        rows.append(Row((line.rstrip(), *row.values[1:]), "heading"))
    return replace(sheet, rows=tuple(rows))


def title_height(sheet: Sheet, widths: Sequence[float]) -> float:
    """Return the height in points of the row of column titles."""
    lines = max(
        lines_needed(column.title, (width - CELL_PADDING) / BOLD)
        for column, width in zip(sheet.columns, widths, strict=True)
    )
    return lines * LINE_POINTS + ROW_PADDING_POINTS
