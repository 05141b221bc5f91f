"""Sizing end to end: a lamp circuit worked by hand, and what must hold on every machine that can be drawn."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings

from harness.model.design import Design
from harness.pipeline import design
from harness.survey import read
from tests.electric.machines import SMALL, surveys

NOTICED_V = 0.001  # the rule that says a load is starved notices no less


def _designed(text: str) -> Design:
    return design(read("bench.yaml", text=text))


def test_two_lamps_by_hand() -> None:
    """Two 55 W lamps at 12 V: 2 x 4.583 A through fuse and switch, 4.583 A in each limb.

    The fuse by hand, blade at 30 °C: 9.167 / (0.8 x (1 - 0.2 % x 5 K)) = 11.574 A, next rating sold 15 A.
    """
    found = _designed(SMALL)
    amps = {(wire.from_.part, wire.to.part): wire.current_a["night work"] for wire in found.wires}
    assert amps["battery", "F1"] == pytest.approx(110 / 12, rel=1e-6)
    assert amps["switch", "S1"] == pytest.approx(110 / 12, rel=1e-6)
    assert amps["S1", "left lamp"] == pytest.approx(55 / 12, rel=1e-6)
    assert amps["box ground", "battery"] == pytest.approx(110 / 12, rel=1e-6)
    fuse = found.fuses[0]
    assert fuse.load_a == pytest.approx(9.1667, abs=1e-3)
    assert fuse.least_a == pytest.approx(11.574, abs=1e-3)
    assert fuse.rating_a == 15


def test_drop_of_the_small_machine_by_its_own_resistances() -> None:
    """Volts at a lamp are the source's less current times resistance along its way (Ohm's law)."""
    found = _designed(SMALL)
    left = next(load for load in found.loads if load.part == "left lamp")
    seen = next(volts for volts in left.modes if volts.mode == "night work")
    copper = sum(
        wire.current_a["night work"] * wire.resistance_ohm
        for wire in found.wires
        if "right lamp" not in (wire.from_.part, wire.to.part)
    )
    assert seen.source_v - seen.volts_v == pytest.approx(seen.drop_v, rel=1e-9)
    assert copper < seen.drop_v < copper + 0.35  # the rest is fuse, switch and twelve joints


def test_a_longer_way_never_takes_a_thinner_wire() -> None:
    near, far = _designed(SMALL), _designed(SMALL.replace("length: 3 m", "length: 9 m"))
    for short, long in zip(near.wires, far.wires, strict=True):
        assert long.length_m >= short.length_m
    assert far.totals.copper_kg > near.totals.copper_kg
    trunk = [next(w for w in one.wires if w.from_.part == "switch").area_mm2 for one in (near, far)]
    assert trunk[1] > trunk[0]


def test_a_hot_zone_takes_more_copper_or_the_same() -> None:
    cool, hot = (
        _designed(SMALL),
        _designed(SMALL.replace("cool: {ambient: 30 °C}", "cool: {ambient: 110 °C}")),
    )
    assert hot.totals.copper_kg >= cool.totals.copper_kg
    assert all(
        w.ampacity_a < c.ampacity_a or w.area_mm2 > c.area_mm2
        for w, c in zip(hot.wires, cool.wires, strict=True)
    )


def test_a_fixed_size_is_kept_and_said() -> None:
    text = SMALL + "wires:\n  switch > (left lamp, right lamp): {size: 8 AWG}\n"
    wire = next(wire for wire in _designed(text).wires if wire.from_.part == "switch")
    assert (wire.size, wire.decided_by) == ("8 AWG", "survey")


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(surveys())
def test_every_wire_meets_every_limit_it_is_told_to(text: str) -> None:
    found = _designed(text)
    biggest = max(wire.area_mm2 for wire in found.wires)
    for wire in found.wires:
        for limit in wire.limits:
            if limit.least_area_mm2 is not None and limit.name != "drop":
                assert wire.area_mm2 >= limit.least_area_mm2 - 1e-9, (wire.number, limit.name)
        assert wire.ampacity_a >= wire.continuous_a or wire.area_mm2 == biggest
        assert wire.decided_by in {limit.name for limit in wire.limits}
    starved = {finding.subject for finding in found.findings if finding.rule == "load starved"}
    for load in found.loads:
        for seen in load.modes:
            assert seen.judged_v <= load.allowance_v + NOTICED_V or load.part in starved
    for fuse in found.fuses:
        assert fuse.rating_a >= fuse.least_a
        assert all(
            wire.ampacity_a >= fuse.rating_a or wire.area_mm2 == biggest
            for wire in found.wires
            if wire.fuse == fuse.name
        )


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(surveys())
def test_the_optimum_needs_no_more_copper_than_the_plain_rule(text: str) -> None:
    found = _designed(text)
    starved = [finding for finding in found.findings if finding.rule == "load starved"]
    if not starved and not found.totals.baseline_unfit:
        assert found.totals.copper_kg <= found.totals.baseline_copper_kg + 1e-9


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(surveys())
def test_the_same_survey_gives_the_same_design(text: str) -> None:
    assert _designed(text) == _designed(text)


TWO_SIDES = """
machine: {{name: bench, voltage: {volts} V, chassis post: negative, cable: GXL, sizes: AWG}}
zones: {{cool: {{ambient: 25 °C}}}}
runs:
  - {{from: box, to: cab, length: 2 m, zone: cool}}
parts:
  battery: {{is: battery, at: box, capacity: 100 Ah}}
  F1: {{is: fuse, at: box}}
{parts}  F2: {{is: fuse, at: cab}}
  work lamp: {{is: lamp, at: cab, rated: 12 V, power: 55 W}}
  valve: {{is: solenoid, at: cab, rated: 12 V, current: 1 A hold, peak: 20 A for 0.5 s}}
  box ground: {{is: ground point, at: box, on: frame}}
  cab ground: {{is: ground point, at: cab, on: frame}}
circuits:
  Ground: {{paths: [frame > battery -]}}
  Feed: {{paths: [{feed}]}}
  Light: {{paths: ["{light} > F2 > (work lamp, valve) > frame"]}}
"""


def test_a_load_behind_a_converter_is_held_to_the_volts_it_gives() -> None:
    """The same two loads on a 12 V machine, and on a 24 V one behind a converter to 12 V: the same volts."""
    plain = TWO_SIDES.format(volts=12, parts="", feed="battery + > F1 > F2", light="F1")
    converted = TWO_SIDES.format(
        volts=24, parts="  converter: {is: converter, at: cab, rated: 12 V, current: 7 A}\n",
        feed="battery + > F1 > converter 24/- > frame", light="converter +",
    )  # fmt: skip

    def allowed(text: str) -> dict[str, tuple[float, float | None]]:
        made = design(read("bench.yaml", text=text))
        return {load.part: (load.allowance_v, load.peak_allowance_v) for load in made.loads}

    on_12, on_24 = allowed(plain), allowed(converted)
    assert on_12["work lamp"] == on_24["work lamp"]
    assert on_12["valve"] == on_24["valve"]
    assert on_12["valve"][1] is not None
    assert on_24["converter"][0] == pytest.approx(2 * 0.84)  # 7 % of 24 V: its own feed is on the machine
