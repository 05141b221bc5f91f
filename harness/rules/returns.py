"""Rules on the way back: loads, bodies and starters whose current cannot get home, or only by a hinge."""

from __future__ import annotations

from collections.abc import Iterator

from harness.model.machine import End, Link, Part
from harness.rules import traits
from harness.rules.case import Case, Way, along_loads, conducts, part_end
from harness.rules.figures import PRACTICE, amps, square
from harness.rules.flows import most_flow
from harness.rules.guard import starter_cables
from harness.rules.registry import Say, rule


def _outlet(case: Case, part: Part, link: Link) -> str:
    """The terminal of a link that has to lead home: the one away from the live side."""
    outputs = {end for _, end in case.alternator_outputs()}
    return link.a if link.kind == "source" and part_end(part, link.b) in outputs else link.b


def _armatures(case: Case) -> frozenset[End]:
    """Points tied to a dynamo's live brush: its armature is a way home at rest, as for its lamp."""
    brushes = [end for part, end in case.alternator_outputs() if part.kind == "dynamo"]
    return frozenset(
        case.reach(brushes, lambda way, _: way.kind in ("wire", "bus", "fuse"), stops=case.is_low)
    )


def _has_return(case: Case, part: Part, link: Link, outlet: str) -> bool:
    """Whether current leaving a link gets to the return post, or to a body (its strap is another rule)."""
    start = part_end(part, outlet)
    if start.kind == "body" or start in case.returned or start in case.once(_armatures):
        return True

    def passes(way: Way, here: End) -> bool:
        there = way.other(here)
        goes_home = there not in case.fed or there in case.returned
        return way.link is not link and along_loads(way, here) and goes_home

    found = case.reach([start], passes)
    return any(end.kind == "body" or end in case.returned for end in found)


@rule(
    "no return path",
    severity="fault",
    summary="a load or source with neither a wire from its outlet nor a case on a body",
    source="current needs a closed loop (physics)",
    cure="add a wire to a ground point, or say which body the part is bolted to",
)
def no_return(case: Case) -> Iterator[Say]:
    post = f"the {case.machine.chassis_post} post"
    for part in case.machine.parts.values():
        for link in part.links:
            used = link.kind == "load" or (link.kind == "source" and not traits.is_battery(part))
            back = _outlet(case, part, link)
            if used and case.is_wired(part, link) and not _has_return(case, part, link, back):
                outlet = "its case" if back == "case" else f"terminal {back}"
                yield Say(
                    part.name,
                    f"{part.name}: nothing leads from {outlet} back to {post}; its current has no way home",
                    f"add a wire from {outlet} to a ground point, or say which body it is bolted to (`on:`)",
                    part.where,
                )


def _users(case: Case, body: str) -> list[tuple[str, float]]:
    """What sends current into a body: part and steady amperes, from its case or over a ground point."""
    found: dict[str, float] = {}
    home = End("body", body)
    for part in case.machine.parts.values():
        for link in part.links:
            if link.load is None:
                continue
            into = case.reach([part_end(part, link.b)], conducts, stops=lambda end: end.kind == "body")
            if home in into and case.is_wired(part, link):
                found[part.name] = max(found.get(part.name, 0.0), link.load.steady_a)
    return list(found.items())


def _tied(case: Case) -> str:
    """A body that has a way home, as a path names it; else the chassis post."""
    bodies = [name for name in case.machine.bodies if End("body", name) in case.returned]
    battery = case.batteries[0].name if case.batteries else "battery"
    return bodies[0] if bodies else f"{battery} {case.chassis_sign}"


@rule(
    "body with no strap",
    severity="fault",
    summary=(
        "a body that loads return through has no cable or strap to the battery; danger with a starter on it"
    ),
    source=f"no return through hinges, bearings, rubber mounts or paint ({PRACTICE})",
    cure="add a strap from the body to the battery or to a body that has one",
)
def no_strap(case: Case) -> Iterator[Say]:
    post = f"the {case.machine.chassis_post} post"
    for body in case.machine.bodies.values():
        users = [] if End("body", body.name) in case.returned else _users(case, body.name)
        if not users:
            continue
        total = sum(amount for _, amount in users)
        names = ", ".join(name for name, _ in users[:5]) + (" and others" if len(users) > 5 else "")
        cranks = any(starter.body == body.name for starter in case.starters)
        worst = " A starter's current there glows in cables, hinges and fuel lines." if cranks else ""
        yield Say(
            body.name,
            f"no strap or cable ties {body.name} to {post}: {amps(total)} of {names} would go home through "
            f"hinges, bearings, mounts and paint, or not at all.{worst}",
            f"add a strap, such as `{body.name} > {_tied(case)}`, as thick as the sum it carries"
            + (" and the starter's live cable" if cranks else ""),
            body.where,
            severity="danger" if cranks else None,
        )


def _flow_graph(case: Case, low_side: bool) -> dict[tuple[End, End], float]:
    """Copper between points, in mm2: wires by their area, bolts and contacts without limit."""
    found: dict[tuple[End, End], float] = {}
    cables = starter_cables(case)
    for way in case.ways:
        if way.kind in ("load", "source"):
            continue
        if way.wire is not None:
            if not low_side and way.wire not in cables:
                continue
            area = case.design.wires[way.wire].area_mm2
        else:
            area = 1e6
        for pair in ((way.a, way.b), (way.b, way.a)):
            found[pair] = found.get(pair, 0.0) + area
    return found


def _copper_mm2(case: Case, starts: frozenset[End], end: End, low_side: bool) -> float:
    """Copper between a set of points and another at the narrowest place [mm2]; parallel wires add up."""
    return most_flow(_flow_graph(case, low_side), sorted(starts), end)


@rule(
    "strap smaller than starter cable",
    severity="fault",
    summary="the starter's current comes back through less copper than it went out through",
    source=f"return at least as thick as the starter's live cable ({PRACTICE})",
    cure="make the return as thick as the starter's live cable",
)
def thin_strap(case: Case) -> Iterator[Say]:
    for starter, main in case.starter_mains():
        back = part_end(starter, main.b)
        if back not in case.returned:
            continue
        out_mm2 = _copper_mm2(case, case.live_posts, part_end(starter, main.a), low_side=False)
        home_mm2 = _copper_mm2(case, case.return_posts, back, low_side=True)
        if home_mm2 < out_mm2 * 0.999:
            steps = [step for step in case.way_back(case.returned, back) if step.wire is not None]
            thin = min(
                (step.wire for step in steps if step.wire is not None),
                key=lambda at: (case.design.wires[at].area_mm2, at),
            )
            yield Say(
                case.number(thin),
                f"{starter.name} gets {square(out_mm2)} of copper from the battery, but only "
                f"{square(home_mm2)} lead back: {case.say_wire(thin)} is {case.design.wires[thin].size}",
                f"make the return of at least {square(out_mm2)}, or lay a second strap beside it",
                case.machine.wires[thin].where,
            )
