"""Gauge diameters and areas against the definition of AWG and printed wire tables."""

from __future__ import annotations

from math import pi

import pytest

from harness.electric.conductor import awg_area_mm2, awg_diameter_mm
from harness.electric.ruleset import area_of
from tests.published.recorder import Cells, published

MM2_PER_CMIL = pi / 4 * 0.0254**2  # a circle of one mil


# ASTM B258 fixes two sizes: No. 36 is 0.0050 in, No. 4/0 is 0.4600 in; 39 equal ratios lie between them.
@published("ASTM B258", "the two sizes that define the gauge, inches", "read-from-secondary")
@pytest.mark.parametrize(("gauge", "inches"), [("36", 0.0050), ("4/0", 0.4600)])
def test_the_two_sizes_that_define_the_gauge(gauge: str, inches: float, cells: Cells) -> None:
    cells.near(gauge, awg_diameter_mm(gauge) / 25.4, inches, rel=1e-12)


def test_six_gauges_apart_the_diameter_doubles_within_half_a_percent() -> None:
    """ASTM B258: the ratio is the 39th root of 92, and its sixth power is 2.0050."""
    for thick, thin in [("4", "10"), ("8", "14"), ("12", "18"), ("2/0", "5")]:
        assert awg_diameter_mm(thick) / awg_diameter_mm(thin) == pytest.approx(92 ** (6 / 39), rel=1e-12)
        assert awg_diameter_mm(thick) / awg_diameter_mm(thin) == pytest.approx(2.0050, abs=0.0001)


# Kuphaldt, Lessons in Electric Circuits, table of solid round copper wire: inches, circular mils (read).
KUPHALDT = [
    ("4/0", 0.4600, 211600), ("3/0", 0.4096, 167800), ("2/0", 0.3648, 133100), ("1/0", 0.3249, 105500),
    ("1", 0.2893, 83690), ("2", 0.2576, 66370), ("4", 0.2043, 41740), ("6", 0.1620, 26250),
    ("8", 0.1285, 16510), ("10", 0.1019, 10380), ("12", 0.08081, 6530), ("14", 0.06408, 4107),
    ("16", 0.05082, 2583), ("18", 0.04030, 1624), ("20", 0.03196, 1022), ("22", 0.02535, 642.5),
    ("24", 0.02010, 404.0),
]  # fmt: skip


@published("Kuphaldt, Lessons in Electric Circuits", "solid copper wire", "read")
@pytest.mark.parametrize(("gauge", "inches", "cmil"), KUPHALDT)
def test_printed_solid_wire_table(gauge: str, inches: float, cmil: float, cells: Cells) -> None:
    cells.near(f"{gauge}, inches", awg_diameter_mm(gauge) / 25.4, inches, rel=3e-4)
    cells.near(f"{gauge}, circular mils", awg_area_mm2(gauge) / MM2_PER_CMIL, cmil, rel=5e-4)


# Areas beside the gauge in a terminal maker's table of pull-out forces after UL 486A (read), 3 figures.
PRINTED_MM2 = [
    ("26", 0.129), ("24", 0.205), ("22", 0.326), ("20", 0.518), ("18", 0.823), ("16", 1.31), ("14", 2.08),
    ("12", 3.31), ("10", 5.26), ("8", 8.37), ("6", 13.3), ("2", 33.6), ("1/0", 53.5), ("2/0", 67.4),
]  # fmt: skip


@published("a terminal maker's table after UL 486A", "mm2 beside the gauge", "read")
@pytest.mark.parametrize(("gauge", "mm2"), PRINTED_MM2)
def test_printed_areas_in_square_millimetres(gauge: str, mm2: float, cells: Cells) -> None:
    assert float(f"{awg_area_mm2(gauge):.3g}") == pytest.approx(mm2, rel=2e-3)
    cells.near(gauge, awg_area_mm2(gauge), mm2, rel=5e-3)


@published("OpenStax, College Physics", "ch. 20.3 problem 1, diameter", "read")
def test_a_textbook_diameter(cells: Cells) -> None:
    """OpenStax, College Physics, ch. 20.3 problem 1: 12 gauge is 2.053 mm across (read)."""
    cells.near("mm of 12 gauge", awg_diameter_mm("12"), 2.053, abs=0.0006)


@pytest.mark.parametrize("text", ["", "x", "2.5 mm2", "1/2"])
def test_what_is_no_gauge_is_refused(text: str) -> None:
    with pytest.raises(ValueError):
        awg_diameter_mm(text)


# SAE conductors hold less copper than the gauge of the same number. Circular mils as printed with 33 CFR 183:
# 18 gauge 1537, 16 gauge 2336, 14 gauge 3702, 12 gauge 5833 (read from a marine supplier's page).
@pytest.mark.parametrize(("gauge", "cmil"), [("18", 1537), ("16", 2336), ("14", 3702), ("12", 5833)])
def test_sae_gauge_is_never_taken_for_awg(gauge: str, cmil: float) -> None:
    assert area_of(f"{gauge} AWG") <= cmil * MM2_PER_CMIL * 1.001
    assert area_of(f"{gauge} AWG") < awg_area_mm2(gauge)


# A marine supplier's worked size (read): 12 V, 3 %, 10 A, 21 ft out and back, K 10.75: 10.75 x 10 x 21 / 0.36
# = 6270.8 circular mils. AWG 12 (6530) passes; SAE 12 (5833) does not, so SAE 10 it is. At 32 V 2351.6:
# AWG 16 (2583) passes, SAE 16 (2336) misses by 0.7 %. At 45 A, 40 ft, 10 %: 16125, AWG 8 passes, SAE 8
# (14 810) does not.
EDGES = [
    ("12", "10", 10.75 * 10 * 21 / (12 * 0.03), 6270.8),
    ("16", "14", 10.75 * 10 * 21 / (32 * 0.03), 2351.6),
    ("8", "6", 10.75 * 45 * 40 / (12 * 0.10), 16125.0),
]


@published("marine suppliers' pages", "gauge by AWG and by SAE for one need", "read", example=True)
@pytest.mark.parametrize(("awg_choice", "sae_choice", "need_cmil", "printed_cmil"), EDGES)
def test_one_number_passes_as_awg_and_fails_as_sae(
    awg_choice: str, sae_choice: str, need_cmil: float, printed_cmil: float, cells: Cells
) -> None:
    assert need_cmil == pytest.approx(printed_cmil, abs=0.1)
    assert awg_area_mm2(awg_choice) / MM2_PER_CMIL > need_cmil
    assert area_of(f"{awg_choice} AWG") / MM2_PER_CMIL < need_cmil
    assert area_of(f"{sae_choice} AWG") / MM2_PER_CMIL > need_cmil
    fits = {
        name: next(gauge for gauge in ("18", "16", "14", "12", "10", "8", "6") if area(gauge) > need_cmil)
        for name, area in (
            ("AWG", lambda gauge: awg_area_mm2(gauge) / MM2_PER_CMIL),
            ("SAE", lambda gauge: area_of(f"{gauge} AWG") / MM2_PER_CMIL),
        )
    }
    cells.near(f"AWG for {printed_cmil} circular mils", float(fits["AWG"]), float(awg_choice), rel=1e-9)
    cells.near(f"SAE for {printed_cmil} circular mils", float(fits["SAE"]), float(sae_choice), rel=1e-9)
