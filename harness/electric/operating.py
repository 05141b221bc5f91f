"""The true operating point of a mode: what every load draws at the volts it really sees.

The design currents of ``currents`` are rated ones and lie on the safe side; sizes come from those. Here
loads follow their volts by ``laws``, and sources their limits:

- battery: rest volts by its state of charge behind an inner resistance, by the cold while cranking
- a battery below the regulated volts takes charge, through a resistance by its state of charge
- alternator, dynamo: regulated volts up to its output at the engine's speed, never taking current
- converter: its regulated volts, whatever the engine does
"""

from __future__ import annotations

from collections.abc import Collection, Hashable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from harness.electric.activity import Activity, LoadAt
from harness.electric.currents import Plant, WireOhms
from harness.electric.graph import Battery, EdgeKey, Node
from harness.electric.laws import DROP_OUT, LAWS, REGULATOR_OHM, Draw, Giver, State
from harness.electric.network import LEAST_OHM, Branch
from harness.electric.settle import CLOSE_V, Grid, Volts
from harness.electric.supply import CHARGE_V_PER_CELL, battery_ohm, rest_v, take_ohm

WARM_C = 27.0  # last row of battery_by_temperature, where a battery gives most; for all modes but cranking

What = Literal["all on", "lasting", "inrush"]


@dataclass(frozen=True, slots=True)
class Model:
    """Everything the operating point of one mode follows from."""

    mode: str
    reference: Hashable
    branches: tuple[Branch, ...]
    keys: tuple[EdgeKey, ...]  # of the branches, in their order
    givers: tuple[Giver, ...]
    draws: tuple[Draw, ...]


@dataclass(frozen=True)
class OperatingPoint:
    """Volts and currents of one mode as they settle."""

    model: Model
    volts: Volts
    draw_a: Mapping[str, float]  # load -> current
    draw_v: Mapping[str, float]  # load -> volts between its terminals
    giver_a: Mapping[str, float]  # source -> what it gives
    settled: bool  # False: the iteration found no rest
    collapsed: tuple[str, ...]  # loads whose volts break down

    @property
    def mode(self) -> str:
        """Name of the mode."""
        return self.model.mode

    @cached_property
    def edge_a(self) -> dict[EdgeKey, float]:
        """Signed current of every wire and inner link that conducts [A]."""
        return {
            key: (self.volts[branch.a] - self.volts[branch.b]) / branch.ohm if branch.a in self.volts else 0.0
            for key, branch in zip(self.model.keys, self.model.branches, strict=True)
        }

    @property
    def wire_a(self) -> dict[int, float]:
        """Current of every wire, along it as written [A]."""
        return {key: amps for key, amps in self.edge_a.items() if isinstance(key, int)}


# ----------------------------------------------------------------------------------------------- the model


def _battery(each: Battery, *, running: bool, celsius: float, charge: float) -> Giver:
    if each.converts:
        volts = CHARGE_V_PER_CELL * each.volts_v / 2
        return Giver(each.part, each.live, each.ground, volts, each.inner_ohm, None, True)
    takes = take_ohm(volts_v=each.volts_v, capacity_ah=each.capacity_ah, charge=charge)
    return Giver(
        each.part, each.live, each.ground, rest_v(volts_v=each.volts_v, charge=charge),
        battery_ohm(rated_ohm=each.inner_ohm, celsius=celsius), None, running,
        takes if running else None,
    )  # fmt: skip


def givers_of(
    plant: Plant, engine: str, *, idle: bool = False, charge: float | None = None
) -> tuple[Giver, ...]:
    """The sources of a mode. ``charge``: of every battery, 0 to 1, in place of the survey's."""
    running = engine == "running"
    celsius = plant.machine.coldest_c if engine == "cranking" else WARM_C
    found = [
        _battery(
            each, running=running, celsius=celsius, charge=each.charge if charge is None else charge,
        )
        for each in plant.batteries
    ]  # fmt: skip
    if running:
        volts = CHARGE_V_PER_CELL * plant.machine.voltage_v / 2
        found += [
            Giver(
                f"{each.part} {each.link}", each.live, each.ground, volts, REGULATOR_OHM,
                each.idle_a if idle else each.output_a, True,
            )
            for each in plant.charging
        ]  # fmt: skip
    return tuple(found)


def _draw(load: LoadAt, *, system_v: float, rated_v: float | None, peak: bool) -> Draw:
    amps = load.load.steady_a
    if peak and load.load.peak_a is not None:
        amps = load.load.peak_a
    law = LAWS.get(load.load.nature, "current")
    return Draw(f"{load.part} {load.link}", load.feed, load.back, law, amps, rated_v or system_v)


