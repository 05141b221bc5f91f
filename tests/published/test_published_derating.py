"""Ambient and bundle corrections against printed factors and worked chains."""

from __future__ import annotations

from math import sqrt

import pytest

from harness.electric.ampacity import (
    altitude_factor,
    ambient_factor,
    by_curve,
    curve_bundle_factor,
    engine_space_factor,
    general_bundle_factor,
    insulation_limit_c,
    loom_factor,
)
from harness.electric.heat import cable_of, curve
from harness.electric.limits import Surroundings, ambient_share, corrected_a
from harness.electric.ruleset import rule_set
from harness.tables import NotInTable
from tests.published.recorder import Cells, published

# A cable maker's ship-cable factors for a 45 °C base (read): conductor limit, ambient, printed factor.
SHIP_CABLE = [
    (60, 45, 1.00), (60, 50, 0.82),
    (70, 45, 1.00), (70, 50, 0.89), (70, 55, 0.77), (70, 60, 0.63),
    (85, 45, 1.00), (85, 50, 0.94), (85, 55, 0.87), (85, 60, 0.79), (85, 65, 0.71),
    (85, 70, 0.61), (85, 75, 0.50),
    (90, 45, 1.00), (90, 50, 0.94), (90, 55, 0.88), (90, 60, 0.82), (90, 65, 0.74),
    (90, 70, 0.67), (90, 75, 0.58), (90, 80, 0.47),
]  # fmt: skip


@published("a cable maker's ship-cable sheet", "ambient factors from 45 °C up", "read")
@pytest.mark.parametrize(("limit_c", "ambient_c", "printed"), SHIP_CABLE)
def test_ship_cable_factors_follow_the_square_root_law(
    limit_c: float, ambient_c: float, printed: float, cells: Cells
) -> None:
    ours = ambient_factor(limit_c=limit_c, ambient_c=ambient_c, base_c=45)
    cells.near(f"{limit_c} °C cable in {ambient_c} °C", ours, printed, abs=0.006)


@pytest.mark.parametrize(
    ("limit_c", "ambient_c", "printed"), [(60, 35, 1.29), (70, 40, 1.10), (90, 35, 1.10)]
)
def test_cool_air_does_not_raise_a_table(limit_c: float, ambient_c: float, printed: float) -> None:
    """The same sheet prints factors above 1 below 45 °C; the program stays at the table, the safer."""
    assert ambient_factor(limit_c=limit_c, ambient_c=ambient_c, base_c=45) == 1.0 < printed


# NFPA 70 examples (read): 75 °C wire at 100 °F falls in the 36 to 40 °C row, 0.88; 90 °C wire 0.91.
@published("electricians' pages after NFPA 70", "wires at 100 °F", "read", example=True)
@pytest.mark.parametrize(
    ("limit_c", "printed", "table_a", "printed_a"), [(75, 0.88, 115, 101.2), (90, 0.91, 135, 122.85)]
)
def test_nec_temperature_correction_examples(
    limit_c: float, printed: float, table_a: float, printed_a: float, cells: Cells
) -> None:
    ours = ambient_factor(limit_c=limit_c, ambient_c=40, base_c=30)
    cells.near(f"factor of {limit_c} °C wire", ours, printed, abs=0.005)
    cells.near(f"A of {limit_c} °C wire", table_a * ours, printed_a, rel=0.005)


@published("33 CFR 183.425", "table 5 note 1, No. 12 and No. 6 at 50 °C", "read", example=True)
def test_engine_space_of_105_c_cable(cells: Cells) -> None:
    """33 CFR 183.425 table 5 note 1, 105 °C (read): 0.85 at 50 °C; No. 12 45 A to 38 A, No. 6 120 A to 102 A.
    The law gives sqrt(55/75) = 0.8563: 0.7 % above the printed factor."""
    ours = ambient_factor(limit_c=105, ambient_c=50, base_c=30)
    assert ours == pytest.approx(0.85, abs=0.0065)
    cells.near("No. 12, whole amperes", int(45 * ours), 38, rel=1e-9)
    cells.near("No. 6", 120 * ours, 102, rel=0.0075)


def test_no_ampacity_is_left_at_or_above_the_limit() -> None:
    assert ambient_factor(limit_c=80, ambient_c=80, base_c=30) == 0
    assert ambient_factor(limit_c=80, ambient_c=95, base_c=30) == 0


