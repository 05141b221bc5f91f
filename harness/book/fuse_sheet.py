"""The sheet of fuses: what each carries, guards and clears, and which one opens first."""

from __future__ import annotations

from collections.abc import Mapping

from harness.book.marks import Marks, marked
from harness.book.sheet import Column, Row, Sheet, number, yes
from harness.digits import plain
from harness.model.design import Design, Fuse
from harness.model.shorts import FaultResult, FuseOrder

NEVER = "may never"


def _rounded(amps: float) -> str:
    return f"{amps:.0f}" if amps >= 100 else f"{amps:.3g}"


def short_words(faults: list[FaultResult]) -> str:
    """Write the short-circuit current at the far ends of the wires behind a fuse: "66 to 357"."""
    if not faults:
        return ""
    ends = (min(fault.current_a for fault in faults), max(fault.most_a for fault in faults))
    return " to ".join(dict.fromkeys(_rounded(amps) for amps in ends))


def clearing_words(faults: list[FaultResult]) -> str:
    """Write how late a fuse opens at the worst of them, in seconds."""
    known = [fault for fault in faults if fault.cleared is not None]
    if any(fault.clearing_s is None for fault in known):
        return NEVER
    times = [fault.clearing_s for fault in known if fault.clearing_s is not None]
    return f"{max(times):.2g}" if times else ""


def let_through_share(faults: list[FaultResult]) -> float | None:
    """Return the most that a fuse lets through of what the wire stands, None where nothing is known."""
    shares = [
        fault.let_through_a2s / fault.wire_stands_a2s
        for fault in faults
        if fault.let_through_a2s is not None and fault.wire_stands_a2s
    ]
    return max(shares, default=None)


def order_words(orders: list[FuseOrder]) -> str:
    """Write for every fuse before one whether this one opens first: "main fuse: only up to 80 A"."""
    return "; ".join(
        f"{order.far}: this one first"
        if order.in_order
        else f"{order.far}: this one first only below {_rounded(order.wrong_from_a or 0.0)} A"
        for order in orders
    )


def _by_fuse(design: Design) -> Mapping[str, list[FaultResult]]:
    found: dict[str, list[FaultResult]] = {}
    for fault in design.faults:
        for name in fault.shares or {fault.fuse: 1.0}:
            found.setdefault(name, []).append(fault)
    return found


def _orders(design: Design) -> Mapping[str, list[FuseOrder]]:
    found: dict[str, list[FuseOrder]] = {}
    for order in design.fuse_order:
        found.setdefault(order.near, []).append(order)
    return found


def _row(fuse: Fuse, faults: list[FaultResult], orders: list[FuseOrder], marks: Marks) -> Row:
    kind = f"{fuse.form} {fuse.size}" if fuse.size else fuse.form
    return Row(
        (
            fuse.name,
            fuse.place,
            kind,
            fuse.rating_a,
            fuse.colour,
            yes(fuse.fixed),
            fuse.load_a,
            f"{plain(fuse.peak_a)} for {fuse.peak_s:g} s"
            if fuse.peak_s and fuse.peak_a > 1.001 * fuse.load_a
            else "",
            fuse.continuous_share,
            fuse.least_a,
            fuse.most_a,
            short_words(faults),
            clearing_words(faults),
            let_through_share(faults),
            order_words(orders),
            ", ".join(fuse.wires),
            fuse.formula,
            marked([fuse.source], marks.sources),
        )
    )


def _spare_rows(design: Design) -> list[Row]:
    """Ways that nothing hangs on, under a line that counts them."""
    ways, spare = sum(each.ways for each in design.panels), sum(len(each.spare) for each in design.panels)
    if not ways:
        return []
    told = "no wire yet: write the label beside it and leave it empty until its wire is sized"
    named = [(f"{each.panel} {way}", each) for each in design.panels for way in each.spare]
    blank = (None,) * 13
    return [Row((f"Spare ways: {spare} of {ways}",), "heading")] + [
        Row((name, each.place, *blank, each.label, told)) for name, each in named
    ]


def fuses_sheet(design: Design, marks: Marks) -> Sheet:
    """Return every fuse with what it carries, the window its rating had to fall in, and what it clears."""
    columns = (
        Column("Fuse", 12),
        Column("Place", 10),
        Column("Form", 12),
        number("Rating A", "General", 7),
        Column("Colour of body", 8),
        Column("Given in survey", 7),
        number("Load A", most=7),
        Column("Peak A", 9),
        number("Carries for ever % of rating", "0%", 8),
        number("Least A for load", most=7),
        number("Most A for wires", most=7),
        Column("Short circuit at far end A", 9),
        Column("Opens within s", 7, align="right"),
        number("Lets through, of what the wire stands", "0%", 9),
        Column("Fuse before it: which opens first", 17),
        Column("Guards wires", 20),
        Column("Reason", 32),
        Column("Figures from (see Sources)", 8),
    )
    faults, orders = _by_fuse(design), _orders(design)
    rows = (_row(fuse, faults.get(fuse.name, []), orders.get(fuse.name, []), marks) for fuse in design.fuses)
    return Sheet("Fuses", columns, (*rows, *_spare_rows(design)), spilling=frozenset({0}))
