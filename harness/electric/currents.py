"""Currents of every wire and volts of every load in every mode, for a given resistance of every wire.

Loads are taken as constant currents, as rated; batteries as an EMF behind their inner resistance. While
the engine runs the regulator holds the battery posts at 2.3 V a cell, and the load figures are those of a
battery that feeds everything alone: the alternator's share can only lift the volts. What the alternator
puts through its cable is solved on its own, at full output.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from itertools import chain

from harness.electric.activity import Activity, LoadAt, activity, live_posts
from harness.electric.graph import Battery, Charger, Edge, Node, batteries, chargers, neighbours
from harness.electric.network import Branch, Network
from harness.electric.supply import figure
from harness.model.machine import Machine

REST_V_PER_CELL = figure("rest volts of a full cell")
CHARGE_V_PER_CELL = figure("regulated volts of a cell")  # 13.8 V on six cells
REGULATED_OHM = 1e-6
RESISTOR_OHM = 0.05  # an inner link below this is a bar, from here on a winding or resistor

WireOhms = Mapping[int, float]
Pair = tuple[Hashable, Hashable]
EdgeKey = int | tuple[str, str]  # a wire index, or part and link


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
    volts: Mapping[Hashable, float]


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


@dataclass(frozen=True, slots=True)
class ModeSolution:
    """Everything solved for one mode."""

    activity: Activity
    source_v: float
    cases: tuple[Case, ...]
    ways: Mapping[tuple[str, str], LoadWay]  # (part, link) of a load or charging source -> its way
    tied: frozenset[tuple[str, str]]  # loads that have both a feed and a return

    def case(self, what: str) -> Case:
        return next(case for case in self.cases if case.what == what)

    def judged(self, part: str, link: str) -> Case:
        """The case a load's drop is judged in: its own current and what stays on.

        What others draw for a spell does not count: while the starter turns, every load on the engine sees
        its share of the strap's drop, and no size of a lamp's wire would change that.
        """
        spell = f"spell {part} {link}"
        found = [case for case in self.cases if case.what == spell]
        return found[0] if found else self.case("continuous")


class Plant:
    """The machine's network apart from wire sizes: edges, sources and what is on in each mode."""

    def __init__(self, machine: Machine, ways: tuple[Edge, ...]) -> None:
        self.machine = machine
        self.edges = ways
        self.batteries: list[Battery] = batteries(machine)
        self.charging: list[Charger] = chargers(machine)
        self.starts = live_posts(self.batteries, [charger.live for charger in self.charging])
        self.activities = [activity(machine, mode, ways, self.starts) for mode in machine.modes]

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
        sources = self.source_branches(found.mode.engine)
        branches = [Branch(edge.a, edge.b, _ohm(edge, wire_ohm)) for edge in found.conducting]
        network = Network([*branches, *sources], reference) if reference is not None else None
        if network is None:
            return ModeSolution(found, 0.0, (), {}, frozenset())
        tied = [load for load in found.loads if network.holds(load.feed) and network.holds(load.back)]
        cases = tuple(
            _case(found, network, branches, what, peak, drawn)
            for what, peak, drawn in self._patterns(found, tied)
        )
        ways = self._ways(found, tied)
        volts = cases[0].volts
        tops = [volts.get(branch.a, 0.0) for branch in sources]
        return ModeSolution(
            found, max(tops, default=0.0), cases, ways,
            frozenset((load.part, load.link) for load in tied),
        )  # fmt: skip

    def _patterns(
        self, found: Activity, tied: list[LoadAt]
    ) -> Iterable[tuple[str, LoadAt | None, dict[Pair, float]]]:
        """The sets of load currents to solve for."""
        steady = _drawn(tied)
        yield "steady", None, steady
        lasting = [load for load in tied if load.load.steady_s is None]
        yield "continuous", None, _drawn(lasting)
        for load in tied:
            if load.load.steady_s is not None:
                yield f"spell {load.part} {load.link}", None, _drawn([*lasting, load])
            if load.load.peak_a is not None:
                others = [other for other in lasting if other is not load]
                more = _drawn(others)
                pair = (load.feed, load.back)
                more[pair] = more.get(pair, 0.0) + load.load.peak_a
                yield f"peak {load.part} {load.link}", load, more
        if found.mode.engine == "running" and self.batteries and self.charging:
            yield "charging", None, {(one.ground, one.live): one.output_a for one in self.charging}

    def _ways(self, found: Activity, tied: list[LoadAt]) -> dict[tuple[str, str], LoadWay]:
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


def _case(
    found: Activity, network: Network, branches: list[Branch], what: str, peak: LoadAt | None,
    drawn: Mapping[Pair, float],
) -> Case:  # fmt: skip
    volts = network.volts(drawn)
    edge_a = {
        edge.key: round(network.current_a(branch, volts), 9)
        for edge, branch in zip(found.conducting, branches, strict=True)
    }
    wire_a = {key: amps for key, amps in edge_a.items() if isinstance(key, int)}
    return Case(found.mode.name, what, peak, wire_a, edge_a, volts)


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
    return edge.kind == "bus" and edge.ohm >= RESISTOR_OHM


def wire_share_a(way: LoadWay, case: Case) -> dict[int, float]:
    """Wire index -> current counted along the way [A], so that the wires' drop is sum(share x ohm)."""
    return {edge.key: sign * case.edge_a[edge.key] for edge, sign in way.edges if isinstance(edge.key, int)}


def all_cases(solutions: Iterable[ModeSolution]) -> Iterable[Case]:
    """Every case of every mode."""
    return chain.from_iterable(solution.cases for solution in solutions)
