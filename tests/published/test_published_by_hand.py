"""A small pump set solved by hand, arithmetic shown, against the program from survey text to volts."""

from __future__ import annotations

from math import pi, sqrt

import pytest

from harness.model.design import Design, LoadVolts, Wire
from harness.pipeline import design
from harness.survey import read
from tests.published.heat_balance import XLPE_K_M_PER_W, loom_conductors_c
from tests.published.heat_balance import Wire as Lone
from tests.published.heat_balance import conductor_c as balanced_c

# Two lamps stand for the pump and its work lamp: 96 W and 36 W at 12 V draw 8 A and 3 A and have no peaks.
# Every size and length is fixed, so nothing but the electrics is left to the program.
SURVEY = """
machine:
  name: Pump worked by hand
  voltage: 12 V
  chassis post: negative
  cable: GXL
  sizes: AWG
  slack: 0 %
zones:
  shed: {ambient: 40 °C, closed: yes}
runs:
  - {from: battery box, to: board, length: 2 m, zone: shed, covering: none}
  - {from: board, to: pump head, length: 3 m, zone: shed, covering: none}
  - {from: battery box, to: block, length: 1 m, zone: shed, covering: none}
parts:
  battery: {is: battery, at: battery box, capacity: 60 Ah, cranking: 540 A}
  F1: {is: fuse, at: battery box, rating: 15 A}
  pump switch: {is: switch, at: board}
  pump: {is: lamp, at: pump head, power: 96 W}
  work lamp: {is: lamp, at: pump head, power: 36 W}
  head ground: {is: ground point, at: pump head, on: engine, stud: M8}
  block ground: {is: ground point, at: block, on: engine, stud: M8}
modes:
  pumping: {engine: stopped}
circuits:
  Pumping:
    works in: pumping
    paths:
      - battery + > F1 > pump switch > pump > engine
      - pump switch > work lamp > engine
      - engine > battery -
wires:
  battery + > F1: {size: 12 AWG, length: 0.4 m}
  F1 > pump switch: {size: 12 AWG, length: 2.5 m}
  pump switch > pump: {size: 14 AWG, length: 3.2 m}
  pump switch > work lamp: {size: 16 AWG, length: 3.3 m}
  pump > engine: {size: 14 AWG, length: 0.5 m}
  work lamp > engine: {size: 16 AWG, length: 0.6 m}
  engine > battery -: {size: 10 AWG, length: 1.5 m}
"""

# SAE J1128 least areas in mm2 (memory): 16 gauge 1.12, 14 gauge 1.85, 12 gauge 2.91, 10 gauge 4.65.
# Copper 17.241 ohm mm2/km with 2 % for the lay of the strands: 17.586 mohm mm2/m.
R20 = {"16": 17.586 / 1.12, "14": 17.586 / 1.85, "12": 17.586 / 2.91, "10": 17.586 / 4.65}  # mohm/m
# 33 CFR 183.425 table 5, 125 °C column, at 30 °C (read). In 40 °C: x sqrt((125 - 40)/(125 - 30)) = 0.94591.
TABLE_A = {"16": 30, "14": 40, "12": 50, "10": 70}


# Outside of GXL in mm (read): 16 gauge 3.0, 14 gauge 3.5, 12 gauge 4.1, 10 gauge 4.8; copper fills three
# quarters of the conductor's round (common practice).
OUTSIDE_MM = {"16": 3.0, "14": 3.5, "12": 4.1, "10": 4.8}


def lone(gauge: str) -> Lone:
    """A gauge as the tests' own heat balance takes it."""
    area_mm2 = 17.586 / R20[gauge]
    return Lone(
        sqrt(4 * area_mm2 / pi / 0.75) / 1e3, OUTSIDE_MM[gauge] / 1e3, R20[gauge] / 1e3, XLPE_K_M_PER_W
    )


