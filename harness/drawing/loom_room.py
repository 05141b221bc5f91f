"""Finds the free place nearest to a spot for a block, on a sheet ruled into small squares."""

from __future__ import annotations

from math import ceil, hypot

from harness.drawing.ink import Box
from harness.drawing.loom_field import Field, Line, grown, line_meets
from harness.drawing.svg import Spot

STEP_MM = 1.5


class Room:
    """A sheet as rows of squares, each row a number with one bit for every square that is taken."""

    def __init__(self, field: Field, gap_mm: float) -> None:
        self._columns = int(field.box[2] // STEP_MM)
        self._rows = [0] * int(field.box[3] // STEP_MM)
        self._gap = gap_mm
        for thing in field.things:
            if isinstance(thing, Line):
                self._line(thing)
            elif thing is not None:
                self.take(thing.box)

    def _span(self, low: float, high: float, most: int) -> tuple[int, int]:
        return max(0, int(low // STEP_MM)), min(most, ceil(high / STEP_MM))

    def take(self, box: Box) -> None:
        """Take a box with the gap round it."""
        left, top, right, low = grown(box, self._gap)
        x0, x1 = self._span(left, right, self._columns)
        y0, y1 = self._span(top, low, len(self._rows))
        mask = ((1 << max(0, x1 - x0)) - 1) << x0
        for y in range(y0, y1):
            self._rows[y] |= mask

    def _line(self, line: Line) -> None:
        if line.a[0] == line.b[0] or line.a[1] == line.b[1]:
            self.take(line.box)
            return
        (ax, ay), (bx, by) = (line.a, line.b) if line.a[1] < line.b[1] else (line.b, line.a)
        reach = self._gap + line.half_mm + STEP_MM  # beyond it no square of a row can meet the line
        y0, y1 = self._span(line.box[1] - self._gap, line.box[3] + self._gap, len(self._rows))
        for y in range(y0, y1):
            ends = [
                ax + (bx - ax) * min(1.0, max(0.0, (at - ay) / (by - ay)))
                for at in (y * STEP_MM - reach, (y + 1) * STEP_MM + reach)
            ]
            for x in range(*self._span(min(ends) - reach, max(ends) + reach, self._columns)):
                box = (x * STEP_MM, y * STEP_MM, (x + 1) * STEP_MM, (y + 1) * STEP_MM)
                if line_meets(line, grown(box, self._gap)):
                    self._rows[y] |= 1 << x

    def _starts(self, taken: int, count: int) -> int:
        """Bits of the squares from which ``count`` squares of a row are free."""
        free = ~taken & ((1 << self._columns) - 1)
        have = 1
        while have < count:
            step = min(have, count - have)
            free &= free >> step
            have += step
        return free

    def nearest(self, size: tuple[float, float], spot: Spot) -> tuple[float, Spot] | None:
        """Return how far off the free place nearest to a spot is, and its upper left corner."""
        wide, high = ceil(size[0] / STEP_MM), ceil(size[1] / STEP_MM)
        best: tuple[float, Spot] | None = None
        if wide > self._columns or high > len(self._rows):
            return None
        want = max(0, min(self._columns - wide, round(spot[0] / STEP_MM - wide / 2)))
        for y in range(len(self._rows) - high + 1):
            top = y * STEP_MM
            dy = max(top - spot[1], spot[1] - top - size[1], 0.0)
            if best is not None and dy >= best[0]:
                continue
            taken = 0
            for row in self._rows[y : y + high]:
                taken |= row
            free = self._starts(taken, wide)
            if not free:
                continue
            after, before = free >> want, free & ((1 << want) - 1)
            choices = [want + (after & -after).bit_length() - 1] if after else []
            choices += [before.bit_length() - 1] if before else []
            for x in choices:
                left = x * STEP_MM
                dx = max(left - spot[0], spot[0] - left - size[0], 0.0)
                if best is None or hypot(dx, dy) < best[0] - 1e-9:
                    best = hypot(dx, dy), (left, top)
        return best
