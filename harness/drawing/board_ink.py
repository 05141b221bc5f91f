"""What is drawn of a loom on its board, as strokes, rings and words at full size."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

from harness.drawing import metrics
from harness.drawing.board_layout import TEXT_MM, TITLE_MM, Board, LaidRun, text_width
from harness.drawing.svg import INK, SOFT, Spot, clean

Box = tuple[float, float, float, float]  # left, top, right, bottom

NAIL_EVERY_MM = 300.0
NAIL_MM = 1.6  # a nail's tick stands out so far at each side
FILL = "#e4e4e4"
# by covering: what lies in the middle of the line (ink, width, dashes); none is a plain band
CORES: Mapping[str, tuple[str, float, tuple[float, ...]]] = {
    "tube": (SOFT, 0.5, (6.0, 3.0)),
    "braid": (INK, 1.2, (1.2, 1.8)),
    "spiral": (INK, 0.7, (9.0, 2.0, 1.0, 2.0)),
    "tape": (SOFT, 0.5, ()),
    "glass": (INK, 1.2, (4.0, 1.5)),
    "shrink": (INK, 2.4, ()),
}


@dataclass(frozen=True, slots=True)
class Stroke:
    """Straight pieces through some spots."""

    spots: tuple[Spot, ...]
    wide_mm: float
    colour: str = INK
    dash: tuple[float, ...] = ()

    @property
    def box(self) -> Box:
        """What it covers."""
        half = self.wide_mm / 2
        xs, ys = [x for x, _ in self.spots], [y for _, y in self.spots]
        return min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half


@dataclass(frozen=True, slots=True)
class Ring:
    """A circle."""

    x: float
    y: float
    r: float
    fill: str = "#ffffff"
    wide_mm: float = 0.4

    @property
    def box(self) -> Box:
        """What it covers."""
        return self.x - self.r, self.y - self.r, self.x + self.r, self.y + self.r


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text with its base line at y."""

    x: float
    y: float
    text: str
    size_mm: float
    bold: bool = False
    colour: str = INK

    @property
    def box(self) -> Box:
        """What it covers in the wider of the faces it may be set in."""
        wide = text_width(self.text, self.size_mm, bold=self.bold)
        top = self.y - metrics.ASCENT * self.size_mm
        return self.x, top, self.x + wide, self.y + metrics.DESCENT * self.size_mm


Ink = Stroke | Ring | Words


def lines(
    x: float, y: float, texts: tuple[str, ...], size_mm: float, *, bold: bool = False
) -> Iterator[Words]:
    """Lines below one another, the first one's top at y."""
    for number, text in enumerate(texts):
        base = y + (metrics.ASCENT + number * metrics.LINE) * size_mm
        yield Words(x, base, clean(text), size_mm, bold)


def _band(run: LaidRun) -> Iterator[Ink]:
    thick = run.limb.thick_mm
    yield Stroke(run.spots, thick)
    yield Stroke(run.spots, max(thick - 0.8, 0.8), "#ffffff" if run.limb.dash == "bare" else FILL)
    core = CORES.get(run.limb.dash)
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
    """Splices where they sit on the line, each with its name above."""
    for mark in run.limb.marks:
        left = mark.at_mm
        for a, b in pairwise(run.spots):
            far = abs(b[0] - a[0]) + abs(b[1] - a[1])
            if far and left <= far:
                x, y = a[0] + left / far * (b[0] - a[0]), a[1] + left / far * (b[1] - a[1])
                yield Ring(x, y, 2.2, INK)
                wide = text_width(mark.text, TEXT_MM)
                yield Words(x - wide / 2, y - run.limb.thick_mm / 2 - 1.2, clean(mark.text), TEXT_MM)
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


def moved(ink: Ink, x: float, y: float, k: float = 1.0) -> Ink:
    """The same ``k`` times as large, with its origin at (x, y)."""
    if isinstance(ink, Stroke):
        spots = tuple((x + k * a, y + k * b) for a, b in ink.spots)
        return replace(ink, spots=spots, wide_mm=k * ink.wide_mm, dash=tuple(k * each for each in ink.dash))
    if isinstance(ink, Ring):
        return replace(ink, x=x + k * ink.x, y=y + k * ink.y, r=k * ink.r, wide_mm=k * ink.wide_mm)
    return replace(ink, x=x + k * ink.x, y=y + k * ink.y, size_mm=k * ink.size_mm)


def touches(ink: Ink, box: Box) -> bool:
    """Whether something of it lies in a box."""
    left, top, right, bottom = box
    if isinstance(ink, Stroke):
        half = ink.wide_mm / 2
        return any(
            min(a[0], b[0]) - half < right
            and max(a[0], b[0]) + half > left
            and min(a[1], b[1]) - half < bottom
            and max(a[1], b[1]) + half > top
            for a, b in pairwise(ink.spots)
        )
    own = ink.box
    return own[0] < right and own[2] > left and own[1] < bottom and own[3] > top
