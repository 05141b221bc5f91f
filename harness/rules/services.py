"""Rules on what must not fail together or stay on: shared fuses, fuses side by side, plugs, coils, straps."""

from __future__ import annotations

from collections.abc import Iterator

from harness.model.machine import End, Link, Load, Part
from harness.rules import traits
from harness.rules.case import Case, Way, conducts, part_end
from harness.rules.figures import PRACTICE, amps, square
from harness.rules.guard import starter_cables
from harness.rules.registry import Say, rule

PULL_A = 10.0  # a solenoid that holds takes about 1 A, one that pulls 30 to 50 A
LONGEST_PULL_S = 5.0  # a timer of about 2 s is usual (common practice)
THIN_SHARE = 0.25  # of the strap's copper: a ground wire, not a second strap


@rule(
    "safety function shares its fuse",
    severity="advice",
    summary=(
        "brake lamps, the horn or the stop solenoid hang on one fuse with something else, whose fault takes "
        "them along"
    ),
    source=f"brake lamps, horn and engine stop on fuses of their own ({PRACTICE})",
    cure="give the safety function a fuse of its own",
)
def shared_fuse(case: Case) -> Iterator[Say]:
    by_fuse: dict[str, list[tuple[Part, str]]] = {}
    for load in case.design.loads:
        if load.fuse:
            by_fuse.setdefault(load.fuse, []).append((case.machine.parts[load.part], load.circuit))
    for fuse, hung in by_fuse.items():
        safe = [
            (part, circuit)
            for part, circuit in hung
            if traits.is_brake_lamp(part) or traits.is_horn(part) or part.kind == "stop solenoid"
        ]
        own = {circuit for _, circuit in safe}
        others = list(dict.fromkeys(part.name for part, circuit in hung if circuit not in own))
        if safe and others:
            first = safe[0][0]
            yield Say(
                first.name,
                f"{first.name} hangs on {fuse} with {', '.join(others[:5])}: a fault in one of these takes "
                f"{first.name} along" + _what_then(first),
                f"give {first.name} a fuse of its own",
                first.where,
            )


def _what_then(part: Part) -> str:
    return ", and the engine stops or cannot be stopped" if part.kind == "stop solenoid" else ""


def _metal(case: Case) -> dict[End, int]:
    """Points joined by wire and bar alone, numbered by island; chassis and sources end one."""
    found: dict[End, int] = {}
    for start in case.at:
        if start not in found and not case.is_low(start):
            island = case.reach([start], lambda way, _: way.kind in ("wire", "bus"), stops=case.is_low)
            found.update(dict.fromkeys((end for end in island if not case.is_low(end)), len(found)))
    return found


def _fuse(case: Case, part: Part, link: Link) -> str:
    made = case.fuse_results.get((part.name, link.name))
    return made.name if made is not None else f"{part.name} {link.b}"


@rule(
    "trailer lamps not counted",
    severity="advice",
    summary="nothing hangs on a trailer socket's pins: a trailer's lamps are in no fuse and no wire",
    source=PRACTICE,
    cure="write the trailer's lamps as parts, fed over the socket",
)
def trailer(case: Case) -> Iterator[Say]:
    for part in case.parts(lambda part: part.kind == "trailer socket"):
        ends = {terminal.name: part_end(part, terminal.name) for terminal in part.terminals}
        idle = [name for name, end in ends.items() if end in case.fed and len(case.wires_at(end)) == 1]
        if idle:
            yield Say(
                part.name,
                f"nothing hangs on {', '.join(idle)} of {part.name}: what a trailer's lamps draw there is in "
                "no fuse and no wire, and a fuse may blow when one is hitched on",
                f"write its lamps as parts, as `{part.name} {idle[0]} > trailer lamp > {part.name} 31`, with "
                "the watts of what you tow",
                part.where,
            )


@rule(
    "fuses side by side",
    severity="fault",
    summary="two fuses feed one point from one source: together they let through the sum of their ratings",
    source="currents of parallel ways add (physics)",
    cure="feed the point from one fuse, or part what hangs on it",
)
def side_by_side(case: Case) -> Iterator[Say]:
    island = _metal(case)
    seen: dict[tuple[int, int], tuple[Part, Link]] = {}
    for way in case.ways:
        pair = (island.get(way.a, -1), island.get(way.b, -1))
        if way.kind != "fuse" or way.link is None or -1 in pair or pair[0] == pair[1]:
            continue
        part, key = case.machine.parts[way.part], (min(pair), max(pair))
        if key in seen:
            other, link = seen[key]
            yield Say(
                part.name,
                f"{_fuse(case, part, way.link)} and {_fuse(case, other, link)} lead from one point to one "
                "point: a short circuit has to blow both, and the wire behind sees the sum of their ratings",
                "feed it from one of them, or part what hangs on them",
                part.where,
            )
        seen.setdefault(key, (part, way.link))


