"""A rough current for every wire, taken from the paths alone, to weigh copper before anything is sized."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from harness.model.machine import End, Link, Machine

LEAST_A = 3.0  # the thinnest wire that mechanical strength allows costs copper as if it carried this
EVERY_A = 0.5  # one wire more in the loom is worth this much copper, so that equal ways take fewer wires


def _links_by_terminal(machine: Machine) -> dict[End, list[tuple[str, Link]]]:
    found: dict[End, list[tuple[str, Link]]] = defaultdict(list)
    for part in machine.parts.values():
        for link in part.links:
            found[End("part", part.name, link.a)].append((part.name, link))
    return found


def rough_currents_a(machine: Machine, wires: Iterable[int]) -> dict[int, float]:
    """Current of some wires by index [A]: the steady loads found by following the wires away from each."""
    onward: dict[End, list[tuple[int, End]]] = defaultdict(list)
    for wire in machine.wires:
        onward[wire.a].append((wire.index, wire.b))
    links = _links_by_terminal(machine)

    def downstream(start: End) -> float:
        seen, todo, total = {start}, [start], 0.0
        while todo:
            here = todo.pop()
            nexts = [end for _, end in onward[here]]
            for part, link in links[here]:
                if link.load is not None:
                    total += link.load.steady_a
                elif link.kind != "source":
                    nexts.append(End("part", part, link.b))
            fresh = [end for end in nexts if end not in seen and end.kind != "body"]
            seen.update(fresh)
            todo.extend(fresh)
        return total

    return {index: max(LEAST_A, downstream(machine.wires[index].b)) + EVERY_A for index in wires}
