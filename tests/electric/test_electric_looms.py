"""Looms warm all their wires, cost more in tube, high up and in the sun, and make wires grow when too hot."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harness.electric.covers import form_of, sleeve
from harness.electric.heat import Cable, cable_of, curve
from harness.electric.looms import Place, exchanged_c, filling, loom_c, warmth
from harness.electric.ruleset import rule_set
from harness.electric.sizing import Sizing, size_machine
from harness.fitout.covering import BRAID_ADDS_MM, TAPE_ADDS_MM, covering
from harness.fitout.stretch import stretch
from harness.loom.routing import route
from harness.model.design import Design
from harness.model.machine import Machine
from harness.pipeline import design
from harness.survey import read

SAMPLES = Path(__file__).parents[2] / "samples"
RULES = rule_set("sae", "GXL")
SIZES = st.sampled_from(RULES.sizes)
FORMS = st.sampled_from(["", "tape", "braid", "corrugated"])
BARE = Place(40.0)


def lamps(count: int, amps: float, *, cable: str = "GXL", sizes: str = "AWG", ambient: float = 45.0,
          more: str = "") -> str:  # fmt: skip
    """A machine of equal lamps on one loom, each behind its own fuse."""
    parts = "".join(
        f"  F{at}: {{is: fuse, at: box}}\n  lamp {at}: {{is: work lamp, at: mast, current: {amps} A}}\n"
        for at in range(count)
    )
    paths = "".join(f"      - battery + > F{at} > lamp {at} > frame\n" for at in range(count))
    return f"""\
machine: {{name: Row of lamps, voltage: 24 V, chassis post: negative, cable: {cable}, sizes: {sizes}}}
zones:
  bay: {{ambient: {ambient} °C}}
runs:
  - {{from: box, to: mast, length: 1 m, zone: bay{more}}}
parts:
  battery: {{is: battery, at: box, capacity: 400 Ah}}
{parts}  g: {{is: ground point, at: mast, on: frame}}
  g box: {{is: ground point, at: box, on: frame}}
