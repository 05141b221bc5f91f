"""No bundle is thinner than its copper; what is published of them is held in tests/published."""

from __future__ import annotations

from math import sqrt

from hypothesis import given
from hypothesis import strategies as st

from harness.loom.bundle import bundle_diameter_mm


@given(st.lists(st.floats(1.0, 20.0), min_size=1, max_size=60))
def test_a_bundle_is_never_smaller_than_its_copper_can_be(outsides: list[float]) -> None:
    """No packing of round wires is thinner than its copper, nor than its two thickest wires."""
    found, _ = bundle_diameter_mm(outsides)
    two = sorted(outsides, reverse=True)[:2]
    assert found >= sum(two) - 1e-9 if len(outsides) > 1 else found == outsides[0]
    assert found >= sqrt(sum(size * size for size in outsides)) - 1e-9
