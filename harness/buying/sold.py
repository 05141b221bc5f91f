"""How things are sold over the counter: rolls, sticks, packs, or by length."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from harness.model.design import Material
from harness.tables import load


@dataclass(frozen=True, slots=True)
class SoldAs:
    """One unit a material is sold in."""

    name: str  # "roll of 100 ft", "pack of 10", "m cut"
    amount: float  # of the material's own unit: metres or pieces; the least step where cut to length
    to_length: bool  # cut to any number of such steps, in one piece
    price_share: float = 1.0  # what a metre or piece costs against one of the cheapest unit


def sold_as(line: Material, *, sizes: Literal["AWG", "mm2"], area_mm2: float | None = None) -> list[SoldAs]:
    """The units one material is sold in, by the first word of the item that has its own; each or by length.

    ``area_mm2``: of wire. Source: table sold_as, common practice of counters; a price list of the counter's
    own goes before it. Cut lengths cost half as much again a metre (memory): somebody has to cut them.
    """
    rows = [
        row
        for row in load("sold_as").rows
        if row["group"] == line.group
        and row["item_has"] in line.item
        and row["sizes"] in ("", sizes)
        and (area_mm2 is None or float(row["above_mm2"] or 0) < area_mm2 <= float(row["to_mm2"] or "inf"))
    ]
    first = next((row["item_has"] for row in rows), "")
    found = [
        SoldAs(row["name"], float(row["amount"]), row["unit"] == "step", float(row["price_share"]))
        for row in rows
        if row["item_has"] == first
    ]
    if found:
        return found
    return [SoldAs("m cut", 1.0, to_length=True)] if line.unit == "m" else [SoldAs("each", 1.0, False)]
