"""Bundle diameters against a wire seller's table and the geometry of circles."""

from __future__ import annotations

from math import sqrt

import pytest

from harness.loom.bundle import bundle_diameter_mm


# Factor on wire diameter, a wire seller's table (read).
@pytest.mark.parametrize(
    ("count", "factor"),
    [(1, 1.0), (2, 2.0), (3, 2.16), (4, 2.41), (5, 2.7), (6, 3.0), (7, 3.0), (8, 3.6), (9, 4.0), (12, 4.0),
     (14, 4.41), (16, 4.7), (19, 5.0), (27, 6.0), (37, 7.0), (48, 8.0), (61, 9.0)],
)  # fmt: skip
def test_equal_wires_follow_the_printed_factors(count: int, factor: float) -> None:
    assert bundle_diameter_mm([2.5] * count)[0] == pytest.approx(2.5 * factor)


def test_the_printed_example_of_mixed_sizes() -> None:
    """3 x 1.19, 5 x 1.40 and 1 x 1.65 mm: the page rounds the sum to 17 and prints 4.95 mm; 1.2 sqrt(16.771)
    is 4.91 mm."""
    wires = [1.19] * 3 + [1.40] * 5 + [1.65]
    assert bundle_diameter_mm(wires)[0] == pytest.approx(1.2 * sqrt(3 * 1.4161 + 5 * 1.96 + 2.7225), rel=1e-9)
    assert bundle_diameter_mm(wires)[0] == pytest.approx(4.95, abs=0.04)


# Smallest circle round n equal circles, in their diameters: 3: 1 + 2/sqrt 3, 4: 1 + sqrt 2, 7: 3,
# 19: 1 + sqrt 2 + sqrt 6 (packing numbers, memory; the first three are plane geometry).
@pytest.mark.parametrize(
    ("count", "least"),
    [(2, 2.0), (3, 1 + 2 / sqrt(3)), (4, 1 + sqrt(2)), (7, 3.0), (19, 1 + sqrt(2) + sqrt(6))],
)
def test_no_bundle_is_smaller_than_its_wires_can_lie(count: int, least: float) -> None:
    found = bundle_diameter_mm([2.0] * count)[0] / 2.0
    assert least * 0.998 <= found <= least * 1.05


def test_area_alone_would_be_too_small() -> None:
    """19 wires of 2 mm (read): copying their area gives 8.72 mm, but they need 9.73 mm."""
    assert bundle_diameter_mm([2.0] * 19)[0] > 9.7 > 2 * sqrt(19)


@pytest.mark.parametrize("thin", [0.5, 1.5, 2.9])
def test_a_thick_and_a_thin_wire_lie_side_by_side(thin: float) -> None:
    assert bundle_diameter_mm([3.0, thin])[0] >= 3.0 + thin - 1e-9
