"""The readings of a machine as a table of text: band, first reading, latest, and how far it has moved."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from harness.book.text import one_line
from harness.commissioning.judging import band_words, drift, figure, judged
from harness.commissioning.trial import Test

HEADS = ("", "test", "good band", "first", "latest", "change")
WIDEST = 48  # columns of the name of a test; a longer one goes on in the next line
GAP = "  "
Row = tuple[str, ...]


def reading_row(name: str, test: Test, values: Sequence[float]) -> Row:
    """One test with its readings, the first first; with none, where they would stand."""
    if not values:
        return ("---", name, band_words(test), "", "no reading", "")
    first, latest = values[0], values[-1]
    change = ""
    if len(values) > 1:
        moved = latest - first if test.signed else abs(latest) - abs(first)
        change = f"{'+' if moved > 0 else ''}{figure(moved, test.unit)}"
        change += " DRIFTED" if drift(first, latest, test) else ""
    mark = "ok" if judged(test, latest).good else "BAD"
    return (mark, name, band_words(test), figure(first, test.unit), figure(latest, test.unit), change)


def reading_table(rows: Sequence[Row]) -> list[str]:
    """The rows under their heads, every column as wide as it has to be."""
    cells = [HEADS, *(tuple(map(one_line, row)) for row in rows)]
    names = [textwrap.wrap(row[1], WIDEST) or [""] for row in cells]
    widths = [max(len(row[at]) for row in cells) for at in range(len(HEADS))]
    widths[1] = max(len(line) for name in names for line in name)
    lines = []
    for row, name in zip(cells, names, strict=True):
        first = (row[0], name[0], *row[2:])
        line = GAP.join(cell.ljust(width) for cell, width in zip(first, widths, strict=True))
        lines.append(line.rstrip())
        lines += [" " * (widths[0] + len(GAP)) + more for more in name[1:]]
    return lines