def settles_c(gauge: str, current_a: float) -> float:
    """Where the tests' own heat balance puts the conductor in still air of 40 °C."""
    return balanced_c(lone(gauge), current_a=current_a, ambient_c=40)


def hot_mohm(
    gauge: str, length_m: float, current_a: float, bundle: float = 1.0, loom_c: float = 0.0
) -> float:
    """R20 (234.5 + T)/254.5; T is the hottest of 40 + 85 (I/Iz)2 (the rise goes with the square of the
    current), of the heat balance, where a bundle lets out the square of its factor of the heat, and of the
    loom with both its wires."""
    able = TABLE_A[gauge] * sqrt(85 / 95) * bundle
    conductor_c = max(40 + 85 * (current_a / able) ** 2, settles_c(gauge, current_a / bundle), loom_c)
    return R20[gauge] * length_m * (234.5 + conductor_c) / 254.5


# board - pump head holds two loaded wires, 8 and 3 A of the 40 + 30 A x 0.94591 = 66.2 A they could: 17 %.
# MIL-W-5088L curve, 2 wires at up to 20 %: 0.9675 (read-from-secondary). Everywhere else a wire lies alone.
PAIR = 0.9675
PUMP_C, LAMP_C = loom_conductors_c([(lone("14"), 8.0), (lone("16"), 3.0)], ambient_c=40)

# Cut length: as measured, 50 mm for an end on a blade, pigtail or stud, 25 mm for one on a battery post and
# for its cable's other lug, up to the next 50 mm (common practice).
FEED = hot_mohm("12", 0.50, 11)  # 0.4 + 0.025 + 0.05 = 0.475
MAIN = hot_mohm("12", 2.60, 11)  # 2.5 + 0.05 + 0.05
TO_PUMP = hot_mohm("14", 3.30, 8, PAIR, PUMP_C)
TO_LAMP = hot_mohm("16", 3.40, 3, PAIR, LAMP_C)
FROM_PUMP = hot_mohm("14", 0.60, 8)
FROM_LAMP = hot_mohm("16", 0.70, 3)
STRAP = hot_mohm("10", 1.55, 11)  # 1.5 + 0.025 + 0.025

# Joints in mohm: post clamp 0.05, pigtail splice 0.5, blade 1.5, M8 lug 0.05, bolted ground point 0.174;
# switch contact 15; 15 A blade fuse 4.80 cold (read-from-secondary) x 1.45 hot = 6.96, its holder 0.5.
SHARED_FEED = 0.05 + FEED + 0.5 + (6.96 + 0.5) + 0.5 + MAIN + 1.5 + 15
SHARED_BACK = 0.174 + 0.174 + 0.05 + STRAP + 0.05
PUMP_OWN = 1.5 + TO_PUMP + 1.5 + 1.5 + FROM_PUMP + 0.05
LAMP_OWN = 1.5 + TO_LAMP + 1.5 + 1.5 + FROM_LAMP + 0.05

# Battery: 6 cells of 2.1 V; SAE J537 allows 0.9 V a cell at 540 A, so 6 x 0.9 / 540 = 10 mohm.
POSTS_V = 12.6 - 11 * 0.010
PUMP_V = POSTS_V - (11 * (SHARED_FEED + SHARED_BACK) + 8 * PUMP_OWN) / 1000
LAMP_V = POSTS_V - (11 * (SHARED_FEED + SHARED_BACK) + 3 * LAMP_OWN) / 1000


@pytest.fixture(scope="module")
def result() -> Design:
    return design(read("by hand.yaml", text=SURVEY))


def seen(result: Design, part: str) -> LoadVolts:
    (mode,) = next(load for load in result.loads if load.part == part).modes
    return mode


def wire(result: Design, start: str, end: str) -> Wire:
    return next(one for one in result.wires if (one.from_.part, one.to.part) == (start, end))


