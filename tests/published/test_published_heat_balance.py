"""An independent heat balance meets its textbook and hand checks, and the ampacity tables are held to it."""

from __future__ import annotations

from math import log, pi, sqrt

import pytest

from harness.electric.ampacity import ambient_factor
from harness.electric.ruleset import RuleSet, Size, rule_set
from tests.published.heat_balance import (
    PVC_K_M_PER_W,
    XLPE_K_M_PER_W,
    Wire,
    ampacity_a,
    conductor_c,
    convection_w_per_m2_k,
    through_insulation_k,
)

FILL = 0.75  # copper's share of a stranded conductor's round, common practice


def test_conduction_through_a_sheath() -> None:
    """A heat transfer textbook's sheathed wire (answer read, 4.48 W/m): 2 mm wire, 2 mm sheath, k 0.13,
    contact 3e-4 m2 K/W, film 10 W/(m2 K), 50 °C inside, 20 °C air: 0.04775 + 1.34500 + 5.30516 K m/W."""
    sheath = through_insulation_k(1.0, conductor_m=0.002, outside_m=0.006, rho=1 / 0.13)
    contact = 3e-4 / (pi * 0.002)
    film = 1 / (10 * pi * 0.006)
    assert sheath == pytest.approx(1.34500, abs=1e-5)
    assert 30 / (contact + sheath + film) == pytest.approx(4.479, abs=0.001)


def test_wire_in_a_plastic_jacket() -> None:
    """Inputs read: copper r 0.5 mm, 5.1e7 S/m, plastic k 0.350 to r 1.5 mm, air 38 °C, h 8.5, limit 93 °C.
    By hand 55/(ln 3/(2 pi 0.35) + 1/(8.5 x 2 pi 0.0015)) = 4.2365 W/m; 0.024965 ohm/m; 13.03 A."""
    jacket = through_insulation_k(1.0, conductor_m=0.001, outside_m=0.003, rho=1 / 0.350)
    q = 55 / (jacket + 1 / (8.5 * pi * 0.003))
    assert jacket == pytest.approx(log(3) / (2 * pi * 0.35))
    assert q == pytest.approx(4.2365, abs=0.0005)
    assert sqrt(q / (1 / (5.1e7 * pi * 0.0005**2))) == pytest.approx(13.03, abs=0.01)


# Thin-wall cable of a maker's sheet (current ratings read), worked out elsewhere with the same equations
# (calculated): mm2, mohm/m, conductor mm, outside mm, maker's A, its conductor °C at 30 °C ambient, A for
# 105 °C conductor at 40, 60 and 85 °C ambient, film coefficient at 105/40 °C.
THIN_WALL = [
    (0.5, 37.10, 1.0, 1.6, 11, 72, 13.6, 11.3, 7.4, 21.4),
    (0.75, 24.70, 1.2, 1.9, 14, 71, 17.6, 14.6, 9.6, 19.5),
    (1.0, 18.50, 1.35, 2.1, 16.5, 70, 20.9, 17.4, 11.4, 18.5),
    (1.5, 12.70, 1.7, 2.4, 21, 71, 26.6, 22.0, 14.4, 17.3),
    (2.0, 9.42, 2.0, 2.8, 25, 69, 32.4, 26.8, 17.6, 16.0),
    (2.5, 7.60, 2.2, 3.0, 29, 70, 37.0, 30.6, 20.1, 15.5),
    (3.0, 6.15, 2.4, 3.4, 33, 69, 42.6, 35.4, 23.2, 14.6),
    (4.0, 4.71, 2.75, 3.7, 39, 69, 50.4, 41.8, 27.5, 14.1),
    (6.0, 3.14, 3.3, 4.3, 50, 69, 65.2, 54.1, 35.6, 13.2),
    (10.0, 1.82, 4.5, 6.0, 70, 65, 95.8, 79.6, 52.4, 11.5),
]


@pytest.mark.parametrize("row", THIN_WALL, ids=lambda row: f"{row[0]:g} mm2")
def test_calculated_checks_of_thin_wall_cable_come_out_again(row: tuple[float, ...]) -> None:
    _, mohm, conductor_mm, outside_mm, rated_a, settles_c, at_40, at_60, at_85, film = row
    wire = Wire(conductor_mm / 1e3, outside_mm / 1e3, mohm / 1e3, PVC_K_M_PER_W)
    assert conductor_c(wire, current_a=rated_a, ambient_c=30) == pytest.approx(settles_c, abs=1.0)
    for ambient, printed in [(40, at_40), (60, at_60), (85, at_85)]:
        assert ampacity_a(wire, conductor_c=105, ambient_c=ambient) == pytest.approx(printed, rel=0.01)
    surface_c = 105 - 2.5  # the insulation of these wires drops 2 to 3 K
    coefficient = convection_w_per_m2_k(surface_c=surface_c, ambient_c=40, outside_m=outside_mm / 1e3)
    assert coefficient == pytest.approx(film, rel=0.015)


