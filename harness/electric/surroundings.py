"""Where each wire is worst off: how hot its stretches are, and how many loaded neighbours it has in each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from harness.electric.ampacity import loom_factor
from harness.electric.limits import Surroundings, ambient_share
from harness.electric.looms import sun_rise_k
from harness.electric.ruleset import RuleSet, Size
from harness.model.machine import Machine
from harness.model.stages import Routed

LOADED_A = 0.5  # a wire that carries less than this all the time does not warm its neighbours

ModeCurrents = Mapping[str, Mapping[int, float]]  # mode -> wire -> continuous current [A]
Bundling = Mapping[str, tuple[int, float]]  # run -> loaded wires, factor


def _run_bundling(
    rules: Sequence[RuleSet],
    ambient_c: float,
    wires: Sequence[int],
    sizes: Sequence[Size] | None,
    currents: ModeCurrents,
) -> tuple[int, float]:
    """Loaded wires and bundle factor of a run in its worst mode; without sizes, as if fully used."""
    worst = (min(len(wires), 1), 1.0)
    for amps in currents.values():
        loaded = [wire for wire in wires if amps.get(wire, 0.0) >= LOADED_A]
        if not loaded:
            continue
        able = (
            sum(sizes[wire].base_a * ambient_share(rules[wire], ambient_c) for wire in loaded)
            if sizes
            else 0.0
        )
        carried = sum(amps[wire] for wire in loaded)
        factor = loom_factor(rules[0].bundle, loaded=len(loaded), carried_a=carried, able_a=able)
        worst = min(worst, (len(loaded), factor), key=lambda found: (found[1], -found[0]))
    return worst


def zone_c(machine: Machine, zone: str) -> float:
    """Ambient that tables count in a zone [°C]: its air, and what the sun adds to a thick loom."""
    found = machine.zones[zone]
    return found.ambient_c + (sun_rise_k(found.ambient_c, machine.altitude_m) if found.sun else 0.0)


def bundling(
    machine: Machine,
    routed: Routed,
    rules: Sequence[RuleSet],
    sizes: Sequence[Size] | None,
    currents: ModeCurrents,
) -> dict[str, tuple[int, float]]:
    """Loaded wires and bundle factor of every run."""
    return {
        run.name: _run_bundling(rules, zone_c(machine, run.zone), routed.in_run[run.name], sizes, currents)
        for run in machine.runs
    }


def surroundings(
    machine: Machine, routed: Routed, rules: Sequence[RuleSet], found: Bundling
) -> list[Surroundings]:
    """The hardest stretch of every wire: least product of ambient and bundle factor."""
    zones = {run.name: zone_c(machine, run.zone) for run in machine.runs}
    places = {place: zone_c(machine, zone) for place, zone in machine.place_zones.items()}
    worst = []
    for wire in routed.wires:
        own = rules[wire.index]
        stretches = [(zones[run], *found[run]) for run in wire.runs]
        ends = [places[point.place] for point in (wire.a, wire.b)]
        stretches += [(ambient, 1, 1.0) for ambient in ends]
        ambient, loaded, factor = min(
            stretches, key=lambda one: (ambient_share(own, one[0]) * one[2], -one[0])
        )
        hottest = max(one[0] for one in stretches)
        worst.append(Surroundings(ambient, hottest, loaded, factor, machine.altitude_m))
    return worst


def lies_alone(machine: Machine, routed: Routed) -> list[bool]:
    """Whether a wire leaves the loom: at most two wires in some run outside a closed space."""
    thin = {
        run.name
        for run in machine.runs
        if len(routed.in_run[run.name]) <= 2 and not machine.zones[run.zone].closed
    }
    return [bool(thin.intersection(wire.runs)) for wire in routed.wires]
