"""The number of every wire: by electrical point with a suffix, by circuit, or in order."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable

from harness.joined import Joined
from harness.letters import letters_of
from harness.model.machine import Machine
from harness.model.stages import Routed

BUS_OHM = 0.05  # an inner link below this is a bar, above it a resistor


def _by_point(machine: Machine, routed: Routed) -> list[str]:
    """One number for what is electrically one point, a letter for each of its lengths.

    The number changes only across a fuse, switch or load. Source: military vehicle practice (read): a wire
    keeps its number as long as it is one point, lengths take a suffix.
    """
    joined = Joined[Hashable]()
    bodies = {part.name: part.body for part in machine.parts.values() if part.role == "ground"}
    posts = {part.name for part in machine.parts.values() if part.role == "source"}
    starts: list[Hashable] = []
    for wire in routed.wires:
        a, b = (
            ("body", bodies[point.part], "")
            if point.part in bodies
            else (point.kind, point.part, point.terminal)
            for point in (wire.a, wire.b)
        )
        starts.append(a)
        strap = {a[0], b[0]} == {"body"} or ("body" in (a[0], b[0]) and {a[1], b[1]} & posts)
        if not strap:  # each body keeps a number of its own, or every return on the machine would share one
            joined.join(a, b)
    for part in machine.parts.values():
        for link in part.links:
            if link.kind == "bus" and link.resistance_ohm < BUS_OHM and "case" not in (link.a, link.b):
                joined.join(("part", part.name, link.a), ("part", part.name, link.b))
    tops = [joined.top(start) for start in starts]
    members: dict[Hashable, list[int]] = defaultdict(list)
    for at, top in enumerate(tops):
        members[top].append(at)
    found = [""] * len(starts)
    for number, wires in enumerate(members.values(), 1):
        for place, at in enumerate(wires):
            found[at] = f"{number}{letters_of(place).lower()}" if len(wires) > 1 else str(number)
    return found


def _by_circuit(machine: Machine, _: Routed) -> list[str]:
    order = {circuit.name: at for at, circuit in enumerate(machine.circuits, 1)}
    seen: dict[str, int] = defaultdict(int)
    found = []
    for wire in machine.wires:
        seen[wire.circuit] += 1
        found.append(f"{order[wire.circuit]}-{seen[wire.circuit]}")
    return found


def _in_order(machine: Machine, _: Routed) -> list[str]:
    return [str(at) for at in range(1, len(machine.wires) + 1)]


_SCHEMES = {"by point": _by_point, "by circuit": _by_circuit, "in order": _in_order}


def wire_numbers(machine: Machine, routed: Routed) -> list[str]:
    """The number of every wire, in the order of Machine.wires; no two are the same."""
    return _SCHEMES[machine.numbering](machine, routed)