# The same for SAE general-purpose cross-linked cable: mm2 of the stranding, mohm/m, outside mm, A at 125 °C
# conductor and 40 and 85 °C ambient (calculated elsewhere).
GXL = [
    (0.563, 31.23, 2.44, 19.0, 13.0),
    (0.811, 21.69, 2.59, 23.4, 16.0),
    (1.208, 14.56, 3.00, 29.9, 20.5),
    (1.887, 9.32, 3.48, 39.4, 27.1),
    (3.016, 5.83, 4.06, 52.8, 36.3),
    (4.788, 3.67, 4.85, 70.9, 48.8),
    (7.602, 2.31, 5.94, 96.1, 66.2),
]


@pytest.mark.parametrize("row", GXL, ids=lambda row: f"{row[0]:g} mm2")
def test_calculated_checks_of_general_purpose_cable_come_out_again(row: tuple[float, ...]) -> None:
    mm2, mohm, outside_mm, at_40, at_85 = row
    wire = Wire(sqrt(4 * mm2 / pi / FILL) / 1e3, outside_mm / 1e3, mohm / 1e3, XLPE_K_M_PER_W)
    assert ampacity_a(wire, conductor_c=125, ambient_c=40) == pytest.approx(at_40, rel=0.03)
    assert ampacity_a(wire, conductor_c=125, ambient_c=85) == pytest.approx(at_85, rel=0.03)


def balance_a(rules: RuleSet, size: Size, *, ambient_c: float) -> float:
    """What the heat balance allows the program's own size at its rule set's limit."""
    rho = XLPE_K_M_PER_W if rules.limit_c >= 125 else PVC_K_M_PER_W
    conductor_m = sqrt(4 * size.area_mm2 / pi / FILL) / 1e3
    wire = Wire(conductor_m, size.outside_mm / 1e3, size.r20_ohm_per_m, rho)
    return ampacity_a(wire, conductor_c=rules.limit_c, ambient_c=ambient_c)


CABLES = [("sae", kind) for kind in ("GPT", "TWP", "TXL", "GXL", "SXL")]
CABLES += [("iso", f"class {letter}") for letter in "ABCD"]


def test_the_printed_125_c_cells_are_too_high_for_the_thinnest_thin_wall_cable() -> None:
    """33 CFR 183.425 table 5 prints 25 A (18 gauge) and 30 A (16) at 125 °C, for boat cable with its thick
    wall. TXL loses less heat: the balance allows 22 and 28 A, so the program takes the 105 °C column."""
    rules = rule_set("sae", "TXL")
    for label, printed_a, used_a in (("18 AWG", 25, 20), ("16 AWG", 30, 25)):
        size = rules.size(label)
        assert used_a == size.base_a < balance_a(rules, size, ambient_c=30) < printed_a


@pytest.mark.parametrize(("rules_name", "cable"), CABLES)
def test_tables_stay_within_5_percent_of_the_balance_at_30_c(rules_name: str, cable: str) -> None:
    """33 CFR 183.425 table 5 and ISO 10133 annex A, one wire in still air of 30 °C."""
    rules = rule_set(rules_name, cable)
    for size in rules.sizes:
        over = size.base_a / balance_a(rules, size, ambient_c=30) - 1
        assert over < 0.05, (size.label, round(over, 3))


@pytest.mark.parametrize(("rules_name", "cable"), CABLES)
def test_tables_are_not_so_low_that_a_column_was_mistaken(rules_name: str, cable: str) -> None:
    """The 60 °C column for 105 °C cable would lie 45 % low."""
    rules = rule_set(rules_name, cable)
    shares = [size.base_a / balance_a(rules, size, ambient_c=30) for size in rules.sizes]
    assert min(shares) > 0.70


@pytest.mark.parametrize(("rules_name", "cable"), CABLES)
@pytest.mark.parametrize("ambient_c", [50.0, 60.0])
def test_square_root_law_follows_the_balance_into_hotter_air(
    rules_name: str, cable: str, ambient_c: float
) -> None:
    """sqrt((T - Ta)/(T - 30)) against the balance's own ratio: at most 5 % above it."""
    rules = rule_set(rules_name, cable)
    for size in rules.sizes:
        by_balance = balance_a(rules, size, ambient_c=ambient_c) / balance_a(rules, size, ambient_c=30)
        by_law = ambient_factor(limit_c=rules.limit_c, ambient_c=ambient_c, base_c=30)
        assert by_law / by_balance < 1.05
        assert by_law / by_balance > 0.90
