"""The list of materials: everything to buy for a design, exact and with waste, in a fixed order."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args, get_type_hints

from harness.lists import by_metre, by_piece, protection
from harness.lists.couplers import couplers
from harness.lists.forgotten import forgotten
from harness.lists.hardware import hardware
from harness.lists.measure import natural
from harness.model.buying import Purchase
from harness.model.design import Design, Material
from harness.model.spares import USUAL, SpareRules

COUNTED_IN_SIZE = ("heat-shrink", "covering")  # their size says how many pieces there are
_GROUPS: tuple[str, ...] = get_args(get_type_hints(Material)["group"])


def _order(material: Material) -> tuple[object, ...]:
    return (
        _GROUPS.index(material.group),
        natural(material.item),
        natural(material.size),
        material.colour,
    )


def materials(design: Design, *, waste: float, spares: SpareRules = USUAL) -> list[Material]:
    """Return what to buy, by group and then size; kept wires cut nothing and buy nothing.

    waste: share added to what is sold by the metre, as ``Machine.waste`` says, 0.12 for 12 %.
    spares: how much more of what is sold by the piece.
    Raises ValueError when it is negative. ``design.materials`` is not read.
    """
    if waste < 0:
        raise ValueError(f"waste of {waste} is negative")
    metres = (by_metre.wire, by_metre.heat_shrink, by_metre.covering, by_metre.edge_trim)
    pieces = (
        by_piece.terminals,
        by_piece.splices,
        by_piece.grommets,
        by_piece.ties,
        by_piece.clamps,
        by_piece.clamp_fasteners,
        by_piece.labels,
        protection.fuses,
        protection.relays,
        protection.holders,
        couplers,
    )
    lines = [line for make in metres for line in make(design, waste=waste)]
    lines += [line for make in pieces for line in make(design, spares)]
    lines += forgotten(design) + hardware(design)
    return [replace(line, key=item_key(line)) for line in sorted(lines, key=_order)]


def is_counted_in_size(line: Material | Purchase) -> bool:
    """Whether the size of a line says how many pieces there are, and so is no part of what the thing is."""
    return line.group in COUNTED_IN_SIZE or (line.group == "grommets" and line.unit == "m")


def item_key(line: Material) -> str:
    """Name the thing itself, whatever its count: "wire: wire, GXL; 14 AWG; RD"."""
    size = "" if is_counted_in_size(line) else line.size
    return f"{line.group}: " + "; ".join(word for word in (line.item, size, line.colour) if word)
