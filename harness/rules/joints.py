"""Rules on terminals, contacts and coils: what lands where, and what a contact may carry."""

from __future__ import annotations

from collections.abc import Iterator

from harness.model.machine import End, Link, Part
from harness.rules import traits
from harness.rules.case import Case, Way, before_fuse, part_end
from harness.rules.figures import PRACTICE, WIRES_ON, WIRES_ON_SOURCE, amps
from harness.rules.registry import Say, rule
from harness.tables import load


@rule(
    "terminal with too many wires",
    severity="fault",
    summary="more than four rings on a stud or post, two wires on a blade, screw or pigtail, one on a pin",
    source=WIRES_ON_SOURCE,
    cure="move some wires to a second stud or ground point, or join them first",
)
def crowded(case: Case) -> Iterator[Say]:
    for part in case.design.parts:
        for use in part.terminals:
            most = _most_on(case.machine.parts[part.name], use.fitting)
            if len(use.wires) > most and not traits.is_bar(case.machine.parts[part.name]):
                yield Say(
                    part.name,
                    f"{len(use.wires)} wires ({', '.join(use.wires[:8])}) land on "
                    f"{case.say_end(End('part', part.name, use.terminal))}, a {use.fitting} that takes "
                    f"{most}",
                    "move some to a second stud or ground point, or join them first at a splice or bus stud "
                    "and lead one wire on",
                    case.machine.parts[part.name].where,
                )


def _most_on(part: Part, fitting: str) -> int:
    """Wires that land on one terminal; a connector's pin has two sides."""
    return 2 if part.role == "coupler" and fitting == "pin" else WIRES_ON[fitting]


def _crossing(case: Case, part: Part, terminal: str) -> tuple[str, float]:
    """Mode and amperes that cross a terminal at its worst: half of what its wires carry, or the one's."""
    wires = case.wires_at(part_end(part, terminal))
    modes = {mode for at in wires for mode in case.design.wires[at].current_a}
    sums = {
        mode: sum(case.design.wires[at].current_a.get(mode, 0.0) for at in wires) / min(len(wires), 2)
        for mode in sorted(modes)
    }
    mode = max(sums, key=lambda name: sums[name], default="")
    return mode, sums.get(mode, 0.0)


@rule(
    "connector overloaded",
    severity="fault",
    summary="a pin of a plug and socket that carries more than it may",
    source="pin rating of the connector, from the survey or its kind",
    cure="share the current over more pins, or lead it past the plug over a stud",
)
def pins(case: Case) -> Iterator[Say]:
    for part in case.parts(lambda part: part.pin_a is not None):
        for terminal in part.terminals:
            mode, amps_a = _crossing(case, part, terminal.name)
            if part.pin_a is not None and amps_a > part.pin_a * 1.0001:
                yield Say(
                    part.name,
                    f"pin {terminal.name} of {part.name} carries {amps(amps_a)} in {mode}; a pin may carry "
                    f"{amps(part.pin_a)}: it gets hot and the plug melts round it",
                    "share the current over more pins, fit a connector with larger ones, or lead it past the "
                    "plug over a stud",
                    part.where,
                )


STUDS = {"M4": "#8", "M5": "#10", "M6": "1/4"}  # nearest inch thread (common practice)


def _stud_a() -> dict[str, float]:
    rows = load("stud_current_and_drop").rows
    return {row["stud_nominal"]: float(row["current_rating_A"]) for row in rows}


@rule(
    "stud overloaded",
    severity="advice",
    summary="a small terminal stud that carries more than its thread is rated for",
    source="stud_current_and_drop (read); metric threads as the nearest inch one (common practice)",
    cure="use a part with a larger stud, or split the wires over two",
)
def studs(case: Case) -> Iterator[Say]:
    rated = _stud_a()
    for part in case.parts(lambda part: part.role == "stud"):
        for terminal in part.terminals:
            most = rated.get(STUDS.get(terminal.size, terminal.size))
            if terminal.fitting != "stud" or most is None:
                continue
            amps_a = _lasting_a(case, part, terminal.name)
            if amps_a > most * 1.0001:
                yield Say(
                    part.name,
                    f"{amps(amps_a)} cross the {terminal.size} stud of {part.name}; a stud of that thread is "
                    f"rated {amps(most)}",
                    "use a part with larger studs, or lead part of the wires to a second one; where it "
                    "stays, keep it tight and clean, with a spring washer",
                    part.where,
                )


def _lasting_a(case: Case, part: Part, terminal: str) -> float:
    """What crosses a terminal for as long as a mode lasts [A]: short spells do not heat a stud through."""
    wires = case.wires_at(part_end(part, terminal))
    total = sum(case.design.wires[at].continuous_a for at in wires)
    return total / min(len(wires), 2) if wires else 0.0


def _through(case: Case, part: Part, link: Link) -> dict[str, float]:
    """Steady current through a contact by mode [A]: what leaves its outlet, in the sense of the paths.

    Of a contact that grounds through its case what arrives: the wires of a body carry everything else too.
    """
    outlet, inlet = part_end(part, link.b), part_end(part, link.a)
    leaving: list[int] = []
    if outlet.kind != "body":
        alone = [way for way in case.at.get(outlet, ()) if way.kind not in ("wire", "load", "joint")]
        if len(alone) > 1:
            return {}
        leaving = [index for index in case.wires_at(outlet) if case.machine.wires[index].a == outlet]
    arriving = [index for index in case.wires_at(inlet) if case.machine.wires[index].b == inlet]
    only_inlet = len([way for way in case.at.get(inlet, ()) if way.wire is None]) == 1
    chosen = leaving or (arriving if only_inlet else [])
    modes = {mode for index in chosen for mode in case.design.wires[index].current_a}
    if traits.is_isolator(part):  # made for a starter's short current; its rating is for what lasts
        return {"continuous use": sum(case.design.wires[index].continuous_a for index in chosen)}
    return {
        mode: sum(abs(case.design.wires[index].current_a.get(mode, 0.0)) for index in chosen)
        for mode in sorted(modes)
    }


