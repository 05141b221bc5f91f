"""Rules on fuses: what is not protected, what is protected too weakly, and fuses that blow for nothing."""

from __future__ import annotations

from collections.abc import Iterator

from harness.model.design import Fuse
from harness.model.machine import Part
from harness.model.shorts import FuseCurve
from harness.rules import traits
from harness.rules.case import Case
from harness.rules.figures import (
    BREAKER,
    BREAKING,
    CRANKING_EXEMPT,
    EVERY_CONDUCTOR,
    FUSE_GUARDS_WIRE,
    FUSE_PLACE,
    FUSE_SHARE_SOURCE,
    GROUND_UNFUSED,
    INRUSH,
    PRACTICE,
    SLOW_OVERLOAD,
    amps,
    may_carry,
    metres,
)
from harness.rules.guard import Group, Unfused, guarded, starter_cables
from harness.rules.registry import Say, rule
from harness.tables import load


def from_batteries(case: Case) -> Unfused:
    """What the batteries reach before any fuse."""
    return case.once(_from_batteries)


def _from_batteries(case: Case) -> Unfused:
    return Unfused(case, case.live_posts | case.mid_posts, starter_cables(case))


def _unfused(case: Case, group: Group, source: str) -> Say:
    also = f", and behind it {case.numbers(group.behind)}," if group.behind else ""
    wire = case.design.wires[group.first]
    return Say(
        wire.number,
        f"{case.say_wire(group.first)}{also} is fed from {source} with no fuse, breaker or link before "
        f"{', '.join(group.ends_at[:4])}; a short circuit on it melts {wire.size} and nothing stops it",
        f"put a fuse where it leaves {source}, no larger than what the wire may carry: {wire.size} "
        f"{may_carry(wire.ampacity_a)} here",
        case.machine.wires[group.first].where,
    )


def _bears(case: Case, group: Group, output_a: float) -> bool:
    """Whether all wires of a group may carry all that a generator gives, which limits itself."""
    wires = (group.first, *group.behind)
    return all(case.design.wires[wire].ampacity_a >= output_a for wire in wires)


@rule(
    "unfused feed",
    severity="danger",
    summary=(
        "a wire from a battery post or starter stud that meets no fuse before what it feeds; from an "
        "alternator where it may carry less than the alternator gives"
    ),
    source=EVERY_CONDUCTOR,
    cure="put a fuse, breaker or fusible link where the wire leaves the battery, stud or alternator",
)
def unfused_feed(case: Case) -> Iterator[Say]:
    battery = from_batteries(case)
    for group in battery.groups():
        yield _unfused(case, group, "the battery")
    for part, end in case.alternator_outputs():
        if end not in battery.order:
            for group in Unfused(case, [end], frozenset()).groups():
                if not _bears(case, group, part.output_a or 0.0):
                    yield _unfused(case, group, part.name)


@rule(
    "short circuit",
    severity="danger",
    summary="live and chassis are joined by wire alone, with nothing between that draws current",
    source="a loop of metal alone (physics)",
    cure="follow the path again: it ends on the wrong terminal, or a load is missing in it",
)
def short_circuit(case: Case) -> Iterator[Say]:
    live = case.reach(case.sources, lambda way, _: way.kind in ("wire", "bus", "fuse"), stops=case.is_low)
    for end in live:
        wires = [step.wire for step in case.way_back(live, end) if step.wire is not None]
        if case.is_low(end) and wires:
            yield Say(
                case.number(wires[-1]),
                f"{case.say_wire(wires[-1])} joins the live side to {end} with nothing between that draws "
                "current",
                "follow the path again: it ends on the wrong terminal, or a load is missing in it",
                case.machine.wires[wires[-1]].where,
            )


@rule(
    "starter cable unfused",
    severity="advice",
    summary="the starter main cable has no fuse: allowed on the condition that its way protects it",
    source=CRANKING_EXEMPT,
    cure="keep it short, apart from other wires, booted and clamped, and fit a battery isolator",
)
def starter_cable_unfused(case: Case) -> Iterator[Say]:
    battery = from_batteries(case)
    wires = sorted(battery.cables)
    if wires and case.starters:
        fitted = any(traits.is_isolator(part) for part in case.machine.parts.values())
        isolator = "open the isolator when you leave it" if fitted else "consider a battery isolator"
        yield Say(
            case.number(wires[0]),
            f"the cable to {case.starters[0].name} (wire {case.numbers(wires)}) has no fuse, as is usual; "
            "chafed, it gives the battery's whole short-circuit current",
            "keep it short, apart from other wires and clear of edges, with boots on its lugs and "
            f"rubber-lined clamps; {isolator}",
            case.machine.wires[wires[0]].where,
        )


