"""What is drawn of a loom on its board, as strokes, rings and words at full size."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from harness.drawing import metrics
from harness.drawing.board_layout import TEXT_MM, TITLE_MM, Board, LaidRun
from harness.drawing.ink import Ink, Ring, Stroke, lines
from harness.drawing.svg import INK, SOFT, Spot

NAIL_EVERY_MM = 300.0
NAIL_MM = 1.6  # a nail's tick stands out so far at each side
FILL = "#e4e4e4"
# by style of the covering: what lies in the middle of the line (ink, width, dashes); none is a plain band
CORES: Mapping[str, tuple[str, float, tuple[float, ...]]] = {
    "corrugated": (SOFT, 0.5, (6.0, 3.0)),
    "braid": (INK, 1.2, (1.2, 1.8)),
    "spiral": (INK, 0.7, (9.0, 2.0, 1.0, 2.0)),
    "tape": (SOFT, 0.5, ()),
    "glass": (INK, 1.2, (4.0, 1.5)),
    "shrink": (INK, 2.4, ()),
    "other": (SOFT, 0.5, (1.0, 5.0)),
}


def _band(run: LaidRun) -> Iterator[Ink]:
    thick = run.limb.thick_mm
    yield Stroke(run.spots, thick)
    yield Stroke(run.spots, max(thick - 0.8, 0.8), "#ffffff" if run.limb.look == "bare" else FILL)
    core = CORES.get(run.limb.look)
    if core is not None:
        colour, wide, dash = core
        yield Stroke(run.spots, min(wide, thick / 2), colour, dash)


def _nails(run: LaidRun) -> Iterator[Ink]:
    """Ticks across the line where a nail stands at each side of it."""
    reach = run.limb.thick_mm / 2 + NAIL_MM
    for a, b in pairwise(run.spots):
        far = abs(b[0] - a[0]) + abs(b[1] - a[1])
        level = abs(b[0] - a[0]) > abs(b[1] - a[1])
        count = int(far // NAIL_EVERY_MM)
        for number in range(1, count + 1):
            share = number / (count + 1)
            x, y = a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])
            ends = ((x, y - reach), (x, y + reach)) if level else ((x - reach, y), (x + reach, y))
            yield Stroke(ends, 0.5)


def _marks(run: LaidRun) -> Iterator[Ink]:
    """Splices where they sit on the line; the words at their place say which."""
    for mark in run.limb.marks:
        left = mark.at_mm
        for a, b in pairwise(run.spots):
            far = abs(b[0] - a[0]) + abs(b[1] - a[1])
            if far and left <= far:
                x, y = a[0] + left / far * (b[0] - a[0]), a[1] + left / far * (b[1] - a[1])
                yield Ring(x, y, 2.2, INK)
                break
            left -= far


def _corner(spot: Spot) -> Iterator[Ink]:
    yield Ring(*spot, 2.0)
    x, y = spot
    yield Stroke(((x - 1.4, y), (x + 1.4, y)), 0.4)
    yield Stroke(((x, y - 1.4), (x, y + 1.4)), 0.4)


def _place(spot: Spot) -> Iterator[Ink]:
    yield Ring(*spot, 4.0, wide_mm=0.7)
    yield Ring(*spot, 0.8, INK)


def drawn(board: Board) -> list[Ink]:
    """Everything on a board, what lies on top last."""
    found: list[Ink] = []
    for run in board.runs:
        found += _band(run)
    for run in board.runs:
        found += _nails(run)
    for spot in board.corners:
        found += _corner(spot)
    for _, spot in board.nodes:
        found += _place(spot)
    for run in board.runs:
        found += _marks(run)
    for label in board.labels:
        found += lines(label.x, label.y, label.lines, TEXT_MM)
    for note in board.notes:
        found += lines(note.x + 1.0, note.y, note.title, TITLE_MM, bold=True)
        top = note.y + len(note.title) * metrics.LINE * TITLE_MM
        for x, column in zip(note.column_x, note.columns, strict=True):
            found += lines(note.x + x, top, column, TEXT_MM)
    return found
