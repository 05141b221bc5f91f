"""Dead shorts worked by hand: current, clearing time, what a wire stands, fuses in series."""

from __future__ import annotations

import pytest

from harness.electric.overload import short_end_c
from harness.pipeline import design
from harness.survey import read

ONE_WIRE = """
machine: {name: bench, voltage: 12 V, chassis post: negative, cable: GXL, sizes: AWG, slack: 0 %}
zones: {cool: {ambient: 20 °C}}
runs:
  - {from: box, to: post, length: 10 m, zone: cool}
parts:
  battery: {is: battery, at: box, capacity: 70 Ah, cranking: 540 A}
  F1: {is: fuse, at: box, rating: 10 A}
  lamp: {is: work lamp, at: post, power: 55 W}
  box ground: {is: ground point, at: box, on: frame}
  post ground: {is: ground point, at: post, on: frame}
circuits:
  Ground: {paths: [frame > battery -]}
  Lamp: {paths: [battery + > F1 > lamp > frame]}
wires:
  F1 > lamp: {size: 14 AWG}
"""


@pytest.mark.parametrize(("cable", "end_c"), [("GPT", 160), ("GXL", 250), ("class A", 160), ("class C", 250)])
def test_end_temperature_by_insulation(cable: str, end_c: float) -> None:
    """IEC 60364-5-54: PVC 160 °C, XLPE 250 °C."""
    assert short_end_c(cable) == end_c


def test_fault_current_by_hand() -> None:
    """14 AWG is 8.29 mohm/m at 20 °C (ASTM B258 solid, 8.28; strands up to 5 % more): 10 m are 83 to 90 mohm.

    The battery, (12.6 - 7.2) V / 540 A = 10 mohm at -18 °C, has 40 % of its power there and 51 % at -10 °C
    (the trade's chart, between 40 % at -18 and 65 % at 0): 7.8 mohm; warm 4 mohm. Half charged it stands at
    12.2 V, full at 12.6 V. The fuse (7.7 mohm cold, half as much again hot), joints of 1.5 mohm at most and
    two short leads add no more than 55 mohm.
    """
    found = design(read("bench.yaml", text=ONE_WIRE))
    wire = next(each for each in found.wires if each.to.part == "lamp")
    fault = next(each for each in found.faults if each.wire == wire.number)
    assert 12.2 / (0.090 * 1.1 + 0.055) < fault.current_a < 12.2 / (0.083 + 0.0078)
    assert 12.6 / (0.090 + 0.055) < fault.most_a < 12.6 / (0.083 + 0.004)
    assert fault.fuse == "F1"
    assert fault.current_a * fault.path_ohm == pytest.approx(12.2, abs=0.01)
    assert fault.clearing_s is not None and fault.clearing_s <= 0.1  # beyond 600 % of 10 A
    assert fault.cleared and fault.stands
    unfused = next(each for each in found.faults if not each.fuse)
    assert (unfused.clearing_s, unfused.cleared, unfused.stands) == (None, None, None)


def test_a_longer_wire_has_a_smaller_fault_current() -> None:
    near = design(read("bench.yaml", text=ONE_WIRE))
    far = design(read("bench.yaml", text=ONE_WIRE.replace("10 m", "20 m")))
    number = next(each.number for each in near.wires if each.to.part == "lamp")
    amps = [next(each.current_a for each in one.faults if each.wire == number) for one in (near, far)]
    assert amps[0] > 1.4 * amps[1]


def test_a_wire_stands_what_its_fuse_passes_for_minutes() -> None:
    """ISO 8820-3: 160 % of 30 A may last 50 s (memory). By hand, heat staying in:

    10 AWG GXL is 4.65 mm2, 16 J/(K m) by its copper alone (3.45 J/(K cm3)); 48 A in 4.2 mohm/m hot make
    9.7 W/m, at most 0.6 K/s and 30 K in 50 s, far within 175 °C (125 + 50). 18 AWG is 0.76 mm2, 2.6 J/(K m)
    and as much again by its insulation; 48 A in 26 mohm/m make 60 W/m, 12 K/s at first.
    """
    text = ONE_WIRE.replace("rating: 10 A", "rating: 30 A")
    stands = {}
    for size in ("10 AWG", "18 AWG"):
        found = design(read("bench.yaml", text=text.replace("14 AWG", size)))
        wire = next(each for each in found.wires if each.to.part == "lamp")
        protection = next(limit for limit in wire.limits if limit.name == "protection")
        over = next(curve for curve in found.fuse_curves if curve.fuse == "F1").overload
        assert over is not None
        stands[size] = over.stands_a / over.current_a
        assert protection.least_area_mm2 is not None
        assert (protection.least_area_mm2 <= wire.area_mm2) is (size == "10 AWG")
    assert stands["10 AWG"] > 1 > stands["18 AWG"]
