"""Every wire's way along the runs, the place of every splice, and cut lengths."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import inf

from harness.loom.demand import rough_currents_a
from harness.loom.lengths import cut_length
from harness.loom.spots import Tail, shifts, splice_spots
from harness.loom.taken import way_taken
from harness.loom.ways import NONE, NoRoute, Ways
from harness.model.design import Point
from harness.model.laying import FREE, Laying
from harness.model.machine import End, Machine, Run, WireSpec
from harness.model.stages import Routed, RoutedWire, SplicePlace

Pull = tuple[End, float, Laying]  # what a splice is wired to, the current that weighs the copper there [A],
# and how the survey wants the wire laid, seen from there
Spot = tuple[str, Laying]  # a place or body that pulls, and how the wires to it are laid


def _pulls(machine: Machine, splices: Iterable[str]) -> dict[str, list[Pull]]:
    """What each of some splices is wired to."""
    found: dict[str, list[Pull]] = {name: [] for name in splices}
    ends = [
        (wire.index, here.name, there, laying)
        for wire in machine.wires
        for here, there, laying in (
            (wire.a, wire.b, wire.laying.back()),
            (wire.b, wire.a, wire.laying),
        )
        if here.kind == "splice" and here.name in found
    ]
    currents = rough_currents_a(machine, {index for index, _, _, _ in ends})
    for index, name, there, laying in ends:
        found[name].append((there, currents[index], laying))
    return found


def _best_place(
    ways: Ways, spots: Mapping[Spot, float], bodies: Mapping[Spot, float], open_to: frozenset[str]
) -> str:
    """The place from which all of a splice's wires together take the least copper, in ampere-metres.

    ``spots``, ``bodies``: place or body -> current of the wires that lead there [A]. ``open_to``: where it
    may sit, any place when empty. No place can be best that is farther from every spot than the best of the
    spots themselves, pulled by all, would allow: only those within that distance are looked at.
    """
    spreads = [(ways.laid((place,), laying), amps) for (place, laying), amps in spots.items()]
    spreads += [(ways.laid(ways.at_body(body), laying), amps) for (body, laying), amps in bodies.items()]

    def pull(place: str) -> float:
        return sum(amps * spread.distance_m(place) for spread, amps in spreads)

    def fits(place: str) -> bool:
        return place not in ways.couplers and (not open_to or place in open_to)

    candidates: Iterable[str] = open_to or ways.splicing()
    enough = min((pull(spot) for spot, _ in spots if fits(spot)), default=inf)
    if enough < inf:
        radius_m = (enough + 1e-6) / sum(spots.values())
        near: dict[str, None] = {}
        for spot in dict.fromkeys(spot for spot, _ in spots):
            for place, far in ways.of(spot).outward():
                if far > radius_m:
                    break
                if fits(place):
                    near[place] = None
        candidates = near or candidates
    return min(candidates, key=lambda place: (round(pull(place), 9), place))


def _drawn_to(
    machine: Machine, ways: Ways, others: Iterable[Pull], placed: Mapping[str, str]
) -> tuple[dict[Spot, float], dict[Spot, float]]:
    """Places and bodies that the wires of a splice go to, as far as they stand, with the amps that pull."""
    spots: dict[Spot, float] = defaultdict(float)
    bodies: dict[Spot, float] = defaultdict(float)
    for end, amps, laying in others:
        if end.kind == "body":
            if ways.points[end.name]:
                bodies[end.name, laying] += amps
        elif end.kind == "part" or end.name in placed:
            place = machine.parts[end.name].place if end.kind == "part" else placed[end.name]
            spots[place, laying] += amps
    return spots, bodies


def splice_places(machine: Machine, ways: Ways) -> dict[str, str]:
    """Put every splice where the least copper is needed, the survey's own choice first.

    Splices that hang on one another are settled by turns: each is moved to its best place with the others
    held, until none moves.
    """
    placed = {splice.name: splice.place for splice in machine.splices if splice.place is not None}
    open_to = {splice.name: frozenset(splice.open_to) for splice in machine.splices}
    pulls = _pulls(machine, [splice.name for splice in machine.splices if splice.place is None])
    known: dict[str, tuple[dict[Spot, float], dict[Spot, float]]] = {}
    for _ in range(len(pulls) + 1):
        before = dict(placed)
        for name, others in pulls.items():
            spots, bodies = _drawn_to(machine, ways, others, placed)
            if known.get(name) != (spots, bodies):
                placed[name] = _best_place(ways, spots, bodies, open_to[name])
                known[name] = (spots, bodies)
        if placed == before:
            break
    return placed


def _nearest_point(machine: Machine, body: str, near: Iterable[str], ways: Ways, laying: Laying) -> Point:
    """The ground point of a body that is nearest to one of some places, the first in the survey of equals."""
    points = ways.points[body]
    if not points:
        raise NoRoute(f"body {body!r} has no ground point")
    starts = tuple(dict.fromkeys(near))
    if laying == FREE:
        spots = [ways.nearest_point(place, body) for place in starts]
    else:
        spots = [ways.laid_point(starts, body, laying)]
    best = min(spots, key=lambda spot: (round(spot[0], 9), spot[1]), default=(inf, 0))
    name, place = points[best[1]]
    return Point(name, machine.parts[name].terminals[0].name, place, "part")


def _point(
    machine: Machine, end: End, near: Iterable[str], ways: Ways, splices: Mapping[str, str], laying: Laying
) -> Point:
    """The real terminal an end stands for; a body becomes its ground point nearest to ``near``.

    ``laying``: as the wire goes from ``near`` to that end.
    """
    if end.kind == "part":
        return Point(end.name, end.terminal, machine.parts[end.name].place, "part")
    if end.kind == "splice":
        return Point(end.name, "", splices[end.name], "splice")
    return _nearest_point(machine, end.name, near, ways, laying)


def _places_of(machine: Machine, end: End, ways: Ways, splices: Mapping[str, str]) -> list[str]:
    """Where an end may be: one place, or the places of all ground points of a body."""
    if end.kind == "body":
        return [place for _, place in ways.points[end.name]]
    return [machine.parts[end.name].place if end.kind == "part" else splices[end.name]]


@dataclass(frozen=True, slots=True)
class _Laid:
    """One wire with both ends at a real terminal, and its runs."""

    spec: WireSpec
    a: Point
    b: Point
    runs: tuple[str, ...]


def _lay(machine: Machine, spec: WireSpec, ways: Ways, splices: Mapping[str, str]) -> _Laid:
    near_b = _places_of(machine, spec.b, ways, splices) if spec.a.kind == "body" else ()
    a = _point(machine, spec.a, near_b, ways, splices, spec.laying.back())
    b = _point(machine, spec.b, [a.place], ways, splices, spec.laying)
    return _Laid(spec, a, b, ways.laid((a.place,), spec.laying).runs(b.place))


def _tails(machine: Machine, wires: Iterable[_Laid]) -> dict[str, list[Tail]]:
    """How the wires of every splice that the tool placed leave its place."""
    found: dict[str, list[Tail]] = {
        splice.name: [] for splice in machine.splices if splice.place is None or splice.chosen
    }
    ends = [
        (point.part, wire.spec.index, run)
        for wire in wires
        for point, run in ((wire.a, wire.runs[:1]), (wire.b, wire.runs[-1:]))
        if point.kind == "splice" and point.part in found
    ]
    currents = rough_currents_a(machine, {index for _, index, _ in ends})
    for name, index, run in ends:
        found[name].append(Tail(run[0] if run else "", currents[index]))
    return found


def _cut(
    machine: Machine,
    wire: _Laid,
    spots: Mapping[str, SplicePlace],
    runs: Mapping[str, Run],
    plain: Ways,
    *,
    cool: bool,
) -> RoutedWire:
    spec, passed = wire.spec, [runs[name] for name in wire.runs]
    way_m = spec.length_m if spec.length_m is not None else sum(run.length_m for run in passed)
    ends = wire.a, wire.b
    at_splices = [(point.part, spots.get(point.part) if point.kind == "splice" else None) for point in ends]
    moved = shifts(at_splices[0], at_splices[1], wire.runs)
    length_m, additions = cut_length(machine, spec, ends, passed, way_m, moved)
    taken = way_taken(spec.laying, (wire.a.place, wire.b.place), wire.runs, runs, plain=plain, cool=cool)
    return RoutedWire(spec.index, *ends, wire.runs, way_m, length_m, additions, taken)


def route(machine: Machine, weights: Mapping[str, float] = NONE) -> Routed:
    """Lay every wire the shortest measured way that the survey leaves it.

    ``weights``: run -> what a metre of it counts; without, every metre counts alike.
    Raises NoRoute where the survey check let a gap through.
    """
    ways = plain = Ways(machine)
    if weights:
        ways = Ways(machine, weights)
    splices = splice_places(machine, ways)
    runs = {run.name: run for run in machine.runs}
    laid = [_lay(machine, spec, ways, splices) for spec in machine.wires]
    spots = splice_spots(machine, splices, _tails(machine, laid))
    wires = tuple(_cut(machine, wire, spots, runs, plain, cool=bool(weights)) for wire in laid)
    in_run: dict[str, list[int]] = {name: [] for name in runs}
    for wire in wires:
        for name in wire.runs:
            in_run[name].append(wire.index)
    return Routed(wires, splices, {name: tuple(inside) for name, inside in in_run.items()}, spots)
