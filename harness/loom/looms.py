"""Which wires make one loom that is built and taken off by itself, and what it weighs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import pi

from harness.loom.couplers import Laid, coupler_places, couplers, passes, sides, why_whole
from harness.model.design import Wire
from harness.model.looms import CouplerResult, CouplerWay, LoomResult
from harness.model.machine import Link, Machine, Part, WireSpec
from harness.model.stages import Routed
from harness.tables import load

STRAND_FILL = 0.8  # share of a conductor's circle that is copper (memory)


def _figure(item: str) -> float:
    return float(load("wire_weight").row("item", item)["value"])


def wire_kg_per_m(*, area_mm2: float, outside_mm: float) -> float:
    """Mass of a wire with its insulation [kg/m]. Source: wire_weight (densities, memory).

    Holds within 10 % of the weights a maker prints for GXL (tests/published).
    """
    insulation_mm2 = max(pi / 4 * outside_mm**2 - area_mm2 / STRAND_FILL, 0.0)
    return (area_mm2 * _figure("copper density") + insulation_mm2 * _figure("insulation density")) / 1000


def _groups(machine: Machine) -> dict[str, int]:
    """Place -> number of the group that hangs together without passing a coupler."""
    cuts = coupler_places(machine)
    around: dict[str, list[str]] = {place: [] for place in machine.place_zones if place not in cuts}
    for run in machine.runs:
        if run.start not in cuts and run.end not in cuts:
            around[run.start].append(run.end)
            around[run.end].append(run.start)
    group: dict[str, int] = {}
    for number, first in enumerate(around):
        todo = [first]
        while todo:
            place = todo.pop()
            if place not in group:
                group[place] = number
                todo += around[place]
    return group


def _home(machine: Machine, group: Mapping[str, int], wire: Wire) -> int | None:
    """The group a wire lies in, None when it goes past a coupler from one into another."""
    ends = {run.name: (run.start, run.end) for run in machine.runs}
    places = {wire.from_.place, wire.to.place, *(place for name in wire.runs for place in ends[name])}
    found = {group[place] for place in places if place in group}
    return found.pop() if len(found) == 1 else None


def looms(machine: Machine, made: Sequence[Wire]) -> list[LoomResult]:
    """Every loom with its new wires; one without couplers is the only one. Named by the survey or counted."""
    group = _groups(machine)
    home = {wire.number: _home(machine, group, wire) for wire in made if not wire.kept}
    found: list[LoomResult] = []
    for number in dict.fromkeys(group.values()):
        wires = [wire for wire in made if home.get(wire.number) == number]
        if not wires:
            continue
        places = [place for place, other in group.items() if other == number]
        named = next((machine.loom_names[place] for place in places if place in machine.loom_names), None)
        found.append(
            LoomResult(
                named or f"loom {len(found) + 1}", places, [wire.number for wire in wires],
                sum(wire.length_m for wire in wires),
                sum(wire.length_m * wire.area_mm2 for wire in wires) * _figure("copper density") / 1000,
                sum(
                    wire.length_m * wire_kg_per_m(area_mm2=wire.area_mm2, outside_mm=wire.outside_mm)
                    for wire in wires
                ),
            )
        )  # fmt: skip
    return found


def _way(link: Link, part: Part, landed: Mapping[tuple[str, str], Wire]) -> CouplerWay:
    a, b = (landed.get((part.name, end)) for end in (link.a, link.b))
    known = a or b
    name = link.a.removesuffix("A")
    if known is None:
        return CouplerWay(name, "", "", "", "", "")
    end = next(
        end
        for point, end in ((known.from_, known.from_end), (known.to, known.to_end))
        if point.part == part.name
    )
    contact = end.terminal.split(",")[1].strip() if "," in end.terminal else ""
    return CouplerWay(
        name, a.number if a else "", b.number if b else "", known.circuit, known.colour, contact
    )


def _why(part: Part, spec: WireSpec, wire: Wire) -> str:
    return why_whole(part, spec, Laid(wire.area_mm2, wire.continuous_a)) or "no way left"


def coupler_results(machine: Machine, routed: Routed, made: Sequence[Wire]) -> list[CouplerResult]:
    """Every coupler with its pin list, and what goes past it uncut with the reason."""
    landed = {(point.part, point.terminal): wire for wire in made for point in (wire.from_, wire.to)}
    found = []
    for part in couplers(machine):
        a, b = (*sides(machine, part.place), "", "")[:2]
        past = [
            f"{wire.number}: {_why(part, machine.wires[way.index], wire)}"
            for way, wire in zip(routed.wires, made, strict=True)
            if passes(machine, way, part) is not None
        ]
        ways = [_way(link, part, landed) for link in part.links]
        counted = "as many ways as wires need" not in part.assumed
        found.append(CouplerResult(part.name, part.place, a, b, ways, counted, past))
    return found