# FAA AC 43.13-1B table 11-9 (read): amperes at 105, 150 and 200 °C conductor, all at 70 °C ambient.
FAA_11_9 = [
    ("12", 13, 19, 25), ("10", 17, 26, 32), ("8", 38, 57, 71), ("6", 50, 76, 97), ("4", 68, 103, 133),
    ("2", 95, 141, 179), ("1", 113, 166, 210), ("1/0", 128, 192, 243), ("2/0", 147, 222, 285),
    ("3/0", 172, 262, 335), ("4/0", 204, 310, 395),
]  # fmt: skip


@published("FAA AC 43.13-1B CHG 1", "table 11-9, one column by the law from another", "read")
@pytest.mark.parametrize(("gauge", "at_105", "at_150", "at_200"), FAA_11_9)
def test_faa_columns_stand_to_each_other_as_the_roots_of_their_rise(
    gauge: str, at_105: float, at_150: float, at_200: float, cells: Cells
) -> None:
    """35, 80 and 130 K of rise; with a base of 70 °C the law says the same of a 200 °C wire in 120 °C air."""
    assert at_150 / at_105 == pytest.approx(sqrt(80 / 35), rel=0.035)
    assert at_200 / at_150 == pytest.approx(sqrt(130 / 80), rel=0.035)
    cooled = ambient_factor(limit_c=200, ambient_c=120, base_c=70)
    cells.near(f"{gauge} at 150 °C", at_200 * cooled, at_150, rel=0.035)


@published("FAA AC 43.13-1B CHG 1", "p. 11-27, paragraph 11-69 chain", "read", example=True)
def test_faa_paragraph_11_69_chain(cells: Cells) -> None:
    """AC 43.13-1B p. 11-27 (read): No. 14 at 150 K of rise carries 47 A alone; x 0.91 at 20 000 ft = 42.77 A;
    x 0.6 for 8 wires at 60 % = 26 A. The digitised curve of MIL-W-5088L says 0.595: 25.4 A, a hair safer."""
    bundle = curve_bundle_factor(loaded=8, loading=0.60)
    cells.near("A at 20,000 ft", 47 * altitude_factor(altitude_m=6096), 42.77, abs=0.005)
    cells.near("bundle factor", bundle, 0.6, abs=0.006)
    cells.near("A in the bundle", 42.77 * bundle, 26, abs=0.6)
    assert bundle <= 0.6


# Bundle curve of MIL-W-5088L, as digitised by a public note (read-from-secondary).
@published("MIL-W-5088L", "bundle curve", "read-from-secondary")
@pytest.mark.parametrize(
    ("loaded", "loading", "factor"),
    [(1, 1.0, 1.0), (3, 1.0, 0.725), (5, 0.2, 0.875), (12, 1.0, 0.43), (15, 0.4, 0.54), (19, 1.0, 0.3425)],
)
def test_bundle_curve_points(loaded: int, loading: float, factor: float, cells: Cells) -> None:
    ours = curve_bundle_factor(loaded=loaded, loading=loading)
    cells.kept(f"{loaded} wires at {loading:.0%}", ours, factor)


def test_between_two_loadings_the_fuller_column_counts() -> None:
    assert curve_bundle_factor(loaded=8, loading=0.61) == curve_bundle_factor(loaded=8, loading=0.80)


@pytest.mark.parametrize("loading", [0.2, 0.5, 1.0])
def test_more_wires_never_carry_more_each(loading: float) -> None:
    factors = [curve_bundle_factor(loaded=count, loading=loading) for count in range(1, 80)]
    assert factors == sorted(factors, reverse=True)


# NFPA 70, table 310.15(B)(3)(a), 2014 (read; first row memory).
@published("NFPA 70:2014", "table 310.15(B)(3)(a), percent", "memory")
@pytest.mark.parametrize(
    ("loaded", "percent"),
    [(1, 100), (3, 100), (4, 80), (6, 80), (7, 70), (9, 70), (10, 50), (20, 50), (21, 45), (30, 45), (31, 40),
     (40, 40), (41, 35), (200, 35)],
)  # fmt: skip
def test_nec_bundle_adjustment(loaded: int, percent: float, cells: Cells) -> None:
    assert general_bundle_factor(loaded=loaded) == percent / 100
    cells.kept(f"row of {percent} %", 100 * general_bundle_factor(loaded=loaded), percent)


