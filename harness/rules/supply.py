"""Rules on supply: loads that see too few volts, wires and sources that are asked for too much."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from harness.model.design import Limit, LoadResult, LoadVolts, Wire
from harness.model.machine import End, Part
from harness.rules import traits
from harness.rules.case import Case, Way, along_loads, part_end
from harness.rules.figures import (
    NOTICED_V,
    PRACTICE,
    amps,
    volts,
)
from harness.rules.guard import starter_cables
from harness.rules.registry import Say, rule
from harness.rules.straps import OVERHEATS

FREES = ("frees it", "free it", "relay near", "no wire can help")  # what a sentence that helps has in it


def _worst(load: LoadResult) -> LoadVolts | None:
    alive = [seen for seen in load.modes if seen.volts_v > 0]
    return max(alive, key=lambda seen: (seen.judged_v, seen.mode), default=None)


def _is_fed_straight(case: Case, load: LoadResult) -> bool:
    """Whether it is a load, with only metal, contacts and fuses between it and a source."""
    part, link = case.load_link(load)
    return link.kind == "load" and part_end(part, link.a) in case.fed


def _freed(load: LoadResult) -> str:
    """What would free a starved load: where the sizing looked for it, each way with its figures."""
    if not load.freeing:
        return (
            "use thicker wire on its feed or return, a shorter way, or a relay near it fed straight from the "
            "source"
        )
    ways = [each for each in load.freeing if any(word in each for word in FREES)]
    return "; or ".join(ways or load.freeing)


@rule(
    "load starved",
    severity="fault",
    summary="a load that loses more volts on feed and return than it is allowed",
    source="the load's own allowance, named with it",
    cure="thicker wire on feed or return, a shorter way, or a relay near the load",
)
def load_starved(case: Case) -> Iterator[Say]:
    triggers = {(part.name, link.name) for part in case.starters if (link := traits.starter_trigger(part))}
    for load in case.design.loads:
        if (load.part, load.link) in triggers:
            continue  # "starter trigger drop" speaks of these
        if not _is_fed_straight(case, load):
            continue  # what a ballast resistor takes off is meant; a generator is the next rule's
        seen = _worst(load)
        where = case.machine.parts[load.part].where
        if seen is not None and seen.judged_v > load.allowance_v + NOTICED_V:
            yield Say(
                load.part,
                f"{case.say_load(load)} sees {volts(seen.source_v - seen.judged_v)} of "
                f"{volts(seen.source_v)} in {seen.mode}, drawing {amps(seen.current_a)}: "
                f"{volts(seen.judged_v)} are lost on the way there and back, {volts(load.allowance_v)} are "
                "allowed",
                _freed(load),
                where,
                source=load.allowance_source,
            )
        elif (
            load.peak_drop_v is not None
            and load.peak_allowance_v is not None
            and load.peak_drop_v > load.peak_allowance_v + NOTICED_V
        ):
            yield Say(
                load.part,
                f"{case.say_load(load)} loses {volts(load.peak_drop_v)} while it pulls in at "
                f"{amps(load.peak_a or 0.0)}; {volts(load.peak_allowance_v)} are allowed: it may not pull in "
                "on a tired battery",
                "use thicker wire, or a relay near it",
                where,
                source=load.allowance_source,
            )


@rule(
    "charge line drop",
    severity="fault",
    summary="what an alternator gives loses too many volts on its way to the battery and back",
    source="the allowance of the charging line, named with it",
    cure="thicker wire or fewer joints between alternator and battery, or a thicker strap",
)
def charge_drop(case: Case) -> Iterator[Say]:
    for load in case.design.loads:
        seen = _worst(load)
        part, link = case.load_link(load)
        if link.kind == "source" and seen is not None and seen.judged_v > load.allowance_v + NOTICED_V:
            yield Say(
                load.part,
                f"the {amps(seen.current_a)} of {load.part} lose {volts(seen.judged_v)} between it and the "
                f"battery, out and back; {volts(load.allowance_v)} are allowed: the battery is never full",
                "use thicker wire or fewer joints in the charging line, or a thicker strap to the battery",
                part.where,
                source=load.allowance_source,
            )


@rule(
    "no feed",
    severity="fault",
    summary="a load whose feed wire comes from nowhere",
    source="current needs a closed loop (physics)",
    cure="write the path that feeds it",
)
def no_feed(case: Case) -> Iterator[Say]:
    reached = case.reach(case.sources, along_loads, stops=case.is_low)
    for part, link in case.loads():
        end = part_end(part, link.a)
        if end not in reached and end.kind == "part" and case.wires_at(end):
            yield Say(
                part.name,
                f"{part.name} {link.a}: wire {case.numbers(case.wires_at(end))} lands there, but no path "
                "brings current to it from the battery",
                "write the path that feeds it, from the battery or from a fuse or switch that is fed",
                part.where,
            )


def _is_broken(wire: Wire, limit: Limit) -> bool:
    """Whether a size does not meet a limit; what a strap lacks is another rule's."""
    if limit.name in ("survey", "strap"):
        return False
    if limit.name == "drop":  # of a new wire "load starved" speaks
        return wire.kept and limit.value > limit.allowed + NOTICED_V
    return limit.least_area_mm2 is None or limit.least_area_mm2 > wire.area_mm2 * 1.0001


def _needs(limit: Limit) -> str:
    return limit.least_size or "more than any size in the table"


def _cure(limit: Limit) -> str:
    if limit.least_size:
        return f"replace it by {limit.least_size}"
    if limit.name == "drop":
        return "shorten its way, renew its joints, or lay a second cable beside it"
    return "split its load over two wires with a fuse each"


