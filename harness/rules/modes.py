"""Rules on what is on when: too much for the alternator, too long for the battery, a relay forgotten."""

from __future__ import annotations

from collections.abc import Iterator

from harness.electric.graph import batteries
from harness.model.machine import End, Link, Machine, Part
from harness.rules.case import Case, part_end
from harness.rules.figures import ALTERNATOR_SHARE, FLAT_DAYS, LEAST_BATTERY_SHARE, PRACTICE, amps
from harness.rules.registry import Say, rule


@rule(
    "alternator overloaded",
    severity="advice",
    summary="running loads above 80 % of what the alternator gives",
    source=f"loads at most 80 % of hot output, so that the battery is charged ({PRACTICE})",
    cure="switch less at once, fit lamps that draw less, or a larger alternator with its wire and fuse",
)
def alternator_overloaded(case: Case) -> Iterator[Say]:
    speeds = {
        mode.name: "at idle" if mode.speed == "idle" else "at speed; at idle it gives less"
        for mode in case.machine.modes
    }
    for mode in case.design.modes:
        if mode.engine == "running" and mode.charge_a > 0 and mode.load_a > ALTERNATOR_SHARE * mode.charge_a:
            where = next(found.where for found in case.machine.modes if found.name == mode.name)
            yield Say(
                mode.name,
                f"in {mode.name} the loads take {amps(mode.load_a)}, {mode.load_a / mode.charge_a:.0%} of "
                f"the {amps(mode.charge_a)} the alternator gives hot, {speeds[mode.name]}",
                "switch less at once, fit lamps that draw less, or a larger alternator with its wire and "
                "fuse",
                where,
            )


@rule(
    "parked drain",
    severity="advice",
    summary="what stays on when the machine is left, or the battery's own loss, flattens it within weeks",
    source=(
        f"half the battery's capacity left to crank with ({PRACTICE}), and the volts of its starter at the "
        "coldest start (calculated)"
    ),
    cure="feed what need not stay on through the key, or open an isolator when the machine is left",
)
def parked_drain(case: Case) -> Iterator[Say]:
    own = [battery for battery in batteries(case.machine) if not battery.converts]
    capacity = sum(each.capacity_ah * each.volts_v for each in own) / case.machine.voltage_v
    stands = {found.mode: found for found in case.design.standing}
    for mode in case.design.modes:
        if mode.engine != "stopped" or not capacity:
            continue
        days = capacity * LEAST_BATTERY_SHARE / mode.load_a / 24 if mode.load_a > 0 else float("inf")
        stand = stands.get(mode.name)
        where = next(found.where for found in case.machine.modes if found.name == mode.name)
        words = [
            f"in {mode.name} {amps(mode.load_a)} is drawn: half of the {capacity:.0f} Ah is gone in "
            f"{days:.1f} days"
        ]
        cure = "feed what need not stay on through the key, or open an isolator when the machine is left"
        if mode.load_a <= 0:
            words = [f"nothing is drawn in {mode.name}, but a battery loses charge inside"]
            cure = "charge the battery when the machine stands, keep it fuller, or fit a stronger one"
        if stand is not None and stand.days < FLAT_DAYS:
            words.append(
                f"from {stand.from_charge:.0%} charge it is at {stand.to_charge:.0%}, the least it still "
                f"starts with at {case.machine.coldest_c:g} °C, after {stand.days:.1f} days"
            )
        if days < FLAT_DAYS or len(words) > 1:
            yield Say(mode.name, "; ".join(words), cure, where)


@rule(
    "starter turns outside cranking",
    severity="fault",
    summary="the starter's own current flows in a mode in which the engine is not cranked",
    source="a starter works only while it cranks (physics)",
    cure="write `works in: cranking` with the circuit of the starter's cable",
)
def starter_stays_on(case: Case) -> Iterator[Say]:
    cranking = {mode.name for mode in case.machine.modes if mode.engine == "cranking"}
    for part, link in case.starter_mains():
        load = case.load_results.get((part.name, link.name))
        on = [seen.mode for seen in load.modes if seen.current_a > 0] if load is not None else []
        wrong = [mode for mode in on if mode not in cranking]
        if wrong and load is not None:
            yield Say(
                part.name,
                f"{part.name} draws {amps(load.steady_a)} in {', '.join(wrong)} too, where nothing is "
                "cranked: wires, battery and charging of these modes are worked out with it",
                "write `works in: cranking` (or the name of your own cranking mode) with the circuit that "
                "its cable stands in; what else is in that circuit gets one of its own",
                part.where,
            )


def _worked(machine: Machine) -> dict[End, set[str]]:
    """Terminal -> the modes of the circuits whose paths lead a wire to it."""
    found: dict[End, set[str]] = {}
    for circuit in machine.circuits:
        for path in circuit.paths:
            for step in path.steps:
                spec = machine.wires[step.wire] if step.wire is not None else None
                for end in (spec.a, spec.b) if spec is not None else ():
                    found.setdefault(end, set()).update(circuit.modes)
    return found


def _relays(case: Case) -> Iterator[tuple[Part, Link, list[Link]]]:
    """Every relay with its coil and the contacts that the coil closes."""
    for part in case.machine.parts.values():
        coil = next((link for link in part.links if link.a == "86" or link.b == "86"), None)
        if part.role == "relay" and coil is not None:
            yield part, coil, [link for link in part.links if link.kind == "contact" and link.b != "87a"]


@rule(
    "relay not worked in a mode",
    severity="fault",
    summary="a relay's contact is used in a mode in which nothing works its coil",
    source="a relay closes only while its coil has current (physics)",
    cure="let the coil's circuit work in the same modes",
)
def relay_idle(case: Case) -> Iterator[Say]:
    modes = _worked(case.machine)
    for part, coil, contacts in _relays(case):
        outlets = {part_end(part, link.b) for link in contacts}
        inlets = {part_end(part, coil.a), part_end(part, coil.b)}
        used, worked = ({mode for end in ends for mode in modes.get(end, ())} for ends in (outlets, inlets))
        idle = [mode.name for mode in case.machine.modes if mode.name in used - worked]
        if idle:
            yield Say(
                part.name,
                f"{part.name}: its contact is used in {', '.join(idle)}, but no circuit works its coil then",
                "let the coil's circuit work in the same modes (`works in`), or write the coil's path",
                part.where,
            )
