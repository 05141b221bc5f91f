"""Prints the traced old wires beside the new design: dropped, changed, as before, and what is new."""

from __future__ import annotations

from harness.lists.oldwires import Comparison, OldBeside, beside
from harness.model.design import Design
from harness.model.machine import Machine
from harness.signs import json_text

NONE = "The survey records no old wires: `harness guide survey`, section 'old wires', says how."


def _about(one: OldBeside) -> str:
    old = one.old
    ends = [f"{part} {terminal}".strip() or place for (part, terminal), place in
            ((old.from_end, old.start), (old.to_end, old.end))]  # fmt: skip
    looks = " ".join(word for word in (old.size, old.colour) if word)
    head = f"tag {old.tag}: " if old.tag else ""
    return f"{head}{looks + ' ' if looks else ''}{ends[0]} to {ends[1]}"


def _rest(one: OldBeside) -> str:
    old = one.old
    said = [] if old.kept is None else ["kept" if old.kept else "replaced"]
    said += [word for word in (old.why, f"photo {old.photo}" if old.photo else "") if word]
    return f" ({'; '.join(said)})" if said else ""


def compared_text(machine: Machine, design: Design) -> str:
    """In plain words, old wire by old wire, then the new ones."""
    from harness.book.text import one_line

    if not machine.old_wires:
        return NONE
    found = beside(machine.old_wires, design)
    lines = []
    for one in found.old:
        by = f", new wire {', '.join(one.wires)}" if one.wires else ""
        why = f": {one.told}" if one.told else ""
        lines.append(one_line(f"{one.fate:<13} {_about(one)}{by}{why}{_rest(one)}"))
    wires = {wire.number: wire for wire in design.wires}
    for number in found.new:
        new = wires[number]
        ends = f"{new.from_.part} {new.from_.terminal}".strip(), f"{new.to.part} {new.to.terminal}".strip()
        lines.append(one_line(f"{'new':<13} {number}: {new.size} {new.colour} {ends[0]} to {ends[1]}"))
    return "\n".join(lines)


def compared_json(machine: Machine, design: Design) -> str:
    """The same for a program."""
    found: Comparison = beside(machine.old_wires, design)
    rows = [
        {
            "tag": one.old.tag, "about": _about(one), "from": list(one.old.from_end),
            "to": list(one.old.to_end),
            "from_place": one.old.start, "to_place": one.old.end, "colour": one.old.colour,
            "size": one.old.size, "kept": one.old.kept, "why": one.old.why, "photo": one.old.photo,
            "fate": one.fate, "wires": list(one.wires), "told": one.told, "where": str(one.old.where),
        }
        for one in found.old
    ]  # fmt: skip
    return json_text({"old_wires": rows, "new": list(found.new)})
