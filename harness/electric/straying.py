"""How far the readings of a sound machine may stray from its operating point.

Two machines are solved beside the designed one. The weak one has longer wires, hot as designed, poorer
joints, an older battery three quarters charged, loads that draw more, and a generator that gives less; the
strong one is its opposite, on a cold morning. Every volt at a load falls with each of these, so that all
machines between the two read between them. Factors: table reading_tolerances.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from harness.electric.conductor import resistance_at
from harness.electric.currents import Plant
from harness.electric.graph import EdgeKey
from harness.electric.laws import Draw, Giver
from harness.electric.limits import working_c
from harness.electric.network import LEAST_OHM, Branch
from harness.electric.operating import WARM_C, Bench, OperatingPoint, operating_point, posts_v
from harness.electric.sizing import Sizing
from harness.electric.supply import battery_ohm, rest_v
from harness.model.bands import LoadBand, ModeBands
from harness.model.machine import Machine
from harness.tables import load as table

TABLE = "reading_tolerances"
SYSTEM_V = 12.0  # of the published band of charging volts; in proportion at others


@dataclass(frozen=True, slots=True)
class Day:
    """One machine on one day: shares of what is designed."""

    length: float
    copper_c: float | None  # None: hot, as designed
    joints: float
    loads: float
    charge: float
    battery: float  # inner resistance
    output: float
    charging_v: float  # of a 12 V system
    cold: bool  # cranks at the coldest the survey says


def weak_and_strong() -> tuple[Day, Day]:
    """The two ends of what a sound machine may be."""
    rows = table(TABLE)
    charging = table("test_bands").row("name", "charging volts of a 12 V system")

    def end(side: str, volts: str) -> Day:
        def figure(quantity: str) -> str:
            return str(rows.row("quantity", quantity)[side])

        copper = figure("copper at the test")
        return Day(
            float(figure("length of a wire")), float(copper) if copper else None,
            float(figure("joints and contacts")), float(figure("current of a load")),
            float(figure("charge of a battery")), float(figure("inner resistance of a battery")),
            float(figure("output of a generator")), float(charging[volts]), side == "weak",
        )  # fmt: skip

    return end("weak", "low"), end("strong", "high")


def copper_shares(sizing: Sizing, copper_c: float) -> dict[int, float]:
    """Resistance of every wire's copper at a temperature, as a share of that at working temperature."""
    found = {}
    for wire in sizing.routed.wires:
        at = wire.index
        size = sizing.sizes[at]
        hot_c = working_c(sizing.rules[at], size, sizing.near[at], sizing.duties[at])
        found[at] = resistance_at(1.0, conductor_c=copper_c) / resistance_at(1.0, conductor_c=hot_c)
    return found


def on_day(bench: Bench, ohms: Mapping[int, float], cold: Mapping[int, float], day: Day) -> OperatingPoint:
    """Where a mode comes to rest on such a day. ``cold``: copper's resistance at its degrees, as shares."""
    base = bench.model()
    branches = [
        _branch(branch, key, ohms, cold if day.copper_c is not None else {}, day)
        for branch, key in zip(base.branches, base.keys, strict=True)
    ]
    givers = tuple(_giver(bench.plant, one, bench.found.mode.engine, day) for one in base.givers)
    draws = tuple(replace(draw, rated_a=draw.rated_a * day.loads) for draw in base.draws)
    return operating_point(replace(base, branches=tuple(branches), givers=givers, draws=draws))


def _branch(
    branch: Branch, key: EdgeKey, ohms: Mapping[int, float], cold: Mapping[int, float], day: Day
) -> Branch:
    copper = ohms[key] if isinstance(key, int) else 0.0
    share = cold.get(key, 1.0) if isinstance(key, int) else 1.0
    joints = max(branch.ohm - copper, 0.0)
    return replace(branch, ohm=max(copper * day.length * share + joints * day.joints, LEAST_OHM))


def _giver(plant: Plant, one: Giver, engine: str, day: Day) -> Giver:
    volts = day.charging_v * plant.machine.voltage_v / SYSTEM_V
    for each in plant.batteries:
        if each.part == one.name:
            if each.converts:
                return one
            celsius = plant.machine.coldest_c if engine == "cranking" and day.cold else WARM_C
            inner = battery_ohm(rated_ohm=each.inner_ohm, celsius=celsius) * day.battery
            charge = min(day.charge, each.charge) if day.cold else day.charge
            return replace(one, emf_v=rest_v(volts_v=each.volts_v, charge=charge), ohm=inner)
    most = one.most_a * day.output if one.most_a is not None else None
    return replace(one, emf_v=volts, most_a=most)


def reading_bands(machine: Machine, sizing: Sizing) -> list[ModeBands]:
    """The bands of every mode, in the survey's order; none without a source."""
    plant = Plant(machine, sizing.edges, [solution.activity for solution in sizing.solutions])
    reference = plant.reference()
    if reference is None:
        return []
    days = weak_and_strong()
    cold = copper_shares(sizing, next(day.copper_c for day in days if day.copper_c is not None))
    found = []
    for activity in plant.activities:
        bench = Bench(plant, activity, sizing.ohms, reference)
        weak, strong = (on_day(bench, sizing.ohms, cold, day) for day in days)
        found.append(_bands(bench, weak, strong, days))
    return found


def _bands(bench: Bench, weak: OperatingPoint, strong: OperatingPoint, days: tuple[Day, Day]) -> ModeBands:
    points = (weak, strong, bench.point(bench.model()))
    at_posts = [posts_v(bench.plant, point) for point in points]
    loads = []
    for each, draw in zip(bench.loads("all on"), points[-1].model.draws, strict=True):
        volts = sorted(point.draw_v[draw.name] for point in points)
        lost = [
            max(posts - point.draw_v[draw.name], 0.0) for posts, point in zip(at_posts, points, strict=True)
        ]
        loads.append(
            LoadBand(each.part, each.link, *_ends(volts), *_between(draw, volts, days), *_ends(lost))
        )
    return ModeBands(bench.found.mode.name, *_ends(at_posts), loads)


def _between(draw: Draw, volts: Sequence[float], days: tuple[Day, Day]) -> tuple[float, float]:
    """Currents of a load: by its law at either end of its volts, and as much more or less as it may draw."""
    by_law = [draw.amps(each) for each in volts]
    shares = [day.loads for day in days]
    return _ends([min(by_law) * min(shares), max(by_law) * max(shares)])


def _ends(values: Sequence[float]) -> tuple[float, float]:
    return round(min(values), 6), round(max(values), 6)