@rule(
    "fuse above wire",
    severity="danger",
    summary="a fuse rated above what the thinnest wire behind it may carry, up to the next fuse",
    source=FUSE_GUARDS_WIRE,
    cure="fit a smaller fuse, a thicker wire, or a fuse of its own for the thin wire",
)
def fuse_above_wire(case: Case) -> Iterator[Say]:
    for fuse in case.design.fuses:
        weak = [
            at
            for at in guarded(case, fuse)
            if case.design.wires[at].ampacity_a < fuse.rating_a and at not in case.too_hot
        ]
        if not weak:
            continue
        thinnest = min(weak, key=lambda at: (case.design.wires[at].ampacity_a, at))
        wire = case.design.wires[thinnest]
        others = [at for at in weak if at != thinnest]
        also = f"; too thin as well: {case.numbers(others)}" if others else ""
        yield Say(
            wire.number,
            f"{fuse.name} is {amps(fuse.rating_a)}, but {case.say_wire(thinnest)} behind it, {wire.size}, "
            f"{may_carry(wire.ampacity_a)} at {wire.ambient_c:.0f} °C among {wire.bundle_loaded} "
            f"loaded wires: the wire burns before the fuse blows{also}",
            f"fit {fuse.name} no larger than {amps(wire.ampacity_a)}, or a thicker wire, or a fuse of its "
            "own",
            case.machine.wires[thinnest].where,
        )


def _has_window(fuse: Fuse) -> bool:
    return fuse.least_a <= fuse.rating_a <= fuse.most_a


@rule(
    "no fuse rating satisfies",
    severity="fault",
    summary="no standard rating is both large enough for the load and small enough for the wire",
    source=f"load / continuous share <= rating <= ampacity; {FUSE_SHARE_SOURCE}",
    cure="split the circuit over two fuses, or let the wire behind it be thicker",
)
def no_rating(case: Case) -> Iterator[Say]:
    for fuse in case.design.fuses:
        if fuse.wires and not fuse.fixed and not _has_window(fuse) and fuse.most_a > 0:
            asks = f"at least {amps(fuse.least_a)} for its load of {amps(fuse.load_a)}"
            if fuse.least_a <= fuse.most_a < fuse.rating_a:  # the load alone would leave one
                asks = f"{amps(fuse.rating_a)} for its inrush and for what stands behind it"
            yield Say(
                fuse.name,
                f"{fuse.name} would have to be {asks} and at most {amps(fuse.most_a)} for the wires behind "
                "it; no standard rating is both",
                "split the circuit over two fuses, or free the wire behind it to be thicker",
                case.machine.parts[fuse.part].where,
            )


@rule(
    "fuse too close to load",
    severity="fault",
    summary="a fuse that the survey fixed is run above what its form carries for ever where it sits",
    source=FUSE_SHARE_SOURCE,
    cure="fit the next larger fuse the wire allows, else split the circuit",
)
def fuse_too_close(case: Case) -> Iterator[Say]:
    for fuse in case.design.fuses:
        if fuse.fixed and fuse.load_a > fuse.continuous_share * fuse.rating_a + 1e-9:
            yield Say(
                fuse.name,
                f"{fuse.name} of {amps(fuse.rating_a)} carries {amps(fuse.load_a)}, "
                f"{fuse.load_a / fuse.rating_a:.0%} of its rating where {fuse.continuous_share:.0%} is the "
                f"most for a {fuse.form} at {fuse.ambient_c:.0f} °C: it ages and blows on a hot day",
                f"fit at least {amps(fuse.load_a / fuse.continuous_share)} if the wires allow it (at most "
                f"{amps(fuse.most_a)}), else split the circuit",
                case.machine.parts[fuse.part].where,
            )


def _has_curve(fuse: Fuse) -> bool:
    return any(row["form"] == fuse.form for row in load("fuse_time_current").rows)


@rule(
    "fuse blows on inrush",
    severity="fault",
    summary="a fuse that may open while a load starts or pulls in",
    source=INRUSH,
    cure="fit a larger fuse as far as the wire allows, or a slower form",
)
def inrush(case: Case) -> Iterator[Say]:
    from harness.electric.bands import holds  # brings scipy along, which a list of the rules does not need

    spells = {curve.fuse: curve.spells for curve in case.design.fuse_curves}
    for fuse in case.design.fuses:
        every = sorted([(fuse.peak_a, fuse.peak_s), *map(tuple, spells.get(fuse.name, ()))], reverse=True)
        opens = [
            (peak_a, peak_s)
            for peak_a, peak_s in every
            if not holds(fuse.form, rating_a=fuse.rating_a, current_a=peak_a, seconds_s=peak_s)
        ]
        if opens and _has_curve(fuse) and opens[0][0] > fuse.load_a:
            peak_a, peak_s = opens[0]
            yield Say(
                fuse.name,
                f"{fuse.name} of {amps(fuse.rating_a)} may open on {amps(peak_a)} for {peak_s:.2g} "
                f"s, {peak_a / fuse.rating_a:.0%} of its rating, each time that load comes on",
                f"fit a higher rating (at most {amps(fuse.most_a)} for the wires behind it) or a slower form",
                case.machine.parts[fuse.part].where,
            )


