"""Ways that keep out of the heat: what a metre counts, by hand, and the way, against a reference library."""

from __future__ import annotations

from math import sqrt
from pathlib import Path

import networkx as nx
import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from harness.cli import main
from harness.electric.cool import area_exponent, run_weights
from harness.electric.ruleset import rule_set
from harness.loom.routing import route
from harness.model.problem import SurveyWrong
from harness.pipeline import design
from harness.survey import read
from tests.loom.test_loom_ways import Run, webs
from tests.published.recorder import beside

# Two ways from box to lamp: 3 m through the engine bay at 85 °C, or round it at 45 °C.
HOT = """
machine: {{name: hot, voltage: 12 V, chassis post: negative, cable: GXL, route: {route}}}
zones:
  bay: {{ambient: 85 °C}}
  frame: {{ambient: 45 °C}}
runs:
  - {{from: box, to: lamp post, length: 3 m, zone: bay, name: through the bay}}
  - {{from: box, to: lamp post, length: {round_m} m, zone: frame, name: round it{near}}}
parts:
  battery: {{is: battery, at: box, capacity: 70 Ah, cranking: 540 A}}
  F1: {{is: fuse, at: box}}
  lamp: {{is: work lamp, at: lamp post, power: 55 W}}
  box ground: {{is: ground point, at: box, on: frame}}
circuits:
  Ground: {{paths: [frame > battery -]}}
  Lamp: {{paths: [battery + > F1 > lamp > frame]}}
"""


def _hot(route: str = "cool", round_m: float = 5.0, near: str = "") -> str:
    return HOT.format(route=route, round_m=round_m, near=near)


def test_a_metre_counts_the_copper_it_costs() -> None:
    """125 °C cable at 85 °C carries sqrt((125 - 85) / (125 - 45)) of what it does at 45 °C.

    Square-root law, which the factors of IEC 60364-5-52 table B.52.14 follow (memory: XLPE, 90 °C, based on
    30 °C, at 45 °C 0.87). The copper to make up for it: area to the power by which ampacity grows, whose
    bounds are those of a round wire: 0.5 if it shed heat whatever its surface, 0.75 if as its surface grows.
    """
    rules = rule_set("sae", "GXL")
    power = area_exponent(rules)
    assert 0.5 < power < 0.75
    weights = run_weights(read("hot.yaml", text=_hot()))
    assert weights["round it"] == pytest.approx(1.0)
    share = sqrt(40 / 80)
    assert weights["through the bay"] == pytest.approx((1 / share) ** (1 / power))
    assert run_weights(read("hot.yaml", text=_hot("short"))) == {}


def test_a_metre_beside_the_exhaust_counts_twice() -> None:
    beside = run_weights(read("hot.yaml", text=_hot(near=", near: exhaust")))
    assert beside["round it"] == pytest.approx(2.0)


@pytest.mark.parametrize(
    ("words", "taken"),
    [
        (("short", 3.1, ""), "through the bay"),
        (("cool", 5.0, ""), "round it"),  # 3 m count as 3 x 1.76 = 5.3
        (("cool", 5.5, ""), "through the bay"),
        (("cool", 5.0, ", near: exhaust"), "through the bay"),
    ],
)
def test_the_cooler_way_is_taken_while_it_costs_less_copper(
    words: tuple[str, float, str], taken: str
) -> None:
    routed = route(machine := read("hot.yaml", text=_hot(*words)), run_weights(machine))
    (lamp,) = [wire for wire in routed.wires if wire.b.part == "lamp"]
    assert lamp.runs == (taken,)
    longer = taken == "round it"
    assert (lamp.way.longer_m if lamp.way else 0.0) == pytest.approx(2.0 if longer else 0.0)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (_hot(), "cooler than the shorter way"),
        (_hot("short") + "wires:\n  F1 > lamp: {via: round it}\n", "forced through round it"),
        (_hot("short") + "wires:\n  F1 > lamp: {avoid: through the bay}\n", "kept off through the bay"),
    ],
)
def test_explain_says_which_way_and_why(text: str, said: str, tmp_path: Path) -> None:
    survey = tmp_path / "hot.yaml"
    survey.write_text(text, encoding="utf-8")
    number = next(wire.number for wire in design(read(survey)).wires if wire.to.part == "lamp")
    result = CliRunner().invoke(main, ["explain", str(survey), number])
    assert result.exit_code == 0, result.output
    words = " ".join(result.output.split())
    assert f"{said}: 2.00 m longer than the shortest way, 3.00 m" in words


def test_a_word_that_is_no_choice_is_told() -> None:
    with pytest.raises(SurveyWrong) as caught:
        read("hot.yaml", text=_hot("cooler"))
    (problem,) = caught.value.problems
    assert (problem.where.line, problem.where.column) == (2, 80)
    assert "did you mean 'cool'?" in problem.fix


@beside("networkx", "shortest ways along the runs")
@settings(max_examples=40, deadline=None)
@given(webs(), st.data())
def test_the_way_is_the_shortest_by_what_its_metres_count(runs: list[Run], data: st.DataObject) -> None:
    zones = [data.draw(st.sampled_from([30, 60, 90])) for _ in runs]
    lines = [
        f"  - {{from: p{start}, to: p{end}, length: {far} cm, zone: at {zone}}}"
        for (start, end, far), zone in zip(runs, zones, strict=True)
    ]
    places = sorted({f"p{at}" for run in runs for at in run[:2]})
    lamp = data.draw(st.sampled_from(places))
    text = "\n".join(
        [
            "machine: {name: web, voltage: 12 V, chassis post: negative, cable: GXL, route: cool}",
            "zones: {at 30: {ambient: 30 °C}, at 60: {ambient: 60 °C}, at 90: {ambient: 90 °C}}",
            "runs:",
            *lines,
            "places:",
            *(f"  {place}: {{reach: 0.3 m}}" for place in places),
            "parts:",
            "  battery: {is: battery, at: p0, capacity: 70 Ah}",
            "  F1: {is: fuse, at: p0}",
            "  g: {is: ground point, at: p0, on: frame}",
            f"  lamp: {{is: lamp, at: {lamp}, power: 100 W}}",
            "circuits:",
            "  Lamp: {paths: [frame > battery -, battery + > F1 > lamp > frame]}",
        ]
    )
    machine = read("web.yaml", text=text)
    power = area_exponent(rule_set(machine.rules, machine.cable))
    coldest = min(zones)
    graph: nx.Graph[str] = nx.Graph()
    for (start, end, far), zone in zip(runs, zones, strict=True):
        counted = far * sqrt((125 - coldest) / (125 - zone)) ** (1 / power)
        graph.add_edge(f"p{start}", f"p{end}", far=counted, name=f"p{start} - p{end}")
    (wire,) = [wire for wire in route(machine, run_weights(machine)).wires if wire.b.part == "lamp"]
    mine = sum(far for _, _, name, far in _edges(graph) if name in wire.runs)
    assert mine == pytest.approx(nx.dijkstra_path_length(graph, "p0", lamp, weight="far"))


def _edges(graph: nx.Graph[str]) -> list[tuple[str, str, str, float]]:
    return [(a, b, data["name"], data["far"]) for a, b, data in graph.edges(data=True)]
