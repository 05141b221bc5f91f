"""The squares of a sheet that are taken: the same as when every one is asked."""

from __future__ import annotations

import random

from harness.drawing.loom_field import Field, Line, grown, line_meets
from harness.drawing.loom_room import STEP_MM, Room


def test_a_slanting_line_takes_the_squares_it_comes_near_and_no_others() -> None:
    """Every square is asked in turn: it is free where a thing of its size finds its place right there."""
    chance = random.Random(5)
    wide, high, gap = 90.0, 60.0, 1.2
    for _ in range(60):
        ends = [(chance.uniform(-5, wide + 5), chance.uniform(-5, high + 5)) for _ in range(2)]
        field = Field(wide, high)
        line = Line(ends[0], ends[1], chance.uniform(0.1, 3.0))
        field.add(line)
        room = Room(field, gap)
        small = STEP_MM * 0.9  # of one square
        for row in range(int(high // STEP_MM)):
            for column in range(int(wide // STEP_MM)):
                x, y = column * STEP_MM, row * STEP_MM
                near = line_meets(line, grown((x, y, x + STEP_MM, y + STEP_MM), gap))
                found = room.nearest((small, small), (x + small / 2, y + small / 2))
                assert (found is not None and found[0] == 0) != near
