"""The true operating point of a mode: what every load draws at the volts it really sees.

The design currents of ``currents`` are rated ones and lie on the safe side; sizes come from those. Here
lamps, heaters, coils and electronics follow their volts, sources their limits.

Laws, with I0 the rated current at the rated volts V0 and u = V / V0:

- lamp: I0 x u^0.55, a hot filament (memory); below u = 0.01 a resistance
- heater, coil: I0 x u
- electronics: I0 / u, constant power; below half its volts a resistance, and then it counts as collapsed
- motor, signal: I0
- battery: rest volts by state of charge behind an inner resistance by temperature
- alternator, dynamo: regulated volts up to its output, never taking current. No speed curve: full output.

While the engine runs the battery is taken as charged: it gives below its rest volts and takes next to
nothing above. A battery that is being charged hard pulls the volts lower than this.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from harness.electric.activity import Activity, LoadAt
from harness.electric.currents import CHARGE_V_PER_CELL, REST_V_PER_CELL, EdgeKey, Plant, WireOhms
from harness.electric.graph import Node
from harness.electric.network import LEAST_OHM, Branch, Network

LAMP_EXPONENT = 0.55  # filament current over volts: I ~ V^0.55 (memory)
LAMP_LINEAR = (
    0.01  # share of rated volts below which a filament counts as a resistance; keeps the slope finite
)
DROP_OUT = 0.5  # share of rated volts below which electronics have dropped out, a starting point of ours
EMPTY_LOSS_V_PER_CELL = 0.133  # rest volts of 12.6 V full, 12.4 at 75 %, 12.2 at 50 % on six cells (memory)
CHARGE = 0.8  # state of charge, assumed
COLDEST_C = -10.0  # lowest temperature of a start, assumed
WARM_C = 27.0  # upper end of the chart of cranking power, for every mode but cranking
CRANKING_POWER = ((-18.0, 0.40), (0.0, 0.65), (27.0, 1.0))  # share left of a battery's power, °C (memory)
REGULATOR_OHM = 1e-3  # slope of a regulator taken as flat; lets the solve find its limit
LEAK_S = 1e-3  # siemens of a battery that takes no charge; keeps the network tied

MOST_ROUNDS = 50
CLOSE_V = 1e-9

Law = Literal["lamp", "resistance", "power", "current"]
State = Literal["holds", "limit", "idle"]
LAWS: Mapping[str, Law] = {
    "lamp": "lamp",
    "heater": "resistance",
    "coil": "resistance",
    "electronics": "power",
}


@dataclass(frozen=True, slots=True)
class Draw:
    """A load that takes current from ``a`` to ``b`` by a law of the volts between them [A, V]."""

    name: str
    a: Hashable
    b: Hashable
    law: Law
    rated_a: float
    rated_v: float

    def amps(self, volts_v: float) -> float:
        """Current at these volts [A]."""
        share = volts_v / self.rated_v
        if self.law == "lamp":
            return self.rated_a * share * float(max(abs(share), LAMP_LINEAR) ** (LAMP_EXPONENT - 1))
        if self.law == "power":
            return self.rated_a * share / max(share, DROP_OUT) ** 2
        return self.rated_a * share if self.law == "resistance" else self.rated_a

    def siemens(self, volts_v: float) -> float:
        """Slope of the law at these volts [S]; falling for constant power."""
        rated_s = self.rated_a / self.rated_v
        if self.law == "lamp":
            share = abs(volts_v) / self.rated_v
            slope = LAMP_EXPONENT if share > LAMP_LINEAR else 1.0
            return slope * rated_s * float(max(share, LAMP_LINEAR) ** (LAMP_EXPONENT - 1))
        if self.law == "power":
            share = volts_v / self.rated_v
            return -rated_s / share**2 if share > DROP_OUT else rated_s / DROP_OUT**2
        return rated_s if self.law == "resistance" else 0.0


@dataclass(frozen=True, slots=True)
class Giver:
    """A source between two nodes: volts behind a resistance, with a most current where it has one.

    ``one_way``: it takes no more than a leak when the network stands above its volts.
    """

    name: str
    a: Hashable
    b: Hashable
    emf_v: float
    ohm: float
    most_a: float | None
    one_way: bool

    def amps(self, volts_v: float) -> float:
        """What it gives at these volts [A]; negative when it takes."""
        free = (self.emf_v - volts_v) / self.ohm
        if self.one_way and free < 0:
            return (self.emf_v - volts_v) * LEAK_S
        return free if self.most_a is None else min(free, self.most_a)

    def state(self, volts_v: float) -> State:
        """Which straight piece of its line it is on."""
        free = (self.emf_v - volts_v) / self.ohm
        if self.one_way and free < 0:
            return "idle"
        return "limit" if self.most_a is not None and free > self.most_a else "holds"


@dataclass(frozen=True, slots=True)
class Model:
    """Everything the operating point of one mode follows from."""

    mode: str
    reference: Hashable
    branches: tuple[Branch, ...]
    keys: tuple[EdgeKey, ...]  # of the branches, in their order
    givers: tuple[Giver, ...]
    draws: tuple[Draw, ...]


@dataclass(frozen=True, slots=True)
class OperatingPoint:
    """Volts and currents of one mode as they settle."""

    mode: str
    volts: Mapping[Hashable, float]
    edge_a: Mapping[EdgeKey, float]  # signed, of every wire and inner link that conducts
    draw_a: Mapping[str, float]  # load -> current
    draw_v: Mapping[str, float]  # load -> volts between its terminals
    giver_a: Mapping[str, float]  # source -> what it gives
    settled: bool  # False: the iteration found no rest
    collapsed: tuple[str, ...]  # loads whose volts break down

    @property
    def wire_a(self) -> dict[int, float]:
        """Current of every wire, along it as written [A]."""
        return {key: amps for key, amps in self.edge_a.items() if isinstance(key, int)}


def cranking_power(celsius: float) -> float:
    """Share of a battery's cranking power left at a temperature, between the chart's points (memory).

    The chart is not read past its ends: colder counts as -18 °C, warmer as 27 °C.
    """
    points = CRANKING_POWER
    if celsius <= points[0][0]:
        return points[0][1]
    for (cold_c, less), (warm_c, more) in pairwise(points):
        if celsius <= warm_c:
            return less + (more - less) * (celsius - cold_c) / (warm_c - cold_c)
    return points[-1][1]


def battery_ohm(*, rated_ohm: float, celsius: float) -> float:
    """Inner resistance at a temperature [ohm], from the one at the cold-cranking test (-18 °C)."""
    return rated_ohm * CRANKING_POWER[0][1] / cranking_power(celsius)


def rest_v(*, volts_v: float, charge: float) -> float:
    """Rest volts of a battery of nominal ``volts_v`` by its state of charge from 0 to 1 [V]."""
    return volts_v / 2 * (REST_V_PER_CELL - EMPTY_LOSS_V_PER_CELL * (1 - charge))


def _givers(plant: Plant, engine: str, *, coldest_c: float, charge: float) -> tuple[Giver, ...]:
    celsius = coldest_c if engine == "cranking" else WARM_C
    running = engine == "running"
    found = [
        Giver(
            each.part, each.live, each.ground, rest_v(volts_v=each.volts_v, charge=charge),
            battery_ohm(rated_ohm=each.inner_ohm, celsius=celsius), None, running,
        )
        for each in plant.batteries
    ]  # fmt: skip
    if running:
        volts = CHARGE_V_PER_CELL * plant.machine.voltage_v / 2
        found += [
            Giver(
                f"{each.part} {each.link}", each.live, each.ground, volts, REGULATOR_OHM, each.output_a, True
            )
            for each in plant.charging
        ]
    return tuple(found)


def _draw(load: LoadAt, *, system_v: float, rated_v: float | None, inrush: bool) -> Draw:
    amps = load.load.steady_a
    if inrush and load.load.peak_a is not None:
        amps = load.load.peak_a
    law = LAWS.get(load.load.nature, "current")
    return Draw(f"{load.part} {load.link}", load.feed, load.back, law, amps, rated_v or system_v)


def model_of(
    plant: Plant, found: Activity, wire_ohm: WireOhms, *, coldest_c: float = COLDEST_C,
    charge: float = CHARGE, inrush: bool = False,
) -> Model | None:  # fmt: skip
    """The network of one mode; None when no source is there. ``inrush``: loads at their peak.

    ``wire_ohm``: wire -> copper alone [ohm]; ``coldest_c`` [°C] counts while cranking; ``charge`` 0 to 1.
    """
    reference = plant.reference()
    if reference is None:
        return None
    parts = plant.machine.parts
    branches = tuple(
        Branch(
            edge.a,
            edge.b,
            max(edge.ohm + (wire_ohm[edge.key] if isinstance(edge.key, int) else 0), LEAST_OHM),
        )
        for edge in found.conducting
    )
    givers = _givers(plant, found.mode.engine, coldest_c=coldest_c, charge=charge)
    ties = Network([*branches, *(Branch(one.a, one.b, one.ohm) for one in givers)], reference)
    draws = tuple(
        _draw(load, system_v=plant.machine.voltage_v, rated_v=parts[load.part].rated_v, inrush=inrush)
        for load in found.loads
        if load.load.steady_a > 0 and ties.holds(load.feed) and ties.holds(load.back)
    )
    held = tuple(one for one in givers if ties.holds(one.a) and ties.holds(one.b))
    keys = tuple(edge.key for edge in found.conducting)
    return Model(found.mode.name, reference, branches, keys, held, draws)


# --------------------------------------------------------------------------------------------- the iteration

Volts = dict[Hashable, float]


def _across(volts: Mapping[Hashable, float], each: Draw | Giver) -> float:
    return volts[each.a] - volts[each.b]


def _round(model: Model, states: Sequence[State], seen_v: Sequence[float]) -> Volts:
    """One linear solve with every law replaced by its line at the volts last seen."""
    branches = list(model.branches)
    drawn: dict[tuple[Hashable, Hashable], float] = {}

    def take(a: Hashable, b: Hashable, amps: float) -> None:
        drawn[a, b] = drawn.get((a, b), 0.0) + amps

    for giver, state in zip(model.givers, states, strict=True):
        if state == "limit":
            take(giver.b, giver.a, giver.most_a or 0.0)
        else:
            branches.append(
                Branch(giver.a, giver.b, giver.ohm if state == "holds" else 1 / LEAK_S, giver.emf_v)
            )
    for draw, volts in zip(model.draws, seen_v, strict=True):
        slope = draw.siemens(volts)
        if slope:
            branches.append(Branch(draw.a, draw.b, 1 / slope))
        take(draw.a, draw.b, draw.amps(volts) - slope * volts)
    return Network(branches, model.reference).volts(drawn)


def _settle(model: Model, states: Sequence[State]) -> tuple[Volts, bool]:
    """Solve again and again until no load's volts move, the sources staying on their pieces."""
    volts: Volts = {}
    seen_v = [draw.rated_v for draw in model.draws]
    for _ in range(MOST_ROUNDS):
        volts = _round(model, states, seen_v)
        now = [_across(volts, draw) for draw in model.draws]
        moved = max((abs(a - b) for a, b in zip(now, seen_v, strict=True)), default=0.0)
        seen_v = now
        if moved < CLOSE_V:
            return volts, True
    return volts, False


