"""Currents of every wire and volts of every load in every mode, for a given resistance of every wire.

Loads are taken as constant currents, as rated; batteries as an EMF behind their inner resistance. While
the engine runs the regulator holds the battery posts at 2.3 V a cell, and the load figures are those of a
battery that feeds everything alone: the alternator's share can only lift the volts. What the alternator
puts through its cable is solved on its own, at full output.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

import numpy as np

from harness.electric.activity import Activity, LoadAt, activity, live_posts
from harness.electric.graph import (
    RESISTOR_OHM,
    WINDING_OHM,
    Battery,
    Charger,
    Edge,
    EdgeKey,
    Node,
    batteries,
    chargers,
    neighbours,
)
from harness.electric.network import Branch, Network, Web
from harness.electric.supply import CHARGE_V_PER_CELL, figure
from harness.model.machine import Machine

REST_V_PER_CELL = figure("rest volts of a full cell")
REGULATED_OHM = 1e-6

WireOhms = Mapping[int, float]
Pair = tuple[Hashable, Hashable]
Key = TypeVar("Key")


class Over(Mapping[Key, float]):
    """Currents of one case given by those of another and the few that differ."""

    __slots__ = ("_usual", "changed")

    def __init__(self, usual: Mapping[Key, float], changed: Mapping[Key, float]) -> None:
        self._usual = usual
        self.changed = changed

    def __getitem__(self, key: Key) -> float:
        found = self.changed.get(key)
        return self._usual[key] if found is None else found

    def __iter__(self) -> Iterator[Key]:
        return iter(self._usual)

    def __len__(self) -> int:
        return len(self._usual)


@dataclass(frozen=True, slots=True)
class Case:
    """One pattern of currents in one mode.

    steady: everything at once. continuous: what stays on as long as the mode lasts. spell: that and one load
    that is on for a spell. peak: that and one load at its inrush. charging: the alternator alone.
    """

    mode: str
    what: str  # "steady", "continuous", "charging", "spell <part> <link>" or "peak <part> <link>"
    peak: LoadAt | None
    wire_a: Mapping[int, float]  # signed, along the wire as written
    edge_a: Mapping[EdgeKey, float]  # signed, for every conducting edge, by its key
    volts: Mapping[Hashable, float]  # empty for a spell and a peak
    changed_a: Mapping[EdgeKey, float] | None = None  # of a spell and a peak: what is not as in continuous

    def moved_a(self) -> Mapping[int, float]:
        """Currents of the wires [A]; of a spell and a peak only where it is felt."""
        return self.wire_a.changed if isinstance(self.wire_a, Over) else self.wire_a


@dataclass(frozen=True, slots=True)
class LoadWay:
    """The way from the battery to a load and back: edges with +1 where current is counted along them.

    The way of a charging source is counted from the source to the battery, so that its drop is a loss too.
    """

    feed_post: Node
    back_post: Node
    feed: tuple[tuple[Edge, int], ...]
    back: tuple[tuple[Edge, int], ...]

    @property
    def edges(self) -> tuple[tuple[Edge, int], ...]:
        """Out and back together."""
        return (*self.feed, *self.back)


@dataclass(frozen=True)
class ModeSolution:
    """Everything solved for one mode."""

    activity: Activity
    source_v: float
    cases: tuple[Case, ...]
    ways: Mapping[tuple[str, str], LoadWay]  # (part, link) of a load or charging source -> its way
    tied: frozenset[tuple[str, str]]  # loads that have both a feed and a return

    @cached_property
    def _by_what(self) -> dict[str, Case]:
        return {case.what: case for case in self.cases}

    @cached_property
    def all_on(self) -> tuple[Case, ...]:
        """Everything at once, and charging at full output."""
        return tuple(case for what in ("steady", "charging") if (case := self._by_what.get(what)))

    @cached_property
    def on(self) -> dict[tuple[str, str], LoadAt]:
        """Loads that are on, by part and link."""
        return {(load.part, load.link): load for load in self.activity.loads}

    @cached_property
    def unfed(self) -> frozenset[tuple[str, str]]:
        """Loads that no source reaches, by part and link."""
        return frozenset((load.part, load.link) for load in self.activity.unfed)

    def case(self, what: str) -> Case:
        return self._by_what[what]

    def peak(self, part: str, link: str) -> Case | None:
        """The case of a load at its inrush, None when it has none."""
        return self._by_what.get(f"peak {part} {link}")

    def judged(self, part: str, link: str) -> Case:
        """The case a load's drop is judged in: its own current and what stays on.

        What others draw for a spell does not count: while the starter turns, every load on the engine sees
        its share of the strap's drop, and no size of a lamp's wire would change that.
        """
        return self._by_what.get(f"spell {part} {link}") or self._by_what["continuous"]


class _Layout:
    """What of a mode stays the same whatever the wires' resistance: its network, patterns and ways."""

    def __init__(self, plant: Plant, found: Activity, reference: Node) -> None:
        self.sources = plant.source_branches(found.mode.engine)
        self.keys: list[EdgeKey] = [edge.key for edge in found.conducting]
        ends: list[Pair] = [(edge.a, edge.b) for edge in found.conducting]
        self.web = Web([*ends, *((source.a, source.b) for source in self.sources)], reference)
        self.fixed_ohm = np.array([edge.ohm for edge in found.conducting])
        self.wires = [at for at, key in enumerate(self.keys) if isinstance(key, int)]
        self.wire_keys = [key for key in self.keys if isinstance(key, int)]
        index = self.web.index
        self.tied = [load for load in found.loads if load.feed in index and load.back in index]
        self.ways = plant.ways(found, self.tied)

    def network(self, wire_ohm: WireOhms) -> Network:
        """The network with these resistances of the wires [ohm]."""
        ohms = self.fixed_ohm.copy()
        ohms[self.wires] += [wire_ohm[wire] for wire in self.wire_keys]
        emfs = [0.0] * len(ohms) + [source.emf_v for source in self.sources]
        return Network.on(self.web, [*ohms.tolist(), *(source.ohm for source in self.sources)], emfs)


