"""Which fuse stands before which wire, what the fuses are rated, and what is on in each mode."""

from __future__ import annotations

import pytest

from harness.electric.fuses import fuse_ohm
from harness.model.design import Design, Fuse, Wire
from harness.pipeline import design
from harness.survey import read
from tests.published.recorder import Cells, published

SURVEY = """
machine: {name: guards, voltage: 12 V, chassis post: negative}
zones: {deck: {ambient: 30 °C, closed: yes}}
runs:
  - {from: box, to: dash, length: 1.5 m, zone: deck}
  - {from: dash, to: engine, length: 2 m, zone: deck}
parts:
  battery: {is: battery, at: box, capacity: 70 Ah, cranking: 540 A}
  main fuse: {is: main fuse, at: box}
  panel: {is: fuse panel, at: dash, ways: {F1: , F2: , F3: }}
  key: {is: key switch, at: dash}
  relay: {is: relay, at: dash, coil: 0.15 A}
  lamp: {is: work lamp, at: engine, power: 60 W}
  pump: {is: electric pump, at: engine, current: 4 A, peak: 12 A for 0.3 s}
  alternator: {is: alternator, at: engine, on: engine, output: 40 A}
  charge fuse: {is: main fuse, at: box}
  engine ground: {is: ground point, at: engine, on: engine}
  dash ground: {is: ground point, at: dash, on: engine}
modes:
  parked: {engine: stopped}
  running: {engine: running}
circuits:
  Ground: {paths: [engine > battery -]}
  Feed: {paths: [battery + > main fuse > panel]}
  Charging: {works in: running, paths: [alternator B+ > charge fuse > battery +]}
  Lamp:
    works in: running
    paths: ["panel F1 > key 30/15 > relay 86/85 > engine", "panel F2 > relay 30/87 > lamp > engine"]
  Pump: {works in: running, paths: ["panel F3 > pump > engine"]}
"""


@pytest.fixture(scope="module")
def found() -> Design:
    return design(read("guards.yaml", text=SURVEY))


def _wire(found: Design, start: str, end: str) -> Wire:
    return next(wire for wire in found.wires if (wire.from_.part, wire.to.part) == (start, end))


def _fuse(found: Design, name: str) -> Fuse:
    return next(fuse for fuse in found.fuses if fuse.name == name)


@pytest.mark.parametrize(
    ("start", "end", "fuse"),
    [
        ("battery", "main fuse", ""),
        ("main fuse", "panel", "main fuse"),
        ("panel", "key", "panel F1"),
        ("key", "relay", "panel F1"),
        ("panel", "relay", "panel F2"),
        ("relay", "lamp", "panel F2"),
        ("lamp", "engine ground", "panel F2"),
        ("panel", "pump", "panel F3"),
        ("alternator", "charge fuse", "charge fuse"),
        ("charge fuse", "battery", ""),
    ],
)
def test_each_wire_is_guarded_by_the_nearest_fuse_toward_the_battery(
    found: Design, start: str, end: str, fuse: str
) -> None:
    assert _wire(found, start, end).fuse == fuse


def test_currents_follow_the_paths(found: Design) -> None:
    """By hand: coil 0.15 A, lamp 60 W / 12 V = 5 A, pump 4 A: 9.15 A in the feed, parked 0."""
    assert _wire(found, "main fuse", "panel").current_a == pytest.approx({"parked": 0, "running": 9.15})
    assert _wire(found, "key", "relay").current_a["running"] == pytest.approx(0.15)
    assert _wire(found, "relay", "lamp").current_a["running"] == pytest.approx(5.0)
    assert _wire(found, "alternator", "charge fuse").current_a == pytest.approx({"parked": 0, "running": 40})


def test_fuses_by_hand(found: Design) -> None:
    """0.8 x (1 - 0.2 % x 5 K) = 0.792 at 30 °C, and the next rating sold: 0.15 -> 3 (the smallest),
    5 / 0.792 = 6.31 -> 7.5; the pump's 4 / 0.792 = 5.05 -> 7.5, but 12 A for 0.3 s is 160 % of that, which
    may blow in 0.25 s: 10 A (120 %); the alternator's 40 / 0.792 = 50.51."""
    assert [_fuse(found, f"panel F{way}").rating_a for way in (1, 2, 3)] == [3, 7.5, 10]
    assert _fuse(found, "charge fuse").least_a == pytest.approx(50.505, abs=0.001)
    assert _fuse(found, "main fuse").rating_a > 10  # above those behind it


def test_no_wire_is_thinner_than_its_fuse_lets_through(found: Design) -> None:
    for wire in found.wires:
        assert wire.fuse_a is None or wire.ampacity_a >= wire.fuse_a
    for fuse in found.fuses:
        assert fuse.least_a <= fuse.rating_a <= fuse.most_a


def test_a_contact_upstream_closes_when_a_path_starts_in_the_middle() -> None:
    """The lamp's path starts behind the key, whose own circuit names no mode of its own."""
    text = SURVEY.replace(
        '["panel F1 > key 30/15 > relay 86/85 > engine", ', '["key 15 > relay 86/85 > engine", '
    )
    text = text.replace("  Feed: {paths: [", "  Feed: {paths: [panel F1 > key 30, ")
    found = design(read("guards.yaml", text=text))
    assert _wire(found, "panel", "key").current_a == pytest.approx({"parked": 0, "running": 0.15})


@published("a blade fuse maker's data sheet by a note", "10 A, mV at the rating", "read-from-secondary")
def test_hot_resistance_of_a_10_a_blade(cells: Cells) -> None:
    cells.near("mV", 1000 * fuse_ohm("blade", 10) * 10, 109, rel=0.03)
