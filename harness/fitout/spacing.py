"""How far apart the clamps and ties of a run may be."""

from __future__ import annotations

from collections.abc import Sequence

from harness.model.bundles import Spacing
from harness.model.design import Wire
from harness.model.machine import Machine, Run, Zone
from harness.tables import load

HEAVY_MM2 = 13.0  # 6 AWG and up, what is made as battery cable (common practice)
SURVEYED = "as surveyed"


def _kind(zone: Zone, inside: Sequence[Wire]) -> str:
    """Row of support_spacing: what shakes or is heavy is held closest."""
    if zone.shakes:
        return "shaking"
    if any(wire.area_mm2 >= HEAVY_MM2 for wire in inside):
        return "battery cable"
    return "sheltered" if zone.closed else "open"


def spacing(machine: Machine, run: Run, inside: Sequence[Wire]) -> Spacing:
    """The most there may be between two clamps and two ties: what the survey says, else by zone and cable.

    A run's own figure goes before the machine's. Source: support_spacing, by row.
    """
    table = load("support_spacing")
    kind = _kind(machine.zones[run.zone], inside)
    row = table.row("run", kind)
    said = [
        next((each for each in (own, common) if each is not None), None)
        for own, common in (
            (run.clamps_every_m, machine.clamps_every_m),
            (run.ties_every_m, machine.ties_every_m),
        )
    ]
    clamps_m, ties_m = (
        float(row[column]) if given is None else given
        for given, column in zip(said, ("clamps_every_m", "ties_every_m"), strict=True)
    )
    why = kind if None in said else SURVEYED
    words = [f"{what} {SURVEYED}" for what, given in zip(("clamps", "ties"), said, strict=True) if given]
    source = "; ".join([*words, *([str(table.cite(row))] if None in said else [])])
    return Spacing(clamps_m, ties_m, why, source)
