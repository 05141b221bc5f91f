"""Rules on polarity and voltage: parts the wrong way round, of another voltage, or on a middle tap."""

from __future__ import annotations

import re
from collections.abc import Iterator

from harness.electric.graph import batteries
from harness.model.machine import End, Link, Part
from harness.rules import traits
from harness.rules.case import Case, Way, conducts, part_end
from harness.rules.figures import PRACTICE
from harness.rules.registry import Say, rule

LEAST_SHARE, MOST_SHARE = 0.75, 1.33  # of system voltage; a 10 V heater plug on 12 V is usual, a 6 V bulb not
_FILLED = re.compile(r"(coil )?current ")  # an assumed figure of a part
PLUS, MINUS = ("+", "B+", "D+"), ("-", "B-", "D-")


def _is_reversed(case: Case, part: Part) -> bool:
    """Whether the part's plus side is on the negative post, or its minus side or case on the positive."""
    negative_ground = case.machine.chassis_post == "negative"
    live = case.from_battery
    minus_side, plus_side = (case.returned, live) if negative_ground else (live, case.returned)
    names = {terminal.name for terminal in part.terminals}
    ends = {name: part_end(part, name) for name in names}
    if any(end in minus_side and end not in plus_side for name, end in ends.items() if name in PLUS):
        return True
    if any(end in plus_side and end not in minus_side for name, end in ends.items() if name in MINUS):
        return True
    case_is_minus = any(link.b == "case" and link.a in PLUS for link in part.links)
    return case_is_minus and not negative_ground and part.body is not None


@rule(
    "polarised part reversed",
    severity="danger",
    summary=(
        "an alternator, flasher, radio, LED lamp or diode coil wired the wrong way round for this chassis "
        "post"
    ),
    source=f"alternators and most electronics are made for one polarity only ({PRACTICE})",
    cure="fit a part made for this polarity or with both sides insulated",
)
def reversed_part(case: Case) -> Iterator[Say]:
    for part in case.machine.parts.values():
        source = part.kind in ("alternator", "self-exciting alternator")
        if part.needs_polarity and not traits.is_battery(part) and _is_reversed(case, part):
            yield Say(
                part.name,
                f"{part.name} works one way round only, and here its plus side meets the negative post: the "
                f"{case.machine.chassis_post} post is on the chassis",
                "fit a part made for this polarity or with both sides insulated, or change the whole "
                "machine over and polarise the generator afresh"
                + (
                    "; if it is a generator with brushes and a commutator, write is: dynamo" if source else ""
                ),
                part.where,
            )


@rule(
    "positive ground",
    severity="advice",
    summary="polarised parts on a machine whose positive post is on the chassis: each has to be confirmed",
    source=PRACTICE,
    cure="read the plate of each polarised part before it is connected",
)
def positive_ground(case: Case) -> Iterator[Say]:
    if case.machine.chassis_post != "positive":
        return
    parts = case.parts(lambda part: part.needs_polarity and not traits.is_battery(part))
    if parts:
        yield Say(
            parts[0].name,
            "the positive post is on the chassis, so fuses and switches stand in the negative feeds; "
            f"confirm that each of these stands it: {', '.join(part.name for part in parts)}",
            "read the plate of each; ignition coil, ammeter and flasher leads swap, suppression diodes turn "
            "round",
            parts[0].where,
        )


