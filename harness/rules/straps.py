"""Rules on straps and ground cables: what they carry, what they lose, and what their loss lets through."""

from __future__ import annotations

from collections.abc import Iterator

from harness.model.design import Limit
from harness.model.grounds import GroundCable
from harness.model.machine import WireSpec
from harness.rules import traits
from harness.rules.case import Case, part_end
from harness.rules.figures import (
    GROUND_V,
    HINGE,
    LIFTED,
    PRACTICE,
    STARTER_GROUND,
    STARTER_GROUND_V,
    amps,
    may_carry,
    square,
    volts,
)
from harness.rules.registry import Say, rule

OVERHEATS = ("ampacity", "heat", "loom heat", "short time")
LEAST_SHARE = 0.25  # of the system's volts: what a coil may still hold with (common practice)


def _names(names: list[str], most: int = 5) -> str:
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return f"{', '.join(names[:most])}{more}"


def _straps(case: Case) -> Iterator[tuple[WireSpec, GroundCable]]:
    """Every strap and battery cable of the ground side."""
    cables = {cable.wire: cable for cable in case.design.ground_cables}
    for spec, wire in case.wires():
        if wire.number in cables and case.is_strap(spec):
            yield spec, cables[wire.number]


def _is_too_thin(limit: Limit, area_mm2: float) -> bool:
    least = limit.least_area_mm2
    return limit.name in OVERHEATS and (least is None or least > area_mm2 * 1.0001)


@rule(
    "strap overloaded",
    severity="danger",
    summary="a strap or ground cable that brings home more, in its worst mode, than it may carry",
    source="the limit's own table, named with it",
    cure="make the strap of the size named, or lay a second one beside it",
)
def strap_overloaded(case: Case) -> Iterator[Say]:
    for spec, cable in _straps(case):
        wire = case.design.wires[spec.index]
        thin = [limit for limit in wire.limits if _is_too_thin(limit, wire.area_mm2)]
        if not thin:
            continue
        worst = max(thin, key=lambda limit: limit.least_area_mm2 or float("inf"))
        spell = f", {amps(cable.short_a)} for {cable.short_s:g} s" if cable.short_s else ""
        of = f" of {_names(cable.loses)}" if cable.loses else ""
        yield Say(
            wire.number,
            f"{case.say_wire(spec.index)} brings home {amps(wire.continuous_a)} as long as it lasts{spell}"
            f"{of}; {wire.size} {may_carry(wire.ampacity_a)}, and {worst.name} needs "
            f"{worst.least_size or 'more than any size in the table'}",
            f"make it {worst.least_size or 'two cables side by side'}, or lay a second strap beside it",
            spec.where,
            source=worst.source,
        )


def _cranking_a(case: Case, wire: int, starter_a: float) -> float:
    """What of a starter's current a wire has: less where straps lie side by side."""
    modes = [mode.name for mode in case.machine.modes if mode.engine == "cranking"]
    seen = max((case.design.wires[wire].current_a.get(mode, 0.0) for mode in modes), default=0.0)
    return min(starter_a, seen) if seen else starter_a


@rule(
    "starter ground drop",
    severity="fault",
    summary="the starter's own current loses too many volts on its way home while it cranks",
    source=STARTER_GROUND,
    cure="thicker ground cable, bright metal under its lugs, or a cable of its own from the starter",
)
def starter_ground(case: Case) -> Iterator[Say]:
    most = STARTER_GROUND_V * case.machine.voltage_v / 12
    for starter, main in case.starter_mains():
        back = part_end(starter, main.b)
        if back not in case.returned or main.load is None:
            continue
        amps_a = main.load.steady_a
        wires = [step.wire for step in case.way_back(case.returned, back) if step.wire is not None]
        drops = {at: case.joined_drop_v(at, _cranking_a(case, at, amps_a)) for at in wires}
        total = sum(drops.values()) + sum(
            case.step_drop_v(step, amps_a) for step in case.way_back(case.returned, back) if step.wire is None
        )
        if total > most:
            worst = max(wires, key=lambda at: (drops[at], -at))
            yield Say(
                case.number(worst),
                f"cranking, the {amps(amps_a)} of {starter.name} lose {volts(total)} on the way home over "
                f"wire {case.numbers(wires)}; {volts(most)} is the most"
                + (f", and wire {case.number(worst)} alone takes {volts(drops[worst])}" if wires[1:] else ""),
                "make that cable thicker or shorter, or lead one straight from the starter to the battery",
                case.machine.wires[worst].where,
            )


@rule(
    "body off ground",
    severity="advice",
    summary="a body stands more than 0.2 V (12 V) off the chassis post: its straps lose too much",
    source=LIFTED,
    cure="thicker or shorter straps, or a second one beside them",
)
def lifted(case: Case) -> Iterator[Say]:
    most = GROUND_V * case.machine.voltage_v / 12
    for ground in case.design.grounds:
        if ground.lift_v is not None and ground.lift_v > most:
            body = case.machine.bodies[ground.body]
            yield Say(
                body.name,
                f"in {ground.lift_mode} {body.name} stands {volts(ground.lift_v)} off the "
                f"{case.machine.chassis_post} post, and {volts(most)} is the most: lamps on it burn dim, and "
                "a gauge with its sender there reads wrong",
                f"make wire {', '.join(ground.cables)} thicker or shorter, or lay a second strap beside it",
                body.where,
            )


@rule(
    "strap over a hinge",
    severity="advice",
    summary="a strap or ground cable that flexes at every movement, and what loses its ground when it breaks",
    source=HINGE,
    cure="use a braid or extra-flexible cable with length for full travel",
)
def strap_over_hinge(case: Case) -> Iterator[Say]:
    moving = {run.name for run in case.machine.runs if run.moves and not run.fine}
    for spec, cable in _straps(case):
        wire = case.design.wires[spec.index]
        crossed = [name for name in wire.runs if name in moving]
        if crossed and not wire.kept:
            lost = f"; with it open {_names(cable.loses)} lose their ground" if cable.loses else ""
            yield Say(
                wire.number,
                f"strap {case.say_wire(spec.index)} crosses {', '.join(crossed)} and flexes with it: "
                f"{wire.size} of plain cable breaks strand by strand inside its cover{lost}",
                f"use a braid or extra-flexible cable of {square(wire.area_mm2)} with length for full "
                "travel, laid to twist and not to bend",
                spec.where,
            )


@rule(
    "open ground feeds the engine",
    severity="advice",
    summary=(
        "when a ground wire breaks, current finds a way back through a lamp or coil into what keeps the "
        "engine running or turns it"
    ),
    source=f"a lost ground sends current home through the next load on the same feed ({PRACTICE})",
    cure="ground both on one body, or part their feeds",
)
def sneak(case: Case) -> Iterator[Say]:
    at = {wire.number: index for index, wire in enumerate(case.design.wires)}
    for cable in case.design.ground_cables:
        for way in cable.sneaks:
            parts = [case.machine.parts[name] for name in way.out_by]
            meant = [
                part.name for part in parts if traits.keeps_engine_running(part) or traits.is_starter(part)
            ]
            if not meant or way.share < LEAST_SHARE:
                continue
            yield Say(
                cable.wire,
                f"when {case.say_wire(at[cable.wire])} breaks, what hangs on it ({_names(cable.loses)}) goes "
                f"home back through {_names(way.through)} into {_names(meant)}, which may see "
                f"{way.share:.0%} of the volts with the key off",
                f"ground {_names(way.through)} where {_names(meant)} is grounded, or part their feeds",
                case.machine.wires[at[cable.wire]].where,
            )
