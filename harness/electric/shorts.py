"""What a dead short draws at every point of the live side, by one nodal solve of the whole network.

Feeds and returns, parallel ones too, are solved together. Points that hang on the rest by a single way are
stripped first: along that way resistances add up and every fuse sees the whole current. Only what is left,
the core, is factorised, once, and solved once for each of its points. Every switch counts as closed.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, cast

import numpy as np
from numpy.typing import NDArray

from harness.electric.graph import RESISTOR_OHM, Battery, Edge, Node, batteries, neighbours
from harness.electric.guards import FuseKey
from harness.electric.laws import REGULATOR_OHM
from harness.electric.network import LEAST_OHM, Branch, Network
from harness.electric.operating import WARM_C
from harness.electric.sizing import Sizing
from harness.electric.supply import CHARGE_V_PER_CELL, battery_ohm, figure, rest_v
from harness.model.machine import Machine

Extreme = Literal["least", "most"]


@dataclass(frozen=True, slots=True)
class Short:
    """A dead short at one point: what flows, and through which fuses nearest before it."""

    current_a: float
    volts_v: float  # before the short
    ohm: float  # of the whole loop
    shares: Mapping[FuseKey, float]  # of that current, by fuse
    held: bool = False  # a voltage converter holds the current down


def is_feed(edge: Edge) -> bool:
    """Metal, closed contacts and fuses; windings and resistors limit the current as a load does."""
    return edge.kind in ("wire", "fuse") or (edge.kind in ("contact", "bus") and edge.ohm < RESISTOR_OHM)


def _spread(starts: Iterable[Node], edges: Iterable[Edge], stops: frozenset[Node]) -> dict[Node, None]:
    """Nodes reached from some over edges without entering ``stops``, in the order they are met."""
    around = neighbours(edges)
    found = dict.fromkeys(start for start in starts if start not in stops)
    for node in (order := list(found)):
        for _, other in around.get(node, ()):
            if other not in found and other not in stops:
                found[other] = None
                order.append(other)
    return found


@dataclass(frozen=True, slots=True)
class Sides:
    """The live metal and the chassis-side metal of a machine."""

    live: frozenset[Node]
    home: frozenset[Node]
    limited: Mapping[Node, Battery]  # live nodes that only a voltage converter feeds
    ground: Node | None  # the chassis-side post that volts are counted from


def sides(sizing: Sizing, sources: Sequence[Battery]) -> Sides:
    """Which nodes are live and which are chassis; a contact between the two is a change-over, left open."""
    wires = [edge for edge in sizing.edges if edge.kind == "wire"]
    joined = {battery.live for battery in sources if not battery.converts}
    around = neighbours(wires)
    true = [battery for battery in sources if not battery.converts]
    free = [
        battery.ground
        for battery in true
        if not any(other in joined for _, other in around.get(battery.ground, ()))
    ]
    bodies = [end for edge in sizing.edges for end in (edge.a, edge.b) if end.kind == "body"]
    solid = [
        edge
        for edge in sizing.edges
        if edge.kind in ("wire", "joint") or (edge.kind == "bus" and is_feed(edge))
    ]
    posts = frozenset(battery.live for battery in sources)
    home = frozenset(_spread([*free, *dict.fromkeys(bodies)], solid, posts))
    feeds = [edge for edge in sizing.edges if is_feed(edge)]
    live = frozenset(_spread([battery.live for battery in true], feeds, home))
    limited: dict[Node, Battery] = {}
    for battery in sources:
        if battery.converts:
            own = _spread([battery.live], feeds, home)
            limited |= dict.fromkeys((node for node in own if node not in live), battery)
    return Sides(live | frozenset(limited), home, limited, free[0] if free else None)


class _Core:
    """A network with everything stripped that hangs on it by a single way."""

    def __init__(self, branches: Mapping[object, Branch], keep: Iterable[Node]) -> None:
        around: dict[Node, dict[object, Node]] = {}
        for key, branch in branches.items():
            if branch.a != branch.b:
                around.setdefault(cast(Node, branch.a), {})[key] = cast(Node, branch.b)
                around.setdefault(cast(Node, branch.b), {})[key] = cast(Node, branch.a)
        kept = set(keep)
        self.up: dict[Node, tuple[object, Node]] = {}  # stripped node -> the way it hung by, where that leads
        loose = [node for node, ways in around.items() if len(ways) == 1 and node not in kept]
        for node in loose:
            if len(around[node]) != 1:
                continue  # the last of an island
            ((key, other),) = around[node].items()
            self.up[node] = (key, other)
            del around[node][key], around[other][key]
            if len(around[other]) == 1 and other not in kept:
                loose.append(other)
        self.branches = [
            branch for branch in branches.values() if branch.a not in self.up and branch.b not in self.up
        ]

    def climb(self, node: Node) -> tuple[list[object], Node]:
        """Ways from a node to the core, nearest first, and where they end."""
        ways = []
        while node in self.up:
            key, node = self.up[node]
            ways.append(key)
        return ways, node


class Shorts:
    """Dead shorts of one machine at one extreme.

    least: copper as hot as it works, fuses hot, batteries half charged at the survey's coldest; it decides if
    and how late a fuse opens. most: copper of 20 °C, fuses cold, batteries full and warm; it decides what a
    fuse has to break. Contacts and joints count alike in both, the engine stands still.
    """

    def __init__(self, machine: Machine, sizing: Sizing, extreme: Extreme) -> None:
        self.machine, self.sizing, self.extreme = machine, sizing, extreme
        self.sources = batteries(machine)
        self.sides = sides(sizing, self.sources)
        self.edges = {edge.key: edge for edge in sizing.edges if self._conducts(edge)}
        self.branches: dict[object, Branch] = {
            key: Branch(edge.a, edge.b, max(self.ohm(edge), LEAST_OHM)) for key, edge in self.edges.items()
        }
        for battery in self.sources:
            self.branches["source", battery.part] = self._source(battery)
        self.bodies = self._bodies_held()
        posts = [node for battery in self.sources for node in (battery.live, battery.ground)]
        self.core = _Core(self.branches, [*posts, *self.bodies])
        self.network = Network(self.core.branches, self.sides.ground) if self.sides.ground else None
        self.at_place = self._bodies_at()
        self._solve()

    def _conducts(self, edge: Edge) -> bool:
        if edge.kind == "joint":
            return True
        crosses = (edge.a in self.sides.home) != (edge.b in self.sides.home)
        return is_feed(edge) and not (edge.kind in ("contact", "fuse") and crosses)

    def ohm(self, edge: Edge) -> float:
        """Resistance of a way at this extreme [ohm]."""
        if isinstance(edge.key, int):
            if self.extreme == "least":
                return edge.ohm + self.sizing.ohms[edge.key]
            wire = self.sizing.routed.wires[edge.key]
            return edge.ohm + self.sizing.sizes[edge.key].r20_ohm_per_m * wire.length_m
        rating = self.sizing.ratings.get(edge.key)
        if rating is not None and edge.kind == "fuse" and self.extreme == "most":
            return edge.ohm - rating.ohm + rating.cold_ohm
        return edge.ohm

    def _source(self, battery: Battery) -> Branch:
        if battery.converts:
            volts = CHARGE_V_PER_CELL * battery.volts_v / 2
            return Branch(battery.live, battery.ground, REGULATOR_OHM, volts)
        least = self.extreme == "least"
        charge = figure("charge at the weakest short") if least else 1.0
        celsius = self.machine.coldest_c if least else WARM_C
        return Branch(
            battery.live, battery.ground, battery_ohm(rated_ohm=battery.inner_ohm, celsius=celsius),
            rest_v(volts_v=battery.volts_v, charge=charge),
        )  # fmt: skip

    def limit_a(self, battery: Battery) -> float:
        """What a converter gives into a short [A]: its rated output by the power it draws."""
        part = self.machine.parts[battery.part]
        drawn_a = sum(link.load.steady_a for link in part.links if link.load)
        rated_a = drawn_a * self.machine.voltage_v / battery.volts_v
        return rated_a * figure(f"converter limit, {self.extreme}")

    def _bodies_held(self) -> list[Node]:
        """Bodies that some metal ties to the chassis-side posts; that post itself where there is none."""
        if self.sides.ground is None:
            return []
        tied = _spread([self.sides.ground], self.edges.values(), frozenset())
        bodies = [node for node in tied if node.kind == "body"]
        return bodies or [self.sides.ground]

    def _bodies_at(self) -> dict[str, list[Node]]:
        found: dict[str, list[Node]] = {}
        for part in self.machine.parts.values():
            body = Node("body", part.body) if part.body is not None else None
            if body in self.bodies and body not in found.setdefault(part.place, []):
                found[part.place].append(body)
        return found

    def _solve(self) -> None:
        """Volts before any short; for every body what 1 A put in there lifts every core node by."""
        self.open_v: dict[Hashable, float] = {}
        self.lift: dict[Node, NDArray[np.float64]] = {}
        self.own: dict[Node, float] = {}
        self.fuse_a: dict[tuple[Node, FuseKey], float] = {}
        net = self.network
        if net is None:
            return
        self.open_v = dict(net.volts({}))
        posts = [
            one.ground for one in self.sources if one.ground in self.sides.home and net.holds(one.ground)
        ]
        metal = list(dict.fromkeys([*self.bodies, *posts]))
        self.lift = {body: column.copy() for body, column in net.columns(metal)}  # type: ignore[misc]
        near: dict[Node, set[FuseKey]] = {}
        for index, guards in self.sizing.guards.live.items():
            keys = {key for key in guards if key is not None and self._in_core(key)}
            for end in (self.edges[index].a, self.edges[index].b) if keys and index in self.edges else ():
                near.setdefault(self.core.climb(end)[1], set()).update(keys)
        anchors = dict.fromkeys(self.core.climb(node)[1] for node in sorted(self.sides.live))
        for node, column in net.columns([anchor for anchor in anchors if net.holds(anchor)]):
            assert isinstance(node, Node)
            self.own[node] = float(column[net.index(node)])
            for key in near.get(node, ()):
                self.fuse_a[node, key] = self._through(key, column)

    def _in_core(self, key: FuseKey) -> bool:
        edge = self.edges.get(key)
        return edge is not None and edge.a not in self.core.up and edge.b not in self.core.up

    def _through(self, key: FuseKey, column: NDArray[np.float64]) -> float:
        """Current through a fuse of the core for a column of volts [A]."""
        edge, net = self.edges[key], self.network
        assert net is not None
        return float(column[net.index(edge.a)] - column[net.index(edge.b)]) / self.branches[key].ohm

    def at(self, node: Node, place: str, guards: Iterable[FuseKey | None] = ()) -> Short | None:
        """A dead short from a live node to the metal at a place; None off the live side.

        Least: to the bodies near it, or to the worst of all where none is. Most: to the best of all bodies,
        beside a battery to its chassis-side post. ``guards``: fuses nearest before the node, for those of
        them that lie in the core.
        """
        if node not in self.sides.live:
            return None
        ways, anchor = self.core.climb(node)
        if anchor not in self.own:
            return None
        stub = sum(self.branches[way].ohm for way in ways)
        found = [
            self._against(anchor, body, stub) for body in self._metal(place)
        ]  # fmt: skip
        pick = min if self.extreme == "least" else max
        amps, volts, ohm, body = pick(found, key=lambda one: one[0])
        battery = self.sides.limited.get(node)
        limit = self.limit_a(battery) if battery is not None else amps
        shares = self._shares(ways, anchor, body, guards)
        return Short(min(amps, limit), volts, ohm, shares, limit < amps)

    def _metal(self, place: str) -> list[Node]:
        """What a wire at a place may be shorted to."""
        if self.extreme == "least":
            return self.at_place.get(place) or self.bodies
        posts = [one.ground for one in self.sources if self.machine.parts[one.part].place == place]
        return [*self.bodies, *(post for post in posts if post in self.lift and post not in self.bodies)]

    def _against(self, anchor: Node, body: Node, stub_ohm: float) -> tuple[float, float, float, Node]:
        net = self.network
        assert net is not None
        lift = self.lift[body]
        ohm = self.own[anchor] - 2 * lift[net.index(anchor)] + lift[net.index(body)] + stub_ohm
        volts = abs(self.open_v[anchor] - self.open_v[body])
        return volts / max(float(ohm), LEAST_OHM), volts, float(ohm), body

    def _shares(
        self, ways: Sequence[object], anchor: Node, body: Node, guards: Iterable[FuseKey | None]
    ) -> dict[FuseKey, float]:
        """The last fuse on a single way carries it all; in the core each of the nearest carries its share."""
        for way in ways:
            edge = self.edges.get(way) if isinstance(way, int | tuple) else None
            if edge is not None and edge.kind == "fuse" and isinstance(edge.key, tuple):
                return {edge.key: 1.0}
        return {
            key: min(1.0, abs(self.fuse_a[anchor, key] - self._through(key, self.lift[body])))
            for key in sorted(key for key in guards if key is not None)
            if (anchor, key) in self.fuse_a
        }


__all__ = ["Extreme", "Short", "Shorts", "Sides", "is_feed", "sides"]
