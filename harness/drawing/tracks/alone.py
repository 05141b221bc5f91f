"""One circuit out of the net: its own wires, and the way its feed takes from the battery."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from harness.drawing.tracks.net import Edge, Net, Node, by_part
from harness.model.design import CircuitResult, Design
from harness.model.operating import Operating


def _wires(circuit: CircuitResult) -> set[str]:
    on_paths = {step.wire for path in circuit.paths for step in path if step.wire is not None}
    return on_paths | set(circuit.wires)


@dataclass(frozen=True, slots=True)
class Whole:
    """A net, ready to have one circuit after the other taken out of it."""

    net: Net
    wires: Mapping[str, Edge]


def indexed(net: Net) -> Whole:
    """Index a net for ``alone``."""
    return Whole(net, {edge.wire.number: edge for edge in net.edges if edge.wire is not None})


def _own(all_: Whole, circuit: CircuitResult) -> dict[Edge, None]:
    """Wires of a circuit, the ways its paths take through parts, and what its wires end at."""
    taken = {(step.part, step.link) for path in circuit.paths for step in path if step.link is not None}
    wires = [all_.wires[number] for number in sorted(_wires(circuit)) if number in all_.wires]
    fed, left = {edge.low for edge in wires}, {edge.top for edge in wires}
    found = dict.fromkeys(wires)
    touched = dict.fromkeys(node.part for edge in wires for node in (edge.top, edge.low))
    touched |= dict.fromkeys(part for part, _ in taken if part is not None)
    for edge in (each for name in touched for each in all_.net.of_part.get(name, ())):
        if edge.part is None or edge.link is None:
            continue
        led_on = edge.low in left or edge.low in all_.net.metal or edge.link.kind == "load"
        if (
            (edge.top in fed and led_on)
            or (edge.bulky and edge.low in left)
            or (edge.part.name, edge.link.name) in taken
        ):
            found[edge] = None
    return found


def _way_up(net: Net, start: Node) -> list[Edge]:
    """Shortest way from a point up to a live post."""
    came: dict[Node, Edge] = {}
    waiting, seen = [start], {start}
    for node in waiting:
        if node in net.posts:
            way = []
            while node != start:
                way.append(came[node])
                node = came[node].low
            return way
        for edge in net.into.get(node, ()):
            if edge.top not in seen and not edge.bulky and edge.top not in net.metal:
                seen.add(edge.top)
                came[edge.top] = edge
                waiting.append(edge.top)
    return []


def alone(all_: Whole, circuit: CircuitResult) -> Net:
    """Return the net of one circuit with its feed."""
    net = all_.net
    found = _own(all_, circuit)
    lands = {edge.low for edge in found}
    for node in dict.fromkeys(edge.top for edge in found):
        if node not in lands and node not in net.metal:
            found.update(dict.fromkeys(_way_up(net, node)))
    edges = sorted(found, key=lambda edge: edge.at)
    down: dict[Node, list[Edge]] = {}
    into: dict[Node, list[Edge]] = {}
    for edge in edges:
        down.setdefault(edge.top, []).append(edge)
        into.setdefault(edge.low, []).append(edge)
    there = dict.fromkeys(node for edge in edges for node in (edge.top, edge.low))
    return Net(
        net.design, edges, down, into, [node for node in net.supply if node in there],
        [node for node in net.returns if node in there],
        {node: net.metal[node] for node in there if node in net.metal}, net.posts, net, by_part(edges),
    )  # fmt: skip


def guests(net: Net, circuit: CircuitResult) -> set[str]:
    """Numbers of the wires on a circuit's sheet that belong to another circuit."""
    own = set(circuit.wires)
    return {edge.wire.number for edge in net.edges if edge.wire is not None} - own


def shown_modes(design: Design, circuit: CircuitResult) -> list[Operating]:
    """Choose the modes whose volts stand on a circuit's sheet: at most two, cranking and at work.

    Of modes with the engine in the same state the last is taken, which draws most in a usual survey.
    """
    by_engine: dict[str, Operating] = {}
    for mode in circuit.modes:
        found = next((each for each in design.operating if each.mode == mode and each.settled), None)
        if found is not None:
            by_engine[found.engine] = found
    order = [by_engine[each] for each in ("stopped", "cranking", "running") if each in by_engine]
    return order[-2:]


def key_of(node: Node | str) -> str:
    """Name of a point in the lists of volts."""
    if isinstance(node, str):
        return f"body {node}"
    return f"splice {node.part}" if node.kind == "splice" else f"{node.part} {node.terminal}"


def volts_text(points: Sequence[Mapping[str, float]], node: Node | str, *, positive: bool) -> str:
    """Volts of a point as a meter on the chassis post shows them, mode after mode; "" where none is known."""
    found = [each.get(key_of(node)) for each in points]
    if all(value is None for value in found):
        return ""
    sign = -1.0 if positive else 1.0
    return f"{' / '.join('–' if value is None else _number(sign * value) for value in found)} V"


def _number(value: float) -> str:
    text = f"{value:.2f}"
    return "0.00" if text == "-0.00" else text.replace("-", "−")
