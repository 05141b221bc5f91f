"""Machines as mechanics find them, and what the rules must not say of them, or must."""

from __future__ import annotations

import pytest

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
    """What the tool picks meets the limits it prints: 60 A for 60 s in 70 s is nearly always 60 A."""
    design = made(WINCH)
    assert not rules_of(design) & {"strap overloaded", "wire too small"}
    assert all(wire.ampacity_a >= 55 for wire in design.wires)  # sqrt(60/70) x 60 A = 55.5 A in a slow wire


LINKED = """
parts:
  low: {is: battery, at: box, capacity: 120 Ah, cranking: 700 A}
  high: {is: battery, at: box, capacity: 120 Ah, cranking: 700 A}
  cut-off: {is: isolator, at: box}
  starter: {is: starter motor, at: box, on: engine, current: 250 A for 20 s}
  lamp fuse: {is: fuse, at: box}
  lamp: {is: work lamp, at: dash, power: 70 W}
  ground: {is: ground point, at: box, on: engine, stud: M10}
  dash ground: {is: ground point, at: dash, on: engine}
circuits:
  Start:
    works in: cranking
    paths: [high + > starter 30, low + > cut-off > high -, engine > low -]
  Lamp: {works in: night work, paths: [high + > lamp fuse > lamp > engine]}
"""


def volts_of(design: Design, mode: str) -> dict[str, float]:
    state = next(each for each in design.operating if each.mode == mode)
    return {each.part: each.volts_v for each in state.sources}


def test_an_isolator_may_stand_in_the_link_between_two_batteries() -> None:
    """Volts in series add to the machine's 24 V (physics): 12 V each, at rest 12.7 V at most (six cells)."""
    design = made(LINKED, volts=24)
    assert all(volts < 12.8 for volts in volts_of(design, "cranking").values())
    assert not rules_of(design) & {"battery voltage differs", "unfused feed", "no battery isolator"}
    state = next(each for each in design.operating if each.mode == "night work")
    assert [each.part for each in state.loads] == ["lamp"]  # the isolator is closed for it too
    assert state.loads[0].volts_v > 24


SIDE_BY_SIDE = """
parts:
  a1: {is: battery, at: box, capacity: 100 Ah, cranking: 700 A}
  a2: {is: battery, at: box, capacity: 100 Ah, cranking: 700 A}
  b1: {is: battery, at: box, capacity: 100 Ah, cranking: 700 A}
  b2: {is: battery, at: box, capacity: 100 Ah, cranking: 700 A}
  starter: {is: starter motor, at: dash, on: engine, current: 400 A for 20 s}
  ground: {is: ground point, at: box, on: engine, stud: M12}
circuits:
  Start:
    works in: cranking
    paths:
      - b1 + > starter 30
      - b2 + > b1 +
      - a1 + > b1 -
      - a2 + > a1 +
      - b2 - > b1 -
      - engine > a1 -
      - a2 - > a1 -
"""


def test_two_rows_of_two_batteries_need_one_link() -> None:
    """Each has half the volts, and no more than the starter's current flows between them (Kirchhoff)."""
    design = made(SIDE_BY_SIDE, volts=24)
    assert all(12.0 < volts < 12.8 for volts in volts_of(design, "parked").values())
    assert max(amps for wire in design.wires for amps in wire.current_a.values()) < 450
    assert "battery voltage differs" not in rules_of(design)


TWO_SOURCES = """
parts:
  main: {is: battery, at: box, capacity: 100 Ah, cranking: 700 A}
  aux: {is: battery, at: dash, capacity: 100 Ah}
  starter: {is: starter motor, at: box, on: engine, current: 200 A for 10 s}
  foot: {is: starter foot switch, at: box}
  relay: {is: heavy relay, at: box, on: engine, rating: 150 A}
  near fuse: {is: main fuse, at: box}
  far fuse: {is: main fuse, at: dash}
  button: {is: switch, at: box}
  coil fuse: {is: fuse, at: box}
  lamp fuse: {is: fuse, at: dash}
  lamp: {is: work lamp, at: dash, power: 70 W}
  ground: {is: ground point, at: box, on: engine, stud: M10}
  dash ground: {is: ground point, at: dash, on: engine, stud: M10}
circuits:
  Start: {works in: cranking, paths: [main + > foot > starter 30, engine > main -]}
  Aux ground: {paths: [dash ground > aux -]}
  Split:
    works in: running
    paths:
      - main + > near fuse > relay 30/87 > far fuse > aux +
      - main + > coil fuse > button > relay 86
  Lamp: {works in: night work, paths: [aux + > lamp fuse > lamp > dash ground]}
"""


