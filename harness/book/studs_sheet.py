"""The sheet of studs: what lies on each from the metal outward, and how tight it goes."""

from __future__ import annotations

from harness.book.sheet import TICK, Column, Row, Sheet, tick
from harness.model.design import Design
from harness.model.hardware import StudStack


def _bought(stud: StudStack) -> str:
    return "; ".join(f"{count} {item}" for item, count in stud.hardware.items())


def _row(stud: StudStack) -> Row:
    return Row(
        (
            stud.part,
            stud.terminal,
            stud.place,
            f"{stud.fitting} {stud.thread}".strip(),
            ", ".join(stud.stack),
            _bought(stud),
            stud.torque,
            stud.source,
            TICK,
            TICK,
        )
    )


def studs_sheet(design: Design) -> Sheet:
    """Return every stud, screw and post with wires on it."""
    columns = (
        Column("Part", 18),
        Column("Terminal", 8),
        Column("Place", 14),
        Column("Fits", 10),
        Column("From the metal outward", 40),
        Column("To buy for it", 34),
        Column("Tighten to", 26),
        Column("Figure from", 30),
        tick("Tight"),
        tick("Again when warm"),
    )
    rows = tuple(map(_row, design.studs))
    return Sheet("Studs", columns, rows or (Row(("none", "no wire lands on a stud, screw or post")),))
