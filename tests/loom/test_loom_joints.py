"""Branches as splice, daisy-chain or side by side, against the same wires written one by one."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import networkx as nx
import pytest
from click.testing import CliRunner

from harness.cli import main
from harness.model.design import Design, Wire
from harness.model.machine import Machine
from harness.model.problem import SurveyWrong
from harness.pipeline import design, sized
from harness.survey import read
from tests.published.recorder import beside

SAMPLES = Path(__file__).parents[2] / "samples"

# A feed stud, two lamps with studs down the line, a third with a blade.
SURVEY = """
machine: {{name: joints, voltage: 12 V, chassis post: negative, cable: GXL{machine}}}
zones: {{deck: {{ambient: 40 °C}}}}
runs:
  - {{from: box, to: fork, length: 2 m, zone: deck}}
  - {{from: fork, to: near post, length: 0.5 m, zone: deck}}
  - {{from: near post, to: far post, length: 1.5 m, zone: deck}}
places: {{box: {{reach: 0.3 m}}, far post: {{reach: 0.3 m}}}}
parts:
  battery: {{is: battery, at: box, capacity: 70 Ah, cranking: 540 A}}
  F1: {{is: fuse, at: box}}
  feed stud: {{is: terminal stud, at: box, stud: M6}}
  near lamp: {{is: work lamp, at: near post, power: 55 W, terminals: {{+: {near}, -: stud M5}}}}
  far lamp: {{is: work lamp, at: far post, power: 35 W, terminals: {{+: stud M5, -: stud M5}}}}
  box ground: {{is: ground point, at: box, on: frame}}
  near ground: {{is: ground point, at: near post, on: frame}}
  far ground: {{is: ground point, at: far post, on: frame}}
circuits:
  Ground: {{paths: [frame > battery -]}}
  Feed: {{paths: [battery + > F1 > feed stud]}}
  Lamps: {{paths: [{paths}]}}
