"""Bundle diameters against the published factor table and its worked example."""

from __future__ import annotations

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harness.loom.bundle import bundle_diameter_mm


@pytest.mark.parametrize(
    "count, factor",
    [(1, 1.0), (2, 2.0), (3, 2.16), (4, 2.41), (7, 3.0), (8, 3.6), (12, 4.0), (19, 5.0), (61, 9.0)],
)
def test_equal_wires_take_the_printed_factor(count: int, factor: float) -> None:
    """Wire maker's bundle table (read): bundle over wire diameter."""
    assert bundle_diameter_mm([2.5] * count)[0] == pytest.approx(factor * 2.5)


def test_mixed_sizes_take_the_worked_example() -> None:
    """The same page: 3 x 1.19 + 5 x 1.40 + 1 x 1.65 mm; unrounded root of the squares gives 4.91 mm."""
    wires = [1.19] * 3 + [1.40] * 5 + [1.65]
    assert bundle_diameter_mm(wires)[0] == pytest.approx(4.91, abs=0.005)


@given(st.lists(st.floats(1.0, 20.0), min_size=1, max_size=60))
def test_a_bundle_is_never_smaller_than_its_copper_can_be(outsides: list[float]) -> None:
    """No packing of round wires is thinner than its copper, nor than its two thickest wires."""
    found, _ = bundle_diameter_mm(outsides)
    two = sorted(outsides, reverse=True)[:2]
    assert found >= sum(two) - 1e-9 if len(outsides) > 1 else found == outsides[0]
    assert found >= sqrt(sum(size * size for size in outsides)) - 1e-9
