"""The sheet of what comes apart: looms with their weight, couplers with their pin lists."""

from __future__ import annotations

from harness.book.sheet import TICK, Column, Row, Sheet, number, tick
from harness.model.design import Design
from harness.model.looms import CouplerResult, LoomResult


def _loom_row(loom: LoomResult) -> Row:
    return Row(
        (
            loom.name, "loom", "", "", "", "", "", len(loom.wires), round(loom.wire_length_m, 2),
            round(loom.copper_kg, 2), round(loom.weight_kg, 2), "", ", ".join(loom.places),
        )
    )  # fmt: skip


def _coupler_rows(coupler: CouplerResult) -> list[Row]:
    halves = f"half A faces {coupler.half_a}, half B faces {coupler.half_b}"
    rows = [
        Row(
            (
                coupler.name, coupler.place, way.way, way.wire_a or "spare", way.wire_b or "spare",
                way.contact, way.colour, None, None, None, None, TICK, way.circuit or "plug both halves",
            )
        )
        for way in coupler.ways
    ]  # fmt: skip
    head = Row((coupler.name, coupler.place, f"{len(coupler.ways)} ways", *([""] * 9), halves), "heading")
    past = [
        Row((coupler.name, coupler.place, "past it", wire, *([""] * 8), why))
        for wire, _, why in (line.partition(": ") for line in coupler.past)
    ]
    return [head, *rows, *past]


def couplers_sheet(design: Design) -> Sheet:
    """Return every loom that is built by itself, and the pin list of every coupler between them."""
    columns = (
        Column("Loom or coupler", 18),
        Column("Place", 14),
        Column("Way", 8),
        Column("Wire in half A", 9),
        Column("Wire in half B", 9),
        Column("Contact", 9),
        Column("Colour", 8),
        number("Wires (count)", "0", 8),
        number("Wire in all m", "0.00", 8),
        number("Copper kg", "0.00", 8),
        number("Weight kg", "0.00", 8),
        tick("Done"),
        Column("Circuit, or places of the loom", 60),
    )
    rows = [_loom_row(loom) for loom in design.looms]
    rows += [row for coupler in design.couplers for row in _coupler_rows(coupler)]
    return Sheet("Couplers", columns, tuple(rows), spilling=frozenset({0, 2, 12}))
