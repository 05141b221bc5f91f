"""A drop that the survey sets is met where any size can do that; else the wires are sized as usual."""

from __future__ import annotations

import re

import pytest

from harness.electric.wanted import Wanted
from harness.model.design import Design, LoadResult
from harness.pipeline import design
from harness.survey import read

LAMP = """\
machine: {name: Bench, voltage: 12 V, chassis post: negative, cable: GXL}
zones: {frame: {ambient: 40 °C}}
runs: [{from: box, to: nose, length: 2 m, zone: frame}]
parts:
  battery: {is: battery, at: box, cranking: 540 A, capacity: 70 Ah}
  F1: {is: fuse, at: box}
  key: {is: switch, at: box}
  lamp: {is: work lamp, at: nose, power: 55 W}
  stud: {is: ground point, at: box, on: frame}
circuits:
  Battery: {paths: [battery - > stud]}
  Lamp:
    drop: 5 %
    paths: [battery + > F1 > key > lamp > stud]
"""


def _sized(drop: str, method: str = "optimum") -> Design:
    line = f"    drop: {drop}\n" if drop else ""
    return design(read("bench.yaml", text=LAMP.replace("    drop: 5 %\n", line)), Wanted(method=method))


def _areas(made: Design) -> list[float]:
    return [wire.area_mm2 for wire in made.wires]


def _lamp(made: Design) -> LoadResult:
    return next(load for load in made.loads if load.part == "lamp")


@pytest.mark.parametrize("method", ["optimum", "table"])
@pytest.mark.parametrize("drop", ["0.01 V", "0.08 V", "0.1 V"])
def test_what_no_wire_can_do_makes_no_wire_thicker(drop: str, method: str) -> None:
    """Holder, contacts and crimps of this way alone lose more than 0.1 V at 4.6 A."""
    assert _areas(_sized(drop, method)) == _areas(_sized("", method))


@pytest.mark.parametrize("drop", ["0.25 V", "0.3 V", "0.4 V", "0.5 V"])
def test_what_some_wire_can_do_is_done(drop: str) -> None:
    lamp = _lamp(_sized(drop))
    assert max(one.judged_v for one in lamp.modes) <= float(drop.split()[0]) + 1e-6 and not lamp.freeing


def test_the_finding_says_how_it_is_sized_and_the_least_that_can_be_had() -> None:
    words = "; ".join(_lamp(_sized("0.1 V")).freeing)
    assert "no size there is can do that, so its wires are sized for the usual 0.84 V" in words  # 7 % of 12 V
    (volts,) = re.findall(r"a higher limit frees it: at least ([\d.]+) V", words)
    assert not _lamp(_sized(f"{volts} V")).freeing
    thick = max(_areas(_sized(f"{volts} V")))
    assert thick > max(_areas(_sized("")))  # it is had by thicker wires, not by a limit as high as the usual
