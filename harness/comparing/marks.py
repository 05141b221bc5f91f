"""The changes of a comparison with their numbers, as the marked drawing takes them."""

from __future__ import annotations

from harness.comparing.change import Comparison
from harness.comparing.telling import TITLES
from harness.comparing.words import told
from harness.drawing.change_marks import Mark, Marks, Row
from harness.model.design import Design

LEFT_OUT = ("totals", "small")  # nothing a drawing could show


def marks(found: Comparison, design: Design) -> Marks:
    """Number all changes, the most weighty first; a wire bears the number of the first line about it.

    ``design``: the new one.
    """
    new: dict[str, Mark] = {}
    old: dict[str, Mark] = {}
    rows: list[Row] = []
    fuses: dict[tuple[str, str], Mark] = {}
    ways = {fuse.name: (fuse.part, fuse.link) for fuse in design.fuses}
    for group in TITLES:
        if group in LEFT_OUT:
            continue
        for text, changes in told([change for change in found.changes if change.group == group]):
            first = changes[0]
            mark = Mark(first.act, len(rows) + 1)
            rows.append(Row(mark, text[2:]))
            if group == "fuses" and first.new_name in ways:
                fuses.setdefault(ways[first.new_name], mark)
            if first.subject.startswith("wire ") and group in ("wires", "numbers"):
                if first.act == "removed":
                    old.setdefault(first.old_name, mark)
                else:
                    new.setdefault(first.new_name, mark)
    return Marks(new, old, rows, fuses)
