"""Rules on spare fuse ways: enough of them, and alike."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from harness.model.machine import Link, Part
from harness.rules.case import Case, part_end
from harness.rules.figures import PRACTICE, amps
from harness.rules.registry import Say, rule

SMALL_PANEL = 4  # ways; a smaller one has no room to ask for


def _panels(case: Case) -> Iterator[tuple[Part, list[Link], list[Link]]]:
    """Every fuse panel with its ways in use and its spare ways."""
    for part in case.machine.parts.values():
        ways = [link for link in part.links if link.kind == "fuse"]
        if part.role == "fuse" and len(ways) >= SMALL_PANEL:
            spare = [link for link in ways if not case.wires_at(part_end(part, link.b))]
            yield part, [link for link in ways if link not in spare], spare


@rule(
    "dissimilar spare ways",
    severity="advice",
    summary="spare fuse ways that are given different ratings before anything hangs on them",
    source=f"a spare way has no fuse in it, or one of the smallest in use ({PRACTICE})",
    cure="leave the rating of a spare way out until its wire is known",
)
def unlike_spares(case: Case) -> Iterator[Say]:
    for part, _, spare in _panels(case):
        rated = [link for link in spare if link.rating_a is not None]
        ratings = sorted({link.rating_a for link in rated if link.rating_a is not None})
        if len(ratings) > 1:
            ways = ", ".join(f"{link.b} {amps(link.rating_a or 0.0)}" for link in rated)
            yield Say(
                part.name,
                f"spare ways of {part.name} have fuses of different ratings and no wire yet ({ways}): what "
                "is hung on later gets a fuse by chance, and the wire behind it may not stand it",
                f"leave spare ways empty, or fit {amps(ratings[0])} in all of them",
                part.where,
            )


@rule(
    "few spare ways",
    severity="advice",
    summary="fewer fuse ways left empty than the rule for spares asks: a fifth, two at least, or as surveyed",
    source=f"20 to 25 % of the ways left empty, at least two ({PRACTICE})",
    cure="take the next larger panel, or a second one",
)
def few_spares(case: Case) -> Iterator[Say]:
    panels = list(_panels(case))
    ways = sum(len(used) + len(spare) for _, used, spare in panels)
    spares = sum(len(spare) for _, _, spare in panels)
    extra = case.machine.spares.fuse_ways
    asked = max(extra.least, ceil(round(extra.share * ways, 9)))
    if panels and spares < asked:
        part = panels[0][0]
        names = ", ".join(panel.name for panel, _, _ in panels)
        yield Say(
            part.name,
            f"{spares} of {ways} fuse ways are spare in {names}, {asked} are asked for: what is added later "
            "is hung on a fuse that is there for something else",
            "take the next larger panel, or a second one",
            part.where,
            source=None if extra.assumed else "spares of the survey: fuse ways",
        )