def test_two_fuses_between_two_batteries_do_not_outbid_each_other() -> None:
    """Each is before the other, so none need stand above it: both stay at the least of their form."""
    design = made(TWO_SOURCES)
    ratings = {fuse.name: fuse.rating_a for fuse in design.fuses}
    assert ratings["near fuse"] <= 60 and ratings["far fuse"] <= 60
    assert "fuse too slow for its wire" not in rules_of(design)


def test_a_starter_cable_is_not_guarded_by_the_fuse_of_another_battery() -> None:
    design = made(TWO_SOURCES)
    cable = next(wire for wire in design.wires if wire.to.part == "foot")
    assert cable.fuse == ""
    assert all(limit.name != "protection" for limit in cable.limits)
    fault = next(one for one in design.faults if one.wire == cable.number)
    assert fault.cleared is None  # whatever opens there, the main battery goes on


DYNAMO = """
parts:
  battery: {is: battery, at: box, capacity: 70 Ah}
  dynamo: {is: dynamo, at: dash, on: engine, output: 22 A}
  charge fuse: {is: fuse, at: dash}
  control box: {is: regulator, at: dash, on: engine}
  main fuse: {is: fuse, at: box}
  key: {is: key switch, at: dash}
  charge lamp: {is: warning lamp, at: dash}
  ground: {is: ground point, at: box, on: engine}
circuits:
  Feed: {paths: [battery + > main fuse > key, engine > battery -]}
  Charge:
    works in: running
    paths:
      - dynamo D+ > charge fuse > control box D+/B+ > key 30
      - control box DF > dynamo DF
      - key 30/15 > charge lamp > control box D+
"""


def test_the_charge_lamp_of_a_dynamo_is_grounded_by_the_dynamo() -> None:
    """It burns through the armature till the dynamo gives as much as the battery (common practice)."""
    assert "no return path" not in rules_of(made(DYNAMO))


BALLAST = """
parts:
  battery: {is: battery, at: box, capacity: 60 Ah, cranking: 400 A}
  starter: {is: starter motor, at: box, on: engine, current: 150 A for 10 s}
  relay: {is: starter relay, at: box, on: engine}
  feed fuse: {is: fuse, at: box}
  key: {is: key switch, at: dash}
  ballast: {is: ballast resistor, at: dash, resistance: 1.5 ohm}
  coil: {is: ignition coil, at: dash, rated: 8 V, current: 3 A}
  points: {is: points, at: dash, on: engine}
  ground: {is: ground point, at: box, on: engine, stud: M10}
circuits:
  Start:
    works in: cranking
    paths: [battery + > relay 30/87 > starter 30, engine > battery -, key 30/50 > relay 86, key 50 > coil 15]
  Feed: {paths: [battery + > feed fuse > key]}
  Ignition: {works in: [running], paths: [key 30/15 > ballast > coil > points]}
"""


def test_a_ballast_that_is_bridged_for_the_start_starves_no_coil() -> None:
    """What the ballast takes, 1.5 ohm x 3 A = 4.5 V, is meant (as in a car of the sixties)."""
    design = made(BALLAST)
    assert not rules_of(design) & {"load starved", "part of another voltage"}
    coil = next(load for load in design.loads if load.part == "coil")
    running = next(seen for seen in coil.modes if seen.mode == "running")
    assert running.source_v - running.volts_v == pytest.approx(4.5 + running.drop_v)


