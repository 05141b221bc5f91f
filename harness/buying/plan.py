"""The buying plan: every material in the units it is sold in, and which piece is cut from which roll."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from math import ceil, floor
from typing import Literal

from harness.buying.cutting import Stock, TooLong, cutting_plan
from harness.buying.sold import SoldAs, sold_as
from harness.buying.totals import with_waste
from harness.lists.by_metre import covering_pieces, shrink_pieces, trim_pieces
from harness.lists.cutlist import cut_list, made
from harness.model.buying import CutFrom, Lot, OffcutUse, Piece, Purchase
from harness.model.cables import BATTERY_CABLES
from harness.model.design import Design, Material
from harness.model.stock import Offcut

MARKS_PER_M = 10_000  # cutting counts in tenths of a millimetre, in which feet come out whole
FLOAT_NOISE = 1e-9  # sums of exact decimals miss by far less than a mark
PRICE_SCALE = 10  # so that half as much again is a whole number

Named = tuple[str, float]  # wire, splice or run, and length [m]


def _marks(length_m: float) -> int:
    return ceil(length_m * MARKS_PER_M - FLOAT_NOISE * MARKS_PER_M)


def _marks_in(length_m: float) -> int:
    """Whole marks in what is there; of a piece that is needed it is those that hold it."""
    return floor(length_m * MARKS_PER_M + FLOAT_NOISE * MARKS_PER_M)


def _pieces(design: Design) -> dict[tuple[str, str, str, str], list[Named]]:
    """Pieces to cut by the group, item, size and colour of their material."""
    found: dict[tuple[str, str, str, str], list[Named]] = {}
    for spool in cut_list(design):
        key = ("wire", f"wire, {spool.cable}", spool.size, spool.colour)
        found[key] = [(line.number, line.length_m) for line in spool.lines]
    by_length = (
        ("heat-shrink", shrink_pieces(design)),
        ("covering", covering_pieces(design)),
        ("grommets", trim_pieces(design)),
    )
    for group, each in by_length:
        for item, length_m, name in each:
            if group == "covering" and "tape" in item:
                continue  # it is wound on in as many lengths as a roll gives
            found.setdefault((group, item, "", ""), []).append((name, length_m))
    return found


def _areas(design: Design) -> dict[str, float]:
    return {wire.size: wire.area_mm2 for wire in made(design)}


def _stock(units: Sequence[SoldAs], total: int, offcuts: Sequence[Offcut]) -> list[Stock]:
    """What may be cut from: the shelf for nothing, rolls, and cut lengths where they can be of use."""
    shelf = Counter(_marks_in(one.length_m) for one in offcuts)
    found = [
        Stock(f"offcut of {length / MARKS_PER_M:g} m", length, 0, count)
        for length, count in sorted(shelf.items())
    ]
    rolls = [unit for unit in units if not unit.to_length]
    for unit in units:
        step = _marks(unit.amount)
        price = round(step * unit.price_share * PRICE_SCALE)
        if not unit.to_length:
            found.append(Stock(unit.name, step, price))
            continue
        most = ceil(total / step)
        least = ceil((total - sum(shelf.elements())) / step)
        if rolls:  # a longer one never pays beside a whole roll
            least, most = 1, min(most, ceil(max(_marks(roll.amount) for roll in rolls) / step))
        for steps in range(max(1, least), most + 1):
            found.append(Stock(f"{steps} {unit.name}", steps * step, steps * price))
    return found


def _naive_m(units: Sequence[SoldAs], asked_m: float, longest_m: float) -> float:
    """What is bought when length and waste are asked for in the shortest roll that holds every piece."""
    rolls = [unit for unit in units if not unit.to_length] or units
    usable = [unit for unit in rolls if unit.to_length or unit.amount >= longest_m - FLOAT_NOISE]
    step = min((unit.amount for unit in usable), default=0.0)
    return ceil(asked_m / step - FLOAT_NOISE) * step if step else 0.0


def _named(lengths: Iterable[int], waiting: Mapping[int, list[Named]]) -> list[Piece]:
    found = []
    for length in lengths:
        name, length_m = waiting[length].pop(0)
        found.append(Piece(name, length_m))
    return found


def _cut(
    line: Material, pieces: Sequence[Named], units: Sequence[SoldAs], offcuts: Sequence[Offcut]
) -> Purchase:
    waiting: dict[int, list[Named]] = {}
    for piece in pieces:
        waiting.setdefault(_marks(piece[1]), []).append(piece)
    lengths = [_marks(length_m) for _, length_m in pieces]
    need_m = sum(length_m for _, length_m in pieces)
    naive_m = _naive_m(units, line.with_waste, max(length_m for _, length_m in pieces))
    stocks = _stock(units, sum(lengths), offcuts)
    shelf = [one for one in stocks if one.most is not None]
    try:
        plan = cutting_plan(lengths, stocks)
    except TooLong as too_long:
        return Purchase(
            line.key, line.group, line.item, line.size, line.colour, need_m, "m", [], 0.0,
            0.0, naive_m, [], False,
            f"a piece of {too_long.length / MARKS_PER_M:g} m is longer than any roll: ask for a cut length",
        )  # fmt: skip
    cuts = [
        CutFrom(
            cut.stock.name,
            cut.stock.length / MARKS_PER_M,
            _named(cut.pieces, waiting),
            cut.left / MARKS_PER_M,
            shelf=cut.stock in shelf,
        )
        for cut in plan.cuts
    ]
    lots = Counter(cut.stock for cut in plan.cuts)
    bought_m = sum(stock.length * count for stock, count in lots.items() if stock.cost) / MARKS_PER_M
    left_m = sum(cut.left for cut in plan.cuts if cut.stock.cost) / MARKS_PER_M
    return Purchase(
        line.key, line.group, line.item, line.size, line.colour, need_m, "m",
        [Lot(stock.name, stock.length / MARKS_PER_M, count) for stock, count in lots.items() if stock.cost],
        bought_m, left_m, naive_m, cuts, plan.proven, "",
        from_shelf=sum(piece.length_m for cut in cuts if cut.shelf for piece in cut.pieces),
    )  # fmt: skip


def _packed(line: Material, units: Sequence[SoldAs]) -> Purchase:
    """Whole packs of what is counted, so that least is left over."""
    asked = ceil(line.with_waste - FLOAT_NOISE)
    plan = cutting_plan(
        [1] * asked, [Stock(unit.name, round(unit.amount), round(unit.amount)) for unit in units]
    )
    lots = Counter(cut.stock for cut in plan.cuts)
    bought = sum(stock.length * count for stock, count in lots.items())
    return Purchase(
        line.key, line.group, line.item, line.size, line.colour, line.quantity, line.unit,
        [Lot(stock.name, stock.length, count) for stock, count in lots.items()],
        bought, bought - line.quantity, bought, [], plan.proven, "",
    )  # fmt: skip


def buying_plan(design: Design, offcuts: Sequence[Offcut] = ()) -> list[Purchase]:
    """What to buy of every material of a design, in its order, with the cuts proven least where they are.

    Wire, heat-shrink and covering: each piece whole from a roll, stick or length, offcuts on the shelf first.
    The rest: whole packs over the count with its spares. ``design.buying`` is not read.
    """
    sizes: Literal["AWG", "mm2"] = "AWG" if design.machine.sizes == "AWG" else "mm2"
    pieces, areas = _pieces(design), _areas(design)
    found = []
    for line in design.materials:
        units = sold_as(line, sizes=sizes, area_mm2=areas.get(line.size) if line.group == "wire" else None)
        key = (line.group, line.item, *((line.size, line.colour) if line.group == "wire" else ("", "")))
        if key not in pieces:
            found.append(_packed(line, units))
            continue
        mine = [one for one in offcuts if _serves(one, line.group, line.item, key[2], key[3])]
        found.append(with_waste(_cut(line, pieces[key], units, mine)))
    return found


def _serves(offcut: Offcut, group: str, item: str, size: str, colour: str) -> bool:
    """Whether pieces of a material may be cut from an offcut: the very same, or its battery cable."""
    if (offcut.size, offcut.colour) != (size, colour):
        return False
    if offcut.item == item or group != "wire":
        return offcut.item == item
    heavy = BATTERY_CABLES.get(item.removeprefix("wire, "), ())
    return offcut.item.removeprefix("wire, ") in heavy


def offcut_uses(plan: Sequence[Purchase], offcuts: Sequence[Offcut]) -> list[OffcutUse]:
    """What a plan cuts from every offcut, and why from some nothing, in the order of the shelf."""
    cut_to_length = [line for line in plan if line.unit == "m"]
    waiting = {line.key: [cut for cut in line.cuts if cut.shelf] for line in cut_to_length}
    lines = {
        kind: next(
            (line for line in cut_to_length if _serves(kind, line.group, line.item, *_shade(line))), None
        )
        for kind in {replace(one, length_m=0.0) for one in offcuts}
    }
    found = []
    for one in offcuts:
        line = lines[replace(one, length_m=0.0)]
        cuts = waiting[line.key] if line else []
        length_m = _marks_in(one.length_m) / MARKS_PER_M
        cut = next((cut for cut in cuts if cut.length_m == length_m), None)
        if cut is not None:
            cuts.remove(cut)
        note = _why_idle(line, one) if line else "this machine takes nothing of it"
        found.append(
            OffcutUse(
                one.item, one.size, one.colour, one.length_m,
                [piece.name for piece in cut.pieces] if cut else [],
                cut.left_m if cut else one.length_m, "" if cut else note,
            )
        )  # fmt: skip
    return found


def _shade(line: Purchase) -> tuple[str, str]:
    return (line.size, line.colour) if line.group == "wire" else ("", "")


def _why_idle(line: Purchase, offcut: Offcut) -> str:
    lengths_m = [piece.length_m for cut in line.cuts for piece in cut.pieces]
    if lengths_m and offcut.length_m < min(lengths_m):
        return f"shorter than the shortest piece, {min(lengths_m):g} m"
    return "what it would hold comes off other lengths" if lengths_m else line.note
