"""One mode's network that faults can be put into, solved for the volts a meter would read at every point.

Everything is tied to the chassis post through a meter's own resistance, so that a point cut off reads
nothing. Loads that stand in the network but are not on in the mode draw as soon as a fault feeds them: so
a lamp glows through another when their common ground is lost. Motors, signals and electronics, which the
design takes at constant current or power, draw by a curve here that ends at nothing without volts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from harness.electric.activity import Activity
from harness.electric.currents import Plant, WireOhms
from harness.electric.graph import Edge, EdgeKey, Node
from harness.electric.laws import Draw, Giver
from harness.electric.network import Branch
from harness.electric.operating import Bench, Model, OperatingPoint, operating_point
from harness.electric.settle import Floats, Grid

METER_OHM = (
    1e6  # less than a meter has, as damp and dust have it too; keeps the solve well away from rounding
)
OPEN_OHM = 1e8  # a broken wire: far beyond the meter
BOLT_OHM = 1e-5  # of what has next to none
LEAST_LEFT = 1e-5  # rounding's share of what is left of the conductance when a bridge is opened
CLOSE_V = 1e-4  # no meter shows less
FED_SHARE = 0.05  # of its volts: below this a load that is off is not fed


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong, as the network sees it.

    kind: what; ``key`` names the wire or inner link it sits in, ``node`` the point, ``name`` a source.
    """

    kind: str  # a row of faults.OFTEN
    key: EdgeKey | None = None
    node: Node | None = None
    name: str = ""

    def __str__(self) -> str:
        return f"{self.kind} {self.key if self.key is not None else self.node or self.name}"


@dataclass(frozen=True, slots=True)
class Change:
    """What a fault of a certain size does to the network."""

    ohms: Mapping[EdgeKey, float] = field(default_factory=dict)  # of a wire or link, in place of its own
    extra: tuple[Branch, ...] = ()
    givers: tuple[Giver, ...] | None = None  # in place of the mode's
    dead: frozenset[str] = frozenset()  # loads that draw nothing


NOTHING = Change()


@dataclass(frozen=True)
class State:
    """The network as it settles under one change."""

    point: OperatingPoint
    reference: Node
    edges: Mapping[EdgeKey, Edge]
    siemens: Callable[[EdgeKey], float]  # of a wire or link as it is here

    def volts(self, node: Node, against: Node | None = None) -> float:
        """What a meter reads from ``against`` (the chassis post) to ``node`` [V]."""
        found = self.point.volts
        return found[node] - found[against or self.reference]

    def load_v(self, name: str) -> float:
        """Volts across a load [V]."""
        return self.point.draw_v[name]

    def amps(self, key: EdgeKey) -> float:
        """Current of a wire or link along its own direction [A]."""
        edge, found = self.edges[key], self.point.volts
        return (found[edge.a] - found[edge.b]) * self.siemens(key)