def _heaters_behind(case: Case, part: Part, link: Link) -> bool:
    found = case.reach([part_end(part, link.b)], lambda way, _: way.kind in ("wire", "bus", "fuse"))
    return any(
        load.load is not None and load.load.nature == "heater" and part_end(owner, load.a) in found
        for owner, load in case.loads()
    )


@rule(
    "contact overloaded",
    severity="fault",
    summary="a switch, key or relay contact that carries more than it may",
    source="contact rating of the part, from the survey or its kind",
    cure="let it work a relay, or fit a heavier one",
)
def overloaded(case: Case) -> Iterator[Say]:
    for part in case.machine.parts.values():
        for link in part.links:
            if link.kind != "contact" or link.rating_a is None:
                continue
            currents = _through(case, part, link)
            mode = max(currents, key=lambda name: (currents[name], name), default=None)
            if mode is None or currents[mode] <= link.rating_a * 1.0001:
                continue
            if traits.is_key(part) and _heaters_behind(case, part, link):
                continue  # "preheat through the key" says so
            yield Say(
                part.name,
                f"{part.name} {link.name} carries {amps(currents[mode])} in {mode}; its contact may carry "
                f"{amps(link.rating_a)}",
                "let it work a relay's coil and lead the load's current over the relay, or fit a heavier one "
                "and write its rating:",
                part.where,
            )


def _segment(case: Case, part: Part, link: Link) -> dict[End, Way | None]:
    """Points on the same fused feed as a load, with every contact closed."""
    return case.reach([part_end(part, link.a)], before_fuse, stops=case.is_low)


@rule(
    "coil without suppression",
    severity="fault",
    summary="a coil with no diode or resistor across it on a fused feed with electronics; advice for a relay",
    source=f"diode or resistor across the coil, the diode's band to the positive side ({PRACTICE})",
    cure="fit a diode or resistor across the coil",
)
def bare_coil(case: Case) -> Iterator[Say]:
    electronics = [
        (part, link) for part, link in case.loads() if link.load and link.load.nature == "electronics"
    ]
    for part, link in case.loads() if electronics else ():
        if part.suppressed is not False or link.load is None or link.load.nature != "coil":
            continue
        feed = _segment(case, part, link)
        beside = [other.name for other, load in electronics if part_end(other, load.a) in feed]
        if beside:
            yield Say(
                part.name,
                f"{part.name} ({amps(link.load.steady_a)}): no diode or resistor across its coil is stated, "
                f"and it shares its feed with {', '.join(beside[:4])}: each switching off sends a spike "
                "there of many times the battery's volts",
                "fit a diode across the coil, its band to the positive side (turned the other way it is a "
                "short circuit), rated above the coil current, and say `suppressed: yes`; or give the "
                "electronics a fused feed of their own",
                part.where,
                severity="advice" if part.role == "relay" else None,
            )


@rule(
    "terminal does not fit",
    severity="fault",
    summary="no terminal in the table fits both the wire and the stud or blade it lands on",
    source="terminal tables named with the wire end",
    cure="change the stud or the wire size",
)
def no_fitting(case: Case) -> Iterator[Say]:
    landing = {
        (part.name, use.terminal): len(use.wires) for part in case.design.parts for use in part.terminals
    }
    for spec, wire in case.wires():
        guarded = wire.decided_by == "protection" and wire.fuse
        for end, point in ((wire.from_end, wire.from_), (wire.to_end, wire.to)):
            fitting = case.fitting(point)
            if (
                spec.index in case.too_hot
                or wire.kept
                or end.terminal
                or not end.notes
                or end.strip_mm  # shares the terminal of another wire
                or fitting in ("", "pigtail")
            ):
                continue
            if landing.get((point.part, point.terminal), 0) > _most_on(
                case.machine.parts[point.part], fitting
            ):
                continue  # "terminal with too many wires" says so
            yield Say(
                wire.number,
                f"{case.say_wire(spec.index)} at {point.part} {point.terminal}: {end.notes}",
                "change the stud or the wire size, or land it on a stud nearby and lead a short piece on"
                + (f"; or hang it on a smaller fuse of its own behind {wire.fuse}" if guarded else ""),
                spec.where,
                source=end.source or None,
            )


@rule(
    "part not wired",
    severity="advice",
    summary="a part in the survey that no path uses",
    source=PRACTICE,
    cure="write its path, or take it out of the list",
)
def unused(case: Case) -> Iterator[Say]:
    used = {end.name for spec in case.machine.wires for end in (spec.a, spec.b) if end.kind == "part"}
    for part in case.machine.parts.values():
        if part.name not in used and part.role != "ground":
            yield Say(
                part.name,
                f"{part.name} is in the list of parts, and no wire leads to it",
                "write its path, or take it out of the list",
                part.where,
            )
