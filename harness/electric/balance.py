"""What the operating points of all modes come to: loads, charge balance, cold starts, time to stand."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from harness.electric.currents import Plant
from harness.electric.dimming import Owners, alone, dimming
from harness.electric.droplimits import circuit_of_links
from harness.electric.graph import Node
from harness.electric.operating import WARM_C, Bench, OperatingPoint, node_label, posts_v
from harness.electric.sizing import Sizing
from harness.electric.starterways import is_starter_main
from harness.electric.supply import (
    BY_CHARGE,
    BY_COLD,
    SELF_DISCHARGE,
    charge_at,
    figure,
    figure_source,
    rest_v,
    self_discharge,
)
from harness.model.machine import Machine
from harness.model.operating import (
    ChargeBalance,
    Dimming,
    Operating,
    OperatingLoad,
    OperatingSource,
    Standing,
    StartResult,
)
from harness.tables import load

Volts = Mapping[tuple[str, str], float]  # load -> volts

STEP = 0.3  # of charge between the two starts that the lowest charge is told from


@dataclass(slots=True)
class Balances:
    """All of it, in the order of the survey's modes."""

    operating: list[Operating] = field(default_factory=list)
    charge_balance: list[ChargeBalance] = field(default_factory=list)
    starts: list[StartResult] = field(default_factory=list)
    standing: list[Standing] = field(default_factory=list)
    dimming: list[Dimming] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Store:
    """The machine's batteries as one at system voltage."""

    volts_v: float
    capacity_ah: float
    charge: float  # of the emptiest


def _store(plant: Plant) -> _Store | None:
    own = [each for each in plant.batteries if not each.converts]
    if not own:
        return None
    system_v = plant.machine.voltage_v
    capacity = sum(each.capacity_ah * each.volts_v for each in own) / system_v
    return _Store(system_v, capacity, min(each.charge for each in own))


def _battery_gives_a(plant: Plant, point: OperatingPoint) -> float:
    """What the batteries give together, counted at system voltage [A]."""
    own = [each for each in plant.batteries if not each.converts]
    given = sum(point.giver_a.get(each.part, 0.0) * each.volts_v for each in own)
    return round(given / plant.machine.voltage_v, 9)


def _charging_a(plant: Plant, point: OperatingPoint) -> float:
    return sum(point.giver_a.get(f"{each.part} {each.link}", 0.0) for each in plant.charging)


def _sources(plant: Plant, point: OperatingPoint) -> list[OperatingSource]:
    links = {each.part: (each.part, "") for each in plant.batteries}
    links |= {f"{each.part} {each.link}": (each.part, each.link) for each in plant.charging}
    return [
        OperatingSource(*links[one.name], point.giver_a[one.name], point.volts[one.a] - point.volts[one.b])
        for one in point.model.givers
    ]


def _peaks(bench: Bench) -> dict[tuple[str, str], float]:
    """Volts of every load at its own peak, the others steady [V]."""
    found = {}
    for each in bench.loads("all on"):
        if each.load.peak_a is not None:
            name = (each.part, each.link)
            found[name] = bench.point(bench.model(peak=name)).draw_v[" ".join(name)]
    return found


def _point_name(node: Hashable) -> str:
    """A terminal as "battery +", anything else with its kind before it."""
    return str(node) if isinstance(node, Node) and node.kind == "terminal" else node_label(node)


def _operating(
    bench: Bench, point: OperatingPoint, alone_v: Volts, peak_v: Volts, numbers: Sequence[str]
) -> Operating:
    mode, plant = bench.found.mode, bench.plant
    loads = [
        OperatingLoad(
            each.part, each.link, point.draw_a[draw.name], point.draw_v[draw.name], draw.rated_v,
            draw.rated_a, draw.name not in point.collapsed, alone_v.get((each.part, each.link)),
            peak_v.get((each.part, each.link)),
        )
        for each, draw in zip(bench.loads("all on"), point.model.draws, strict=True)
    ]  # fmt: skip
    cold = plant.machine.coldest_c if mode.engine == "cranking" else WARM_C
    return Operating(
        mode.name, mode.engine, mode.speed if mode.engine == "running" else "", cold, point.settled,
        posts_v(plant, point), _sources(plant, point), loads,
        {_point_name(node): round(volts, 6) for node, volts in point.volts.items()},
        {numbers[wire]: round(amps, 6) for wire, amps in sorted(point.wire_a.items())},
    )  # fmt: skip


# -------------------------------------------------------------------------------------------- cold starts


def _least_charge(bench: Bench, store: _Store, name: str, volts_v: float, least_v: float) -> float | None:
    """Lowest state of charge at which a starter still gets its volts; None when it does not get them now.

    Its volts follow the battery's rest volts on a straight line, as it draws the same current. That an
    emptier battery gives less current too is not in that, so it is never taken below half its charge.
    """
    half = min(figure("charge to crank with"), store.charge)
    if volts_v < least_v:
        return None
    lower = max(0.0, store.charge - STEP)
    low_v = bench.point(bench.model(charge=lower)).draw_v[name]
    now, then = (rest_v(volts_v=store.volts_v, charge=charge) for charge in (store.charge, lower))
    if volts_v - low_v <= 0:
        return half
    needed = now - (volts_v - least_v) * (now - then) / (volts_v - low_v)
    return min(store.charge, max(half, charge_at(volts_v=store.volts_v, at_rest_v=needed)))


