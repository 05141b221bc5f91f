"""Shortest ways over the runs, worked out only as far from a place as somebody asks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from heapq import heappop, heappush
from itertools import count
from math import inf
from typing import Protocol

from harness.loom.couplers import coupler_places
from harness.model.laying import Laying
from harness.model.machine import Machine

Around = Mapping[str, Sequence[tuple[str, float, str]]]  # place -> place at a run's other end, length, run
NONE: Mapping[str, float] = {}
NEAR_M = 1e-9  # distances no further apart than this are the same


class NoRoute(Exception):
    """No measured way joins the two places of a wire; the survey check should have said so before."""


class Distances(Protocol):
    """How far it is from where a wire begins, and by which runs."""

    def distance_m(self, place: str) -> float:
        """How far a place is [m]; infinite when no way leads there."""

    def runs(self, end: str) -> tuple[str, ...]:
        """Names of the runs from the start to a place. Raises NoRoute."""


def runs_around(machine: Machine, weights: Mapping[str, float] = NONE) -> Around:
    """Every place with the runs that leave it; ``weights``: run -> what a metre of it counts, else 1."""
    found: dict[str, list[tuple[str, float, str]]] = {place: [] for place in machine.place_zones}
    for run in machine.runs:
        counted_m = run.length_m * weights.get(run.name, 1.0)
        found.setdefault(run.start, []).append((run.end, counted_m, run.name))
        found.setdefault(run.end, []).append((run.start, counted_m, run.name))
    return found


class Spread:
    """Distances from the nearest of some places, nearest first, by Dijkstra's method.

    It stops where the asker has enough and goes on from there when more is wanted: most wires are short, and
    on a large machine their ends see little of it.
    """

    def __init__(
        self, around: Around, starts: Mapping[str, float], avoid: frozenset[str] = frozenset()
    ) -> None:
        """``starts``: place -> how far it is already [m]. ``avoid``: runs and places not to be passed."""
        self._around = around
        self._avoid = avoid
        self._number = count()
        self._least = dict(starts)
        self._heap = [(far, next(self._number), start) for start, far in starts.items()]
        self._heap.sort()
        self._came: dict[str, tuple[str, str]] = {}
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
            if here not in self._avoid:
                self._leave(here, far)
            return True
        return False

    def _leave(self, here: str, far: float) -> None:
        for there, length_m, run in self._around.get(here, ()):
            reached = far + length_m
            if there in self._settled or reached >= self._least.get(there, inf) or run in self._avoid:
                continue
            self._least[there], self._came[there] = reached, (here, run)
            heappush(self._heap, (reached, next(self._number), there))

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
        return self.traced(end)[1]

    def traced(self, end: str) -> tuple[str, tuple[str, ...]]:
        """The start that a place is nearest to, and the runs from there. Raises NoRoute."""
        if self.distance_m(end) == inf:
            raise NoRoute(f"no run leads from {next(iter(self._order), '')!r} to {end!r}")
        found: list[str] = []
        while (before := self._came.get(end)) is not None:
            end, run = before
            found.append(run)
        return end, tuple(reversed(found))


class Through:
    """Distances from some places through others, and along runs, in a given order."""

    def __init__(self, ways: Ways, starts: tuple[str, ...], laying: Laying) -> None:
        avoid = frozenset(laying.avoid)
        self._legs = [ways.spread(starts, Laying(avoid=laying.avoid))]
        self._vias: list[
            dict[str, tuple[str, str]]
        ] = []  # where a leg starts -> where the last ended, the run
        for via in laying.via:
            before = self._legs[-1]
            reached: dict[str, tuple[str, str]] = {}
            far: dict[str, float] = {}
            for here, there, length_m, run in ways.passings(via):
                so_far = before.distance_m(here) + length_m
                if so_far < far.get(there, inf):
                    far[there], reached[there] = so_far, (here, run)
            self._vias.append(reached)
            self._legs.append(Spread(ways.around, far, avoid))

    def distance_m(self, place: str) -> float:
        """How far a place is [m]; infinite when no way leads there."""
        return self._legs[-1].distance_m(place)

    def runs(self, end: str) -> tuple[str, ...]:
        """Names of the runs from the start to a place. Raises NoRoute."""
        start, found = self._legs[-1].traced(end)
        for leg, via in zip(reversed(self._legs[:-1]), reversed(self._vias), strict=True):
            end, run = via[start]
            start, before = leg.traced(end)
            found = (*before, *((run,) if run else ()), *found)
        return found


class Loosely:
    """The same, but the plain way for what would have to turn back, or is at the same place."""

    def __init__(self, ways: Ways, starts: tuple[str, ...], laying: Laying) -> None:
        self._starts = frozenset(starts)
        self._through = Through(ways, starts, laying)
        self._plain = ways.spread(starts, Laying(avoid=laying.avoid))

    def _best(self, place: str) -> Distances:
        if place in self._starts or self._through.distance_m(place) == inf:
            return self._plain
        runs = self._through.runs(place)
        return self._through if len(set(runs)) == len(runs) else self._plain

    def distance_m(self, place: str) -> float:
        """How far a place is [m]; infinite when no way leads there."""
        return self._best(place).distance_m(place)

    def runs(self, end: str) -> tuple[str, ...]:
        """Names of the runs from the start to a place. Raises NoRoute."""
        return self._best(end).runs(end)


class Ways:
    """The runs of a machine and the ground points of its bodies, each place's spread begun once."""

    def __init__(self, machine: Machine, weights: Mapping[str, float] = NONE) -> None:
        """``weights``: run -> what a metre of it counts; all distances are then in metres so counted."""
        self.around = runs_around(machine, weights)
        self._weights = weights
        self._runs = {run.name: run for run in machine.runs}
        self._spreads: dict[tuple[tuple[str, ...], tuple[str, ...]], Spread] = {}
        self._laid: dict[tuple[tuple[str, ...], Laying], Distances] = {}
        self._of: dict[str, Spread] = {}
        self.points = _ground_points(machine)
        self.couplers = coupler_places(machine)
        self._numbers = {body: _first_at(points) for body, points in self.points.items()}

    def of(self, start: str) -> Spread:
        """The spread of one place."""
        if start not in self._of:
            self._of[start] = self._spread((start,), ())
        return self._of[start]

    def at_body(self, body: str) -> tuple[str, ...]:
        """The places of a body's ground points."""
        return tuple(dict.fromkeys(place for _, place in self.points[body]))

    def spread(self, starts: tuple[str, ...], laying: Laying) -> Spread:
        """Distances from the nearest of some places, without what is to be avoided; ``via`` aside."""
        return self._spread(starts, laying.avoid)

    def _spread(self, starts: tuple[str, ...], avoid: tuple[str, ...]) -> Spread:
        key = (starts, avoid)
        if key not in self._spreads:
            # a wire may end where it must not pass, so what is avoided holds for all places but its own
            barred = frozenset(avoid).difference(starts)
            self._spreads[key] = Spread(self.around, dict.fromkeys(starts, 0.0), barred)
        return self._spreads[key]

    def laid(self, starts: tuple[str, ...], laying: Laying) -> Distances:
        """Distances from the nearest of some places as the survey wants a wire laid."""
        if not laying.via:
            return self._spread(starts, laying.avoid)
        key = (starts, laying)
        if key not in self._laid:
            made = Loosely(self, starts, laying) if laying.loose else Through(self, starts, laying)
            self._laid[key] = made
        return self._laid[key]

    def passings(self, via: str) -> list[tuple[str, str, float, str]]:
        """The ways to pass a place or run: from, to, how far [m], by which run ("" at a place)."""
        run = self._runs.get(via)
        if via in self.around or run is None:
            return [(via, via, 0.0, "")]
        counted_m = run.length_m * self._weights.get(via, 1.0)
        return [(run.start, run.end, counted_m, via), (run.end, run.start, counted_m, via)]

    def nearest_point(self, start: str, body: str) -> tuple[float, int]:
        """How far the nearest ground point of a body is [m], and its number; of those as near the first."""
        numbers, least, found = self._numbers[body], inf, 0
        for place, far in self.of(start).outward():
            if far > least + NEAR_M:
                break
            if place in numbers:
                least, found = (far, numbers[place]) if least == inf else (least, min(found, numbers[place]))
        return least, found

    def laid_point(self, starts: tuple[str, ...], body: str, laying: Laying) -> tuple[float, int]:
        """The same as the survey wants the wire laid, from the nearest of some places."""
        ways = self.laid(starts, laying)
        found = [
            (round(ways.distance_m(place), 9), number) for number, (_, place) in enumerate(self.points[body])
        ]
        return min(found, default=(inf, 0))

    def splicing(self) -> list[str]:
        """Every place a splice may sit at, by name: not where a coupler parts two looms."""
        return sorted(set(self.around) - self.couplers)


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