class Bench:
    """One mode's network, set up once and solved for as many sets of loads and sources as wanted."""

    def __init__(
        self, plant: Plant, found: Activity, wire_ohm: WireOhms, reference: Node | None = None
    ) -> None:
        self.plant = plant
        self.found = found
        self.reference = plant.reference() if reference is None else reference
        self.branches = tuple(
            Branch(
                edge.a,
                edge.b,
                max(edge.ohm + (wire_ohm[edge.key] if isinstance(edge.key, int) else 0), LEAST_OHM),
            )
            for edge in found.conducting
        )
        self.keys = tuple(edge.key for edge in found.conducting)
        self.idle = found.mode.speed == "idle"
        self._givers = givers_of(plant, found.mode.engine, idle=self.idle)

    @cached_property
    def grid(self) -> Grid:
        """The nodes and their conductances; raises ValueError where there is no source."""
        if self.reference is None:
            raise ValueError("no source")
        return Grid(self.branches, self._givers, self.reference)

    def loads(self, what: What, only: Collection[tuple[str, str]] | None = None) -> list[LoadAt]:
        """The loads that are on and tied to a source; ``lasting``: without what is on for a spell only."""
        return [
            load
            for load in self._tied
            if (what != "lasting" or load.load.steady_s is None)
            and (only is None or (load.part, load.link) in only)
        ]

    @cached_property
    def _tied(self) -> list[LoadAt]:
        return [
            load
            for load in self.found.loads
            if load.load.steady_a > 0 and self.grid.holds(load.feed) and self.grid.holds(load.back)
        ]

    def model(
        self,
        what: What = "all on",
        *,
        idle: bool | None = None,
        charge: float | None = None,
        only: Collection[tuple[str, str]] | None = None,
        peak: tuple[str, str] | None = None,
    ) -> Model:
        """The mode with these loads and sources, loads named by part and link.

        ``only`` keeps some; ``peak`` draws its peak while the others are steady.
        """
        parts = self.plant.machine.parts
        draws = tuple(
            _draw(
                load, system_v=self.plant.machine.voltage_v, rated_v=parts[load.part].rated_v,
                peak=what == "inrush" or (load.part, load.link) == peak,
            )
            for load in self.loads(what, only)
        )  # fmt: skip
        givers = givers_of(
            self.plant, self.found.mode.engine, idle=self.idle if idle is None else idle, charge=charge,
        )  # fmt: skip
        held = tuple(one for one in givers if self.grid.holds(one.a) and self.grid.holds(one.b))
        assert self.reference is not None
        return Model(self.found.mode.name, self.reference, self.branches, self.keys, held, draws)

    def point(self, model: Model) -> OperatingPoint:
        """Where such a model comes to rest."""
        return operating_point(model, self.grid)


def model_of(plant: Plant, found: Activity, wire_ohm: WireOhms, *, inrush: bool = False) -> Model | None:
    """The network of one mode; None when no source is there. ``inrush``: loads at their peak.

    ``wire_ohm``: wire -> copper alone [ohm].
    """
    bench = Bench(plant, found, wire_ohm)
    if bench.reference is None:
        return None
    return bench.model("inrush" if inrush else "all on")


# --------------------------------------------------------------------------------------------- the iteration


def operating_point(
    model: Model,
    grid: Grid | None = None,
    *,
    close_v: float = CLOSE_V,
    from_rest: bool = False,
    start_v: Sequence[float] | None = None,
) -> OperatingPoint:
    """Where the mode comes to rest, to ``close_v``; where it does not, it names the loads to blame.

    ``from_rest``: some loads may find no volts at all; ``start_v``: where to begin (``Settler.settle``).
    """
    grid = grid or Grid(model.branches, model.givers, model.reference)
    found = grid.settler(model.givers, model.draws)

    def settle(states: Sequence[State]) -> bool:
        return found.settle(states, close_v, from_rest=from_rest, start_v=start_v)

    limited = any(one.most_a is not None for one in model.givers)
    states: list[State] = [
        "idle" if limited and one.most_a is None and one.back_ohm != one.ohm else "holds"
        for one in model.givers
    ]
    calm = settle(states)
    for _ in range(4 * len(states) + 4):
        now: Sequence[State] = found.states_now()
        wrong = [at for at, state in enumerate(now) if state != states[at]]
        if not wrong:
            break
        if now[wrong[0]] == "limit":  # whoever stood by has to help now
            states = ["holds" if state == "idle" else state for state in states]
        states[wrong[0]] = now[wrong[0]]
        calm = settle(states)
    else:
        calm = False
    return _point(model, found.volts(), calm)


def _point(model: Model, volts: Volts, calm: bool) -> OperatingPoint:
    def across(each: Draw | Giver) -> float:
        return volts[each.a] - volts[each.b]

    draw_v = {draw.name: across(draw) for draw in model.draws}
    fallen = [
        draw.name
        for draw in model.draws
        if (draw.law == "current" and draw_v[draw.name] <= 0)
        or (draw.law == "power" and draw_v[draw.name] < DROP_OUT * draw.rated_v)
    ]
    if not calm and not fallen:
        fallen = [draw.name for draw in model.draws if draw.law == "power"]
    return OperatingPoint(
        model, volts, {draw.name: draw.amps(draw_v[draw.name]) for draw in model.draws}, draw_v,
        {one.name: one.amps(across(one)) for one in model.givers}, calm, tuple(fallen),
    )  # fmt: skip


def posts_v(plant: Plant, point: OperatingPoint) -> float:
    """Volts of the highest live post of a battery; without one, of a generator [V]."""
    posts = [each.live for each in plant.batteries if not each.converts]
    posts = posts or [each.live for each in plant.charging]
    return max((point.volts.get(post, 0.0) for post in posts), default=0.0)


def node_label(node: Hashable) -> str:
    """A node in words."""
    return f"{node.kind} {node}" if isinstance(node, Node) else str(node)
