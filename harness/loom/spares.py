"""Spare wires: which branches of a loom get how many, from where to where, and how long they are cut.

A spare starts where most wires of its loom end, at the panel as a rule, and lies in every bundle that is
thick enough, out to the next place where a part sits. It stays within one loom: at a coupler it is capped,
beside a way that it can be crimped into. One spare for 8 to 10 wires in each long branch, both ends capped,
longer than needed: common practice (memory); that short branches and thin bundles get none is a starting
point of ours.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush

from harness.loom.couplers import coupler_places
from harness.loom.lengths import open_length
from harness.loom.ways import Ways
from harness.model.design import Addition, Point, Wire
from harness.model.machine import Machine, Run
from harness.model.stages import BARE_END, Routed, RoutedWire

LEAST_WIRES = 8  # in a bundle; a thinner one gets no spare by rule
LEAST_M = 1.0  # a shorter spare is as soon drawn in when it is wanted
THIN_MM2 = 3.5  # up to 12 AWG and 2.5 mm2 a wire is one of the thin ones that spares are like

Node = tuple[str, str]  # place, and at a coupler the run on whose side of it
Laid = Callable[[str], tuple[str, float, float]]  # size -> its label, area [mm2] and outside diameter [mm]


@dataclass(frozen=True, slots=True)
class Lane:
    """Where one spare wire lies."""

    start: str
    end: str
    runs: tuple[str, ...]
    size: str | None
    colour: str | None
    asked: bool  # by name, in the survey


def spares_for(wires: int, per: int) -> int:
    """How many spares a bundle of so many wires gets, to the nearest; none in a thin one.

    >>> [spares_for(wires, 10) for wires in (7, 8, 14, 15, 24, 25)]
    [0, 1, 1, 2, 2, 3]
    """
    return max(1, (2 * wires + per) // (2 * per)) if per and wires >= LEAST_WIRES else 0


class _Bundles:
    """The runs that hold wires, parted at couplers, with how many wires end at every place."""

    def __init__(self, machine: Machine, routed: Routed) -> None:
        self.machine = machine
        self.cuts = coupler_places(machine)
        self.runs = {run.name: run for run in machine.runs}
        self.wires = {name: len(inside) for name, inside in routed.in_run.items() if inside}
        self.around: dict[Node, list[tuple[Node, Run]]] = {}
        for name in self.wires:
            run = self.runs[name]
            a, b = self.node(run.start, name), self.node(run.end, name)
            self.around.setdefault(a, []).append((b, run))
            self.around.setdefault(b, []).append((a, run))
        self.ends = Counter(node for wire in routed.wires for node in self._ends(wire))
        self.parts = {part.place for part in machine.parts.values()}

    def node(self, place: str, run: str) -> Node:
        return (place, run if place in self.cuts else "")

    def _ends(self, wire: RoutedWire) -> Iterator[Node]:
        if wire.runs:
            yield self.node(wire.a.place, wire.runs[0])
            yield self.node(wire.b.place, wire.runs[-1])
        elif wire.a.place not in self.cuts:
            yield from ((wire.a.place, ""), (wire.b.place, ""))

    def hubs(self) -> Iterator[Node]:
        """The place of every loom at which most wires end."""
        seen: set[Node] = set()
        for first in self.around:
            if first in seen:
                continue
            seen.add(first)
            loom = [first]
            for node in loom:
                fresh = [other for other, _ in self.around[node] if other not in seen]
                seen.update(fresh)
                loom += dict.fromkeys(fresh)
            yield max(loom, key=lambda node: self.ends[node])


@dataclass(slots=True)
class _Tree:
    """The shortest way from a hub to every place of its loom."""

    order: list[Node]  # nearest first
    far_m: dict[Node, float]
    came: dict[Node, tuple[Node, Run]]

    def runs(self, node: Node) -> tuple[str, ...]:
        found: list[str] = []
        while node in self.came:
            node, run = self.came[node]
            found.append(run.name)
        return tuple(reversed(found))


def _tree(bundles: _Bundles, hub: Node) -> _Tree:
    tree = _Tree([], {hub: 0.0}, {})
    heap = [(0.0, hub)]
    settled: set[Node] = set()
    while heap:
        far_m, node = heappop(heap)
        if node in settled:
            continue
        settled.add(node)
        tree.order.append(node)
        for other, run in bundles.around.get(node, ()):
            reached = far_m + run.length_m
            if other not in settled and reached < tree.far_m.get(other, float("inf")):
                tree.far_m[other], tree.came[other] = reached, (node, run)
                heappush(heap, (reached, other))
    return tree


def _onward(bundles: _Bundles, tree: _Tree, node: Node) -> Node:
    """On along the thickest bundle to the next place where a part sits, so that the end can be got at."""
    children: dict[Node, list[tuple[int, Node]]] = {}
    for other, (before, run) in tree.came.items():
        children.setdefault(before, []).append((bundles.wires[run.name], other))
    while node[0] not in bundles.parts and node in children:
        node = max(children[node], key=lambda each: (each[0], each[1]))[1]
    return node


def _by_rule(bundles: _Bundles, per: int) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    for hub in bundles.hubs():
        tree = _tree(bundles, hub)
        passing: Counter[str] = Counter()  # run -> spares in it
        for node in reversed(tree.order[1:]):
            run = tree.came[node][1].name
            lacking = spares_for(bundles.wires[run], per) - passing[run]
            if lacking <= 0:
                continue
            end = _onward(bundles, tree, node)
            if tree.far_m[end] < LEAST_M:
                continue
            way = tree.runs(end)
            for name in way:
                passing[name] += lacking
            for _ in range(lacking):
                yield hub[0], end[0], way


def _parted(machine: Machine, start: str, runs: Sequence[str]) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """A way in pieces that end at the couplers on it."""
    ends = {run.name: (run.start, run.end) for run in machine.runs}
    cuts = coupler_places(machine)
    here, first, piece = start, start, list[str]()
    for name in runs:
        a, b = ends[name]
        here = b if here == a else a
        piece.append(name)
        if here in cuts or name == runs[-1]:
            yield first, here, tuple(piece)
            first, piece = here, []


def lanes(machine: Machine, routed: Routed) -> list[Lane]:
    """Where every spare wire lies: by the rule, then those asked for by name."""
    rule = machine.spare_wires
    found = []
    if rule.per:
        for start, end, runs in _by_rule(_Bundles(machine, routed), rule.per):
            found.append(Lane(start, end, runs, rule.size, rule.colour, asked=False))
    ways = Ways(machine)
    for ask in machine.spare_asks:
        for start, end, runs in _parted(machine, ask.start, ways.of(ask.start).runs(ask.end)):
            lane = Lane(start, end, runs, ask.size or rule.size, ask.colour or rule.colour, asked=True)
            found += [lane] * ask.count
    return found


def _common_size(inside: Iterable[Wire], every: Sequence[Wire]) -> str:
    """The size most thin new wires along the way have, else most on the machine; the thicker of two."""

    def most(wires: Iterable[Wire]) -> str | None:
        thin = [wire for wire in wires if not wire.kept and wire.area_mm2 <= THIN_MM2]
        area = {wire.size: wire.area_mm2 for wire in thin}
        count = Counter(wire.size for wire in thin)
        return max(count, key=lambda size: (count[size], area[size])) if count else None

    found = most(inside) or most(every)
    return found or min(every, key=lambda wire: wire.area_mm2).size


def spare_wires(
    machine: Machine, routed: Routed, made: Sequence[Wire], *, size_of: Laid, colour: str
) -> list[Wire]:
    """Every spare wire with bare ends, numbered "SPARE 1" and on; in no circuit, and carrying nothing.

    ``size_of``: of the rule set. ``colour``: of spares in the machine's scheme. Raises NoRoute.
    """
    runs = {run.name: run for run in machine.runs}
    found = []
    for number, lane in enumerate(lanes(machine, routed), 1):
        passed = [runs[name] for name in lane.runs]
        inside = [made[index] for name in lane.runs for index in routed.in_run[name]]
        label, area_mm2, outside_mm = size_of(lane.size or _common_size(inside, made))
        way_m = sum(run.length_m for run in passed)
        length_m, additions = open_length(machine, (lane.start, lane.end), passed, way_m)
        name = f"SPARE {number}"
        hottest_c = max(machine.zones[run.zone].ambient_c for run in passed)
        found.append(
            Wire(
                number=name, circuit="spare", from_=Point(name, "capped", lane.start, "part"),
                to=Point(name, "capped", lane.end, "part"), length_m=length_m, run_length_m=round(way_m, 6),
                size=label, area_mm2=area_mm2, outside_mm=outside_mm, cable=machine.cable,
                colour=lane.colour or colour, current_a={}, continuous_a=0.0, short_a=0.0, short_s=0.0,
                drop_v=0.0, resistance_ohm=0.0, conductor_c=hottest_c, ambient_c=hottest_c, ampacity_a=0.0,
                ampacity_base_a=0.0, ambient_factor=1.0, bundle_factor=1.0, bundle_loaded=0, margin=0.0,
                fuse="", fuse_a=None, runs=list(lane.runs),
                decided_by="asked for in the survey" if lane.asked else "rule for spare wires", limits=[],
                kept=False, from_end=BARE_END, to_end=BARE_END, assumed=[],
                fine_stranded=any(run.fine for run in passed),
                additions=[Addition(what, round(more_m, 6)) for what, more_m in additions],
            )
        )  # fmt: skip
    return found
