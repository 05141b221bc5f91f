"""Small things a rewiring stops for when they are not in the box: common practice, not figures."""

from __future__ import annotations

from collections.abc import Iterator

from harness.lists.tally import by_key, once
from harness.model.design import Design, Material, PartResult, Point, Wire

PRACTICE = "common practice (memory)"


def _line(item: str, size: str, count: int, used_on: list[str], why: str) -> Material:
    return Material("other", item, size, "", count, count, "each", None, used_on, f"{why}: {PRACTICE}")


def _ground_points(design: Design) -> list[PartResult]:
    return [part for part in design.parts if part.role == "ground"]


def _stud(part: PartResult) -> str:
    return next((use.size for use in part.terminals if use.size), "")


def washers(design: Design) -> list[Material]:
    """Return one serrated washer for every ground point, by stud: it bites through to bare metal."""
    used = by_key((_stud(part), part.name) for part in _ground_points(design))
    return [
        _line("serrated lock washer", stud, len(names), names, "one under the lugs of each ground point")
        for stud, names in used.items()
    ]


def _chassis_terminal(design: Design) -> str:
    return "-" if design.machine.chassis_post == "negative" else "+"


def _bare_live_ends(design: Design) -> Iterator[tuple[str, Wire, Point]]:
    """Yield lug size, wire and point of every new, unfused end on an open stud or post of the live side."""
    open_fittings = {
        (part.name, use.terminal): use.size
        for part in design.parts
        for use in part.terminals
        if part.role != "ground" and use.fitting in ("stud", "post")
    }
    batteries = {part.name for part in design.parts if part.kind == "battery"}
    for wire in design.wires:
        if wire.kept or wire.fuse:
            continue
        for point in (wire.from_, wire.to):
            grounded = point.part in batteries and point.terminal == _chassis_terminal(design)
            if (point.part, point.terminal) in open_fittings and not grounded:
                yield wire.size, wire, point


def boots(design: Design) -> list[Material]:
    """Return a rubber boot for every new lug on a live stud or post that no fuse guards, by cable size."""
    used = by_key((size, wire.number) for size, wire, _ in _bare_live_ends(design))
    return [
        _line(
            "rubber boot over lug",
            f"for {size} cable",
            len(numbers),
            once(numbers),
            "one over each unfused live lug, so that a dropped spanner makes no short",
        )
        for size, numbers in used.items()
    ]


def _posts(design: Design) -> Iterator[tuple[PartResult, str]]:
    for part in design.parts:
        for use in part.terminals:
            if use.fitting == "post":
                yield part, use.terminal


def clamps(design: Design) -> list[Material]:
    """Return a battery clamp for every post that gets new wires but neither a clamp on one nor an old one.

    A clamp that is crimped on a cable is that cable's terminal, and a kept cable keeps its own.
    """
    lines = []
    for part, post in _posts(design):
        here = [
            (wire, end)
            for wire in design.wires
            for point, end in ((wire.from_, wire.from_end), (wire.to, wire.to_end))
            if (point.part, point.terminal) == (part.name, post)
        ]
        if here and not any(wire.kept or "clamp" in end.terminal for wire, end in here):
            names = [wire.number for wire, _ in here]
            why = "a ring needs a bolt to sit under"
            lines.append(_line("battery clamp with bolt", f"{post} post", 1, names, why))
    return lines


def pastes(design: Design) -> list[Material]:
    """Return what goes on bare metal: contact grease under the lugs, paint over them, tape on branches."""
    grounds = [part.name for part in _ground_points(design)]
    posts = [part.name for part in design.parts if part.kind == "battery"]
    lines = []
    if grounds or posts:
        lines.append(_line("contact grease", "1 tube", 1, posts + grounds, "on posts and ground points"))
    if grounds:
        lines.append(_line("protective paint", "1 can", 1, grounds, "over each ground point once tested"))
    if any(not wire.kept for wire in design.wires):
        lines.append(_line("insulating tape", "1 roll", 1, [], "for branches and loose ends while building"))
    return lines


def forgotten(design: Design) -> list[Material]:
    """Return washers, battery clamps, boots, grease, paint and tape."""
    return washers(design) + clamps(design) + boots(design) + pastes(design)