@published("a calculation page", "8 conductors of 47.85 A, bundle then ambient", "read", example=True)
def test_bundle_then_ambient_chain(cells: Cells) -> None:
    """A calculation page (read, low grade): 8 conductors, 47.85 A x 0.70 = 33.5 A; x 0.96 = 32.16 A."""
    bundled = 47.85 * general_bundle_factor(loaded=8)
    assert bundled == pytest.approx(33.495, abs=0.001)
    cells.near("A bundled", bundled, 33.5, abs=0.05)
    warm = bundled * ambient_factor(limit_c=90, ambient_c=35, base_c=30)
    cells.near("A bundled and warm", warm, 32.16, rel=0.005)


# 33 CFR 183.425 table 5 note 1: insulation, printed factor (105 °C read, others memory), and how far the
# square-root law from 30 to 50 °C lies from it.
@published("33 CFR 183.425", "table 5 note 1, factors at 50 °C", "memory")
@pytest.mark.parametrize(
    ("limit_c", "printed"), [(60, 0.58), (75, 0.75), (80, 0.78), (90, 0.82), (105, 0.85), (125, 0.89)]
)
def test_engine_space_factors_follow_the_square_root_law(
    limit_c: float, printed: float, cells: Cells
) -> None:
    assert engine_space_factor(limit_c=limit_c) == printed
    law = ambient_factor(limit_c=limit_c, ambient_c=50, base_c=30)
    cells.near(f"{limit_c} °C", law, printed, abs=0.008)


def test_engine_space_factor_between_rows_is_the_cooler_row_and_ends_at_60_c() -> None:
    assert engine_space_factor(limit_c=100) == 0.82
    with pytest.raises(ValueError, match="55 °C"):
        engine_space_factor(limit_c=55)


@published("FAA AC 43.13-1B CHG 1", "figure 11-5, 20,000 ft", "read")
def test_altitude_meets_its_printed_point_and_ends_there(cells: Cells) -> None:
    """Half of the loss is not gone in the first 1000 m."""
    cells.kept("factor", altitude_factor(altitude_m=6096), 0.91)
    assert altitude_factor(altitude_m=-100) == altitude_factor(altitude_m=0) == 1.0
    assert 1 - altitude_factor(altitude_m=1000) < 0.09 / 4
    with pytest.raises(ValueError, match="up to 6096 m"):
        altitude_factor(altitude_m=6100)


@pytest.mark.parametrize("cable", ["GXL", "GPT"])
@pytest.mark.parametrize("altitude_m", [500.0, 1500.0, 3000.0, 4500.0, 6000.0])
def test_altitude_factor_lies_under_the_heat_balance(cable: str, altitude_m: float) -> None:
    """The balance of every size (convection in thinner air) loses less, by 3.5 points at most."""
    rules = rule_set("sae", cable)
    for size in rules.sizes:
        wire = cable_of(rules, size)
        low = curve(wire, ambient_c=30).current_at_a(rules.insulation_c)
        high = curve(wire, ambient_c=30, altitude_m=altitude_m).current_at_a(rules.insulation_c)
        assert -0.001 < high / low - altitude_factor(altitude_m=altitude_m) < 0.035, size.label


# ISO 6722-1 classes (read-from-secondary) and SAE J1128 types (read).
@published("ISO 6722-1", "temperature classes", "read-from-secondary")
@pytest.mark.parametrize(
    ("cable", "limit_c"),
    [("class A", 85), ("class B", 100), ("class C", 125), ("class D", 150), ("class E", 175),
     ("class F", 200), ("class G", 225), ("class H", 250)],
)  # fmt: skip
def test_what_insulation_of_a_class_stands(cable: str, limit_c: float, cells: Cells) -> None:
    cells.kept(cable, insulation_limit_c(cable), limit_c)


@published("SAE J1128 and J1127", "cable types, temperature", "read")
@pytest.mark.parametrize(
    ("cable", "limit_c"),
    [("GPT", 80), ("HDT", 80), ("TWP", 105), ("TXL", 125), ("GXL", 125), ("SXL", 125), ("SGT", 80),
     ("SGX", 125)],
)  # fmt: skip
def test_what_insulation_of_a_type_stands(cable: str, limit_c: float, cells: Cells) -> None:
    cells.kept(cable, insulation_limit_c(cable), limit_c)


