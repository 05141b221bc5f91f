"""Small surveys for the rules, and what the rules say of them."""

from __future__ import annotations

from functools import cache

from harness import pipeline
from harness.model.design import Design, Finding
from harness.model.machine import Machine
from harness.rules import findings
from harness.survey import read

# A tractor with nothing wrong: the rules have no danger and no fault to report.
GOOD = """
machine:
  name: Test tractor
  voltage: 12 V
  chassis post: negative
  cable: GXL
  sizes: AWG
zones:
  bay: {ambient: 60 °C}
  dash: {ambient: 40 °C, closed: yes}
  front: {ambient: 40 °C}
bodies:
  engine: {}
  frame: {}
runs:
  - {from: box, to: block, length: 0.8 m, zone: bay, covering: corrugated}
  - {from: box, to: dash, length: 1.5 m, zone: dash, hole: 38 mm, plate: 2 mm, covering: corrugated}
  - {from: box, to: nose, length: 2.0 m, zone: front, covering: corrugated}
parts:
  battery: {is: battery, at: box, capacity: 100 Ah, cranking: 700 A}
  main fuse: {is: main fuse, at: box}
  starter:
    {is: starter motor, at: block, on: engine, current: 250 A for 20 s, coil: 10 A, coil peak: 40 A for 0.3 s}
  charge fuse: {is: main fuse, at: block}
  start fuse: {is: fuse, at: block}
  alternator: {is: alternator, at: block, on: engine, output: 55 A}
  panel: {is: fuse panel, at: dash, ways: 8}
  key: {is: key switch, at: dash}
  neutral switch: {is: neutral switch, at: dash}
  start relay: {is: starter relay, at: block}
  stop relay: {is: relay, at: dash}
  charge lamp: {is: warning lamp, at: dash, power: 3 W}
  stop solenoid: {is: stop solenoid, at: block, on: engine, current: 1 A, peak: 36 A for 0.5 s}
  lamp switch: {is: switch, at: dash}
  left head lamp: {is: lamp, at: nose, power: 35 W}
  right head lamp: {is: lamp, at: nose, power: 35 W}
  engine ground: {is: ground point, at: block, on: engine, stud: M10}
  frame ground: {is: ground point, at: box, on: frame, stud: M10}
  dash ground: {is: ground point, at: dash, on: frame, stud: M8}
  nose ground: {is: ground point, at: nose, on: frame, stud: M8}
modes:
  parked: {engine: stopped}
  cranking: {engine: cranking}
  running: {engine: running}
  night: {engine: running}
circuits:
  Battery cables:
    works in: cranking
    paths: [battery + > starter 30, engine > battery -]
  Straps:
    paths: [engine > frame]
  Main feed:
    paths: [battery + > main fuse > panel]
  Charging:
    works in: [running, night]
    paths: [alternator B+ > charge fuse > starter 30]
  Ignition:
    works in: [cranking, running, night]
    paths:
      - panel F1 > key 30/15 > charge lamp > alternator D+
      - key 15 > stop relay 86/85 > frame
      - panel F2 > stop relay 30/87 > stop solenoid
  Cranking:
    works in: cranking
    paths:
      - panel F1 > key 30/50 > neutral switch > start relay 86/85 > engine
      - starter 30 > start fuse > start relay 30/87 > starter 50
  Left head lamp:
    works in: night
    paths: [panel F3 > lamp switch > left head lamp > frame]
  Right head lamp:
    works in: night
    paths: [panel F4 > right head lamp > frame]
"""


