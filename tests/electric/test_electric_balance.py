"""Charge balance, cold starts, time to stand and dimming, against sums by hand beside each check."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from harness.model.design import Design
from harness.model.operating import Operating
from harness.pipeline import design
from harness.survey import read
from tests.samples import made as samples

SAMPLES = Path(__file__).parents[2] / "samples"

SHED = """
machine: {name: Shed, voltage: 12 V, chassis post: negative, cable: GXL, sizes: AWG, coldest: -18 °C}
zones:
  box: {ambient: 40 °C}
bodies: {frame: {}}
runs:
  - {from: box, to: bench, length: 1.0 m, zone: box}
parts:
  battery: {is: battery, at: box, capacity: 60 Ah, cranking: 540 A}
  starter: {is: starter motor, at: box, on: frame, current: 200 A for 10 s, coil: 10 A, peak: 400 A for 0.2 s}
  alternator: {is: alternator, at: box, on: frame, output: 30 A}
  main fuse: {is: fuse, at: box}
  pump fuse: {is: fuse, at: box}
  lamp fuse: {is: fuse, at: box}
  pump: {is: electric pump, at: bench, current: 15 A}
  clock: {is: electric pump, at: bench, current: 0.1 A}
  lamp: {is: lamp, at: bench, power: 60 W}
  big lamp: {is: lamp, at: bench, power: 240 W}
  button: {is: push button, at: box}
  bench ground: {is: ground point, at: bench, on: frame}
  box ground: {is: ground point, at: box, on: frame}
modes:
  parked: {engine: stopped}
  cranking: {engine: cranking}
  running: {engine: running}
circuits:
  Start:
    works in: cranking
    paths: [battery + > starter 30, frame > battery -, starter 30 > button > starter 50]
  Charge:
    works in: running
    paths: [alternator B+ > main fuse > battery +]
  Pump:
    works in: running
    paths: [battery + > pump fuse > pump > frame]
  Clock:
    paths: [pump fuse > clock > frame]
  Small:
    works in: running
    paths: [battery + > lamp fuse > lamp > frame]