def _starts(bench: Bench, store: _Store, steady: OperatingPoint, peak_v: Volts) -> Iterator[StartResult]:
    machine = bench.plant.machine
    cold = machine.coldest_c
    for each in bench.loads("all on"):
        part = machine.parts[each.part]
        link = next(one for one in part.links if one.name == each.link)
        if not is_starter_main(part, link):
            continue
        name = f"{each.part} {each.link}"
        volts = steady.draw_v[name]
        least = figure("starter at least") * (part.rated_v or machine.voltage_v)
        battery = _battery_gives_a(bench.plant, steady)
        resting = rest_v(volts_v=store.volts_v, charge=store.charge)
        yield StartResult(
            bench.found.mode.name, each.part, each.link, cold, store.charge, steady.draw_a[name], volts,
            peak_v.get((each.part, each.link)), least, _least_charge(bench, store, name, volts, least),
            f"{resting:.2f} V at rest, charged {store.charge:.0%}, "
            f"{posts_v(bench.plant, steady):.2f} V at the posts with {battery:.0f} A at {cold:g} °C, "
            f"{volts:.2f} V at {each.part}",
            f"{figure_source('starter at least')}; battery in the cold: {load(BY_COLD).source}; "
            f"by charge: {load(BY_CHARGE).source}",
        )  # fmt: skip


def _reserve(store: _Store, starts: list[StartResult]) -> float | None:
    """Lowest state of charge to start from; None when it does not start even now."""
    if not starts:
        return min(figure("charge to crank with"), store.charge)
    needs = [each.least_charge for each in starts]
    lowest = [charge for charge in needs if charge is not None]
    return max(lowest) if len(lowest) == len(needs) else None


# ------------------------------------------------------------------------------------------ charge balance


def _balance(
    bench: Bench, point: OperatingPoint, speed: str, store: _Store | None, reserve: float | None
) -> ChargeBalance:
    plant = bench.plant
    idle = speed == "idle"
    most = sum(each.idle_a if idle else each.output_a for each in plant.charging)
    given, battery = _charging_a(plant, point), 0.0 - _battery_gives_a(plant, point)
    taken = given - battery
    hours = None
    words = f"{most:.1f} A can be given"
    if battery < -0.005 and store is not None:
        left = max(0.0, store.charge - (store.charge if reserve is None else reserve))
        hours = left * store.capacity_ah / -battery
        words += (
            f", {taken:.1f} A stay on: the battery gives {-battery:.1f} A; from {store.charge:.0%} to "
            f"{store.charge - left:.0%} of {store.capacity_ah:g} Ah in {hours:.1f} h"
        )
    elif store is None:
        words += f", {taken:.1f} A stay on; there is no battery"
    else:
        words += f", {taken:.1f} A stay on: the battery is charged with {max(battery, 0.0):.1f} A"
    return ChargeBalance(
        bench.found.mode.name, speed, taken, most, given, battery, posts_v(plant, point), hours, words
    )


def _standing(bench: Bench, point: OperatingPoint, store: _Store, reserve: float) -> Standing:
    drawn = max(0.0, _battery_gives_a(bench.plant, point))
    per_day, row_c = self_discharge(bench.plant.machine.coldest_c)
    own = per_day * store.capacity_ah / 24
    hours = max(0.0, store.charge - reserve) * store.capacity_ah / (drawn + own)
    return Standing(
        bench.found.mode.name, drawn, own, store.charge, reserve, store.capacity_ah, hours / 24,
        f"({store.charge:.0%} - {reserve:.0%}) x {store.capacity_ah:g} Ah / ({drawn:.3g} A drawn "
        f"+ {own:.3g} A lost inside at {row_c:g} °C) / 24",
        str(load(SELF_DISCHARGE).source),
    )  # fmt: skip


# ------------------------------------------------------------------------------------------------- all of it


def balances(machine: Machine, sizing: Sizing, numbers: Sequence[str]) -> Balances:
    """Every mode's operating point and what follows from it, in the sizes chosen.

    ``numbers``: of the wires, in their order.
    """
    plant = Plant(machine, sizing.edges, [solution.activity for solution in sizing.solutions])
    found = Balances()
    reference = plant.reference()
    if reference is None:
        return found
    owners: Owners = {key: circuit.name for key, circuit in circuit_of_links(machine).items()}
    store = _store(plant)
    benches = [Bench(plant, activity, sizing.ohms, reference) for activity in plant.activities]
    points = [bench.point(bench.model()) for bench in benches]
    for bench, point in zip(benches, points, strict=True):
        engine = bench.found.mode.engine
        alone_v = {} if engine == "cranking" else alone(bench, point, owners)
        peak_v = _peaks(bench) if engine == "cranking" else {}
        found.operating.append(_operating(bench, point, alone_v, peak_v, numbers))
        if engine == "cranking":
            found.starts += _starts(bench, store, point, peak_v) if store else ()
        elif (dims := dimming(bench, point, alone_v, owners)) is not None:
            found.dimming.append(dims)
    reserve = _reserve(store, found.starts) if store else None
    for bench in benches:
        mode = bench.found.mode
        if mode.engine == "running" and plant.charging:
            for speed in ("rated", "idle") if mode.speed == "rated" else ("idle",):
                point = bench.point(bench.model("lasting", idle=speed == "idle"))
                found.charge_balance.append(_balance(bench, point, speed, store, reserve))
        if mode.engine == "stopped" and store and reserve is not None:
            point = bench.point(bench.model("lasting"))
            found.standing.append(_standing(bench, point, store, reserve))
    return found