circuits:
  Lamps:
    paths:
{paths}      - frame > battery -
"""


def machine_of(text: str) -> Machine:
    return read("lamps.yaml", text=text)


def sized(text: str) -> Sizing:
    machine = machine_of(text)
    return size_machine(machine, route(machine), rule_set(machine.rules, machine.cable))


@given(SIZES, st.integers(2, 30), st.floats(0.05, 0.3))
def test_a_loom_is_hotter_than_one_of_its_wires_and_hotter_with_more(size, count, share) -> None:  # type: ignore[no-untyped-def]
    cable = cable_of(RULES, size)
    amps = share * size.base_a
    alone = curve(cable, ambient_c=40).at_current_c(amps)
    few = loom_c([(cable, amps)] * count, BARE)
    assert alone < few < loom_c([(cable, amps)] * (count + 1), BARE) + 1.0  # curves are kept for 3 % steps
    assert few < loom_c([(cable, amps)] * (count + 2 + count // 3), BARE)


def test_an_idle_loom_is_as_warm_as_the_air_and_none_is_no_loom() -> None:
    cable = cable_of(RULES, RULES.size("14 AWG"))
    assert loom_c([(cable, 0.0)] * 5, BARE) == 40
    with pytest.raises(ValueError, match="needs wires"):
        loom_c([], BARE)


@given(SIZES, st.floats(0.1, 1.0), FORMS)
def test_a_wire_alone_is_at_least_as_hot_as_in_free_air(size, share, form) -> None:  # type: ignore[no-untyped-def]
    cable = cable_of(RULES, size)
    alone = curve(cable, ambient_c=40).at_current_c(share * size.base_a)
    assert loom_c([(cable, share * size.base_a)], Place(40.0, form)) >= alone


@given(SIZES, st.integers(2, 20), st.floats(0.05, 0.3))
def test_one_loaded_wire_is_hotter_than_its_idle_neighbours(size, count, share) -> None:  # type: ignore[no-untyped-def]
    cable = cable_of(RULES, size)
    found = warmth([cable] * count, [share * size.base_a] + [0.0] * (count - 1), BARE)
    assert found.wire_c[0] > found.wire_c[1] == found.core_c > 40
    assert found.hottest_c == found.wire_c[0]


@given(st.lists(st.tuples(SIZES, st.floats(0.0, 0.3)), min_size=2, max_size=12), SIZES, FORMS)
def test_exchanging_one_wire_in_the_sums_is_as_if_the_loom_were_made_again(held, other, form) -> None:  # type: ignore[no-untyped-def]
    """Where the exchanged wire is the only loaded one."""
    cables = [cable_of(RULES, size) for size, _ in held]
    amps = [held[0][1] * held[0][0].base_a + 0.1] + [0.0] * (len(held) - 1)
    new, place = cable_of(RULES, other), Place(40.0, form)
    watts = cables[0].r20_ohm_per_m * amps[0] ** 2
    again = warmth([new, *cables[1:]], amps, place).wire_c[0]
    assert exchanged_c(filling(cables), watts, cables[0], new, amps[0], place) == pytest.approx(
        again,
        abs=0.03 * (again - 40),  # curves are kept for 3 % steps, and a rounding may tip one
    )


@pytest.mark.parametrize("count", [1, 4, 12])
def test_tube_costs_more_than_braid_and_tape_and_thin_air_and_sun_more_still(count: int) -> None:
    wires = [(cable_of(RULES, RULES.size("10 AWG")), 14.0)] * count
    bare = loom_c(wires, Place(40.0))
    tube = loom_c(wires, Place(40.0, "corrugated"))
    assert tube > max(loom_c(wires, Place(40.0, form)) for form in ("braid", "tape")) >= bare - 0.5
    high = loom_c(wires, Place(40.0, "corrugated", altitude_m=3000))
    assert high > tube
    assert loom_c(wires, Place(40.0, "corrugated", altitude_m=3000, sun_w_per_m2=1000)) > high + 3


def test_heat_of_a_loom_by_hand() -> None:
    """Ten wires of 14 gauge GXL at 8 A, bare, 40 °C: conductors near 60 °C make 10 x 64 x 9.51e-3 x 1.16 =
    7.1 W/m; round 1.2 x sqrt(10) x 3.5 = 13.3 mm, 0.0418 m2/m; film 6.7 + 6.5 W/(m2 K) (Churchill and Chu,
    radiation at 0.9) makes the surface 7.1 / 0.0418 / 13.2 = 12.9 K warmer. The core is above it by 7.1 x
    rho / (4 pi), with rho 5 to 11 K m/W (well packed to free of contact) 2.8 to 6.2 K."""
    cable = cable_of(RULES, RULES.size("14 AWG"))
    found = warmth([cable] * 10, [8.0] * 10, BARE)
    assert 40 + 12.9 * 0.8 + 2.8 < found.core_c < 40 + 12.9 * 1.2 + 6.2


@pytest.mark.parametrize("sizes", ["AWG", "mm2"])
@pytest.mark.parametrize("form", ["corrugated", "braid", "spiral", "glass", "tape"])
@pytest.mark.parametrize("across_mm", [3.0, 6.5, 12.0, 24.0, 38.0])
def test_coverings_are_as_thick_as_fit_out_makes_them(form: str, across_mm: float, sizes: str) -> None:
    layer = sleeve(form, across_mm, sizes)
    fitted = covering(asked=form, bundle_mm=across_mm, ambient_c=40, near=(), sizes=sizes)
    assert layer is not None
    assert layer.outside_mm == pytest.approx(fitted.outside_mm, abs=0.051)


def test_the_added_thicknesses_are_those_of_fit_out() -> None:
    braid, tape = sleeve("braid", 10.0, "AWG"), sleeve("tape", 10.0, "AWG")
    assert braid is not None
    assert tape is not None
    assert (braid.outside_mm - 10, tape.outside_mm - 10) == pytest.approx((BRAID_ADDS_MM, TAPE_ADDS_MM))
    assert sleeve("", 10.0, "AWG") is None


@pytest.mark.parametrize("across_mm", [3.0, 15.5, 30.0, 60.0])
def test_shrunk_tube_counts_as_thick_as_its_thickest_wall(across_mm: float) -> None:
    layer = sleeve("shrink", across_mm, "AWG")
    made = stretch(asked="yes", bundle_mm=across_mm, length_m=1.0, wet=True, sizes="AWG")
    assert layer is not None
    assert made is not None
    assert layer.outside_mm >= made.outside_mm


@pytest.fixture(scope="module", params=["pump", "orchard", "roller", "grader"])
def sample(request: pytest.FixtureRequest) -> tuple[Machine, Design]:
    machine = read(SAMPLES / f"{request.param}.yaml")
    return machine, design(machine)


def test_sizing_takes_the_covering_that_fit_out_chooses(sample: tuple[Machine, Design]) -> None:
    machine, made = sample
    words = {"corrugated": "corrugated tube", "braid": "braided", "tape": "tape", "shrink": "heat-shrink",
             "spiral": "spiral", "glass": "glass-fibre"}  # fmt: skip
    routed = route(machine)
    for run, fitted in zip(machine.runs, made.runs, strict=True):
        if not fitted.wires:
            continue
        form = form_of(machine, routed, run)
        assert words[form] in fitted.covering if form else not fitted.covering, run.name


def test_every_run_with_wires_says_how_hot_it_gets(sample: tuple[Machine, Design]) -> None:
    machine, made = sample
    modes = {mode.name for mode in machine.modes}
    hottest = {run.name: run.loom_c for run in made.runs}
    for run in made.runs:
        if not run.wires:
            assert run.loom_c is None
            continue
        assert run.loom_c is not None
        assert run.ambient_c - 0.1 <= run.loom_c < 110
        assert run.loom_mode in modes
    for wire in made.wires:
        found = [limit for limit in wire.limits if limit.name == "loom heat"]
        if found:
            assert found[0].value <= max(hottest[run] or 0.0 for run in wire.runs) + 0.06
            assert found[0].value <= found[0].allowed
            assert found[0].least_area_mm2 is not None
            assert found[0].least_area_mm2 <= wire.area_mm2 + 1e-9


def unfused(text: str) -> str:
    """The same without fuses, so that what a wire carries is all that sizes it."""
    lines = [line for line in text.splitlines() if "is: fuse" not in line]
    return re.sub(r"battery \+ > F[0-9]+", "battery +", "\n".join(lines)) + "\n"


# NEC's count leaves 70 % to each of nine wires, where the curve for full looms has 48.5 %.
HOT = [
    unfused(lamps(9, 18.0, cable="class A", sizes="mm2", ambient=40)),
    unfused(lamps(9, 25.0, cable="class C", sizes="mm2", ambient=60)),
]


@pytest.mark.parametrize("text", HOT)
def test_a_loom_that_the_tables_would_let_get_too_hot_gets_thicker_wires(
    text: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    cooled = sized(text)
    limit_c = cooled.rules[0].insulation_c
    monkeypatch.setattr("harness.electric.warming.Looms.least", lambda *_: {})
    by_tables = sized(text)
    (hot,), (cool,) = by_tables.warm.values(), cooled.warm.values()
    assert hot.hottest_c > limit_c >= cool.hottest_c
    assert cooled.copper_kg > by_tables.copper_kg
    assert cool.hottest_c > limit_c - 30  # not made absurd


def test_a_loom_too_hot_for_any_size_is_not_made_absurd_but_reported() -> None:
    """PVC of 80 °C in 85 °C air: no copper helps, and a finding says so."""
    text = lamps(6, 5.0, cable="GPT", ambient=85)
    made = design(machine_of(text))
    assert "place too hot for cable" in {finding.rule for finding in made.findings}
    hot = [limit for wire in made.wires for limit in wire.limits if limit.name == "loom heat"]
    assert hot
    assert all(limit.least_area_mm2 is None and limit.value > limit.allowed for limit in hot)


def test_a_fixed_size_in_a_hot_loom_is_a_finding() -> None:
    text = lamps(9, 18.0, cable="class A", sizes="mm2", ambient=40)
    fixed = "wires:\n" + "".join(f"  F{at} > lamp {at}: {{size: 2.5 mm2}}\n" for at in range(9))
    made = design(machine_of(text + fixed))
    wire = next(wire for wire in made.wires if wire.decided_by == "survey" and wire.runs)
    limit = next(limit for limit in wire.limits if limit.name == "loom heat")
    assert limit.value > limit.allowed == 85
    assert any(finding.severity != "advice" for finding in made.findings)


def test_more_lamps_on_a_loom_never_make_it_cooler_per_wire() -> None:
    cable: Cable = cable_of(RULES, RULES.size("12 AWG"))
    found = [loom_c([(cable, 10.0)] * count, Place(45.0, "corrugated")) for count in (2, 4, 8, 16, 32)]
    assert all(few < many for few, many in pairwise(found))


def test_copper_at_the_warmth_of_its_loom_resists_more() -> None:
    """A wire that carries next to nothing in a hot loom is as hot as the loom, not as its zone."""
    made = design(machine_of(lamps(12, 14.0)))
    thin = min(made.wires, key=lambda wire: (wire.continuous_a, wire.number))
    run = made.runs[0]
    assert run.loom_c is not None
    for wire in made.wires:
        if wire.runs:
            assert wire.conductor_c > run.ambient_c + 3, wire.number
    assert thin.conductor_c <= max(limit.allowed for limit in thin.limits if limit.unit == "°C")