"""
BRANCH = '"feed stud > (near lamp, far lamp) > frame"'
CHAIN = '"feed stud > near lamp > frame", "near lamp + > far lamp > frame"'
STUD = '"feed stud > near lamp > frame", "feed stud > far lamp > frame"'
WIRE = "wires:\n  feed stud > (near lamp, far lamp): {{joint: {}}}\n"


def _text(paths: str = BRANCH, machine: str = "", near: str = "stud M5") -> str:
    return SURVEY.format(paths=paths, machine=machine, near=near)


def _read(text: str) -> Machine:
    return read("joints.yaml", text=text)


def _made(text: str) -> Design:
    return design(_read(text))


def _ends(wire: Wire) -> tuple[str, str, str, str]:
    return (wire.from_.part, wire.from_.terminal, wire.to.part, wire.to.terminal)


def _facts(made: Design) -> dict[tuple[str, str, str, str], tuple[float, str, list[str]]]:
    return {_ends(wire): (wire.length_m, wire.size, wire.runs) for wire in made.wires}


@pytest.mark.parametrize(("wish", "written"), [("chain", CHAIN), ("stud", STUD)])
@pytest.mark.parametrize("where", ["machine", "wire"])
def test_a_branch_is_made_as_the_same_wires_written_by_hand(wish: str, written: str, where: str) -> None:
    text = _text(machine=f", joints: {wish}") if where == "machine" else _text() + WIRE.format(wish)
    made = _made(text)
    assert made.splices == []
    assert _facts(made) == _facts(_made(_text(written)))
    assert [path.texts for path in made.circuits][2] == ["feed stud > (near lamp, far lamp) > frame"]
    (joint,) = made.joints
    assert (joint.made, joint.wish) == (wish, wish)


def test_what_each_way_comes_to_is_what_it_is_when_made() -> None:
    """Wire and terminals of the comparison against the designs of surveys that write each way by hand."""
    (joint,) = _made(_text()).joints
    assert joint.made == "splice"
    assert (joint.starts_at, joint.leads_to) == ("feed stud stud", ["near lamp +", "far lamp +"])
    counts = {count.way: count for count in joint.counts}
    for way, text in (("splice", BRANCH), ("chain", CHAIN), ("stud", STUD)):
        made = _made(_text(text))
        own = [
            wire
            for wire in made.wires
            if wire.to.kind == "splice" or wire.from_.kind == "splice" or wire.to.terminal == "+"
        ]
        own = [wire for wire in own if wire.circuit == "Lamps" and wire.to.part not in ("F1",)]
        ends = [point for wire in own for point in (wire.from_, wire.to)]
        assert counts[way].wire_m == pytest.approx(sum(wire.length_m for wire in own))
        assert counts[way].wires == len(own)
        assert counts[way].terminals == sum(point.kind == "part" for point in ends)
        assert counts[way].splices == len(made.splices)
    copper = sum(
        wire.area_mm2 * wire.length_m * 8.96e-3  # g/mm2/m of copper at 20 °C: 8.96 (handbooks)
        for wire in _made(_text()).wires
        if "splice" in (wire.from_.kind, wire.to.kind)
    )
    assert counts["splice"].copper_kg == pytest.approx(copper, rel=0.02)
    assert not any(count.not_so for count in joint.counts)


def test_the_least_is_the_least_of_those_that_can_be_made() -> None:
    (joint,) = _made(_text(machine=", joints: least")).joints
    able = {count.way: count.copper_kg for count in joint.counts if not count.not_so}
    assert len(able) == 3
    assert able[joint.made] == min(able.values())
    assert joint.saves_kg == pytest.approx(max(able.values()) - min(able.values()), abs=1e-6)


def _points(machine: Machine) -> set[frozenset[tuple[str, str]]]:
    """Terminals that wires and splices make one point."""
    graph: nx.Graph[tuple[str, str, str]] = nx.Graph()
    graph.add_edges_from((tuple(wire.a), tuple(wire.b)) for wire in machine.wires)
    return {
        frozenset((name, terminal) for kind, name, terminal in group if kind == "part")
        for group in nx.connected_components(graph)
    }


@beside("networkx", "what is one point of the wiring")
@pytest.mark.parametrize("sample", ["roller", "grader", "orchard", "pump"])
@pytest.mark.parametrize("wish", ["chain", "stud", "least"])
def test_the_same_terminals_hang_together_and_none_takes_more_than_it_can(sample: str, wish: str) -> None:
    """Four rings to a stud (ABYC E-11), one push-on to a blade, one wire to a pin (common practice)."""
    text = (SAMPLES / f"{sample}.yaml").read_text(encoding="utf-8")
    before = sized(_read(text))[0]
    after = sized(_read(text.replace("  voltage:", f"  joints: {wish}\n  voltage:", 1)))[0]
    assert _points(after) == _points(before)
    most = {"stud": 4, "post": 4, "screw": 2, "blade": 1, "pigtail": 1, "pin": 1}
    landed = [Counter(end for wire in it.wires for end in (wire.a, wire.b)) for it in (before, after)]
    for end, count in landed[1].items():
        if end.kind == "part" and count > landed[0][end]:
            terminals = {each.name: each.fitting for each in after.parts[end.name].terminals}
            assert count <= most[terminals[end.terminal]]


def test_a_blade_takes_no_second_push_on_and_the_branch_stays_a_splice() -> None:
    made = _made(_text(near="blade 6.3", machine=", joints: chain"))
    assert len(made.splices) == 1
    (joint,) = made.joints
    told = {count.way: count.not_so for count in joint.counts}
    assert told["chain"] == "near lamp + is a blade that takes 1, not 2"
    assert told["stud"] == ""


def test_what_the_survey_says_of_a_splices_wire_keeps_the_splice() -> None:
    made = _made(_text(machine=", joints: stud") + "wires:\n  S1 > far lamp: {size: 10 AWG}\n")
    assert len(made.splices) == 1
    assert {count.not_so for count in made.joints[0].counts} == {
        "",
        "the survey says how a wire of the splice is made or laid",
    }


def test_explain_tells_what_each_way_comes_to(tmp_path: Path) -> None:
    path = tmp_path / "joints.yaml"
    path.write_text(_text(), encoding="utf-8")
    number = next(wire.number for wire in _made(_text()).wires if wire.to.part == "S1")
    result = CliRunner().invoke(main, ["explain", str(path), number])
    assert result.exit_code == 0, result.output
    for words in ("branch", "splice: ", "daisy-chain: ", "side by side: ", "g of copper"):
        assert words in result.output


@pytest.mark.parametrize(
    ("text", "spot", "words"),
    [
        (_text(machine=", joints: chains"), (2, 84), "'chains' is not one of the words"),
        (_text() + "wires:\n  F1 > feed stud: {joint: stud}\n", (23, 20), "'joint' is said of a wire"),
    ],
)
def test_a_wrong_wish_is_told(text: str, spot: tuple[int, int], words: str) -> None:
    with pytest.raises(SurveyWrong) as caught:
        _read(text)
    (problem,) = caught.value.problems
    assert (problem.where.line, problem.where.column) == spot
    assert words in problem.what
