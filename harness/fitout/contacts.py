"""Which contact of a sealed coupler a wire goes into, so that both halves of a way mate."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from harness.model.machine import End, Machine
from harness.tables import load, own_source


def _ranges() -> list[tuple[str, float, float]]:
    """Contact size, thinnest and thickest wire [mm2], smallest first. Source: coupler_contacts (read)."""
    rows = [
        (row["contact_size"], float(row["wire_from_mm2"]), float(row["wire_to_mm2"]))
        for row in load("coupler_contacts").rows
    ]
    return sorted(rows, key=lambda row: row[2])


def contact_size(areas_mm2: Sequence[float]) -> str:
    """Size of the smallest contact that takes all of these wires, "" when none does."""
    thin, thick = min(areas_mm2), max(areas_mm2)
    return next((size for size, least, most in _ranges() if least <= thin and thick <= most), "")


def contact_source(size: str) -> tuple[str, ...]:
    """Where a contact stands in the user's own catalogue, nothing for a published one."""
    rows = load("coupler_contacts").rows
    return next((own_source(row) for row in rows if row["contact_size"] == size), ())


def _least_beside(thick_mm2: float) -> float:
    """Least area that shares a contact with a wire of ``thick_mm2``; as thick as that where it fits none."""
    return next((least for _, least, most in _ranges() if thick_mm2 <= most), thick_mm2)


def mated(machine: Machine, areas_mm2: Mapping[int, float]) -> Machine:
    """The machine with a least size for every wire in a coupler whose mate needs a larger contact.

    ``areas_mm2``: wire -> area as sized. The same machine where all halves mate already.
    """
    at: dict[End, int] = {end: wire.index for wire in machine.wires for end in (wire.a, wire.b)}
    wires = list(machine.wires)
    for part in machine.parts.values():
        for link in part.links if part.way_a is not None else ():
            pair = [at.get(End("part", part.name, end)) for end in (link.a, link.b)]
            if None in pair:
                continue
            thin, thick = sorted((one for one in pair if one is not None), key=lambda one: areas_mm2[one])
            if not contact_size([areas_mm2[thin], areas_mm2[thick]]):
                wires[thin] = replace(wires[thin], mate_mm2=_least_beside(areas_mm2[thick]))
    return machine if tuple(wires) == machine.wires else replace(machine, wires=tuple(wires))
