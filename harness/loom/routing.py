"""Every wire's way along the runs, the place of every splice, and cut lengths."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import pairwise
from math import ceil
from typing import cast

import networkx as nx

from harness.loom.demand import rough_currents_a
from harness.model.design import Point
from harness.model.machine import End, Machine, Part, Run, WireSpec
from harness.model.stages import Routed, RoutedWire
from harness.tables import load

ROUND_UP_M = 0.05  # cut lengths go up to the next 50 mm (common practice)
HINGE_SLACK_M = 0.10  # each moving joint; our default, to be checked at full travel


class NoRoute(Exception):
    """No measured way joins the two places of a wire; the survey check should have said so before."""


def run_graph(machine: Machine) -> nx.Graph[str]:
    """Places as nodes, runs as edges weighted by length [m]; of two runs side by side the shorter counts."""
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(machine.place_zones)
    for run in machine.runs:
        known = graph.get_edge_data(run.start, run.end)
        if known is None or run.length_m < known["length_m"]:
            graph.add_edge(run.start, run.end, length_m=run.length_m, run=run.name)
    return graph


_Tree = tuple[dict[str, float], dict[str, list[str]]]  # place -> distance [m], and the way to it


class _Ways:
    """Shortest ways over the runs, each place's tree worked out once."""

    def __init__(self, machine: Machine) -> None:
        self._graph = run_graph(machine)
        self._trees: dict[str, _Tree] = {}

    def _tree(self, start: str) -> _Tree:
        if start not in self._trees:
            if start not in self._graph:
                self._trees[start] = ({start: 0.0}, {start: [start]})
            else:
                found = nx.single_source_dijkstra(self._graph, start, weight="length_m")
                self._trees[start] = cast(_Tree, found)
        return self._trees[start]

    def distance_m(self, start: str, end: str) -> float:
        return self._tree(start)[0].get(end, float("inf"))

    def runs(self, start: str, end: str) -> tuple[str, ...]:
        try:
            places = self._tree(start)[1][end]
        except KeyError:
            raise NoRoute(f"no run leads from {start!r} to {end!r}") from None
        return tuple(self._graph.edges[pair]["run"] for pair in pairwise(places))

    def places(self) -> list[str]:
        return sorted(self._graph.nodes)


def ground_points(machine: Machine, body: str) -> list[Part]:
    """The ground points of a body, in the order of the survey."""
    return [part for part in machine.parts.values() if part.role == "ground" and part.body == body]


def _places_of(machine: Machine, end: End, splices: Mapping[str, str]) -> list[str]:
    """Where an end may be: one place, or the places of all ground points of a body."""
    if end.kind == "part":
        return [machine.parts[end.name].place]
    if end.kind == "splice":
        return [splices[end.name]] if end.name in splices else []
    return [part.place for part in ground_points(machine, end.name)]


def _pull(ways: _Ways, place: str, others: Iterable[tuple[list[str], float]]) -> float:
    """Copper it takes to reach every neighbour from ``place``, in ampere-metres."""
    return sum(
        weight * min(ways.distance_m(place, there) for there in spots) for spots, weight in others if spots
    )


def splice_places(machine: Machine, ways: _Ways) -> dict[str, str]:
    """Put every splice where the least copper is needed, the survey's own choice first.

    Splices that hang on one another are settled by turns: each is moved to its best place with the others
    held, until none moves.
    """
    currents = rough_currents_a(machine)
    placed = {splice.name: splice.place for splice in machine.splices if splice.place is not None}
    neighbours: dict[str, list[tuple[End, float]]] = {splice.name: [] for splice in machine.splices}
    for wire in machine.wires:
        for here, there in ((wire.a, wire.b), (wire.b, wire.a)):
            if here.kind == "splice":
                neighbours[here.name].append((there, currents[wire.index]))
    free = [splice.name for splice in machine.splices if splice.place is None]
    for _ in range(len(free) + 1):
        before = dict(placed)
        for name in free:
            others = [(_places_of(machine, end, placed), weight) for end, weight in neighbours[name]]
            placed[name] = min(ways.places(), key=lambda place: (round(_pull(ways, place, others), 9), place))
        if placed == before:
            break
    return placed


