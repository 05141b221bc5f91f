"""Small things a rewiring stops for when they are not in the box: common practice, not figures."""

from __future__ import annotations

from collections.abc import Iterator

from harness.lists.cutlist import made
from harness.lists.tally import by_key, once
from harness.model.design import Design, Material, PartResult

PRACTICE = "common practice (memory)"


def _line(item: str, size: str, count: int, used_on: list[str], why: str) -> Material:
    return Material("other", item, size, "", count, count, "each", None, used_on, f"{why}: {PRACTICE}")


def _ground_points(design: Design) -> list[PartResult]:
    return [part for part in design.parts if part.role == "ground"]


def boots(design: Design) -> list[Material]:
    """Return the rubber boots that the wire ends list, by cable size."""
    used = by_key(
        (end.boot, wire.number)
        for wire in design.wires
        if not wire.kept
        for end in (wire.from_end, wire.to_end)
        if end.boot
    )
    why = "one over each unfused live lug, so that a dropped spanner makes no short"
    return [
        _line(item, size, len(numbers), once(numbers), why)
        for (item, _, size), numbers in ((text.partition(", "), numbers) for text, numbers in used.items())
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
    new = [wire for wire in made(design) if not wire.kept]
    if new:
        where = once(run for wire in new for run in wire.runs) or [wire.number for wire in new]
        lines.append(
            _line("insulating tape", "1 roll", 1, where, "for branches and loose ends while building")
        )
    return lines


def forgotten(design: Design) -> list[Material]:
    """Return battery clamps, boots, grease, paint and tape."""
    return clamps(design) + boots(design) + pastes(design)