@rule(
    "fuse far from source",
    severity="fault",
    summary=(
        "an unfused stretch before the first fuse longer than 7 in, 40 in sheathed, 72 in straight from a "
        "battery"
    ),
    source=FUSE_PLACE,
    cure="move the fuse to the source, or cover the whole stretch before it",
)
def fuse_far(case: Case) -> Iterator[Say]:
    battery = from_batteries(case)
    reported = {at for group in battery.groups() for at in (group.first, *group.behind)}
    far: dict[tuple[int, ...], list[str]] = {}
    leads = {}
    for part, link, lead in battery.first_fuses():
        if lead.distance_m > lead.allowed_m and not reported & set(lead.wires):
            fuse = case.fuse_results.get((part, link))
            far.setdefault(lead.wires, []).append(fuse.name if fuse else f"{part} {link}")
            leads[lead.wires] = lead
    for wires, fuses in far.items():
        lead = leads[wires]
        sheath = "covered" if lead.sheathed else "bare"
        yield Say(
            case.number(wires[0]),
            f"{', '.join(fuses[:4])} sits {metres(lead.distance_m)} of {sheath} wire ({case.numbers(wires)}) "
            f"from {lead.start}; {metres(lead.allowed_m)} is the most: until there nothing protects the wire",
            f"put a fuse, breaker or fusible link within {metres(lead.allowed_m)} of {lead.start}"
            + ("" if lead.sheathed else ", or cover the whole stretch"),
            case.machine.wires[wires[0]].where,
        )


@rule(
    "charge wire too small",
    severity="danger",
    summary="a wire between alternator and battery that may carry less than the alternator gives",
    source=f"wire for the whole rated output ({PRACTICE})",
    cure="lay a wire good for the whole output, with a fuse or link to suit",
)
def charge_wire(case: Case) -> Iterator[Say]:
    for part, end in case.alternator_outputs():
        output = part.output_a or 0.0
        for step in case.charge_way(end):
            if step.wire is None or step.wire in case.too_hot:
                continue
            if case.design.wires[step.wire].ampacity_a < output:
                wire = case.design.wires[step.wire]
                yield Say(
                    wire.number,
                    f"{case.say_wire(step.wire)}, {wire.size}, {may_carry(wire.ampacity_a)} at "
                    f"{wire.ambient_c:.0f} °C, but {part.name} gives {amps(output)}",
                    f"use a wire good for {amps(output)} and a link or fuse to suit; do not lay a second "
                    "wire beside it without a fuse of its own",
                    case.machine.wires[step.wire].where,
                )


@rule(
    "charge fuse too small",
    severity="fault",
    summary="a fuse between alternator and battery rated below what the alternator gives",
    source=f"fuse above the whole rated output ({PRACTICE})",
    cure="fit a fuse above the whole output, and a wire that stands it",
)
def charge_fuse(case: Case) -> Iterator[Say]:
    for part, end in case.alternator_outputs():
        output = part.output_a or 0.0
        for step in case.charge_way(end):
            fuse = case.fuse_results.get((step.part, step.link.name)) if step.link else None
            if fuse is not None and fuse.rating_a < output:
                yield Say(
                    fuse.name,
                    f"{fuse.name} of {amps(fuse.rating_a)} stands between {part.name}, which gives "
                    f"{amps(output)}, and the battery; when it blows at full charge the alternator loses the "
                    "battery and is ruined",
                    f"fit more than {amps(output)}; at most {amps(fuse.most_a)} for the wires there",
                    case.machine.parts[fuse.part].where,
                )


@rule(
    "fuse in the ground side",
    severity="danger",
    summary="a fuse between a load and the chassis post: blown, it leaves the load live and possibly running",
    source=GROUND_UNFUSED,
    cure="move the fuse to the live feed",
)
def fuse_in_ground(case: Case) -> Iterator[Say]:
    for way in case.ways:
        on_return = way.a in case.returned and way.b in case.returned
        if way.kind == "fuse" and on_return and way.a not in case.fed and way.b not in case.fed:
            yield Say(
                way.part,
                f"{way.part} stands in the return to the {case.machine.chassis_post} post; when it blows, "
                "what it served stays live, and a chafed feed does not blow it",
                f"move it to the {'positive' if case.live_sign == '+' else 'negative'} feed: on this machine "
                f"the live post is the {case.live_sign} post",
                case.machine.parts[way.part].where,
            )