@rule(
    "heater plugs in series",
    severity="fault",
    summary="plugs wired one behind the other and taken as if each had the full voltage",
    source=f"volts in series divide (physics); old sets of low-voltage plugs with a ballast ({PRACTICE})",
    cure="state each plug's own volts and current, or wire them side by side",
)
def series_plugs(case: Case) -> Iterator[Say]:
    heaters = [
        (part, link) for part, link in case.loads() if link.load is not None and link.load.nature == "heater"
    ]
    inlets = {part_end(part, link.a): part for part, link in heaters}
    for part, link in heaters if len(heaters) > 1 else ():
        behind = case.reach(
            [part_end(part, link.b)], lambda way, _: way.kind in ("wire", "bus"), stops=case.is_low
        )
        after = [inlets[end].name for end in behind if end in inlets and inlets[end] is not part]
        if after and part.rated_v is None:
            yield Say(
                part.name,
                f"{part.name} feeds {after[0]}: in series one current passes both and each sees a part of "
                f"{case.machine.voltage_v:g} V, but its current is taken as if it had all of it",
                "state each plug's own volts (`rated: 2 V`) and current, or wire them side by side to a bar",
                part.where,
            )


@rule(
    "pull coil left energised",
    severity="fault",
    summary="a fuel or stop solenoid that draws its pull-in current for as long as it is on",
    source=f"a dual coil pulls with 30 to 50 A and holds with about 1 A (read); else it burns ({PRACTICE})",
    cure="state hold and pull, or feed it over a timer of about 2 s",
)
def pull_coil(case: Case) -> Iterator[Say]:
    for part, link in case.loads():
        load = link.load
        if load is None or load.nature != "coil" or not traits.keeps_engine_running(part):
            continue
        why = _stays_pulled(part, load)
        if why:
            yield Say(
                part.name,
                f"{part.name} {why}",
                "state hold and pull (`current: 1 A hold`, `peak: 36 A for 0.5 s`); if it has no hold "
                "winding, feed it over a timer of about 2 s",
                part.where,
            )


def _stays_pulled(part: Part, load: Load) -> str:
    """Why a solenoid draws its pull-in current for longer than it stands, "" when nothing says so."""
    if load.steady_s is None and load.steady_a > PULL_A:
        return (
            f"draws {amps(load.steady_a)} for as long as it is on: that is a pull winding's current, which "
            "it stands for seconds"
        )
    if load.peak_a is None or load.peak_a <= PULL_A:
        return ""
    if (load.peak_s or 0.0) > LONGEST_PULL_S:
        return f"pulls {amps(load.peak_a)} for {load.peak_s:g} s: a pull winding burns after a few seconds"
    assumed = [text.split(" ")[0] for text in part.assumed]
    if "current" in assumed and "peak" not in assumed:
        return (
            f"pulls in with {amps(load.peak_a)}, and what it holds with is not said ({amps(load.steady_a)} "
            "is assumed): without a hold winding and a contact that opens the pull, that current never stops"
        )
    return ""


@rule(
    "thin way round a strap",
    severity="advice",
    summary="with one strap open, the starter's current comes home through wire far thinner than the strap",
    source=f"an open engine strap burns ground wires and control cables ({PRACTICE})",
    cure="lay the thin wire to the same body as the strap, or make it a second strap",
)
def thin_way_round(case: Case) -> Iterator[Say]:
    cables = starter_cables(case)
    for starter, main in case.starter_mains():
        back = part_end(starter, main.b)
        if back not in case.returned:
            continue
        steps = [step.wire for step in case.way_back(case.returned, back) if step.wire is not None]
        for strap in steps:
            yield from _round(case, starter, back, strap, cables)


def _round(case: Case, starter: Part, back: End, strap: int, cables: frozenset[int]) -> Iterator[Say]:
    """What carries a starter's current when one of its straps opens, where that is thin."""

    def passes(way: Way, here: End) -> bool:
        return conducts(way, here) and way.wire != strap and way.wire not in cables and not _in_contact(way)

    left = case.reach(case.return_posts, passes, stops=lambda end: end in case.live_posts)
    if back not in left:
        return
    wires = [step.wire for step in case.way_back(left, back) if step.wire is not None]
    thin = min(wires, key=lambda at: (case.design.wires[at].area_mm2, at), default=None)
    full = case.design.wires[strap].area_mm2
    if thin is not None and case.design.wires[thin].area_mm2 < THIN_SHARE * full:
        yield Say(
            case.number(thin),
            f"when {case.say_wire(strap)} opens, {starter.name} draws its current home through "
            f"{case.say_wire(thin)}, {square(case.design.wires[thin].area_mm2)} against {square(full)}: it "
            "glows",
            "lay that wire to the same body as the strap, or make it a second strap of the same size",
            case.machine.wires[thin].where,
        )


def _in_contact(way: Way) -> bool:
    return way.kind in ("contact", "fuse")
