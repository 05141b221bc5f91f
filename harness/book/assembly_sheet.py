"""The sheet of the order of work: looms on the board, then on the machine, the battery last."""

from __future__ import annotations

from harness.book.sheet import TICK, Column, Row, Sheet, number, tick
from harness.model.assembly import AssemblyStep
from harness.model.design import Design


def _row(step: AssemblyStep) -> Row:
    return Row(
        (
            step.number,
            f"{step.stage}, {step.loom}" if step.loom else step.stage,
            step.where,
            step.what,
            ", ".join(step.wires),
            step.caution,
            TICK,
            step.source,
        )
    )


def assembly_sheet(design: Design) -> Sheet:
    """Return the numbered steps of building and fitting; a caution stands in the row it belongs to."""
    columns = (
        number("Step (count)", "0", 6),
        Column("Stage, loom", 16),
        Column("Where", 24),
        Column("What to do", 62),
        Column("Wires", 24),
        Column("Caution", 32),
        tick("Done"),
        Column("Source", 18),
    )
    none = Row((None, "", "", "nothing is made new"))
    return Sheet("Assembly", columns, tuple(map(_row, design.assembly)) or (none,))