@pytest.mark.parametrize("cable", ["class J", "SGR", "bell wire"])
def test_insulation_nobody_has_read_a_limit_for(cable: str) -> None:
    with pytest.raises(NotInTable):
        insulation_limit_c(cable)


def test_load_of_a_loom_is_counted_against_what_it_may_carry_bundled() -> None:
    """MIL-W-5088L (read-from-secondary): 7 wires 0.54 at 100 %, 0.57 at 80 %, 0.625 at 60 %. Wires of 10 A
    alone that carry 5.4 A each are full, not 54 % full; with 4.5 A they fill 4.5/5.7 = 79 %, and with 3.7 A
    3.7/6.25 = 59 %."""
    for each_a, factor in ((5.4, 0.54), (4.6, 0.54), (4.5, 0.57), (3.7, 0.625), (9.0, 0.54)):
        assert loom_factor(by_curve, loaded=7, carried_a=7 * each_a, able_a=70) == factor


def test_unequal_loom_of_ac_43_13() -> None:
    """AC 43.13-1B p. 11-27 (read): 8 wires, 60 % loading, factor 0.6; one wire of 42.77 A becomes 26 A. Eight
    of them may carry 0.6 x 8 x 26 = 124.8 A together; at 126 A the loom is no longer within its column."""
    able = 8 * 42.77
    assert loom_factor(by_curve, loaded=8, carried_a=121, able_a=able) == pytest.approx(0.6, abs=0.006)
    assert loom_factor(by_curve, loaded=8, carried_a=126, able_a=able) < 0.55


@pytest.mark.parametrize("gauge", ["18", "12", "6", "2/0"])
@pytest.mark.parametrize(("cable", "printed"), [("GPT", 0.78), ("TWP", 0.85), ("GXL", 0.89)])
def test_engine_space_factor_is_applied_at_50_c(cable: str, printed: float, gauge: str) -> None:
    """33 CFR 183.425 table 5 note 1 (105 °C read, rest memory): the table's figure times this, or less."""
    rules = rule_set("sae", cable)
    size = rules.size(f"{gauge} AWG")
    found = corrected_a(rules, size, Surroundings(50.0, 50.0, 1, 1.0))
    assert 0.99 * printed * size.base_a <= found <= printed * size.base_a


ALL_CABLES = ["GPT", "TWP", "HDT", "TXL", "GXL", "SXL", "SGT", "SGX", "STX", "SGR", "STT"]
ALL_CABLES += [f"class {letter}" for letter in "ABCDEFGH"]


@pytest.mark.parametrize("rules_name", ["sae", "iso"])
@pytest.mark.parametrize("cable", ALL_CABLES)
def test_every_cable_has_sizes_under_either_rule_set_and_keeps_its_own_temperature(
    rules_name: str, cable: str
) -> None:
    """A column hotter than the insulation would burn it; where nobody read a limit the coolest is taken."""
    rules = rule_set(rules_name, cable)
    stands = 80.0 if cable in ("SGR", "STT") else insulation_limit_c(cable)
    assert rules.insulation_c == stands >= rules.limit_c
    assert len(rules.sizes) == 14
    able = [corrected_a(rules, size, Surroundings(45.0, 45.0, 1, 1.0)) for size in rules.sizes]
    assert able == sorted(able)
    assert able[0] > 0


@pytest.mark.parametrize(("letter", "stands"), [("B", 100), ("D", 150), ("E", 175), ("G", 225), ("H", 250)])
@pytest.mark.parametrize("ambient_c", [60.0, 90.0, 120.0, 140.0])
def test_hotter_insulation_than_the_column_is_no_more_than_the_heat_balance(
    letter: str, stands: float, ambient_c: float
) -> None:
    """ISO 10133 has no column for these classes: what the law gives them stays within 5 % of the balance of
    the same wire at the class's temperature, as the printed columns do."""
    rules = rule_set("iso", f"class {letter}")
    assert rules.limit_c < stands == rules.insulation_c
    if ambient_c >= stands:
        assert ambient_share(rules, ambient_c) == 0
        return
    for size in rules.sizes:
        alone = curve(cable_of(rules, size), ambient_c=ambient_c).current_at_a(stands)
        assert 0 < size.base_a * ambient_share(rules, ambient_c) < 1.05 * alone, size.label
