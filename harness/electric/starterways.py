"""Cable to a starter and from it home, and how thick the one must be for the other."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from harness.model.machine import Link, Machine, Part

if TYPE_CHECKING:
    from harness.electric.currents import ModeSolution
    from harness.electric.program import Strap
    from harness.electric.ruleset import Size

_GUARD = re.compile(
    r"\b(neutral|clutch|seat|brake|pto|interlock|operator presence|safety|gear|transmission|park)\b",
    re.IGNORECASE,
)


def is_guard(role: str, kind: str, words: str) -> bool:
    """Whether a part may stand in a starter's way for safety, by role, kind and words: neutral, clutch"""
    return role == "switch" and kind != "key switch" and _GUARD.search(words) is not None


def is_starter_main(part: Part, link: Link) -> bool:
    """Whether a link is the main current of a starter."""
    return part.kind == "starter motor" and link == part.links[0]


def straps(machine: Machine, solutions: Iterable[ModeSolution]) -> list[Strap]:
    """Cable on a starter's way home is no thinner than the thinnest on its way there (common practice).

    A wire whose size the survey gives is left as it is.
    """
    from harness.electric.program import Strap  # brings scipy along, which a list of guards does not need

    found: dict[Strap, None] = {}
    for there, back in _ways(machine, solutions):
        free = tuple(sorted(wire for wire in back if machine.wires[wire].size is None))
        if there and free:
            found[Strap(tuple(sorted(there)), free)] = None
    return list(found)


def strap_areas(
    machine: Machine, sizes: Sequence[Size], solutions: Iterable[ModeSolution]
) -> dict[int, float]:
    """Wire on a starter's way home -> area of the thinnest cable on its way there [mm2]."""
    found: dict[int, float] = {}
    for there, back in _ways(machine, solutions):
        for wire in back if there else ():
            least = min(sizes[other].area_mm2 for other in there)
            found[wire] = max(found.get(wire, 0.0), least)
    return found


def _ways(machine: Machine, solutions: Iterable[ModeSolution]) -> Iterable[tuple[list[int], list[int]]]:
    """Wires on the way to every starter, and on its way home, in every mode that works it."""
    for solution in solutions:
        for (part, link), way in solution.ways.items():
            piece = machine.parts[part]
            if is_starter_main(piece, next(one for one in piece.links if one.name == link)):
                yield tuple(
                    [edge.key for edge, _ in stretch if isinstance(edge.key, int)]
                    for stretch in (way.feed, way.back)
                )  # type: ignore[misc]