"""


@cache
def shed(*pairs: tuple[str, str]) -> Design:
    text = SHED
    for old, new in pairs:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return design(read("test.yaml", text=text))


def state(found: Design, mode: str) -> Operating:
    return next(one for one in found.operating if one.mode == mode)


def gives(found: Operating, part: str) -> float:
    return next(one.gives_a for one in found.sources if one.part == part)


def test_cranking_at_the_temperature_of_the_cold_cranking_test() -> None:
    """SAE J537: 540 A at -18 °C pull 12.6 to 7.2 V, so 10 mohm (memory); 12.44 V at 80 % charge."""
    found = state(shed(), "cranking")
    battery_a = gives(found, "battery")
    assert 208 < battery_a < 209  # 200 A, 0.1 A, and of the solenoid's 10 A as many as 10 of 12 V drive
    assert found.posts_v == pytest.approx(12.44 - battery_a * 0.010, abs=0.005)
    (start,) = shed().starts
    assert start.volts_v < found.posts_v
    assert start.least_v == pytest.approx(9.6)  # TM 5-3820-256-24-4 p. 5


def test_cranking_at_freezing_point_by_the_trades_chart() -> None:
    """65 % of the power at 0 °C for 40 % at -18 °C: 10 x 40 / 65 = 6.15 mohm."""
    found = state(shed(("coldest: -18 °C", "coldest: 0 °C")), "cranking")
    assert found.battery_c == 0.0
    assert found.posts_v == pytest.approx(12.44 - gives(found, "battery") * 0.00615, abs=0.005)


def test_the_starters_inrush_pulls_lower_than_its_turning() -> None:
    """400 A at first are 200 A more through 10 mohm and the cables: at least 2 V less."""
    (start,) = shed().starts
    assert start.inrush_v is not None
    assert start.inrush_v < start.volts_v - 2.0


def test_the_least_charge_to_start_with_gives_just_the_volts_needed() -> None:
    """Solved again with a battery as empty as that, the starter sees its 9.6 V."""
    strong = ("current: 200 A for 10 s", "current: 260 A for 10 s")
    (start,) = shed(strong, ("cranking: 540 A", "cranking: 560 A, charge: 95 %")).starts
    assert start.least_charge is not None and 0.5 < start.least_charge < 0.95
    emptier = f"cranking: 560 A, charge: {100 * start.least_charge:.4f} %"
    (again,) = shed(strong, ("cranking: 540 A", emptier)).starts
    assert again.volts_v == pytest.approx(9.6, abs=0.005)


def test_a_battery_that_never_cranks_has_no_least_charge_and_no_time_to_stand() -> None:
    """540 A x 10 mohm = 5.4 V: 7 V are left."""
    found = shed(("current: 200 A for 10 s", "current: 540 A for 10 s"), ("peak: 400 A", "peak: 600 A"))
    assert found.starts[0].least_charge is None and found.standing == []


def test_charge_balance_of_motors_is_plain_subtraction() -> None:
    """Generated 12 A, drawn 15 A by a pump, 0.1 A by a clock and some 5 A by a lamp of 60 W: 8 A short.

    From 80 to 50 % of 60 Ah are 18 Ah.
    """
    found = shed(("output: 30 A", "output: 12 A"))
    rated, idle = found.charge_balance
    lamp_a = next(load.current_a for load in state(found, "running").loads if load.part == "lamp")
    assert rated.charging_a == pytest.approx(12.0, abs=1e-6)
    assert rated.load_a == pytest.approx(15.1 + lamp_a, abs=1e-6)
    assert rated.battery_a == pytest.approx(12.0 - 15.1 - lamp_a, abs=1e-6)
    assert rated.hours == pytest.approx(18.0 / -rated.battery_a, rel=1e-6)
    assert idle.charging_most_a == pytest.approx(12 / 3, abs=0.1)  # a third at idle: 16 of 48 A, read


def test_output_at_idle_as_the_survey_says() -> None:
    """25 A at idle carry the 20.1 A: the battery still takes what is left, not more."""
    found = shed(("output: 30 A", "output: 30 A, idle output: 25 A"))
    idle = found.charge_balance[1]
    assert (idle.speed, idle.charging_most_a) == ("idle", 25.0)
    assert 0 < idle.battery_a <= 25.0 - 15.1
    slow = shed(
        ("output: 30 A", "output: 30 A, idle output: 0 A"),
        ("{engine: running}", "{engine: running, speed: idle}"),
    )
    (only,) = slow.charge_balance
    assert (only.speed, only.charging_a) == ("idle", 0.0)
    assert state(slow, "running").speed == "idle"
    assert [mode.charge_a for mode in slow.modes if mode.engine == "running"] == [0.0]
    assert state(slow, "running").posts_v < 12.44  # the battery feeds everything


def test_a_battery_of_sixty_ampere_hours_takes_some_seven_amperes_after_a_start() -> None:
    """At 80 % it takes about 0.12 of its ampere-hours at 13.8 V; the charging line loses a little of that."""
    rated = shed().charge_balance[0]
    assert 6.0 < rated.battery_a < 7.4
    assert rated.charging_a == pytest.approx(rated.load_a + rated.battery_a, abs=1e-6)


def test_without_a_battery_nothing_is_said_of_one() -> None:
    """The alternator alone carries the lamp: 60 W at 12 V are 5 A, a little more at its 13.8 V."""
    text = """
machine: {name: Cart, voltage: 12 V, chassis post: negative}
zones: {box: {ambient: 40 °C}}
runs: [{from: box, to: bench, length: 1 m, zone: box}]
parts:
  alternator: {is: alternator, at: box, on: frame}
  fuse: {is: fuse, at: box}
  lamp: {is: lamp, at: bench, power: 60 W}
  ground: {is: ground point, at: bench, on: frame}
