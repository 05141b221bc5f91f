"""Bolts, nuts and washers of the studs, bases of relays, screws that hold panels, diodes across coils."""

from __future__ import annotations

from harness.lists.tally import by_key
from harness.model.design import Design, Material, PartResult

PRACTICE = "common practice (memory)"
# How many screws hold a part by its own lugs, by role; holes of what was bought decide.
SCREWS = {"relay": 1, "fuse": 2, "stud": 2}
PANEL_SCREW = "screw with lock washer and lock nut, for panels and holders"


def _line(group: str, item: str, size: str, count: int, names: list[str], source: str = PRACTICE) -> Material:
    return Material(
        group, item, size, "", count, count, "each", None, list(dict.fromkeys(names)), source  # type: ignore[arg-type]
    )  # fmt: skip


def stud_hardware(design: Design) -> list[Material]:
    """Return bolts, nuts and washers by thread, as every stud lists them."""
    used = by_key(
        ((item, stud.thread), stud.part)
        for stud in design.studs
        for item, count in stud.hardware.items()
        for _ in range(count)
    )
    return [
        _line(
            "other",
            item,
            thread,
            len(names),
            names,
            f"counted stud by stud; a welded stud needs no bolt: {PRACTICE}",
        )
        for (item, thread), names in used.items()
    ]


def _blades(part: PartResult) -> int:
    return sum(use.fitting == "blade" for use in part.terminals)


def _doubled(design: Design) -> set[str]:
    """Parts with two wires on one blade: a piggy-back does not go into a base."""
    return {
        part.name
        for part in design.parts
        for use in part.terminals
        if use.fitting == "blade" and len(use.wires) > 1
    }


def relay_bases(design: Design) -> list[Material]:
    """Return a base for every relay with blades and one wire on each; relays with studs bolt down."""
    doubled = _doubled(design)
    used = by_key(
        (_blades(part), part.name)
        for part in design.parts
        if part.role == "relay" and _blades(part) and part.name not in doubled
    )
    why = "one for each relay with blades, to hold it and its push-ons; none where two wires share a blade"
    return [
        _line("holders", "relay base with a mounting lug, for push-ons", f"{count} blades", len(names), names,
              f"{why}: {PRACTICE}")
        for count, names in sorted(used.items())
    ]  # fmt: skip


def _screwed_down(part: PartResult) -> bool:
    """Wired, and with terminals of its own: a holder on flying leads hangs in the loom."""
    flying = all(use.fitting == "pigtail" for use in part.terminals)
    return not flying and any(use.wires for use in part.terminals)


def panel_screws(design: Design) -> list[Material]:
    """Return the screws that hold fuse panels, holders, relays and bus studs."""
    held = [
        part.name for part in design.parts if _screwed_down(part) for _ in range(SCREWS.get(part.role, 0))
    ]
    why = "two for a panel, holder or bus stud, one for a relay; the holes of what was bought decide"
    return [_line("other", PANEL_SCREW, "M5 or #10", len(held), held, f"{why}: {PRACTICE}")] if held else []


def diodes(design: Design) -> list[Material]:
    """Return the diodes across coils that the survey says are bare."""
    used = by_key(((each.item, each.size), each.part) for each in design.suppressors)
    why = "one across each coil said to be bare; turned the wrong way round it is a short circuit"
    return [
        _line("other", item, size, len(names), names, f"{why}: {PRACTICE}")
        for (item, size), names in used.items()
    ]


def hardware(design: Design) -> list[Material]:
    """Return everything that bolts down and goes across."""
    return stud_hardware(design) + relay_bases(design) + panel_screws(design) + diodes(design)