def _string_v(case: Case) -> float | None:
    """Volts of the batteries between return post and live post [V]; None when they differ or do not pair.

    A battery with no stated voltage has its share of the machine's, by the row it stands in (electric.rows).
    """
    rated = {battery.volts_v for battery in batteries(case.machine) if not battery.converts}
    strings = len(case.live_posts)
    if len(rated) != 1 or not strings or len(case.batteries) % strings:
        return None
    return rated.pop() * (len(case.batteries) // strings)


@rule(
    "battery voltage differs",
    severity="fault",
    summary="the batteries together do not make the machine's voltage",
    source="volts in series add (physics)",
    cure="state each battery's own volts, and check how they are linked",
)
def battery_voltage(case: Case) -> Iterator[Say]:
    total = _string_v(case)
    if total is not None and abs(total - case.machine.voltage_v) > 0.1:
        first = case.batteries[0]
        yield Say(
            first.name,
            f"the batteries give {total:g} V between chassis and live post, but the machine is "
            f"{case.machine.voltage_v:g} V",
            "state each battery's own volts (`rated: 12 V`), and check how they are linked: series adds "
            "volts, side by side does not",
            first.where,
        )


@rule(
    "part of another voltage",
    severity="fault",
    summary="a 6, 12 or 24 V part that gets the full voltage of another system",
    source=PRACTICE,
    cure="fit a part for this voltage, or a converter or dropper made for it",
)
def other_voltage(case: Case) -> Iterator[Say]:
    taps = _on_tap(case)
    behind = _behind_converter(case)
    for part in case.machine.parts.values():
        if part.rated_v is None or part.name in taps or traits.is_battery(part) or traits.is_converter(part):
            continue
        system = behind.get(part.name, case.machine.voltage_v)
        share = part.rated_v / system
        across = [
            link
            for link in part.links
            if link.kind in ("load", "source")
            and part_end(part, link.a) in case.fed
            and part_end(part, link.b) in case.returned
        ]
        if across and not LEAST_SHARE <= share <= MOST_SHARE and not _has_dropper(case, part, across):
            yield Say(
                part.name,
                f"{part.name} is made for {part.rated_v:g} V and gets {system:g} V",
                f"fit one for {system:g} V, or a converter or dropper made for it" + _plugs(across),
                part.where,
            )


@rule(
    "volts of a part not said",
    severity="fault",
    summary="a part behind a converter, or on one battery of a row, reckoned as if it had the full voltage",
    source="watts are volts times amperes (physics)",
    cure="write its own volts with it: rated",
)
def unsaid_voltage(case: Case) -> Iterator[Say]:
    full_v = case.machine.voltage_v
    half = dict.fromkeys(_on_tap(case), full_v / 2)
    for name, volts_v in {**half, **_behind_converter(case)}.items():
        part = case.machine.parts[name]
        if part.rated_v is None and volts_v < full_v and _by_volts(part):
            yield Say(
                name,
                f"{name} hangs on {volts_v:g} V, and what it draws is worked out for {full_v:g} V: it draws "
                f"{full_v / volts_v:.2g} times as much, and its fuse and wires are too small",
                f"write `rated: {volts_v:g} V` with it",
                part.where,
            )


def _by_volts(part: Part) -> bool:
    """Whether what it draws follows from the system's volts: from watts, or from its kind."""
    watts = any(link.load is not None and link.load.power_w is not None for link in part.links)
    return watts or any(_FILLED.match(text) for text in part.assumed)


def _plugs(links: list[Link]) -> str:
    heats = any(link.load is not None and link.load.nature == "heater" for link in links)
    return ", or wire the plugs in series with their ballast" if heats else ""


def _has_dropper(case: Case, part: Part, across: list[Link]) -> bool:
    """Whether a resistor feeds it too: a coil with its ballast, bridged while the starter takes the volts."""

    def metal(way: Way, _: End) -> bool:
        return way.kind in ("wire", "bus")

    near = case.reach([part_end(part, link.a) for link in across], metal, stops=case.is_low)
    return any(
        case.machine.parts[way.part].role == "coupler"
        for end in near
        for way in case.at.get(end, ())
        if way.kind == "load" and way.link is not None and way.link.load is None
    )


def _behind_converter(case: Case) -> dict[str, float]:
    """Parts fed by a converter and not from the machine's own volts, with the volts it gives [V]."""
    posts = case.live_posts | {end for _, end in case.alternator_outputs()}
    full = case.reach(posts, conducts, stops=case.is_low)
    found: dict[str, float] = {}
    for converter, output in case.converter_outputs():
        here = case.reach([output], conducts, stops=case.is_low)
        for part, link in case.loads() if converter.rated_v is not None else ():
            end = part_end(part, link.a)
            if end in here and end not in full and converter.rated_v is not None:
                found.setdefault(part.name, converter.rated_v)
    return found


def _on_tap(case: Case) -> dict[str, None]:
    """Parts fed from the middle of a series pair and not at full voltage, in the order of the survey."""
    posts = case.live_posts | {end for _, end in case.alternator_outputs()}
    full = case.reach(posts, conducts, stops=case.is_low)
    middle = case.reach(
        case.mid_posts, conducts, stops=lambda end: case.is_low(end) or end in case.live_posts
    )
    return {
        part.name: None
        for part, link in case.loads()
        if (end := part_end(part, link.a)) in middle and end not in full
    }


def _is_equalised(case: Case) -> bool:
    """Whether a charge equaliser or a converter holds the middle of the pair."""
    middle = case.reach(case.mid_posts, lambda way, _: way.kind in ("wire", "bus", "fuse"), stops=case.is_low)
    return any(end in middle for _, end in case.converter_outputs())


@rule(
    "load on the middle of a pair",
    severity="fault",
    summary="half voltage taken from one battery of a series pair: one starves, the other is overcharged",
    source=PRACTICE,
    cure="feed it by a converter, or fit a charge equaliser",
)
def mid_tap(case: Case) -> Iterator[Say]:
    names = list(_on_tap(case))
    if names and not _is_equalised(case):
        first = case.machine.parts[names[0]]
        half = case.machine.voltage_v / 2
        yield Say(
            names[0],
            f"{half:g} V for {', '.join(names)} is taken from the middle of the {case.machine.voltage_v:g} V "
            "pair: the battery below is never fully charged, the one above is overcharged",
            f"feed them by a {case.machine.voltage_v:g} to {half:g} V converter, or fit a charge equaliser",
            first.where,
        )


@rule(
    "middle tap with isolator in the ground lead",
    severity="danger",
    summary=(
        "with that isolator open, a full-voltage load drives reversed half voltage into what is on the tap"
    ),
    source=f"a converter maker's technical note (read); {PRACTICE}",
    cure="put the isolator in the live lead, or feed the tap through a relay that drops first",
)
def tap_and_isolator(case: Case) -> Iterator[Say]:
    names = list(_on_tap(case))
    for isolator in case.parts(traits.is_isolator) if names else ():
        ends = [part_end(isolator, link.a) for link in isolator.links if link.kind == "contact"]
        if any(end in case.returned and end not in case.fed for end in ends):
            yield Say(
                isolator.name,
                f"{isolator.name} is in the ground lead and {', '.join(names)} on the middle of the pair: "
                f"with it open, any {case.machine.voltage_v:g} V load left on puts reversed "
                f"{case.machine.voltage_v / 2:g} V on them",
                "put the isolator in the live lead, or feed the tap through a relay that drops before it "
                "opens",
                isolator.where,
            )
