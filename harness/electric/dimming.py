"""Which lamp loses most light when another circuit comes on: shared feeds, shared returns, one source."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from harness.electric.activity import LoadAt
from harness.electric.operating import Bench, OperatingPoint
from harness.electric.supply import figure
from harness.model.operating import Dimming

LEAST_LAMP_W = 5.0  # below this it is there to be seen, not to see by; a starting point of ours
MOST_CIRCUITS = 24  # looked at in one mode, those whose lamps see the least volts first
MOST_WORK = 60_000  # circuits x nodes of one mode, so that a large machine costs no more than it must

Name = tuple[str, str]  # part and link
Owners = Mapping[Name, str]  # load -> circuit


def _lamps(loads: Collection[LoadAt], point: OperatingPoint) -> list[LoadAt]:
    """The lamps that are on, the one that sees the least of its volts first."""
    rated = {draw.name: draw.rated_v for draw in point.model.draws}
    seen = [
        (point.draw_v[_label(load)] / rated[_label(load)], load)
        for load in loads
        if load.load.nature == "lamp" and load.load.steady_a * rated[_label(load)] >= LEAST_LAMP_W
    ]
    return [load for _, load in sorted(seen, key=lambda one: (one[0], one[1].part, one[1].link))]


def _label(load: LoadAt) -> str:
    return f"{load.part} {load.link}"


def alone(bench: Bench, point: OperatingPoint, owners: Owners) -> dict[Name, float]:
    """Volts of every lamp with nothing but its own circuit on [V]; ``point`` has everything on."""
    loads = bench.loads("all on")
    circuits = dict.fromkeys(owners.get((lamp.part, lamp.link), "") for lamp in _lamps(loads, point))
    most = max(1, min(MOST_CIRCUITS, MOST_WORK // max(1, bench.grid.size)))
    found: dict[Name, float] = {}
    for circuit in list(circuits)[:most]:
        own = {(load.part, load.link) for load in loads if owners.get((load.part, load.link), "") == circuit}
        by_itself = point if len(own) == len(loads) else bench.point(bench.model(only=own))
        found |= {name: by_itself.draw_v[" ".join(name)] for name in own}
    lamps = {(lamp.part, lamp.link) for lamp in _lamps(loads, point)}
    return {name: volts for name, volts in found.items() if name in lamps}


def _by(bench: Bench, point: OperatingPoint, lamp: LoadAt, owners: Owners) -> str:
    """The other circuit that takes most of a lamp's volts, by what each ampere of it costs the lamp."""
    settler = bench.grid.settler(point.model.givers, point.model.draws)
    across = [point.volts[one.a] - point.volts[one.b] for one in point.model.givers]
    each_v = settler.transfer(across, lamp.feed, lamp.back)
    costs: dict[str, float] = {}
    for load, ohm in zip(bench.loads("all on"), each_v.tolist(), strict=True):
        circuit = owners.get((load.part, load.link), "")
        costs[circuit] = costs.get(circuit, 0.0) + ohm * point.draw_a[_label(load)]
    costs.pop(owners.get((lamp.part, lamp.link), ""), None)
    return max(costs, key=lambda circuit: (costs[circuit], circuit), default="")


def dimming(
    bench: Bench, point: OperatingPoint, alone_v: Mapping[Name, float], owners: Owners
) -> Dimming | None:
    """The lamp that loses the largest share of its volts to the rest; None where there is none."""
    loads = {(load.part, load.link): load for load in bench.loads("all on")}
    shares = {name: 1 - point.draw_v[" ".join(name)] / volts for name, volts in alone_v.items() if volts > 0}
    name = max(shares, key=lambda one: (shares[one], one), default=None)
    if name is None or shares[name] <= 0:
        return None
    lamp = loads[name]
    by = _by(bench, point, lamp, owners)
    rest = [one for one in loads if owners.get(one, "") != by]
    without_v = bench.point(bench.model(only=rest)).draw_v[_label(lamp)]
    volts = point.draw_v[_label(lamp)]
    light = (max(volts, 0.0) / without_v) ** figure("lamp light exponent") if without_v > 0 else 1.0
    return Dimming(point.mode, *name, alone_v[name], volts, by, without_v, light)
