"""What is taken on a sheet: boxes of text and lines at any angle, found again by where they lie."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from harness.drawing.ink import Box
from harness.drawing.svg import Spot

CELL_MM = 20.0


@dataclass(frozen=True, slots=True)
class Line:
    """A straight piece with half its thickness; it may touch others at the nodes it joins."""

    a: Spot
    b: Spot
    half_mm: float
    nodes: tuple[int, ...] = ()

    @property
    def box(self) -> Box:
        """What it covers."""
        half = self.half_mm
        return (
            min(self.a[0], self.b[0]) - half, min(self.a[1], self.b[1]) - half,
            max(self.a[0], self.b[0]) + half, max(self.a[1], self.b[1]) + half,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Patch:
    """A box that is taken; a balloon tells its node."""

    box: Box
    nodes: tuple[int, ...] = ()


Thing = Line | Patch


def grown(box: Box, by_mm: float) -> Box:
    """Return a box larger on every side."""
    return box[0] - by_mm, box[1] - by_mm, box[2] + by_mm, box[3] + by_mm


def moved(thing: Thing, x: float, y: float) -> Thing:
    """Return the same farther right and down."""
    if isinstance(thing, Line):
        a, b = (thing.a[0] + x, thing.a[1] + y), (thing.b[0] + x, thing.b[1] + y)
        return Line(a, b, thing.half_mm, thing.nodes)
    left, top, right, low = thing.box
    return Patch((left + x, top + y, right + x, low + y), thing.nodes)


def boxes_meet(one: Box, other: Box) -> bool:
    """Whether two boxes share more than an edge."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def line_meets(line: Line, box: Box) -> bool:
    """Whether a line comes into a box; the box grown by half its thickness is cut with its middle."""
    low, high = 0.0, 1.0
    wide = grown(box, line.half_mm)
    for at in (0, 1):
        start, way = line.a[at], line.b[at] - line.a[at]
        if abs(way) < 1e-9:
            if not wide[at] < start < wide[at + 2]:
                return False
            continue
        one, two = (wide[at] - start) / way, (wide[at + 2] - start) / way
        low, high = max(low, min(one, two)), min(high, max(one, two))
    return low < high


def _from(spot: Spot, a: Spot, b: Spot) -> float:
    """How far a spot is from a straight piece."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    far = dx * dx + dy * dy
    share = max(0.0, min(1.0, ((spot[0] - a[0]) * dx + (spot[1] - a[1]) * dy) / far)) if far else 0.0
    x, y = spot[0] - a[0] - share * dx, spot[1] - a[1] - share * dy
    return float((x * x + y * y) ** 0.5)


def _side(a: Spot, b: Spot, spot: Spot) -> float:
    return (b[0] - a[0]) * (spot[1] - a[1]) - (b[1] - a[1]) * (spot[0] - a[0])


def apart_mm(one: Line, other: Line) -> float:
    """How far the middles of two lines are from each other; 0 where they cross."""
    a, b, c, d = one.a, one.b, other.a, other.b
    if _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0:
        return 0.0
    return min(_from(a, c, d), _from(b, c, d), _from(c, a, b), _from(d, a, b))


class Field:
    """The room of a sheet with all that is taken of it."""

    def __init__(self, wide_mm: float, high_mm: float) -> None:
        self.box: Box = (0.0, 0.0, wide_mm, high_mm)
        self.things: list[Thing | None] = []
        self._cells: dict[tuple[int, int], list[int]] = {}

    def _around(self, box: Box) -> Iterator[tuple[int, int]]:
        for x in range(int(box[0] // CELL_MM), int(box[2] // CELL_MM) + 1):
            for y in range(int(box[1] // CELL_MM), int(box[3] // CELL_MM) + 1):
                yield x, y

    def add(self, thing: Thing) -> int:
        """Take room; returns what it is known by."""
        at = len(self.things)
        self.things.append(thing)
        for cell in self._around(thing.box):
            self._cells.setdefault(cell, []).append(at)
        return at

    def drop(self, at: int) -> None:
        """Give room back."""
        thing = self.things[at]
        if thing is not None:
            for cell in self._around(thing.box):
                self._cells[cell].remove(at)
        self.things[at] = None

    def _near(self, box: Box) -> Iterable[Thing]:
        seen = {at for cell in self._around(box) for at in self._cells.get(cell, ())}
        return (thing for at in sorted(seen) if (thing := self.things[at]) is not None)

    def holds(self, box: Box) -> bool:
        """Whether a box lies on the sheet."""
        wide = self.box
        return box[0] >= wide[0] and box[1] >= wide[1] and box[2] <= wide[2] and box[3] <= wide[3]

    def box_free(self, box: Box, gap_mm: float) -> bool:
        """Whether a box lies on the sheet and keeps clear of all that is taken."""
        wide = grown(box, gap_mm)
        return self.holds(box) and not any(
            line_meets(thing, wide) if isinstance(thing, Line) else boxes_meet(thing.box, wide)
            for thing in self._near(wide)
        )

    def line_free(self, line: Line, gap_mm: float) -> bool:
        """Whether a line lies on the sheet and keeps clear of all that does not stand at its nodes."""
        wide = grown(line.box, gap_mm)
        own = set(line.nodes)
        for thing in self._near(wide):
            if own.intersection(thing.nodes):
                continue
            if isinstance(thing, Line):
                if apart_mm(line, thing) < line.half_mm + thing.half_mm + gap_mm:
                    return False
            elif line_meets(line, grown(thing.box, gap_mm)):
                return False
        return self.holds(line.box)
