"""The sheet of labels: every end once, in the order of laying, clear of what is shrunk on it."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from harness.book.labels_sheet import labels_sheet
from harness.lists.branches import by_branch
from harness.lists.cutlist import made
from harness.model.design import Design
from tests.book.factories import small_design
from tests.samples import made as samples

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.fixture(scope="module")
def roller() -> Design:
    return samples.design("roller")


def test_every_new_end_has_its_label_twice_in_a_row(roller: Design) -> None:
    lines = [row.values for row in labels_sheet(roller).rows if row.look == "line"]
    assert all(row[0] == row[1] for row in lines)
    wanted = Counter(
        end.label for wire in made(roller) if not wire.kept for end in (wire.from_end, wire.to_end)
    )
    assert Counter(row[0] for row in lines) == wanted
    assert any(str(row[0]).startswith("SPARE") for row in lines)
    order = [line.number for branch in by_branch(roller) for line in branch.lines]
    assert list(dict.fromkeys(row[0] for row in lines)) == order


def test_a_label_is_placed_behind_the_heat_shrink(roller: Design) -> None:
    """25 mm from the terminal at the nearest, and never where the tube over the terminal lies."""
    for wire in made(roller):
        for end in (wire.from_end, wire.to_end) if not wire.kept else ():
            assert end.label_near_mm is not None and end.label_far_mm is not None
            assert end.label_near_mm >= max(25, end.shrink_mm)
            assert end.label_far_mm - end.label_near_mm == 25


def test_a_short_wire_has_one_label_in_the_middle() -> None:
    """The ends of the small design do not say where their labels sit, as those of a short wire."""
    lines = [row.values for row in labels_sheet(small_design()).rows if row.look == "line"]
    assert {row[-2] for row in lines} == {"in the middle"}
    assert len(lines) == 7  # new wires of the small design
