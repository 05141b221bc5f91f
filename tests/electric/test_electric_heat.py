"""How heat behaves: hotter with current, in company, in sleeves, high up, in the sun; cooler with copper."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harness.electric.heat import (
    Sleeve,
    cable_of,
    curve,
    spell_a,
    surface_loss_w_per_m,
    time_constant_s,
)
from harness.electric.limits import (
    Duty,
    Surroundings,
    balance_c,
    corrected_a,
    heat_a,
    least_size,
    limits,
    short_a,
    working_c,
)
from harness.electric.ruleset import rule_set

RULES = rule_set("sae", "GXL")
SIZES = st.sampled_from(RULES.sizes)
AMBIENT = st.floats(-30, 100)
ALONE = Surroundings(40.0, 40.0, 1, 1.0)


def duty(steady: float, short: float = 0.0, seconds: float = 0.0) -> Duty:
    return Duty(steady, max(short, steady), seconds, None, "", False, None)


@given(SIZES, AMBIENT, st.floats(0, 0.95), st.floats(0.01, 0.05))
def test_more_current_is_hotter(size, ambient_c, share, more) -> None:  # type: ignore[no-untyped-def]
    warm = curve(cable_of(RULES, size), ambient_c=ambient_c)
    most = warm.current_at_a(125)
    assert ambient_c <= warm.at_current_c(share * most) < warm.at_current_c((share + more) * most)


@given(st.floats(1, 25), AMBIENT)
def test_a_bigger_wire_is_cooler(amps, ambient_c) -> None:  # type: ignore[no-untyped-def]
    found = [curve(cable_of(RULES, size), ambient_c=ambient_c).at_current_c(amps) for size in RULES.sizes]
    assert all(small > large for small, large in pairwise(found))


@given(SIZES, AMBIENT, st.floats(0.1, 1.0))
def test_current_and_temperature_are_each_others_inverse(size, ambient_c, share) -> None:  # type: ignore[no-untyped-def]
    warm = curve(cable_of(RULES, size), ambient_c=ambient_c)
    aim_c = ambient_c + share * (125 - ambient_c)
    assert warm.at_current_c(warm.current_at_a(aim_c)) == pytest.approx(aim_c, abs=1e-6)


def test_nothing_flows_where_the_air_is_as_hot_as_the_limit() -> None:
    assert curve(cable_of(RULES, RULES.sizes[0]), ambient_c=125).current_at_a(125) == 0


@given(SIZES, st.floats(1.1, 2.0), st.floats(0.3, 1.0))
def test_a_sleeve_never_helps(size, loose, wall) -> None:  # type: ignore[no-untyped-def]
    inside = loose * size.outside_mm
    sleeve = Sleeve(inside, inside + 2 * wall, 6.0)
    cable = cable_of(RULES, size)
    held = curve(cable, ambient_c=40, sleeve=sleeve).current_at_a(125)
    factor = held / curve(cable, ambient_c=40).current_at_a(125)
    # round a thin wire a snug tube makes more surface than it holds heat back (critical radius, textbook)
    assert 0.4 < factor < 1.1
    if size.area_mm2 > 4:
        assert factor < 1.0


def test_high_and_sunny_is_hotter() -> None:
    cable = cable_of(RULES, RULES.size("10 AWG"))
    low = curve(cable, ambient_c=40).at_current_c(40)
    assert curve(cable, ambient_c=40, altitude_m=3000).at_current_c(40) > low
    assert curve(cable, ambient_c=40, sun_w_per_m2=1000).at_current_c(40) > low


@given(SIZES, AMBIENT, st.floats(1, 200))
def test_heat_goes_out_only_from_a_warmer_surface(size, ambient_c, rise) -> None:  # type: ignore[no-untyped-def]
    def lost(surface_c: float) -> float:
        return surface_loss_w_per_m(
            surface_c=surface_c, ambient_c=ambient_c, outside_m=size.outside_mm / 1000
        )

    assert lost(ambient_c) == pytest.approx(0, abs=1e-9)
    assert 0 < lost(ambient_c + rise) < lost(ambient_c + rise + 1)


@given(SIZES, st.floats(1, 300), st.floats(1.01, 3))
def test_a_longer_spell_allows_less_and_never_less_than_most_of_for_ever(size, seconds, longer) -> None:  # type: ignore[no-untyped-def]
    cable = cable_of(RULES, size)

    def able(seconds_s: float) -> float:
        return spell_a(cable, seconds_s=seconds_s, from_c=40, ambient_c=40, limit_c=125)

    assert able(seconds) > able(seconds * longer)
    assert 0.85 * heat_a(RULES, size, ALONE) < able(1e5) <= 1.002 * heat_a(RULES, size, ALONE)


def test_thick_wires_take_longer_to_warm() -> None:
    found = [time_constant_s(cable_of(RULES, size), ambient_c=40, limit_c=125) for size in RULES.sizes]
    assert found == sorted(found)


@given(SIZES, st.floats(20, 90), st.floats(0.3, 1.0), st.floats(0.05, 1.2))
def test_working_temperature_is_the_hotter_of_both_and_within_the_limit(
    size, ambient_c, factor, share
) -> None:  # type: ignore[no-untyped-def]
    near = Surroundings(ambient_c, ambient_c, 3, factor)
    asked = duty(share * corrected_a(RULES, size, near))
    warm = working_c(RULES, size, near, asked)
    balanced = balance_c(RULES, size, near, asked.continuous_a)
    law = ambient_c + (125 - ambient_c) * min(1.0, share) ** 2
    assert warm == pytest.approx(min(125.0, max(balanced, law)))


@given(st.floats(0.5, 200), st.floats(20, 100), st.floats(0.35, 1.0))
def test_the_least_size_stays_below_its_limit_by_the_balance(amps, ambient_c, factor) -> None:  # type: ignore[no-untyped-def]
    near = Surroundings(ambient_c, ambient_c, 3, factor)
    asked = duty(amps)
    size = least_size(RULES, near, asked)
    (hot,) = (one for one in limits(RULES, size, near, asked) if one.name == "heat")
    if hot.least_area_mm2 is not None and size.area_mm2 >= hot.least_area_mm2:
        assert hot.value <= hot.allowed + 1e-6
    else:
        assert size == RULES.sizes[-1]


def test_the_balance_decides_where_the_table_is_higher() -> None:
    """33 CFR gives 18 gauge GXL 25 A at 30 °C; the balance (tests/published) puts 23.9 A at its limit."""
    near = Surroundings(30.0, 30.0, 1, 1.0)
    found = {one.name: one for one in limits(RULES, RULES.size("18 AWG"), near, duty(24.5))}
    assert found["ampacity"].least_size == "18 AWG"
    assert found["heat"].least_size == "16 AWG"
    assert found["heat"].value > found["heat"].allowed == 125


@given(SIZES, st.floats(0.1, 400), st.floats(0, 0.9))
def test_a_spell_after_steady_current_allows_less(size, seconds, share) -> None:  # type: ignore[no-untyped-def]
    steady = share * heat_a(RULES, size, ALONE)
    cold = short_a(RULES, size, ALONE, duty(0.0, 1e4, seconds))
    assert short_a(RULES, size, ALONE, duty(steady, 1e4, seconds)) <= cold


def test_more_steady_current_never_raises_a_spell() -> None:
    size = RULES.size("10 AWG")
    able = [short_a(RULES, size, ALONE, duty(steady, 1e4, 20.0)) for steady in (0, 10, 20, 30, 40, 50)]
    assert able == sorted(able, reverse=True)
    assert able[0] > able[-1]
