"""Small surveys as a mechanic would write them, for the tests of this folder."""

from __future__ import annotations

from harness.model.machine import Machine
from harness.model.problem import Problem, SurveyWrong
from harness.survey import read

TROLLEY = """\
machine:
  name: Water trailer
  voltage: 12 V
  chassis post: negative
zones:
  frame: {ambient: 45 °C}
runs:
  - {from: battery box, to: dash, length: 1.2 m, zone: frame}
parts:
  battery: {is: battery, at: battery box, capacity: 60 Ah}
  F1: {is: fuse, at: battery box}
  pump switch: {is: switch, at: dash}
  pump: {is: electric pump, at: dash, current: 6 A}
  ground: {is: ground point, at: battery box, on: frame}
circuits:
  Water pump:
    paths:
      - battery + > F1 > pump switch > pump > frame
      - frame > battery -
"""


def changed(*pairs: tuple[str, str], text: str = TROLLEY) -> str:
    """The survey with every first text of a pair, which must stand in it once, replaced by the second."""
    for old, new in pairs:
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times"
        text = text.replace(old, new)
    return text


def machine(text: str) -> Machine:
    """Read a survey that must be right."""
    return read("test.yaml", text=text)


def problems(text: str | bytes) -> list[Problem]:
    """What is wrong with a survey; a survey that is right gives an empty list."""
    try:
        read("test.yaml", text=text)
    except SurveyWrong as wrong:
        return wrong.problems
    return []


def spots(text: str | bytes) -> list[tuple[int, int]]:
    """Line and column of every problem."""
    return [(problem.where.line, problem.where.column) for problem in problems(text)]


def wires(found: Machine) -> list[str]:
    """Every wire as "A > B", in order."""
    return [f"{wire.a} > {wire.b}" for wire in found.wires]


def steps(found: Machine, circuit: str, path: int = 0) -> list[str]:
    """The steps of one path: "A > B" for a wire, "[part link]" for a way through a part."""
    way = next(each for each in found.circuits if each.name == circuit).paths[path]
    names = wires(found)
    return [names[step.wire] if step.wire is not None else f"[{step.part} {step.link}]" for step in way.steps]
