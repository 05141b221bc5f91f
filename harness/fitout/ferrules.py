"""The ferrule over the strands of a wire that goes under a clamp screw."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from harness.fitout.barrels import gauge
from harness.model.design import Wire
from harness.tables import load, own_source

CLAMP = "clamp"  # size of a screw that presses on the wire itself, "screw clamp" in a survey
STRIP_OVER_BARREL_MM = 2.0  # for the funnel of the collar, strands flush with the end (common practice)


@dataclass(frozen=True, slots=True)
class Ferrule:
    """One size of ferrule."""

    text: str
    strip_mm: float
    tables: tuple[str, ...]


def _row(wires: Sequence[Wire]) -> Mapping[str, str] | None:
    """The row for these wires: one wire by its gauge, else the least that holds their copper together."""
    rows = load("ferrules").rows
    number = gauge(wires[0].size) if len(wires) == 1 else None
    if number is not None:
        same = (row for row in rows if gauge(f"{row['wire_awg']} AWG") == number)
        return next(same, None)
    area_mm2 = sum(wire.area_mm2 for wire in wires)
    larger = [row for row in rows if float(row["wire_mm2"]) >= area_mm2]
    return min(larger, key=lambda row: float(row["wire_mm2"]), default=None)


def ferrule(wires: Sequence[Wire]) -> Ferrule | None:
    """The ferrule for the wires under one clamp screw; None when there is none. Source: ferrules (read)."""
    row = _row(wires)
    if row is None:
        return None
    length_mm = float(row["barrel_length_mm"])
    size = f"{row['wire_mm2']} mm2 ({row['wire_awg']} AWG)"
    text = f"wire ferrule, insulated, for {size}, {length_mm:g} mm barrel"
    return Ferrule(text, length_mm + STRIP_OVER_BARREL_MM, ("ferrules", *own_source(row)))
