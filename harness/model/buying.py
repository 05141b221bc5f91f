"""Materials as they are sold, and what is cut from which roll."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece that is cut off: the wire, splice or run it is for."""

    name: str
    length_m: float


@dataclass(frozen=True, slots=True)
class CutFrom:
    """One roll, stick, length or offcut and what is cut from it, longest first."""

    stock: str  # "roll of 100 ft"
    length_m: float
    pieces: list[Piece]
    left_m: float
    shelf: bool = False  # an offcut that lay there; nothing is bought


@dataclass(frozen=True, slots=True)
class Lot:
    """So many of one unit that a thing is sold in."""

    unit: str  # "roll of 100 ft", "pack of 10"
    amount: float  # metres or pieces in one
    count: int


@dataclass(frozen=True, slots=True)
class Purchase:
    """One material in the units it is sold in."""

    key: str
    group: str
    item: str
    size: str
    colour: str
    need: float  # pieces alone, without waste
    unit: str  # "m" or "each"
    lots: list[Lot]
    bought: float
    left: float  # of what is bought
    naive: float  # what is bought when the need with its waste is rounded up to the shortest unit
    cuts: list[CutFrom]
    proven: bool  # no other cuts buy less
    note: str
    from_shelf: float = 0.0  # of the need, cut from offcuts [unit]
    waste: float | None = None  # left over of what is bought, as a share; None for what comes in packs
    naive_waste: float | None = None  # the same of naive buying


@dataclass(frozen=True, slots=True)
class BuyingTotal:
    """All that is cut to length of one group, or of all of them: what is bought, used and wasted."""

    group: str  # "wire", "heat-shrink", "covering", or "all"
    materials: int  # spools, tubes or sleeves
    unplanned: int  # of those, with a piece longer than any roll: not in the figures below
    need_m: float
    from_shelf_m: float
    bought_m: float
    left_m: float  # of what is bought
    waste_share: float  # of what is bought
    naive_m: float  # bought when need and waste are rounded up to the shortest roll, stick or cut length
    naive_left_m: float
    naive_waste_share: float


@dataclass(frozen=True, slots=True)
class OffcutUse:
    """One offcut on the shelf: what is cut from it, or why nothing is."""

    item: str
    size: str
    colour: str
    length_m: float
    pieces: list[str]  # wires, splices or runs; none when it is not needed
    left_m: float
    note: str  # why it is not needed