BEAMS = """
parts:
  battery: {is: battery, at: box, capacity: 60 Ah}
  dipped fuse: {is: fuse, at: box}
  main fuse: {is: fuse, at: box}
  lamp: {is: head lamp, at: dash, on: frame}
  ground: {is: ground point, at: box, on: frame}
circuits:
  Ground: {paths: [frame > battery -]}
  Dipped: {works in: night work, paths: [battery + > dipped fuse > lamp 56b]}
  Main beam: {works in: night work, paths: [battery + > main fuse > lamp 56a]}
"""


def test_main_beam_may_lose_no_more_than_dipped_beam() -> None:
    """Both are the handbook's headlamp line: 0.6 V in the whole circuit (memory)."""
    lamps = {load.link: load.allowance_v for load in made(BEAMS).loads}
    assert lamps == {"56b/case": 0.6, "56a/case": 0.6}


TRIGGER = """
parts:
  battery: {is: battery, at: box, capacity: 80 Ah, cranking: 600 A}
  starter:
    {is: starter motor, at: dash, on: engine, current: 200 A for 10 s, coil: 15 A, coil peak: 70 A for 0.3 s}
  feed fuse: {is: fuse, at: box}
  key: {is: key switch, at: dash}
  neutral switch: {is: neutral switch, at: dash}
  ground: {is: ground point, at: box, on: engine, stud: M10}
circuits:
  Start:
    works in: cranking
    paths:
      - battery + > starter 30
      - engine > battery -
      - battery + > feed fuse > key 30/50 > neutral switch > starter 50
"""


def test_no_battery_cable_is_put_on_a_small_blade_to_save_some_tenths_of_a_volt() -> None:
    """Contacts alone lose too much there; a relay helps, 1/0 AWG on a 6.3 mm blade does not (practice)."""
    design = made(TRIGGER)
    small = [wire for wire in design.wires if "key" in (wire.from_.part, wire.to.part)]
    assert small and all(wire.area_mm2 < 12 for wire in small)
    assert "starter trigger drop" in rules_of(design)


def test_two_batteries_side_by_side_last_twice_as_long() -> None:
    """Half of 2 x 100 Ah at 5.83 A is 100 / 5.83 / 24 = 0.7 days, not 0.4."""
    text = TWO_SOURCES.replace("works in: night work", "works in: parked").replace(
        "    works in: running\n    paths:\n      - main",
        "    works in: [running, parked]\n    paths:\n      - main",
    )
    drain = next(each for each in made(text).findings if each.rule == "parked drain")
    assert "half of the 200 Ah" in drain.text


HOT = """
parts:
  battery: {is: battery, at: box, capacity: 60 Ah}
  lamp fuse: {is: fuse, at: dash}
  lamp: {is: work lamp, at: dash, on: frame, power: 35 W}
  ground: {is: ground point, at: box, on: frame}
circuits:
  Lamp: {paths: [battery + > lamp fuse > lamp, frame > battery -]}
"""


def test_no_copper_is_spent_where_it_is_too_hot_for_any() -> None:
    """GXL stands 125 °C (SAE J1128): in 130 °C no size helps, and 4/0 AWG helps no more than 18."""
    design = designed(HEAD.format(volts=12, post="negative").replace("45 °C", "130 °C") + HOT)[1]
    assert "place too hot for cable" in rules_of(design)
    assert max(wire.area_mm2 for wire in design.wires) < 2


PULL = """
parts:
  battery: {is: battery, at: box, capacity: 60 Ah}
  feed fuse: {is: fuse, at: box, rating: 20 A}
  pump: {is: motor, at: dash, on: frame, current: 15 A for 60 s, peak: 15 A for 0.1 s}
  valve: {is: solenoid, at: dash, on: frame, current: 1 A, peak: PULL A for 0.5 s}
  ground: {is: ground point, at: box, on: frame}
circuits:
  Work: {works in: running, paths: [battery + > feed fuse > pump, feed fuse > valve, frame > battery -]}
"""


def test_a_fuse_has_to_outlast_every_rush_and_not_the_warmest_alone() -> None:
    """A 20 A blade may open within 0.25 s at 200 % (ISO 8820-3, memory); 15 A for a minute it stands."""
    assert "fuse blows on inrush" in rules_of(made(PULL.replace("PULL", "60")))
    assert "fuse blows on inrush" not in rules_of(made(PULL.replace("PULL", "18")))
