"""The sheet for the till: every material in the units it is sold in, and what is cut from each roll."""

from __future__ import annotations

from harness.book.sheet import TICK, Column, Row, Sheet, metres_and_feet, number, tick
from harness.lists.materials import is_counted_in_size
from harness.model.buying import BuyingTotal, CutFrom, OffcutUse, Purchase
from harness.model.design import Design

NAIVE = "naive buying: the need with its waste, rounded up to the shortest roll that holds every piece"


def lots_text(line: Purchase) -> str:
    """Write what to ask for: "2 x roll of 25 ft, 1 x 10 ft cut", and how much lies on the shelf."""
    lots = ", ".join(f"{lot.count} x {lot.unit}" for lot in line.lots)
    if not line.from_shelf:
        return lots or line.note
    return f"{lots or 'nothing'}; {round(line.from_shelf, 3):g} {line.unit} from the shelf"


def cut_text(cut: CutFrom) -> str:
    """Write one roll with its cuts and what is left: "roll of 25 ft: 12a 2.3, 14 1.1; 4.22 m left"."""
    pieces = ", ".join(f"{piece.name} {piece.length_m:g}" for piece in cut.pieces)
    shelf = " from the shelf" if cut.shelf else ""
    return f"{cut.stock}{shelf}: {pieces}; {cut.left_m:.2f} m left"


def _row(line: Purchase) -> Row:
    return Row(
        (
            line.group,
            line.item,
            "" if is_counted_in_size(line) else line.size,
            line.colour,
            round(line.need, 3),
            line.unit,
            lots_text(line),
            round(line.bought, 2),
            round(line.left, 2),
            line.waste,
            round(line.naive, 2) if line.waste is not None else None,
            line.naive_waste,
            TICK,
            "\n".join(cut_text(cut) for cut in line.cuts),
            "" if line.proven else "not proven least",
        )
    )


def _total_row(total: BuyingTotal) -> Row:
    return Row(
        (
            "total" if total.group != "all" else "in all",
            total.group if total.group != "all" else "wire, heat-shrink and covering",
            "",
            "",
            round(total.need_m, 2),
            "m",
            f"{round(total.from_shelf_m, 2):g} m from the shelf" if total.from_shelf_m else "",
            round(total.bought_m, 2),
            round(total.left_m, 2),
            total.waste_share,
            round(total.naive_m, 2),
            total.naive_waste_share,
            None,
            NAIVE if total.group == "all" else "",
            f"{total.unplanned} not planned" if total.unplanned else "",
        ),
        "heading",
    )


def _shelf_row(offcut: OffcutUse) -> Row:
    """One offcut: to be taken from the shelf, or left there with the reason."""
    length = metres_and_feet(offcut.length_m)
    return Row(
        (
            "on the shelf",
            offcut.item,
            offcut.size,
            offcut.colour,
            None,
            "",
            f"take the offcut of {length}" if offcut.pieces else f"leave the offcut of {length}",
            None,
            round(offcut.left_m, 2),
            None,
            None,
            None,
            TICK,
            ", ".join(offcut.pieces),
            f"not needed: {offcut.note}" if offcut.note else "",
        )
    )


def buying_sheet(design: Design) -> Sheet:
    """Return what to buy in rolls, sticks, packs and cut lengths, and what to take from the shelf."""
    columns = (
        Column("Group", 11),
        Column("Item", 36),
        Column("Size", 14),
        Column("Colour", 8),
        number("Needed", "General", 9),
        Column("Unit", 6),
        Column("Buy", 22),
        number("Comes to, m or pieces", "General", 9),
        number("Left over, m or pieces", "General", 9),
        number("Waste %", "0.0%", 7),
        number("Naive buying m", "General", 9),
        number("Its waste %", "0.0%", 7),
        tick("Got"),
        Column("Cut from it, longest first (wire, splice or run, and m)", 60),
        Column("Note", 12),
    )
    totals = map(_total_row, design.buying_totals)
    rows = (*map(_row, design.buying), *totals, *map(_shelf_row, design.offcuts))
    return Sheet("Buying", columns, rows, frozen_columns=2)
