"""The sheet of splices and branches: where each is made and of what, and what other ways come to."""

from __future__ import annotations

from collections.abc import Iterator

from harness.book.sheet import TICK, Column, Row, Sheet, Value, number, tick
from harness.book.text import WAY_WORDS
from harness.model.design import Design, Splice
from harness.model.joints import JointCount, JointResult


def _where(splice: Splice) -> str:
    return splice.spot or f"at {splice.place}"


def _figures(count: JointCount | None) -> tuple[Value, ...]:
    if count is None:
        return (None,) * 4
    return (round(count.wire_m, 2), round(1000 * count.copper_kg), count.terminals, count.splices)


def _note(count: JointCount, made: JointCount) -> str:
    """What a way not taken would cost or save, and why it cannot be."""
    more_g = round(1000 * (count.copper_kg - made.copper_kg))
    words = f"{abs(more_g)} g of copper {'more' if more_g >= 0 else 'less'}"
    return f"{words}; not so: {count.not_so}" if count.not_so else words


def _other_ways(joint: JointResult) -> Iterator[Row]:
    made = next(count for count in joint.counts if count.way == joint.made)
    for count in joint.counts:
        if count is not made:
            words = ("", f"instead: {WAY_WORDS[count.way]}", "", "", "", "")
            yield Row((*words, *_figures(count), "", _note(count, made)))


def _rows(design: Design) -> Iterator[Row]:
    joints = {joint.splice: joint for joint in design.joints}
    for splice in design.splices:
        joint = joints.pop(splice.name, None)
        mine = next((count for count in joint.counts if count.way == "splice"), None) if joint else None
        tube = f"{splice.shrink}, cut {splice.shrink_mm:g} mm" if splice.shrink else ""
        made = (splice.name, "splice", _where(splice), ", ".join(splice.wires), splice.fitting, tube)
        yield Row((*made, *_figures(mine), TICK, splice.circuit))
        if joint:
            yield from _other_ways(joint)
    for joint in joints.values():  # made without a splice
        made_count = next(count for count in joint.counts if count.way == joint.made)
        ways = f"{joint.starts_at} to {', '.join(joint.leads_to)}"
        yield Row(("", WAY_WORDS[joint.made], ways, "", "", "", *_figures(made_count), "", joint.circuit))
        yield from _other_ways(joint)


def splices_sheet(design: Design) -> Sheet:
    """Return every splice with its spot, its wires and its fit-out, and every branch the other ways."""
    columns = (
        Column("Splice", 8),
        Column("Made as", 18),
        Column("Where, to the middle of the splice", 34),
        Column("Joins wires", 18),
        Column("Barrel", 26),
        Column("Heat-shrink", 26),
        number("Wire m", most=8),
        number("Copper g", "0", 8),
        number("Terminals (count)", "0", 10),
        number("Splices (count)", "0", 8),
        tick("Done"),
        Column("Circuit, or against the way taken", 40),
    )
    return Sheet("Splices", columns, tuple(_rows(design)))
