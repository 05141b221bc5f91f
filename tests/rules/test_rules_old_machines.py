"""Machines as mechanics find them, and what the rules must not say of them, or must."""

from __future__ import annotations

from harness.model.design import Design
from tests.rules.surveys import designed

HEAD = """
machine: {{name: Test machine, voltage: {volts} V, chassis post: {post}, cable: GXL, sizes: AWG}}
zones:
  bay: {{ambient: 45 °C}}
runs:
  - {{from: box, to: dash, length: 2 m, zone: bay}}
"""


def made(rest: str, volts: int = 12, post: str = "negative") -> Design:
    """The design of a machine of two places, 2 m apart."""
    return designed(HEAD.format(volts=volts, post=post) + rest)[1]


def rules_of(design: Design) -> set[str]:
    return {each.rule for each in design.findings}


HORN = """
parts:
  battery: {is: battery, at: box, capacity: 80 Ah, cranking: 600 A}
  starter: {is: starter motor, at: box, on: engine, current: 200 A for 10 s}
  foot: {is: starter foot switch, at: box}
  horn fuse: {is: fuse, at: box}
  horn: {is: horn, at: dash, current: HORN A}
  button: {is: push button, at: dash, on: engine, rating: 10 A}
  ground: {is: ground point, at: box, on: engine, stud: M10}
circuits:
  Start: {works in: cranking, paths: [battery + > foot > starter 30, engine > battery -]}
  Horn: {works in: running, paths: [battery + > horn fuse > horn > button]}
"""


def test_a_button_that_grounds_a_horn_carries_the_horn_alone() -> None:
    """The starter's current comes home through the same engine, and not through the button (physics)."""
    assert "contact overloaded" not in rules_of(made(HORN.replace("HORN", "6")))
    assert "contact overloaded" in rules_of(made(HORN.replace("HORN", "12")))


WINCH = """
parts:
  battery: {is: battery, at: box, capacity: 100 Ah, cranking: 700 A}
  winch fuse: {is: main fuse, at: box}
  relay: {is: heavy relay, at: dash, on: frame}
  winch: {is: motor, at: dash, on: frame, current: 60 A, duty: 60 s in 70 s, terminals: {+: stud M6}}
  ground: {is: ground point, at: box, on: frame, stud: M10}
circuits:
  Winch:
    works in: running
    drop: 25 %
    paths: [battery + > winch fuse > relay 30/87 > winch, frame > battery -]
"""


def test_a_strap_is_thick_enough_for_what_comes_again_and_again() -> None:
    """What the tool picks by itself meets the limits it prints: 60 A for 60 s in 70 s is nearly always 60 A."""
    design = made(WINCH)
    assert not rules_of(design) & {"strap overloaded", "wire too small"}
    assert all(wire.ampacity_a >= 55 for wire in design.wires)  # sqrt(60/70) x 60 A = 55.5 A in a slow wire
