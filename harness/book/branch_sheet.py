"""The sheet for the board: every piece in the order of laying, the trunk of a loom before its branches."""

from __future__ import annotations

from harness.book.sheet import TICK, Column, Row, Sheet, metres_and_feet, number, tick
from harness.lists.branches import Branch, by_branch
from harness.lists.cutlist import CutEnd, CutLine, Spool, cut_list
from harness.lists.measure import CENTIMETRE, round_up
from harness.lists.tally import count_of
from harness.model.design import Design


def end_name(end: CutEnd) -> str:
    """Write one end of a piece: "key 15 (dash)" or "splice S1 (front)"."""
    name = f"{end.part} {end.terminal}" if end.terminal else f"splice {end.part}"
    return f"{name} ({end.place})" if end.place else name


def _row(line: CutLine, spool: Spool) -> Row:
    return Row(
        (
            line.number,
            TICK,
            spool.title,
            round_up(line.length_m, step=CENTIMETRE),
            line.length_ft_in,
            line.batch,
            end_name(line.from_),
            end_name(line.to),
            line.circuit,
            TICK,
        )
    )


def _heading(branch: Branch) -> Row:
    many = count_of(len(branch.lines), "wire") if branch.lines else "no wire ends here alone"
    longest = f", longest {metres_and_feet(branch.lines[0].length_m)}" if branch.lines else ""
    words = f"{branch.loom}, {branch.title}: {many}{longest}".removeprefix(", ")
    return Row((words,), "heading")


def branch_sheet(design: Design) -> Sheet:
    """Return the pieces by branch: a heading with the way each takes, then its wires, longest first."""
    columns = (
        Column("Wire", 8),
        tick("Cut"),
        Column("Spool: cable, size, colour", 22),
        number("Length m"),
        Column("Length ft in", 12),
        Column("Batch (cut, crimp together)", 10),
        Column("From part, terminal (place)", 34),
        Column("To part, terminal (place)", 34),
        Column("Circuit", 20),
        tick("Laid"),
    )
    spools = {line.number: spool for spool in cut_list(design) for line in spool.lines}
    rows: list[Row] = []
    for branch in by_branch(design):
        rows.append(_heading(branch))
        rows.extend(_row(line, spools[line.number]) for line in branch.lines)
    return Sheet("By branch", columns, tuple(rows), filters=True, spilling=frozenset({0}))