circuits:
  Lamp: {works in: running, paths: [alternator B+ > fuse > lamp > frame]}
"""
    found = design(read("test.yaml", text=text))
    rated = next(one for one in found.charge_balance if one.mode == "running")
    assert "no battery" in rated.formula and rated.battery_a == 0.0 and rated.hours is None
    assert 5.0 < rated.load_a < 5.0 * 1.15**0.55
    assert found.starts == [] == found.standing


def test_days_to_stand() -> None:
    """0.1 A and 0.002 x 60 Ah / 24 h = 0.005 A of its own; 80 to 50 % of 60 Ah: 18 / 0.105 / 24 = 7.1 d."""
    (stand,) = shed().standing
    assert stand.drawn_a == pytest.approx(0.1, abs=1e-6)
    assert stand.self_discharge_a == pytest.approx(0.005, abs=1e-5)
    assert stand.days == pytest.approx(7.14, abs=0.05)


def test_a_lamp_on_a_shared_feed_dims_when_the_other_circuit_comes_on() -> None:
    """What the other draws times what both share; light goes with the 3.4th power of volts."""
    stud = "  bench stud: {is: terminal stud, at: bench}\n  big fuse: {is: fuse, at: bench}"
    big = "  Big:\n    works in: running\n    paths: [bench stud > big fuse > big lamp > frame]\n"
    found = shed(
        ("  lamp fuse: {is: fuse, at: box}", f"  lamp fuse: {{is: fuse, at: box, rating: 40 A}}\n{stud}"),
        ("battery + > lamp fuse > lamp > frame", "battery + > lamp fuse > bench stud > lamp > frame"),
        ("  Small:", f"{big}  Small:"),
    )
    (dip,) = [one for one in found.dimming if one.mode == "running"]
    assert (dip.part, dip.by) == ("lamp", "Big")
    assert dip.volts_v < dip.without_v <= dip.alone_v + 1e-6
    feed = next(wire for wire in found.wires if wire.to.part == "bench stud")
    big_a = next(load.current_a for load in state(found, "running").loads if load.part == "big lamp")
    assert dip.without_v - dip.volts_v >= big_a * feed.resistance_ohm  # and joints, fuse and source on top
    assert dip.light_share == pytest.approx((dip.volts_v / dip.without_v) ** 3.4, rel=1e-6)


@pytest.mark.parametrize("name", ["roller", "orchard", "grader"])
def test_volts_and_currents_of_the_samples_hang_together(name: str) -> None:
    """Ohm: volts between the ends of a wire are its current times copper and two joints; Kirchhoff: at a stud
    without a part of its own what flows in flows out. Joints are at most 5 mohm each (contact_resistance)."""
    found = samples.design(name)
    for state in found.operating:
        sums: dict[str, float] = {}
        for wire in found.wires:
            ends = [
                f"{'splice ' if end.kind == 'splice' else ''}{end.part} {end.terminal}".rstrip()
                for end in (wire.from_, wire.to)
            ]
            amps = state.wires_a[wire.number]
            if not all(end in state.points_v for end in ends):
                assert amps == 0
                continue
            drop = state.points_v[ends[0]] - state.points_v[ends[1]]
            least, most = sorted((amps * wire.resistance_ohm, amps * (wire.resistance_ohm + 0.010)))
            assert least - 2e-6 <= drop <= most + 2e-6, wire.number
            for end, sign in zip(ends, (-1, 1), strict=True):
                sums[end] = sums.get(end, 0.0) + sign * amps
        for splice in found.splices:
            assert sums.get(f"splice {splice.name}", 0.0) == pytest.approx(0.0, abs=2e-5)
        for load in state.loads:
            a, b = load.link.split("/")
            volts = [state.points_v.get(f"{load.part} {end}") for end in (a, b)]
            if None not in volts:
                assert abs(volts[0] - volts[1]) == pytest.approx(abs(load.volts_v), abs=2e-6)
