"""The sheet of tools: what has to lie on the bench, and why."""

from __future__ import annotations

from harness.book.sheet import TICK, Column, Row, Sheet, tick
from harness.model.design import Design


def tools_sheet(design: Design) -> Sheet:
    """Return every tool and die with its size, its reason and where it is used."""
    columns = (
        Column("Tool", 34),
        Column("Size", 18),
        Column("Why, and what it must do", 50),
        tick("Got"),
        Column("Used on (wire, splice, run, part)", 44),
        Column("Figures from", 30),
    )
    rows = [
        Row((tool.what, tool.size, tool.why, TICK, ", ".join(tool.used_on), tool.source))
        for tool in design.tools
    ]
    return Sheet("Tools", columns, tuple(rows) or (Row(("none", "", "there is nothing to build")),))
