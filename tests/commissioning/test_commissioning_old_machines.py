"""What is measured on machines that have no generator, no small wire, or a guard far from the starter."""

from __future__ import annotations

from functools import cache

from harness.commissioning import bands
from harness.commissioning.flooding import unfused
from harness.commissioning.guarding import guards
from harness.model.design import Design
from harness.pipeline import design
from harness.survey import read

HEAD = """
machine: {name: Bench, voltage: 12 V, chassis post: negative, cable: GXL, sizes: AWG}
zones: {bay: {ambient: 45 °C}}
runs: [{from: box, to: dash, length: 2 m, zone: bay}]
parts:
  battery: {is: battery, at: box, capacity: 80 Ah, cranking: 600 A}
  feed fuse: {is: fuse, at: box}
  ground: {is: ground point, at: box, on: engine, stud: M10}
"""
MAGNETO = """
  lamp: {is: lamp, at: dash, on: engine, power: 21 W}
circuits:
  Lamp: {works in: [running, night work], paths: [battery + > feed fuse > lamp, engine > battery -]}
"""
STARTER = """
  starter:
    {is: starter motor, at: box, on: engine, current: 150 A for 10 s, coil: 10 A, coil peak: 30 A for 0.3 s}
  relay: {is: starter relay, at: box}
  key: {is: key switch, at: dash}
  clutch switch: {is: switch, at: dash}
  brake lamp switch: {is: brake switch, at: dash}
  button: {is: push button, at: dash, rating: 40 A}
  brake lamp: {is: brake lamp, at: dash, on: engine}
circuits:
  Brake: {works in: running, paths: [key 30/15 > brake lamp switch > brake lamp]}
  Cables: {works in: cranking, paths: [CABLE, engine > battery -]}
  Start: {works in: cranking, paths: [battery + > feed fuse > key 30/15 > clutch switch > button > SMALL]}
"""
DIRECT = (
    STARTER.replace("CABLE", "battery + > starter 30")
    .replace("SMALL", "starter 50")
    .replace("  relay: {is: starter relay, at: box}\n", "")
)
OVER_RELAY = STARTER.replace("CABLE", "battery + > relay 30/87 > starter 30").replace(
    "SMALL", "relay 86/85 > engine"
)


@cache
def made(text: str) -> Design:
    return design(read("bench.yaml", text=HEAD + text.lstrip("\n")))


def test_a_machine_without_generator_has_no_charging_volts() -> None:
    """Its battery stands at 12.4 V and not at 13.8 V, and nothing is wrong with it."""
    assert bands.charging(made(MAGNETO)) == []


def test_a_guard_before_the_start_button_is_in_the_way_and_a_lamp_switch_is_not() -> None:
    assert guards(made(DIRECT)) == ["clutch switch"]


def test_a_starter_without_small_wire_is_worked_by_the_relay_in_its_cable() -> None:
    assert guards(made(OVER_RELAY)) == ["clutch switch"]


def test_what_is_live_with_no_fuse_in_is_all_that_hangs_on_the_post() -> None:
    """By hand: with the relay at rest its cable and the fuse's feed; without it the cable and the feed."""
    for text, ends in ((OVER_RELAY, {"relay", "feed fuse"}), (DIRECT, {"starter", "feed fuse"})):
        wires = {wire.number: wire for wire in made(text).wires}
        live = [wires[number] for number in unfused(made(text))]
        assert {wire.to.part for wire in live} == ends
        assert {wire.from_.part for wire in live} == {"battery"}
