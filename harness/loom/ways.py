"""Shortest ways over the runs, worked out only as far from a place as somebody asks."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from heapq import heappop, heappush
from itertools import count
from math import inf

from harness.loom.couplers import coupler_places
from harness.model.machine import Machine

Around = Mapping[str, Mapping[str, tuple[float, str]]]  # place -> place at a run's other end -> length, run
NEAR_M = 1e-9  # distances no further apart than this are the same


class NoRoute(Exception):
    """No measured way joins the two places of a wire; the survey check should have said so before."""


def runs_around(machine: Machine) -> Around:
    """Every place with the runs that leave it; of two runs side by side the shorter counts."""
    found: dict[str, dict[str, tuple[float, str]]] = {place: {} for place in machine.place_zones}
    for run in machine.runs:
        known = found.setdefault(run.start, {}).get(run.end)
        if known is None or run.length_m < known[0]:
            found[run.start][run.end] = (run.length_m, run.name)
            found.setdefault(run.end, {})[run.start] = (run.length_m, run.name)
    return found


class Spread:
    """Distances from the nearest of some places, nearest first, by Dijkstra's method.

    It stops where the asker has enough and goes on from there when more is wanted: most wires are short, and
    on a large machine their ends see little of it.
    """

    def __init__(self, around: Around, starts: Collection[str]) -> None:
        self._around = around
        self._number = count()
        self._least = dict.fromkeys(starts, 0.0)
        self._heap = [(0.0, next(self._number), start) for start in starts]
        self._came: dict[str, str] = {}
        self._settled: dict[str, float] = {}
        self._order: list[str] = []

    def _grow(self) -> bool:
        """Settle the next place; False when there is none left."""
        while self._heap:
            far, _, here = heappop(self._heap)
            if here in self._settled:
                continue
            self._settled[here] = far
            self._order.append(here)
            for there, (length_m, _) in self._around.get(here, {}).items():
                reached = far + length_m
                if there not in self._settled and reached < self._least.get(there, inf):
                    self._least[there], self._came[there] = reached, here
                    heappush(self._heap, (reached, next(self._number), there))
            return True
        return False

    def distance_m(self, place: str) -> float:
        """How far a place is [m]; infinite when no run leads there."""
        while place not in self._settled:
            if not self._grow():
                return inf
        return self._settled[place]

    def outward(self) -> Iterator[tuple[str, float]]:
        """Every place that can be reached, with its distance [m], nearest first."""
        at = 0
        while at < len(self._order) or self._grow():
            yield self._order[at], self._settled[self._order[at]]
            at += 1

    def runs(self, end: str) -> tuple[str, ...]:
        """Names of the runs from the start to a place. Raises NoRoute."""
        if self.distance_m(end) == inf:
            raise NoRoute(f"no run leads from {self._order[0]!r} to {end!r}")
        found: list[str] = []
        while (before := self._came.get(end)) is not None:
            found.append(self._around[before][end][1])
            end = before
        return tuple(reversed(found))


class Ways:
    """The runs of a machine and the ground points of its bodies, each place's spread begun once."""

    def __init__(self, machine: Machine) -> None:
        self._around = runs_around(machine)
        self._from: dict[str, Spread] = {}
        self._to_body: dict[str, Spread] = {}
        self.points = _ground_points(machine)
        self.couplers = coupler_places(machine)
        self._numbers = {body: _first_at(points) for body, points in self.points.items()}

    def of(self, start: str) -> Spread:
        """The spread of one place."""
        if start not in self._from:
            self._from[start] = Spread(self._around, (start,))
        return self._from[start]

    def to_body(self, body: str) -> Spread:
        """Distances from the nearest ground point of a body."""
        if body not in self._to_body:
            self._to_body[body] = Spread(self._around, dict.fromkeys(place for _, place in self.points[body]))
        return self._to_body[body]

    def nearest_point(self, start: str, body: str) -> tuple[float, int]:
        """How far the nearest ground point of a body is [m], and its number; of those as near the first."""
        numbers, least, found = self._numbers[body], inf, 0
        for place, far in self.of(start).outward():
            if far > least + NEAR_M:
                break
            if place in numbers:
                least, found = (far, numbers[place]) if least == inf else (least, min(found, numbers[place]))
        return least, found

    def splicing(self) -> list[str]:
        """Every place a splice may sit at, by name: not where a coupler parts two looms."""
        return sorted(set(self._around) - self.couplers)


def _ground_points(machine: Machine) -> dict[str, list[tuple[str, str]]]:
    """Body -> its ground points with their places, in the order of the survey."""
    found: dict[str, list[tuple[str, str]]] = {name: [] for name in machine.bodies}
    for part in machine.parts.values():
        if part.role == "ground" and part.body is not None:
            found.setdefault(part.body, []).append((part.name, part.place))
    return found


def _first_at(points: Iterable[tuple[str, str]]) -> dict[str, int]:
    """Place -> number of the first ground point there."""
    found: dict[str, int] = {}
    for at, (_, place) in enumerate(points):
        found.setdefault(place, at)
    return found
