"""What of a machine is live, or leads home, with some fuses out, switches open and relays at rest."""

from __future__ import annotations

from collections.abc import Collection, Hashable, Iterable, Mapping
from functools import lru_cache

from harness.commissioning.probes import Same
from harness.model.design import Design, InnerLink, PartResult

Spot = tuple[str, str]  # part and terminal, splice and "", or "" and a body
METAL = ("contact", "fuse", "bus")  # kinds of inner links that pass current without using it


def spot(part: PartResult, terminal: str) -> Spot:
    """The point a terminal is; its case, and a ground point, is the body it sits on."""
    on_body = terminal == "case" or part.role == "ground"
    return ("", part.body) if on_body and part.body is not None else (part.name, terminal)


def posts(design: Design, *, live: bool) -> list[Spot]:
    """Posts of all batteries on the live side, or on the side of the chassis."""
    sign = "+" if (design.machine.chassis_post == "negative") == live else "-"
    return [(part.name, sign) for part in design.parts if part.kind == "battery"]


@lru_cache(maxsize=1)  # one design is asked about again and again
def _wired(same: Same) -> Mapping[Spot, list[tuple[Spot, str]]]:
    """Spot -> those a wire joins it with, and the number of the wire."""
    parts = {part.name: part for part in same.design.parts}
    found: dict[Spot, list[tuple[Spot, str]]] = {}
    for wire in same.design.wires:
        a, b = (
            spot(parts[end.part], end.terminal)
            if end.part in parts and end.kind == "part"
            else (end.part, "")
            for end in (wire.from_, wire.to)
        )
        found.setdefault(a, []).append((b, wire.number))
        found.setdefault(b, []).append((a, wire.number))
    return found


def flood(
    design: Design, starts: Iterable[Spot], closed: Collection[tuple[str, str]], stops: Collection[Spot] = ()
) -> dict[Spot, None]:
    """Every spot that wires and these inner links, (part, link), join with some; none beyond ``stops``.

    A body ends the walk of the live side: name it among the stops.
    """
    inside: dict[Spot, list[Spot]] = {}
    for part in design.parts:
        for link in part.links:
            if (part.name, link.name) in closed:
                a, b = spot(part, link.a), spot(part, link.b)
                inside.setdefault(a, []).append(b)
                inside.setdefault(b, []).append(a)
    wired = _wired(Same(design))
    found: dict[Spot, None] = dict.fromkeys(starts)
    for here in (order := list(found)):
        if here in stops:
            continue
        for there in (*(other for other, _ in wired.get(here, ())), *inside.get(here, ())):
            if there not in found:
                found[there] = None
                order.append(there)
    return found


def bodies(design: Design) -> set[Spot]:
    """Every body, as a spot."""
    return {("", part.body) for part in design.parts if part.body is not None}


def _links(design: Design) -> Iterable[tuple[PartResult, InnerLink]]:
    return ((part, link) for part in design.parts for link in part.links if link.kind in METAL)


def reaches(design: Design, goal: Spot, opened: Collection[str] = ()) -> bool:
    """Whether a spot can be live with every switch closed but those of some parts.

    A relay closes only if its coil can be fed and leads home; a contact closed at rest is taken as closed.
    """
    low = bodies(design) | set(posts(design, live=False))
    metal = [(part, link) for part, link in _links(design) if part.name not in opened]
    worked: set[Hashable] = set()
    while True:
        closed = {
            (part.name, link.name)
            for part, link in metal
            if part.role != "relay" or part.name in worked or "87a" in (link.a, link.b)
        }
        live = flood(design, posts(design, live=True), closed, low)
        if goal in live:
            return True
        home = flood(design, low, closed, set(posts(design, live=True)))
        more = {
            part.name
            for part in design.parts
            for link in part.links
            if part.role == "relay" and link.kind == "load" and spot(part, link.a) in live
            if spot(part, link.b) in home
        }
        if more <= worked:
            return False
        worked |= more


def unfused(design: Design) -> list[str]:
    """Numbers of the wires that are live with no fuse in and every switch off but the battery isolator."""
    closed = {
        (part.name, link.name)
        for part, link in _links(design)
        if link.kind == "bus" or (link.kind == "contact" and part.kind == "isolator")
    }
    low = bodies(design) | set(posts(design, live=False))
    live = flood(design, posts(design, live=True), closed, low)
    wired = _wired(Same(design))
    numbers = {
        number: None
        for here in live
        if here not in low
        for other, number in wired.get(here, ())
        if other not in low
    }
    return [wire.number for wire in design.wires if wire.number in numbers]