# Two 12 V batteries in series, a radio on the middle.
MIDDLE = """
machine: {name: Test loader, voltage: 24 V, chassis post: negative, cable: GXL, sizes: AWG}
zones:
  box: {ambient: 40 °C}
bodies: {frame: {}}
runs:
  - {from: box, to: seat, length: 1.0 m, zone: box, covering: corrugated}
parts:
  low battery: {is: battery, at: box, capacity: 100 Ah, rated: 12 V}
  high battery: {is: battery, at: box, capacity: 100 Ah, rated: 12 V}
  tap fuse: {is: fuse, at: box}
  lamp fuse: {is: fuse, at: box}
  radio: {is: radio, at: seat}
  work lamp: {is: lamp, at: seat, power: 70 W}
  box ground: {is: ground point, at: box, on: frame}
  seat ground: {is: ground point, at: seat, on: frame}
circuits:
  Batteries:
    paths: [high battery - > low battery +, frame > low battery -]
  Radio:
    paths: [low battery + > tap fuse > radio > frame]
  Lamp:
    paths: [high battery + > lamp fuse > work lamp > frame]
"""

# The positive post on the chassis: fuses and switches stand in the negative wires.
POSITIVE = """
machine: {name: Test crane, voltage: 12 V, chassis post: positive, cable: GXL, sizes: AWG}
zones:
  box: {ambient: 40 °C}
bodies: {frame: {}}
runs:
  - {from: box, to: seat, length: 1.0 m, zone: box, covering: corrugated}
parts:
  battery: {is: battery, at: box, capacity: 100 Ah}
  radio fuse: {is: fuse, at: box}
  lamp fuse: {is: fuse, at: box}
  charge fuse: {is: main fuse, at: box}
  alternator: {is: alternator, at: box, output: 45 A}
  radio: {is: radio, at: seat}
  work lamp: {is: lamp, at: seat, power: 35 W}
  box ground: {is: ground point, at: box, on: frame}
  seat ground: {is: ground point, at: seat, on: frame}
circuits:
  Battery:
    paths: [frame > battery +]
  Charging:
    paths: [alternator B- > charge fuse > battery -, alternator B+ > frame]
  Radio:
    paths: [battery - > radio fuse > radio > frame]
  Lamp:
    paths: [battery - > lamp fuse > work lamp > frame]
"""

# Nothing in it that could drive off.
PUMP = """
machine: {name: Test pump, voltage: 12 V, chassis post: negative, cable: GXL, sizes: AWG}
zones:
  skid: {ambient: 40 °C}
runs:
  - {from: tray, to: block, length: 0.8 m, zone: skid, covering: corrugated}
parts:
  battery: {is: battery, at: tray, capacity: 60 Ah}
  start fuse: {is: fuse, at: tray}
  key: {is: key switch, at: tray}
  starter:
    {is: starter motor, at: block, on: engine, current: 150 A for 10 s, coil: 8 A, coil peak: 25 A for 0.3 s}
  engine ground: {is: ground point, at: block, on: engine}
circuits:
  Battery cables:
    works in: cranking
    paths: [battery + > starter 30, engine > battery -]
  Starting:
    works in: cranking
    paths: [battery + > start fuse > key 30/50 > starter 50]
"""