def _too_small(case: Case, index: int, wire: Wire, why: str) -> Iterator[Say]:
    strap = case.is_strap(case.machine.wires[index])
    broken = [
        limit
        for limit in wire.limits
        if _is_broken(wire, limit) and not (strap and limit.name in OVERHEATS)  # "strap overloaded" says so
    ]
    if not broken or index in case.too_hot:
        return
    worst = max(broken, key=lambda limit: limit.least_area_mm2 or float("inf"))
    overheats = any(limit.name in OVERHEATS for limit in broken)
    others = [f"{limit.name} {_needs(limit)}" for limit in broken if limit is not worst]
    yield Say(
        wire.number,
        f"{why} {case.say_wire(index)} is {wire.size}, and {worst.name} needs {_needs(worst)} "
        f"({worst.formula})" + (f"; besides it {', '.join(others)}" if others else ""),
        "; or ".join(wire.freeing[1:]) or _cure(worst),
        case.machine.wires[index].where,
        severity="danger" if overheats else None,
        source=worst.source,
    )


@rule(
    "kept wire too small",
    severity="fault",
    summary="an old wire that stays does not meet a limit; danger when it carries more than it may",
    source="the limit's own table, named with it",
    cure="replace the old wire by the size named",
)
def kept_too_small(case: Case) -> Iterator[Say]:
    for spec, wire in case.wires():
        if wire.kept:
            yield from _too_small(case, spec.index, wire, "the old")


@rule(
    "wire too small",
    severity="fault",
    summary="a new wire does not meet a limit: its size was fixed, or no size is large enough",
    source="the limit's own table, named with it",
    cure="free its size, shorten its way, or split its load over two wires with a fuse each",
)
def new_too_small(case: Case) -> Iterator[Say]:
    for spec, wire in case.wires():
        if not wire.kept:
            why = "by the survey," if spec.size else "the largest there is,"
            yield from _too_small(case, spec.index, wire, why)


def _ammeter_span(part: Part) -> tuple[End, End] | None:
    link = next((link for link in part.links if link.kind != "source"), None)
    return (part_end(part, link.a), part_end(part, link.b)) if link else None


@rule(
    "ammeter carries everything",
    severity="danger",
    summary="an ammeter whose scale ends below what the alternator gives",
    source=PRACTICE,
    cure="fit a voltmeter, or an ammeter with an outside shunt",
)
def ammeter(case: Case) -> Iterator[Say]:
    for part in case.parts(traits.is_ammeter):
        rating = next((link.rating_a for link in part.links if link.rating_a), None)
        output = max((alternator.output_a or 0.0 for alternator in case.alternators), default=0.0)
        if rating is not None and output > rating:
            yield Say(
                part.name,
                f"{part.name} is good for {amps(rating)} and the alternator gives {amps(output)}: its studs "
                "and the plastic round them overheat",
                "use a voltmeter, or an ammeter with an outside shunt",
                part.where,
            )


def _clear_of_ammeters(case: Case) -> Collection[End]:
    """What the live posts reach without a load, a source or an ammeter between."""

    def passes(way: Way, _: End) -> bool:
        metered = way.part and traits.is_ammeter(case.machine.parts[way.part])
        return way.kind not in ("load", "source") and not metered

    return case.reach(case.live_posts, passes, stops=case.is_low)


@rule(
    "starter through ammeter",
    severity="danger",
    summary="the starter's current has no other way than through an ammeter",
    source=PRACTICE,
    cure="lead the starter cable straight from the battery",
)
def starter_through_ammeter(case: Case) -> Iterator[Say]:
    ammeters = case.parts(traits.is_ammeter)
    clear = _clear_of_ammeters(case)
    for starter, link in case.starter_mains() if ammeters else ():
        end = part_end(starter, link.a)
        if end in case.from_battery and end not in clear:
            current = link.load.steady_a if link.load else 0.0
            yield Say(
                ammeters[0].name,
                f"{starter.name} draws its {amps(current)} through {ammeters[0].name}",
                "lead the starter cable straight from the battery; the ammeter carries the charge and the "
                "loads only",
                ammeters[0].where,
            )


@rule(
    "ammeter across the supply",
    severity="danger",
    summary="an ammeter with one side live and the other on the chassis is a dead short",
    source=PRACTICE,
    cure="put it in series in the feed, or fit a voltmeter there",
)
def ammeter_across(case: Case) -> Iterator[Say]:
    for part in case.parts(traits.is_ammeter):
        span = _ammeter_span(part)
        if span is None:
            continue
        sides = [case.reach([end], lambda way, _: way.kind in ("wire", "bus")) for end in span]
        low = [any(case.is_low(end) for end in side) for side in sides]
        live = [any(end in case.sources for end in side) for side in sides]
        if (low[0] and live[1]) or (low[1] and live[0]):
            yield Say(
                part.name,
                f"{part.name} lies between the supply and the chassis: it is a dead short",
                "put it in series in the feed, or use a voltmeter there",
                part.where,
            )


@rule(
    "alternator past the ammeter",
    severity="advice",
    summary="the alternator lands on the battery's side of the ammeter, which then shows no charge",
    source=PRACTICE,
    cure="land the alternator on the load side of the ammeter",
)
def alternator_side(case: Case) -> Iterator[Say]:
    ammeters = case.parts(traits.is_ammeter)
    if not ammeters or starter_cables(case) == frozenset():
        return
    clear = _clear_of_ammeters(case)
    for alternator, end in case.alternator_outputs():
        if end in clear:
            yield Say(
                alternator.name,
                f"{alternator.name} reaches the battery without passing {ammeters[0].name}, which then shows "
                "what the loads take and never a charge",
                "land the alternator on the load side of the ammeter, the battery on the other",
                alternator.where,
            )
