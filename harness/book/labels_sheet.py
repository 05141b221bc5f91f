"""The sheet of labels: the text for every wire end twice, in the order of laying, and where it sits."""

from __future__ import annotations

from collections.abc import Iterator

from harness.book.branch_sheet import end_name
from harness.book.sheet import TICK, Column, Row, Sheet, number, tick
from harness.lists.branches import Branch, by_branch
from harness.lists.cutlist import CutEnd, CutLine
from harness.model.design import Design, Wire


def position(end: CutEnd) -> str:
    """Write where a label sits: "25 to 50 mm", or "in the middle" where one serves both ends."""
    if end.label_near_mm is None or end.label_far_mm is None:
        return "in the middle"
    return f"{end.label_near_mm:g} to {end.label_far_mm:g} mm"


def _rows(line: CutLine, wire: Wire, size: tuple[str, str]) -> Iterator[Row]:
    kind = f"{wire.size} {wire.colour}"
    for end in (line.from_, line.to):
        if end.label:
            here = (end_name(end), position(end), TICK)
            yield Row((end.label, end.label, kind, wire.outside_mm, *size, *here))
        if end.label_near_mm is None:  # the other end has the same label
            return


def _heading(branch: Branch) -> Row:
    return Row((f"{branch.loom}, {branch.title}".removeprefix(", "),), "heading")


def labels_sheet(design: Design) -> Sheet:
    """Return the labels to print and cut: the same text in two cells, for both faces of a sleeve."""
    rule = design.label_rule
    size = ("", "")
    if rule is not None:
        size = (
            f"{rule.letters_least_mm:g} to {rule.letters_most_mm:g} mm",
            f"{rule.sleeve_least_mm:g} to {rule.sleeve_most_mm:g} mm",
        )
    columns = (
        Column("Label", 22, least=12),
        Column("The same again", 22, least=12),
        Column("Wire", 18),
        number("Slips over mm", "0.0", 8),
        Column("Letters high", 12),
        Column("Sleeve long", 12),
        Column("Goes on at part, terminal (place)", 44, least=36),
        Column("From the terminal", 14),
        tick("On"),
    )
    wires = {wire.number: wire for wire in (*design.wires, *design.spares)}
    rows: list[Row] = []
    for branch in by_branch(design):
        if branch.lines:
            rows.append(_heading(branch))
        for line in branch.lines:
            rows.extend(_rows(line, wires[line.number], size))
    return Sheet("Labels", columns, tuple(rows), spilling=frozenset({0}))