def operating_point(model: Model) -> OperatingPoint:
    """Where the mode comes to rest; where it does not, it names the loads to blame."""
    states: list[State] = ["holds"] * len(model.givers)
    volts, calm = _settle(model, states)
    for _ in range(4 * len(states) + 4):
        wrong = [at for at, one in enumerate(model.givers) if one.state(_across(volts, one)) != states[at]]
        if not wrong:
            break
        now = model.givers[wrong[0]].state(_across(volts, model.givers[wrong[0]]))
        if now == "limit":  # whoever stood by has to help now
            states = ["holds" if state == "idle" else state for state in states]
        states[wrong[0]] = now
        volts, calm = _settle(model, states)
    else:
        calm = False
    return _point(model, volts, calm)


def _point(model: Model, volts: Volts, calm: bool) -> OperatingPoint:
    held = {branch.a for branch in model.branches if branch.a in volts}
    edge_a = {
        key: (volts[branch.a] - volts[branch.b]) / branch.ohm if branch.a in held else 0.0
        for key, branch in zip(model.keys, model.branches, strict=True)
    }
    draw_v = {draw.name: _across(volts, draw) for draw in model.draws}
    fallen = [
        draw.name
        for draw in model.draws
        if draw_v[draw.name] <= 0 or (draw.law == "power" and draw_v[draw.name] < DROP_OUT * draw.rated_v)
    ]
    if not calm and not fallen:
        fallen = [draw.name for draw in model.draws if draw.law == "power"]
    return OperatingPoint(
        model.mode, volts, edge_a,
        {draw.name: draw.amps(draw_v[draw.name]) for draw in model.draws}, draw_v,
        {one.name: one.amps(_across(volts, one)) for one in model.givers}, calm, tuple(fallen),
    )  # fmt: skip


def operating_points(plant: Plant, wire_ohm: WireOhms, modes: Iterable[str] = ()) -> list[OperatingPoint]:
    """The operating point of the named modes, or of every mode, in the order of the survey."""
    wanted = set(modes)
    models = [
        model_of(plant, found, wire_ohm)
        for found in plant.activities
        if not wanted or found.mode.name in wanted
    ]
    return [operating_point(model) for model in models if model is not None]


def node_label(node: Hashable) -> str:
    """A node in words."""
    return f"{node.kind} {node}" if isinstance(node, Node) else str(node)