class Patient:
    """The network of one mode, healthy and with any one change."""

    def __init__(
        self, plant: Plant, found: Activity, wire_ohm: WireOhms, laid: Mapping[int, tuple[str, ...]]
    ) -> None:
        """``laid``: wire -> the runs it lies in. Raises ValueError where no source feeds the machine."""
        reference = plant.reference()
        if reference is None:
            raise ValueError("there is no battery, alternator or dynamo")
        self.plant, self.activity, self.reference, self.laid = plant, found, reference, laid
        self.bench = Bench(plant, found, wire_ohm, reference)
        self.edges: dict[EdgeKey, Edge] = {edge.key: edge for edge in plant.edges if edge.kind != "load"}
        self._ohm = {
            edge.key: max(edge.ohm + (wire_ohm[edge.key] if isinstance(edge.key, int) else 0), BOLT_OHM)
            for edge in self.edges.values()
        }
        self.conducting = frozenset(edge.key for edge in found.conducting)
        self.load_edges = {edge.key: edge for edge in plant.edges if edge.kind == "load"}
        ends = [node for edge in plant.edges if edge.kind != "source" for node in (edge.a, edge.b)]
        sources = [node for one in self.givers for node in (one.a, one.b)]
        self.nodes = tuple(node for node in dict.fromkeys([*ends, *sources]) if isinstance(node, Node))
        self._meters = tuple(Branch(node, reference, METER_OHM) for node in self.nodes if node != reference)
        self.draws = self._draws()

    @cached_property
    def givers(self) -> tuple[Giver, ...]:
        """The sources of the mode."""
        return self.bench.model().givers

    def ohm(self, key: EdgeKey) -> float:
        """Resistance of a wire or link when it is whole and closed [ohm]."""
        return self._ohm[key]

    def _draws(self) -> tuple[Draw, ...]:
        """Loads that are on, and those that no source reaches as long as nothing is wrong."""
        on = [_curved(draw) for draw in self.bench.model().draws]
        names = {draw.name for draw in on}
        idle = [_curved(self._resting(edge)) for edge in self.load_edges.values()]
        idle = [draw for draw in idle if draw.name not in names and draw.rated_a > 0]
        calm = self._solve(NOTHING, on)
        return (*on, *(draw for draw in idle if not self._fed(draw, calm)))

    def _fed(self, draw: Draw, state: State) -> bool:
        volts = state.point.volts
        return abs(volts[draw.a] - volts[draw.b]) > FED_SHARE * draw.rated_v

    def _resting(self, edge: Edge) -> Draw:
        from harness.electric.laws import LAWS

        assert edge.link is not None and edge.link.load is not None and isinstance(edge.key, tuple)
        part = self.plant.machine.parts[edge.key[0]]
        load = edge.link.load
        return Draw(
            f"{edge.key[0]} {edge.key[1]}", edge.a, edge.b, LAWS.get(load.nature, "current"), load.steady_a,
            part.rated_v or self.plant.machine.voltage_v,
        )  # fmt: skip

    @cached_property
    def healthy(self) -> State:
        """The network with nothing wrong."""
        return self.under(NOTHING)

    def under(self, change: Change) -> State:
        """The network under a change."""
        return self._solve(change, [draw for draw in self.draws if draw.name not in change.dead])

    def siemens(self, key: EdgeKey, change: Change = NOTHING) -> float:
        """Conductance of a wire or link, none where it is open [S]."""
        if key in change.ohms:
            return 1 / max(change.ohms[key], BOLT_OHM)
        return 1 / self._ohm[key] if key in self.conducting else 0.0

    @cached_property
    def _grid(self) -> Grid:
        edges = [self.edges[key] for key in self.edges if key in self.conducting]
        wired = [Branch(edge.a, edge.b, self._ohm[edge.key]) for edge in edges]
        return Grid([*wired, *self._meters], self.givers, self.reference)

    def whole(self, change: Change) -> Model:
        """The network under a change with every branch in it, as another program would be given it."""
        keys = [key for key in self.edges if self.siemens(key, change) > 0]
        branches = [
            Branch(self.edges[key].a, self.edges[key].b, 1 / self.siemens(key, change)) for key in keys
        ]
        more = [*change.extra, *self._meters]
        names: list[EdgeKey] = [("more", str(at)) for at in range(len(more))]
        givers = self.givers if change.givers is None else change.givers
        draws = tuple(draw for draw in self.draws if draw.name not in change.dead)
        mode = self.activity.mode.name
        return Model(mode, self.reference, (*branches, *more), (*keys, *names), givers, draws)

    def opened(self) -> tuple[dict[EdgeKey, Floats], dict[Node, int]]:
        """What opening each wire or link would about do to every point [V], and where each point stands.

        The network is taken as straight at its healthy volts (compensation theorem), so that one inverse
        tells what is worth a solve of its own.
        """
        calm = self.healthy.point
        settler = self._grid.settler(self.givers, self.draws)
        giver_v = [calm.volts[one.a] - calm.volts[one.b] for one in self.givers]
        impedance = settler.impedances(giver_v, [calm.draw_v[draw.name] for draw in self.draws])
        index = {node: self._grid.index[node] for node in self.nodes}
        found = {}
        for key in self.edges:
            if key in self.conducting:
                edge, siemens = self.edges[key], self.siemens(key)
                across = impedance[index[edge.a]] - impedance[index[edge.b]]
                own = across[index[edge.a]] - across[index[edge.b]]
                left = max(1 - siemens * own, LEAST_LEFT)
                found[key] = -across * self.healthy.amps(key) / left
        return found, index

    def _solve(self, change: Change, draws: Sequence[Draw]) -> State:
        known = self.__dict__.get("healthy")  # most loads stay where they are
        start_v = None if known is None else [known.point.draw_v[draw.name] for draw in draws]
        differing = [
            (Branch(self.edges[key].a, self.edges[key].b, 1.0), self.siemens(key, change) - self.siemens(key))
            for key in change.ohms
        ]
        differing += [(branch, 1 / branch.ohm) for branch in change.extra]
        givers = self.givers if change.givers is None else change.givers
        model = Model(self.activity.mode.name, self.reference, (), (), givers, tuple(draws))
        grid = self._grid.having(differing) if differing else self._grid
        point = operating_point(model, grid, close_v=CLOSE_V, from_rest=True, start_v=start_v)
        return State(point, self.reference, self.edges, lambda key: self.siemens(key, change))


def _curved(draw: Draw) -> Draw:
    """A load of constant current or power as one that stalls: with no volts there is no current."""
    return replace(draw, law="motor") if draw.law in ("current", "power") else draw


def patients(
    plant: Plant, wire_ohm: WireOhms, laid: Mapping[int, tuple[str, ...]], modes: Iterable[str] | None = None
) -> dict[str, Patient]:
    """Mode -> its network; of some modes, or of all. Raises ValueError where there is no source."""
    wanted = None if modes is None else set(modes)
    return {
        found.mode.name: Patient(plant, found, wire_ohm, laid)
        for found in plant.activities
        if wanted is None or found.mode.name in wanted
    }
