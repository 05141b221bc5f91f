"""A load with a rhythm: its wire is sized for the heat of it, between once and always; height and sun."""

from __future__ import annotations

import pytest

from harness.electric.repeated import carried_currents
from harness.electric.ruleset import rule_set
from harness.electric.sizing import Sizing, size_machine
from harness.loom.routing import route
from harness.model.design import Design, Wire
from harness.pipeline import design
from harness.survey import read


def winch(load: str = "current: 60 A", *, machine: str = "", zone: str = "") -> str:
    """A heavy heater straight on the battery: nothing but its own heat sizes the wire to it."""
    return f"""\
machine: {{name: Heated box, voltage: 24 V, chassis post: negative, cable: GXL{machine}}}
zones:
  shed: {{ambient: 40 °C, closed: yes{zone}}}
runs:
  - {{from: box, to: oven, length: 0.6 m, zone: shed}}
parts:
  battery: {{is: battery, at: box, capacity: 200 Ah}}
  oven: {{is: work lamp, at: oven, {load}}}
  g: {{is: ground point, at: oven, on: frame}}
modes:
  work: {{engine: stopped}}
circuits:
  Heat:
    drop: 25 %
    paths:
      - battery + > oven > frame
      - frame > battery -
"""


def sized(text: str) -> Sizing:
    machine = read("winch.yaml", text=text)
    return size_machine(machine, route(machine), rule_set(machine.rules, machine.cable))


def made(text: str) -> Design:
    return design(read("winch.yaml", text=text))


def feed(found: Design) -> Wire:
    return next(wire for wire in found.wires if wire.to.part == "oven")


def test_a_rhythm_asks_for_less_than_always() -> None:
    always = feed(made(winch()))
    some = feed(made(winch("current: 60 A, duty: 60 s in 3 min")))
    rare = feed(made(winch("current: 60 A, duty: 5 s in 3 min")))
    assert always.area_mm2 > some.area_mm2 > rare.area_mm2


def test_a_rhythm_long_against_the_time_constant_is_as_good_as_always() -> None:
    """An hour on in two hours: every wire here settles in ten minutes."""
    long = made(winch("current: 60 A, duty: 60 min in 120 min"))
    assert feed(long).area_mm2 == feed(made(winch())).area_mm2


def test_what_comes_again_is_hotter_than_what_comes_once() -> None:
    once = {limit.name: limit for limit in feed(made(winch("current: 60 A for 30 s"))).limits}
    again = {limit.name: limit for limit in feed(made(winch("current: 60 A, duty: 30 s in 60 s"))).limits}
    assert "heat" not in once  # it carries nothing that lasts
    assert again["ampacity"].value > 60 * 0.5**0.5 > once["ampacity"].value == 0
    assert again["heat"].value > 50
    assert "60.00 A for 30 s in 60 s again and again" in again["heat"].formula
    assert "loom heat" in again


def test_a_bundle_counts_the_root_mean_square_and_a_loom_the_hottest_moment() -> None:
    found = sized(winch("current: 60 A, duty: 15 s in 60 s"))
    assert max(carried_currents(found.solutions)["work"].values()) == pytest.approx(30.0)  # 60 x sqrt(15/60)
    (run,) = found.warm.values()
    assert 30.5 < max(run.amps) < 45  # a time constant of one to three minutes


def test_a_repeated_load_keeps_its_fuse_as_if_it_stayed_on() -> None:
    text = winch("current: 20 A, duty: 5 s in 60 s").replace("battery + > oven", "battery + > F1 > oven")
    text = text.replace("  oven:", "  F1: {is: fuse, at: box}\n  oven:")
    always = text.replace(", duty: 5 s in 60 s", "")
    assert made(text).fuses[0].rating_a == made(always).fuses[0].rating_a


def test_high_up_a_wire_may_carry_less_and_gets_hotter() -> None:
    low, high = feed(made(winch())), feed(made(winch(machine=", altitude: 4000 m")))
    assert low.size == high.size
    before, after = ({one.name: one for one in wire.limits} for wire in (low, high))
    assert after["ampacity"].allowed / before["ampacity"].allowed == pytest.approx(0.943, abs=0.002)
    assert "at 4000 m" in after["ampacity"].formula
    assert after["heat"].value > before["heat"].value + 1
    assert after["loom heat"].value > before["loom heat"].value + 1
    assert "4000 m up" in after["loom heat"].formula


def test_the_sun_heats_a_zone() -> None:
    shade, sun = feed(made(winch())), feed(made(winch(zone=", sun: yes")))
    assert sun.ambient_c - shade.ambient_c == pytest.approx(21, abs=2)
    assert sun.area_mm2 >= shade.area_mm2
    hot = {limit.name: limit for limit in sun.limits}
    assert "in the sun" in hot["loom heat"].formula
    assert hot["loom heat"].value <= 125


def test_pvc_in_hot_air_and_sun_is_above_its_class() -> None:
    """80 °C insulation, 65 °C air: the sun alone takes it past its class, and a finding says so."""
    text = winch("current: 5 A", zone=", sun: yes").replace("GXL", "GPT").replace("40 °C", "65 °C")
    assert "place too hot for cable" in {one.rule for one in made(text).findings}
    assert "place too hot for cable" not in {
        one.rule for one in made(text.replace(", sun: yes", "")).findings
    }


@pytest.mark.parametrize("tau", [10.0, 100.0])
def test_more_time_on_is_never_cooler(tau: float) -> None:
    from harness.electric.repeated import Cycle, together_a

    found = [together_a(2.0, [Cycle(10.0, on, 60.0 - on)], tau) for on in (1.0, 10.0, 30.0, 50.0, 59.0)]
    assert found == sorted(found)
    assert 2.0 < found[0] < found[-1] < 12.0