# What old machines have and new ones do not: dynamo with regulator, points, ballast, a winch that reverses.
OLD = """
machine: {name: Old petrol tractor, voltage: 12 V, chassis post: negative, cable: GXL, sizes: AWG}
zones:
  bay: {ambient: 60 °C}
  dash: {ambient: 40 °C, closed: yes}
bodies: {engine: {}, frame: {}}
runs:
  - {from: box, to: block, length: 0.8 m, zone: bay, covering: corrugated}
  - {from: box, to: dash, length: 0.9 m, zone: dash, covering: corrugated}
  - {from: dash, to: rear, length: 1.9 m, zone: dash, covering: corrugated}
parts:
  key stud: {is: terminal stud, at: dash}
  second ground: {is: ground point, at: dash, on: frame, stud: M8}
  battery: {is: battery, at: box, capacity: 70 Ah, cranking: 500 A}
  isolator: {is: isolator, at: box}
  starter:
    {is: starter motor, at: block, on: engine, current: 180 A for 10 s, coil: 8 A, coil peak: 25 A for 0.3 s}
  main fuse: {is: main fuse, at: box, rating: 40 A}
  charge fuse: {is: fuse, at: dash, rating: 30 A}
  dynamo: {is: dynamo, at: block, on: engine, output: 22 A}
  regulator: {is: regulator, at: dash}
  ammeter: {is: ammeter, at: dash, rating: 30 A}
  panel: {is: fuse panel, at: dash, ways: 10}
  key: {is: key switch, at: dash}
  button: {is: push button, at: dash, rating: 40 A}
  gear lever switch: {is: neutral switch, at: dash}
  start relay: {is: starter relay, at: box}
  start fuse: {is: fuse, at: box}
  coil: {is: ignition coil, at: block, suppressed: yes}
  ballast: {is: ballast resistor, at: block}
  points: {is: points, at: block, on: engine}
  charge lamp: {is: warning lamp, at: dash, power: 3 W}
  winch motor: {is: motor, at: rear, current: 8 A, peak: 20 A for 0.2 s}
  in relay: {is: changeover relay, at: dash}
  out relay: {is: changeover relay, at: dash}
  in button: {is: push button, at: dash}
  out button: {is: push button, at: dash}
  flasher: {is: flasher unit, at: dash}
  turn switch: {is: turn switch, at: dash}
  left turn: {is: turn lamp, at: rear}
  right turn: {is: turn lamp, at: rear}
  horn: {is: horn, at: rear, on: frame, current: 4 A}
  horn button: {is: push button, at: dash}
  dash ground: {is: ground point, at: dash, on: frame, stud: M8}
  rear ground: {is: ground point, at: rear, on: frame, stud: M8}
  box ground: {is: ground point, at: box, on: frame, stud: M10}
  block ground: {is: ground point, at: block, on: engine, stud: M10}
modes:
  parked: {engine: stopped}
  cranking: {engine: cranking}
  running: {engine: running}
circuits:
  Battery cables:
    works in: cranking
    paths: [battery + > isolator > starter 30, engine > battery -]
  Straps: {paths: [engine > frame]}
  Feed: {paths: [isolator 2 > main fuse > ammeter > panel]}
  Charging:
    works in: running
    paths:
      - dynamo D+ > regulator D+/B+ > charge fuse > panel bus
      - regulator DF > dynamo DF
      - regulator 31 > dash ground
  Ignition:
    works in: [cranking, running]
    drop: 8 V
    paths: [panel F1 > key 30/15 > key stud > ballast > coil > points, key stud > charge lamp > regulator D+]
  Start:
    works in: cranking
    paths:
      - key stud > button > gear lever switch > start relay 86/85 > frame
      - starter 30 > start fuse > start relay 30/87 > starter 50
  Winch:
    works in: running
    paths:
      - panel F2 > in relay 87
      - panel F2 > out relay 87
      - in relay 87/30 > winch motor +
      - winch motor - > out relay 30/87a > dash ground
      - in relay 87a > dash ground
      - panel F3 > (in button > in relay 86/85, out button > out relay 86/85) > second ground
  Turn:
    works in: running
    paths:
      - panel F4 > flasher 49/49a > turn switch
      - turn switch L > left turn > rear ground
      - turn switch R > right turn > rear ground
      - flasher 31 > second ground
  Horn:
    works in: running
    paths: [panel F5 > horn button > horn]
"""


def changed(*swaps: tuple[str, str], text: str = GOOD) -> str:
    """The good survey with some text swapped; each text to go must be there once."""
    for old, new in swaps:
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times"
        text = text.replace(old, new)
    return text


@cache
def designed(text: str) -> tuple[Machine, Design]:
    """Machine and design of a survey; the machine with its wires cut where looms meet."""
    machine = read("test.yaml", text=text)
    design = pipeline.design(machine)
    return pipeline.sized(machine)[0] if design.couplers else machine, design


@cache
def judged(text: str) -> tuple[Finding, ...]:
    """What the rules find in a survey."""
    return tuple(findings(*designed(text)))


def said(text: str, rule: str) -> list[Finding]:
    """What one rule finds in a survey."""
    return [finding for finding in judged(text) if finding.rule == rule]