def test_the_hand_work_itself_in_round_figures() -> None:
    """Cold copper, by head: 12 gauge 6.04, 14 gauge 9.51, 16 gauge 15.7, 10 gauge 3.78 mohm/m."""
    assert [round(R20[gauge], 2) for gauge in ("12", "14", "16", "10")] == [6.04, 9.51, 15.70, 3.78]
    assert round(POSTS_V, 3) == 12.490
    assert (round(PUMP_V, 2), round(LAMP_V, 2)) == (11.55, 11.69)


def test_currents_follow_the_watts_and_add_up_at_every_joint(result: Design) -> None:
    amps = {(one.from_.part, one.to.part): one.current_a["pumping"] for one in result.wires}
    assert amps[("battery", "F1")] == pytest.approx(11.0)
    assert amps[("F1", "pump switch")] == pytest.approx(11.0)
    assert amps[("pump switch", "pump")] == pytest.approx(8.0)
    assert amps[("pump switch", "work lamp")] == pytest.approx(3.0)
    assert amps[("pump", "head ground")] == pytest.approx(8.0)
    assert amps[("work lamp", "head ground")] == pytest.approx(3.0)
    assert amps[("block ground", "battery")] == pytest.approx(11.0)


@pytest.mark.parametrize(
    ("start", "end", "mohm"),
    [
        ("battery", "F1", FEED),
        ("F1", "pump switch", MAIN),
        ("pump switch", "pump", TO_PUMP),
        ("pump switch", "work lamp", TO_LAMP),
        ("pump", "head ground", FROM_PUMP),
        ("work lamp", "head ground", FROM_LAMP),
        ("block ground", "battery", STRAP),
    ],
)
def test_every_wire_has_the_resistance_worked_out_by_hand(
    result: Design, start: str, end: str, mohm: float
) -> None:
    assert wire(result, start, end).resistance_ohm * 1000 == pytest.approx(mohm, rel=2e-4)


def test_volts_at_the_posts_the_pump_and_the_lamp(result: Design) -> None:
    pump, lamp = seen(result, "pump"), seen(result, "work lamp")
    assert pump.source_v == pytest.approx(POSTS_V, abs=1e-4)
    assert pump.volts_v == pytest.approx(PUMP_V, abs=2e-4)
    assert lamp.volts_v == pytest.approx(LAMP_V, abs=2e-4)


def test_what_the_battery_gives_is_what_loads_and_losses_take(result: Design) -> None:
    """Power: EMF x 11 A = loads at their volts + squares of the currents times every resistance by hand."""
    losses = 11**2 * (10 + SHARED_FEED + SHARED_BACK) + 8**2 * PUMP_OWN + 3**2 * LAMP_OWN
    taken = 8 * seen(result, "pump").volts_v + 3 * seen(result, "work lamp").volts_v
    assert taken + losses / 1000 == pytest.approx(12.6 * 11, abs=0.003)


def test_return_counts_as_much_as_feed(result: Design) -> None:
    """Without the way back the pump would lose 11 A x 6.82 mohm + 8 A x 7.79 mohm = 0.137 V less."""
    back = (11 * SHARED_BACK + 8 * (1.5 + FROM_PUMP + 0.05)) / 1000
    assert back == pytest.approx(0.137, abs=0.001)
    assert seen(result, "pump").drop_v == pytest.approx(POSTS_V - PUMP_V, abs=2e-4)


def test_a_positive_chassis_changes_no_volt() -> None:
    """The same machine turned round: paths start at the negative post, the strap ends on the positive."""
    mirrored = SURVEY.replace("chassis post: negative", "chassis post: positive")
    mirrored = mirrored.replace("battery +", "battery *").replace("battery -", "battery +")
    mirrored = mirrored.replace("battery *", "battery -")
    turned = design(read("by hand, turned.yaml", text=mirrored))
    assert seen(turned, "pump").volts_v == pytest.approx(PUMP_V, abs=2e-4)
    assert seen(turned, "work lamp").volts_v == pytest.approx(LAMP_V, abs=2e-4)
