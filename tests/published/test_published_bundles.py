"""Bundle diameters against a wire seller's table and the geometry of circles."""

from __future__ import annotations

from math import sqrt
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harness.loom.bundle import bundle_diameter_mm, round_three_mm
from tests.published.circle_packing import packing_mm
from tests.published.recorder import Cells, beside, published

SHORT = 0.01  # what our diameter may be below a packing of circles, as bundle_diameter_mm says
WIDE = 1.13  # and above it: 8 and 9 equal wires by the printed factors, one thick wire with a few thin ones


# Factor on wire diameter, a wire seller's table (read).
@published("a wire seller's page", "bundle diameter of equal wires, factor", "read")
@pytest.mark.parametrize(
    ("count", "factor"),
    [(1, 1.0), (2, 2.0), (3, 2.16), (4, 2.41), (5, 2.7), (6, 3.0), (7, 3.0), (8, 3.6), (9, 4.0), (12, 4.0),
     (14, 4.41), (16, 4.7), (19, 5.0), (27, 6.0), (37, 7.0), (48, 8.0), (61, 9.0)],
)  # fmt: skip
def test_equal_wires_follow_the_printed_factors(count: int, factor: float, cells: Cells) -> None:
    cells.kept(f"{count} wires", bundle_diameter_mm([2.5] * count)[0] / 2.5, factor)


@published("a wire seller's page", "bundle of nine mixed wires", "read", example=True)
def test_the_printed_example_of_mixed_sizes(cells: Cells) -> None:
    """3 x 1.19, 5 x 1.40 and 1 x 1.65 mm: the page rounds the sum to 17 and prints 4.95 mm; 1.2 sqrt(16.771)
    is 4.91 mm."""
    wires = [1.19] * 3 + [1.40] * 5 + [1.65]
    assert bundle_diameter_mm(wires)[0] == pytest.approx(1.2 * sqrt(3 * 1.4161 + 5 * 1.96 + 2.7225), rel=1e-9)
    cells.near("diameter", bundle_diameter_mm(wires)[0], 4.95, abs=0.04)


# Smallest circle round n equal circles, in their diameters, as listed in encyclopedia articles on packing
# circles in a circle (read-from-secondary, printed cut off after three digits): proved up to 14 (Graham 1968,
# Pirl 1969, Melissen 1994, Fodor 1999 to 2003, Ekanayake and LaFountain 2024) and for 19, best known for the
# rest (Goldberg, Pirl, Reis).
PACKED = {
    1: 1.0, 2: 2.0, 3: 2.154, 4: 2.414, 5: 2.701, 6: 3.0, 7: 3.0, 8: 3.304, 9: 3.613, 10: 3.813, 11: 3.923,
    12: 4.029, 13: 4.236, 14: 4.328, 15: 4.521, 16: 4.615, 17: 4.792, 18: 4.863, 19: 4.863, 20: 5.122,
}  # fmt: skip


@pytest.mark.parametrize(("count", "least"), PACKED.items())
def test_no_bundle_is_smaller_than_its_wires_can_lie(count: int, least: float) -> None:
    """Widest: 9 wires, 4.0 printed, 3.613 packed (11 % over); shortest: 12, 4.0 and 4.029 (0.7 % under)."""
    found = bundle_diameter_mm([2.0] * count)[0] / 2.0
    assert least * (1 - SHORT) <= found <= least * WIDE


@pytest.mark.parametrize("count", [3, 5, 6, 7])
def test_the_search_finds_the_known_packings(count: int) -> None:
    assert packing_mm([1.0] * count, starts=10) == pytest.approx(PACKED[count], abs=0.001)


# Outside diameters of cables from 20 AWG to 2/0 [mm], rounded, mixed as looms mix them.
MIXES = [
    [3.9, 3.4, 3.3, 3.3, 3.3, 3.3],  # where 1.2 x root of the sum of squares alone is 2 % short
    [4.0, 4.0, 3.0],
    [4.0, 4.0, 2.67],  # the thin one just fills the gap, 2/3 of the thick ones
    [7.0, 5.6, 5.6, 5.6, 5.6, 5.6],
    [15.9, 15.9, 13.0],
    [15.9, 15.9, 4.6, 2.4, 2.4],
    [15.9, 2.4, 2.4, 2.4, 2.4, 2.4],
    [9.5, 3.3, 3.3, 2.4],
    [5.6, 4.6, 3.9, 3.3, 2.9, 2.4, 2.2],
    [15.9, 15.9, 15.9, 15.9, 15.9, 15.9, 15.9, 14.9, 13.4],
    [2.9, 2.9, 2.4, 2.4],
    [13.0, 9.5, 7.0, 5.6, 4.6],
]


@beside("a search", "circles packed into a circle")
@pytest.mark.parametrize("wires", MIXES, ids=lambda wires: " ".join(f"{each:g}" for each in wires))
def test_mixed_bundles_against_packings_by_search(wires: list[float]) -> None:
    """Over 960 random mixes of 3 to 9 wires the tightest was 0.5 % under, the middle one 1.6 % over."""
    packed_mm = packing_mm(wires, starts=10)
    found_mm, _ = bundle_diameter_mm(wires)
    assert packed_mm * (1 - SHORT) <= found_mm <= packed_mm * WIDE


@beside("a search", "circles packed into a circle")
def test_random_mixes_against_packings_by_search() -> None:
    random = Random(4)
    for _ in range(20):
        wires = [
            random.choice([2.2, 2.4, 2.9, 3.3, 3.9, 4.6, 5.6, 9.5, 15.9]) for _ in range(random.randint(3, 7))
        ]
        packed_mm = packing_mm(wires, starts=8)
        assert packed_mm * (1 - SHORT) <= bundle_diameter_mm(wires)[0] <= packed_mm * WIDE, wires


def test_the_circle_round_three_wires() -> None:
    """Descartes: circles of diameter 1, 2 and 3 side by side fill one of 6 with a fourth circle; 2, 2 and 3
    that all touch lie in a circle of curvature 2 root(1/4 + 1/6 + 1/6) - 1/2 - 1/2 - 1/3, worked by hand."""
    assert round_three_mm(3.0, 2.0, 1.0) == pytest.approx(5.0)  # the thin one lies in the gap
    assert round_three_mm(3.0, 2.0, 2.0) == pytest.approx(1 / (2 * sqrt(7 / 12) - 4 / 3))
    assert round_three_mm(3.0, 3.0, 2.0) == pytest.approx(6.0)  # exactly fills it: two thirds


@given(
    st.lists(st.sampled_from([2.2, 2.4, 3.3, 5.6, 9.5, 15.9]), min_size=1, max_size=40), st.floats(2.0, 16.0)
)
def test_one_more_wire_never_makes_a_bundle_thinner(wires: list[float], more_mm: float) -> None:
    assert bundle_diameter_mm([*wires, more_mm])[0] >= bundle_diameter_mm(wires)[0] - 1e-9


def test_area_alone_would_be_too_small() -> None:
    """19 wires of 2 mm (read): copying their area gives 8.72 mm, but they need 9.73 mm."""
    assert bundle_diameter_mm([2.0] * 19)[0] > 9.7 > 2 * sqrt(19)


@pytest.mark.parametrize("thin", [0.5, 1.5, 2.9])
def test_a_thick_and_a_thin_wire_lie_side_by_side(thin: float) -> None:
    assert bundle_diameter_mm([3.0, thin])[0] >= 3.0 + thin - 1e-9