class Plant:
    """The machine's network apart from wire sizes: edges, sources and what is on in each mode."""

    def __init__(
        self, machine: Machine, ways: tuple[Edge, ...], activities: Iterable[Activity] | None = None
    ) -> None:
        self.machine = machine
        self.edges = ways
        self.batteries: list[Battery] = batteries(machine)
        self.charging: list[Charger] = chargers(machine)
        self.starts = live_posts(self.batteries, [charger.live for charger in self.charging])
        self._layouts: dict[str, _Layout] = {}
        self.activities = (
            [activity(machine, mode, ways, self.starts) for mode in machine.modes]
            if activities is None
            else list(activities)
        )

    def reference(self) -> Node | None:
        """The chassis-side post all is measured against: one wired to metal, or the first."""
        posts = [battery.ground for battery in self.batteries] or [
            charger.ground for charger in self.charging
        ]
        lives = {battery.live for battery in self.batteries}
        around = neighbours(edge for edge in self.edges if edge.kind == "wire")
        free = [post for post in posts if not any(other in lives for _, other in around.get(post, ()))]
        return next(iter(free or posts), None)

    def source_branches(self, engine: str) -> list[Branch]:
        """Batteries (or, without any, the generator) as an EMF behind a resistance."""
        running = engine == "running"
        per_cell = CHARGE_V_PER_CELL if running else REST_V_PER_CELL
        found = [
            Branch(
                battery.live, battery.ground, REGULATED_OHM if running else battery.inner_ohm,
                per_cell * battery.volts_v / 2,
            )
            for battery in self.batteries
        ]  # fmt: skip
        if found or not running:
            return found
        volts = CHARGE_V_PER_CELL * self.machine.voltage_v / 2
        return [Branch(charger.live, charger.ground, REGULATED_OHM, volts) for charger in self.charging]

    def solve(self, wire_ohm: WireOhms) -> list[ModeSolution]:
        """Solve every mode with these resistances of the wires [ohm]."""
        return [self._solve_mode(found, wire_ohm) for found in self.activities]

    def _solve_mode(self, found: Activity, wire_ohm: WireOhms) -> ModeSolution:
        reference = self.reference()
        if reference is None:
            return ModeSolution(found, 0.0, (), {}, frozenset())
        name = found.mode.name
        if name not in self._layouts:
            self._layouts[name] = _Layout(self, found, reference)
        layout = self._layouts[name]
        network = layout.network(wire_ohm)
        cases = tuple(self._cases(found, layout, network))
        volts = cases[0].volts
        tops = [volts.get(branch.a, 0.0) for branch in layout.sources]
        return ModeSolution(
            found, max(tops, default=0.0), cases, layout.ways,
            frozenset((load.part, load.link) for load in layout.tied),
        )  # fmt: skip

    def _cases(self, found: Activity, layout: _Layout, network: Network) -> Iterator[Case]:
        """Every set of load currents solved; of a spell and a peak only what they change."""

        def whole(what: str, drawn: Mapping[Pair, float]) -> Case:
            return _case(found.mode.name, layout, network, what, drawn)

        yield whole("steady", _drawn(layout.tied))
        lasting = whole("continuous", _drawn(load for load in layout.tied if load.load.steady_s is None))
        yield lasting
        for load in layout.tied:
            name, spell = f"{load.part} {load.link}", load.load.steady_s is not None
            if spell:
                yield _changed(lasting, layout, network, f"spell {name}", None, load, load.load.steady_a)
            if load.load.peak_a is not None:
                more_a = load.load.peak_a - (0.0 if spell else load.load.steady_a)
                yield _changed(lasting, layout, network, f"peak {name}", load, load, more_a)
        if found.mode.engine == "running" and self.batteries and self.charging:
            yield whole("charging", {(one.ground, one.live): one.output_a for one in self.charging})

    def ways(self, found: Activity, tied: list[LoadAt]) -> dict[tuple[str, str], LoadWay]:
        """How each load hangs on the battery posts; volts between two points do not depend on the way."""
        grounds = [battery.ground for battery in self.batteries] or [
            charger.ground for charger in self.charging
        ]
        feed = _tree(found.conducting, self.starts, through_bodies=False)
        back = _tree(found.conducting, grounds, through_bodies=True)
        wanted = [(load.part, load.link, load.feed, load.back, 1) for load in tied]
        if found.mode.engine == "running" and self.batteries:
            wanted += [(one.part, one.link, one.live, one.ground, -1) for one in self.charging]
        ways = {}
        for part, link, into, out, sense in wanted:
            if into in feed and out in back:
                there, post = _climb(feed, into)
                home, ground = _climb(back, out)
                ways[part, link] = LoadWay(
                    post, ground,
                    tuple((edge, -sense * sign) for edge, sign in reversed(there)),
                    tuple((edge, sense * sign) for edge, sign in home),
                )  # fmt: skip
        return ways


