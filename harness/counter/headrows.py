"""The heading of a price list's sheet: the row that says most, or two that say it together."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from harness.counter.columns import Columns, columns_of, heading_problems, headings_in, meaning_of
from harness.counter.grid import Cell, Row, Sheet
from harness.counter.numbers import amount, is_number

LINES_TRIED = 60  # of titles above the heading
LEAST_HEADINGS = 2


def find_columns(sheet: Sheet) -> Columns | None:
    """The heading of a sheet: the row among the first with most headings; None where there is none.

    Where that row leaves something wrong or open, and it says more together with the row above or below it,
    the two are read as one.
    """
    tried = sheet.rows[:LINES_TRIED]
    best = max(tried, key=_headings, default=None)
    alone = columns_of(best, best) if best is not None and _headings(best) >= LEAST_HEADINGS else None
    better = [
        columns_of(_together(upper, lower), lower, first=upper)
        for upper, lower in pairwise(tried)
        if (best is None or best in (upper, lower) or alone is None) and not _has_numbers(lower)
    ]
    sound = [one for one in better if not heading_problems(one)]
    found = max(sound, key=_worth, default=None)
    if alone is None or (found is not None and (heading_problems(alone) or _worth(found) > _worth(alone))):
        return found or alone
    return alone


def _headings(row: Row) -> int:
    return headings_in([cell.text for cell in row.cells])


def _worth(found: Columns) -> int:
    """How many columns are understood."""
    return len(found.at) + len(found.fixed) + len(found.prices) + len(found.quantities)


def _has_numbers(row: Row) -> bool:
    """Whether a row holds prices or counts: then it is no heading."""
    return any(
        cell.number is not None or any(is_number(amount(cell.text).digits, sign) for sign in ".,")
        for cell in row.filled
    )


def _together(upper: Row, lower: Row) -> Row:
    """Two rows as one; what stands over several columns is said of each that has a word of its own below."""
    width = max(len(upper.cells), len(lower.cells))
    blank = Cell("", lower.where)
    above = [*upper.cells, *[blank] * (width - len(upper.cells))]
    below = [*lower.cells, *[blank] * (width - len(lower.cells))]
    cells = []
    over = ""
    for top, low in zip(above, below, strict=True):
        if top.text:
            over = top.text if low.text else ""
        said = top.text or (over if low.text else "")
        words = [word for word in (f"{said} {low.text}".strip(), low.text, said) if word]
        text = next((word for word in words if meaning_of(word)), words[0] if words else "")
        cells.append(replace(low if low.text else top, text=text))
    return Row(lower.where, tuple(cells))