def _point(machine: Machine, end: End, near: list[str], ways: _Ways, splices: Mapping[str, str]) -> Point:
    """The real terminal an end stands for; a body becomes its ground point nearest to ``near``."""
    if end.kind == "part":
        return Point(end.name, end.terminal, machine.parts[end.name].place, "part")
    if end.kind == "splice":
        return Point(end.name, "", splices[end.name], "splice")
    points = ground_points(machine, end.name)
    if not points:
        raise NoRoute(f"body {end.name!r} has no ground point")
    best = min(points, key=lambda part: min(ways.distance_m(part.place, place) for place in near))
    return Point(best.name, best.terminals[0].name, best.place, "part")


def _fitting(machine: Machine, point: Point) -> str:
    """What an end lands on, in the words of length_allowances."""
    if point.kind == "splice":
        return "splice"
    part = machine.parts[point.part]
    if part.kind == "fuse panel":
        return "fuse panel"
    fitting = next((term.fitting for term in part.terminals if term.name == point.terminal), "blade")
    return {"post": "battery post", "pin": "coupler"}.get(fitting, fitting)


def _allowances_m(machine: Machine, ends: tuple[Point, Point]) -> list[tuple[str, float]]:
    """What the ends add to a wire, by what they land on [m]. Source: length_allowances (common practice).

    A cable with an end on a battery post is battery cable: its other lug adds no more than that of a cable
    measured lug to lug.
    """
    table = load("length_allowances").column("end", "allowance_mm")
    kinds = [_fitting(machine, point) for point in ends]
    if "battery post" in kinds:
        kinds = ["heavy lug" if kind == "stud" else kind for kind in kinds]
    return [(f"{kind} at {point.part}", table[kind] / 1000) for kind, point in zip(kinds, ends, strict=True)]


def _reach(machine: Machine, spec: WireSpec, ends: tuple[Point, Point]) -> list[tuple[str, float]]:
    """What a wire between two parts at one place needs to get across; a splice sits on the way."""
    a, b = ends
    if spec.length_m is not None or a.place != b.place or a.part == b.part:
        return []
    across = machine.place_reach_m.get(a.place, 0.0)
    if "splice" in (a.kind, b.kind):
        across /= 2
    return [(f"across {a.place}, from part to part", across)]


def _cut_length(
    machine: Machine, spec: WireSpec, ends: tuple[Point, Point], runs: list[Run], way_m: float
) -> tuple[float, tuple[tuple[str, float], ...]]:
    """Cut length [m] and every addition that made it."""
    if spec.keep:
        return way_m, ()
    additions: list[tuple[str, float]] = _reach(machine, spec, ends)
    if spec.length_m is None and way_m:
        additions.append((f"slack {machine.slack:.0%} of the runs", machine.slack * way_m))
        additions += [(f"moving joint {run.name}", HINGE_SLACK_M) for run in runs if run.moves]
    additions += _allowances_m(machine, ends)
    exact = way_m + sum(length for _, length in additions)
    rounded = ceil(round(exact / ROUND_UP_M, 6)) * ROUND_UP_M
    additions.append(("rounded up to the next 50 mm", rounded - exact))
    return round(rounded, 3), tuple(additions)


def _route_one(
    machine: Machine, spec: WireSpec, ways: _Ways, splices: Mapping[str, str], runs: Mapping[str, Run]
) -> RoutedWire:
    near_b = _places_of(machine, spec.b, splices)
    a = _point(machine, spec.a, near_b, ways, splices)
    b = _point(machine, spec.b, [a.place], ways, splices)
    names = ways.runs(a.place, b.place)
    passed = [runs[name] for name in names]
    way_m = spec.length_m if spec.length_m is not None else sum(run.length_m for run in passed)
    length_m, additions = _cut_length(machine, spec, (a, b), passed, way_m)
    return RoutedWire(spec.index, a, b, names, way_m, length_m, additions)


def route(machine: Machine) -> Routed:
    """Lay every wire the shortest measured way; raises NoRoute where the survey check let a gap through."""
    ways = _Ways(machine)
    splices = splice_places(machine, ways)
    runs = {run.name: run for run in machine.runs}
    wires = tuple(_route_one(machine, spec, ways, splices, runs) for spec in machine.wires)
    in_run = {run.name: tuple(wire.index for wire in wires if run.name in wire.runs) for run in machine.runs}
    return Routed(wires, splices, in_run)
