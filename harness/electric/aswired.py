"""Which size each wire has in the machine already, where that was kept, so that none is torn out in vain."""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass

from harness.model.accepted import ARROW
from harness.model.machine import Machine, WireSpec

NUMBERED = re.compile(r"S\d+")  # splices that the survey does not name: numbers move when one is added


def wire_name(a: object, b: object) -> str:
    """What a wire is called by its ends: "battery + > starter 30"."""
    return f"{a}{ARROW}{b}"


def _ends(name: str) -> tuple[str, str]:
    a, _, b = name.partition(ARROW)
    return (a, b) if a <= b else (b, a)


@dataclass(frozen=True, slots=True)
class AsWired:
    """Sizes that wires have in the machine, and the lines that no wire has any more."""

    sizes: dict[int, frozenset[str]]  # wire -> "12 AWG"; of one not yet cut at a coupler, those of its pieces
    left: tuple[str, ...]


def as_wired(machine: Machine) -> AsWired:
    """What the kept sizes say of the wires of a machine.

    A wire is found by its ends, either way round; else by its ends whatever number a splice has, where only
    one line is so; else, before it is cut at a coupler, by the pieces that begin where it begins or ends. A
    line for another cable than the wire now has holds nothing.
    """
    left = {_ends(name): name for name in machine.accepted.wired}
    found: dict[int, frozenset[str]] = {}
    if not left:
        return AsWired(found, ())
    points = {
        f"{part.name} {terminal.name}": part.role == "coupler"
        for part in machine.parts.values()
        for terminal in part.terminals
    }

    def sizes(spec: WireSpec, names: list[str]) -> frozenset[str]:
        cable = f"{spec.cable or machine.cable} "
        texts = (machine.accepted.wired[name] for name in names)
        return frozenset(text.removeprefix(cable) for text in texts if text.startswith(cable))

    def loosely(ends: tuple[str, str]) -> tuple[str, ...]:
        return tuple(sorted("S" if NUMBERED.fullmatch(end) else end for end in ends))

    exact = dict(left)
    for spec in machine.wires:
        ends = _ends(wire_name(spec.a, spec.b))
        if name := exact.get(ends):  # of two wires side by side both have it
            found[spec.index] = sizes(spec, [name])
            left.pop(ends, None)
    loose = defaultdict(list)
    for ends in left:
        loose[loosely(ends)].append(ends)
    pieces = {
        outer: left[ends]
        for ends in left
        for outer, inner in (ends, ends[::-1])
        if points.get(inner) and not points.get(outer)
    }
    for spec in machine.wires:
        if spec.index in found:
            continue
        ends = _ends(wire_name(spec.a, spec.b))
        alike = loose[loosely(ends)] if "S" in loosely(ends) else []
        if len(alike) == 1 and alike[0] in left:
            found[spec.index] = sizes(spec, [left.pop(alike[0])])
        elif cut := [pieces[end] for end in ends if end in pieces]:
            found[spec.index] = sizes(spec, cut)
    return AsWired({wire: held for wire, held in found.items() if held}, tuple(left.values()))