def _ohm(edge: Edge, wire_ohm: WireOhms) -> float:
    return edge.ohm + (wire_ohm[edge.key] if isinstance(edge.key, int) else 0.0)


def _drawn(loads: Iterable[LoadAt]) -> dict[Pair, float]:
    found: dict[Pair, float] = {}
    for load in loads:
        pair = (load.feed, load.back)
        found[pair] = found.get(pair, 0.0) + load.load.steady_a
    return found


def _case(mode: str, layout: _Layout, network: Network, what: str, drawn: Mapping[Pair, float]) -> Case:
    volts = network.solve(drawn)
    amps = [round(each, 9) for each in network.currents_a(volts)[: len(layout.keys)]]
    edge_a = dict(zip(layout.keys, amps, strict=True))
    wire_a = dict(zip(layout.wire_keys, (amps[at] for at in layout.wires), strict=True))
    return Case(mode, what, None, wire_a, edge_a, network.named(volts))


def _changed(
    usual: Case, layout: _Layout, network: Network, what: str, peak: LoadAt | None, load: LoadAt,
    more_a: float,
) -> Case:  # fmt: skip
    """A case that differs from another by what one load draws more: only where that current flows.

    So a machine with a thousand inrushes needs no thousand solves; the network is linear.
    """
    keys = layout.keys
    changed: dict[EdgeKey, float] = {
        keys[at]: round(usual.edge_a[keys[at]] + share * more_a, 9)
        for at, share in network.shares(load.feed, load.back).items()
        if at < len(keys)
    }
    wires = {key: amps for key, amps in changed.items() if isinstance(key, int)}
    return Case(
        usual.mode, what, peak, Over(usual.wire_a, wires), Over(usual.edge_a, changed), {}, changed
    )  # fmt: skip


Tree = dict[Node, tuple[Edge, Node] | None]


def _tree(ways: Iterable[Edge], roots: Iterable[Node], *, through_bodies: bool) -> Tree:
    """Breadth-first tree: node -> the edge and node one step nearer to a root."""
    around = neighbours(ways)
    tree: Tree = dict.fromkeys(roots)
    for node in (order := list(tree)):
        for edge, other in around.get(node, ()):
            if other not in tree and (through_bodies or other.kind != "body"):
                tree[other] = (edge, node)
                order.append(other)
    return tree


def _climb(tree: Tree, start: Node) -> tuple[list[tuple[Edge, int]], Node]:
    """Edges from ``start`` up to a root, +1 where the step goes from the edge's a to its b."""
    found, here = [], start
    while (step := tree[here]) is not None:
        edge, above = step
        found.append((edge, 1 if edge.a == here else -1))
        here = above
    return found, here


def way_drop_v(way: LoadWay, case: Case, wire_ohm: WireOhms) -> float:
    """Volts lost in wire, joints, contacts and fuses between the battery posts and a load, out and back [V].

    What a winding or resistor on the way takes is its work and not a loss of the wiring.
    """
    return sum(
        sign * case.edge_a[edge.key] * _ohm(edge, wire_ohm) for edge, sign in way.edges if not _works(edge)
    )


def fixed_drop_v(way: LoadWay, case: Case) -> float:
    """The share of that which no wire size changes: joints, contacts and fuses [V]."""
    return sum(sign * case.edge_a[edge.key] * edge.ohm for edge, sign in way.edges if not _works(edge))


def _works(edge: Edge) -> bool:
    least = {"bus": RESISTOR_OHM, "contact": WINDING_OHM}.get(edge.kind)
    return least is not None and edge.ohm >= least


def wire_share_a(way: LoadWay, case: Case) -> dict[int, float]:
    """Wire index -> current counted along the way [A], so that the wires' drop is sum(share x ohm)."""
    return {edge.key: sign * case.edge_a[edge.key] for edge, sign in way.edges if isinstance(edge.key, int)}