def _pair_on_one_fuse(case: Case, lamps: list[Part], what: str) -> Iterator[Say]:
    found = {
        load.fuse for part in lamps for load in case.design.loads if load.part == part.name and load.modes
    }
    if len(lamps) > 1 and len(found) == 1 and (fuse := found.pop()):
        names = " and ".join(part.name for part in lamps)
        yield Say(
            fuse,
            f"{names} hang on {fuse} alone: one fault takes every {what}",
            f"give each side a fuse of its own behind the switch or relay of the {what}s",
            lamps[0].where,
        )


@rule(
    "head lamps on one fuse",
    severity="advice",
    summary="one blown fuse puts out every head lamp",
    source=PRACTICE,
    cure="give each side a fuse of its own",
)
def head_lamps(case: Case) -> Iterator[Say]:
    yield from _pair_on_one_fuse(case, case.parts(traits.is_head_lamp), "head lamp")


@rule(
    "brake lamps on one fuse",
    severity="advice",
    summary="one blown fuse puts out every brake lamp",
    source=PRACTICE,
    cure="give each side a fuse of its own",
)
def brake_lamps(case: Case) -> Iterator[Say]:
    yield from _pair_on_one_fuse(case, case.parts(traits.is_brake_lamp), "brake lamp")


@rule(
    "breaker resets by itself",
    severity="advice",
    summary="a breaker of the self-resetting type keeps feeding a fault",
    source=BREAKER,
    cure="use a fuse or a breaker that is reset by hand",
)
def self_resetting(case: Case) -> Iterator[Say]:
    for part in case.machine.parts.values():
        for link in part.links:
            if link.kind == "fuse" and link.opens == "automatic":
                yield Say(
                    part.name,
                    f"{part.name} resets by itself: on a lasting fault it closes again and again and keeps "
                    "heating the wire until someone notices",
                    "use a manually reset breaker or a fuse, or keep it only where its maker fitted one, "
                    "with a main fuse upstream",
                    part.where,
                )


@rule(
    "slow overload burns wire",
    severity="fault",
    summary=(
        "at a current for which a fuse may take minutes to open, a wire behind it gets hotter than its "
        "insulation stands so long"
    ),
    source=SLOW_OVERLOAD,
    cure="fit a smaller or quicker fuse as far as the load allows, or a thicker wire",
)
def slow_overload(case: Case) -> Iterator[Say]:
    at = {wire.number: index for index, wire in enumerate(case.design.wires)}
    for curve in case.design.fuse_curves:
        over = curve.overload
        if over is None or over.current_a <= over.stands_a * (1 + 1e-9):
            continue
        index = at[over.wire]
        if case.design.wires[index].ampacity_a < curve.rating_a:
            continue  # said as a fuse above its wire
        yield Say(
            over.wire,
            f"at {amps(over.current_a)}, {over.current_a / curve.rating_a:.0%} of its rating, {curve.fuse} "
            f"may take {over.seconds_s:.3g} s to open; {case.say_wire(index)}, "
            f"{case.design.wires[index].size}, stands {amps(over.stands_a)} for so long",
            f"fit {curve.fuse} smaller or of a quicker form, or a thicker wire",
            case.machine.wires[index].where,
        )


@rule(
    "short beyond breaking capacity",
    severity="advice",
    summary=(
        "a short right behind a fuse may draw more than its form is made to break, and no fuse before it is "
        "made for that much"
    ),
    source=BREAKING,
    cure="a form that breaks more, a fuse of one before it, or a short unbroken cover over its outlet",
)
def breaking_capacity(case: Case) -> Iterator[Say]:
    parts = {fuse.name: fuse.part for fuse in case.design.fuses}
    found: dict[str, list[FuseCurve]] = {}
    for curve in case.design.fuse_curves:
        over = curve.breaks_a is not None and (curve.behind_most_a or 0.0) > curve.breaks_a
        if over and not curve.backed:
            found.setdefault(curve.form, []).append(curve)
    for form, curves in found.items():
        worst = max(curves, key=lambda curve: curve.behind_most_a or 0.0)
        names = ", ".join(curve.fuse for curve in curves[:4])
        yield Say(
            worst.fuse,
            f"a dead short right behind {names} may draw up to {amps(worst.behind_most_a or 0.0)} from a "
            f"full, warm battery; a {form} fuse is made to break {amps(worst.breaks_a or 0.0)}, and above "
            "that it may arc or burst",
            "use a form that breaks more, or hang it behind a main fuse that does; keep the outlet covered "
            "and the first stretch of wire in a sheath",
            case.machine.parts[parts[worst.fuse]].where,
        )
