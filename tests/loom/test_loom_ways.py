"""Distances and ways over the runs, and places of splices, against a reference library's Dijkstra."""

from __future__ import annotations

from itertools import pairwise

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harness.loom.routing import route
from harness.loom.ways import NoRoute, Spread, Ways
from harness.survey import read
from tests.published.recorder import beside

HEAD = """
machine: {name: web, voltage: 12 V, chassis post: negative}
zones: {deck: {ambient: 40 °C}}
"""
Run = tuple[int, int, int]  # two places, and how many centimetres lie between


@st.composite
def webs(draw: st.DrawFn) -> list[Run]:
    """A tree of runs over up to 14 places, and chords across it."""
    count = draw(st.integers(3, 14))
    lengths = st.integers(20, 400)
    runs = [(draw(st.integers(0, at - 1)), at, draw(lengths)) for at in range(1, count)]
    pairs = st.tuples(st.integers(0, count - 1), st.integers(0, count - 1)).filter(lambda it: it[0] != it[1])
    runs += [(*pair, draw(lengths)) for pair in draw(st.lists(pairs, max_size=6))]
    return list({frozenset(run[:2]): run for run in reversed(runs)}.values())  # one run between two places


def _graph(runs: list[Run]) -> nx.Graph[str]:
    graph: nx.Graph[str] = nx.Graph()
    for start, end, far in runs:
        graph.add_edge(f"p{start}", f"p{end}", far=far)
    return graph


def _survey(runs: list[Run], lamps: tuple[int, int]) -> str:
    lines = [f"  - {{from: p{start}, to: p{end}, length: {far} cm, zone: deck}}" for start, end, far in runs]
    parts = [
        "  battery: {is: battery, at: p0, capacity: 70 Ah}",
        "  F1: {is: fuse, at: p0}",
        "  g: {is: ground point, at: p0, on: frame}",
        *(f"  lamp {at}: {{is: lamp, at: p{place}, power: 100 W}}" for at, place in enumerate(lamps)),
    ]
    paths = [
        "  Ground: {paths: [frame > battery -]}",
        '  Lamps: {paths: ["battery + > F1 > (lamp 0, lamp 1) > frame"]}',
    ]
    named = {f"p{at}" for run in runs for at in run[:2]}
    places = [f"  {place}: {{reach: 0.3 m}}" for place in sorted(named)]
    return "\n".join([HEAD + "places:", *places, "runs:", *lines, "parts:", *parts, "circuits:", *paths])


@beside("networkx", "shortest ways along the runs")
@settings(max_examples=60, deadline=None)
@given(webs(), st.data())
def test_distances_and_ways_are_the_shortest(runs: list[Run], data: st.DataObject) -> None:
    graph = _graph(runs)
    places = sorted(graph)
    ends = data.draw(st.lists(st.sampled_from(places), min_size=1, max_size=5))
    ways = Ways(read("web.yaml", text=_survey(runs, (1, 2))))
    for start, end in pairwise([places[0], *ends]):
        shortest = nx.dijkstra_path_length(graph, start, end, weight="far")
        assert 100 * ways.of(start).distance_m(end) == pytest.approx(shortest, abs=1e-6)
        found = ways.of(start).runs(end)
        assert len(found) <= len(runs) and len(set(found)) == len(found)
    far = [far for _, far in ways.of(places[0]).outward()]
    assert far == sorted(far) and len(far) == len(places)


@beside("every case", "places of a splice")
@settings(max_examples=40, deadline=None)
@given(webs(), st.data())
def test_no_other_place_of_a_splice_takes_less_copper(runs: list[Run], data: st.DataObject) -> None:
    """Each place is tried, with distances of the reference library: feed of two lamps, each lamp's wire."""
    graph = _graph(runs)
    lamps = (data.draw(st.sampled_from(sorted(graph))), data.draw(st.sampled_from(sorted(graph))))
    numbers = (int(lamps[0][1:]), int(lamps[1][1:]))
    routed = route(read("web.yaml", text=_survey(runs, numbers)))
    lamp_a = 100 / 12
    pulls = (("p0", 2 * lamp_a + 0.5), (lamps[0], lamp_a + 0.5), (lamps[1], lamp_a + 0.5))

    def copper(place: str) -> float:
        return sum(amps * nx.dijkstra_path_length(graph, place, there, weight="far") for there, amps in pulls)

    assert copper(routed.splice_places["S1"]) <= min(map(copper, graph)) + 1e-3


def test_a_place_that_no_run_reaches_is_infinitely_far_and_has_no_way() -> None:
    spread = Spread({"a": [("b", 1.0, "r1")], "b": [("a", 1.0, "r1")], "c": []}, {"a": 0.0})
    assert spread.distance_m("c") == float("inf")
    assert spread.runs("b") == ("r1",)
    with pytest.raises(NoRoute, match="no run leads from 'a' to 'c'"):
        spread.runs("c")
