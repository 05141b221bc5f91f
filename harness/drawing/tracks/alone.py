"""One circuit out of the net: its own wires, and the way its feed takes from the battery."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from harness.drawing.tracks.net import Edge, Net, Node
from harness.model.design import CircuitResult, Design
from harness.model.operating import Operating


def _wires(circuit: CircuitResult) -> set[str]:
    on_paths = {step.wire for path in circuit.paths for step in path if step.wire is not None}
    return on_paths | set(circuit.wires)


def _own(whole: Net, circuit: CircuitResult) -> dict[Edge, None]:
    """Wires of a circuit, the ways its paths take through parts, and what its wires end at."""
    numbers = _wires(circuit)
    taken = {(step.part, step.link) for path in circuit.paths for step in path if step.link is not None}
    wires = [edge for edge in whole.edges if edge.wire is not None and edge.wire.number in numbers]
    fed, left = {edge.low for edge in wires}, {edge.top for edge in wires}
    found = dict.fromkeys(wires)
    for edge in whole.edges:
        if edge.part is None or edge.link is None:
            continue
        lands = edge.top in fed and (edge.low in left or edge.low in whole.metal or edge.link.kind == "load")
        if lands or (edge.part.name, edge.link.name) in taken or (edge.bulky and edge.low in left):
            found[edge] = None
    return found


def _way_up(whole: Net, start: Node) -> list[Edge]:
    """Shortest way from a point up to a live post."""
    came: dict[Node, Edge] = {}
    waiting, seen = [start], {start}
    for node in waiting:
        if node in whole.posts:
            way = []
            while node != start:
                way.append(came[node])
                node = came[node].low
            return way
        for edge in whole.into.get(node, ()):
            if edge.top not in seen and not edge.bulky and edge.top not in whole.metal:
                seen.add(edge.top)
                came[edge.top] = edge
                waiting.append(edge.top)
    return []


def alone(whole: Net, circuit: CircuitResult) -> Net:
    """Return the net of one circuit with its feed."""
    found = _own(whole, circuit)
    lands = {edge.low for edge in found}
    for node in dict.fromkeys(edge.top for edge in found):
        if node not in lands and node not in whole.metal:
            found.update(dict.fromkeys(_way_up(whole, node)))
    edges = sorted(found, key=lambda edge: edge.at)
    down: dict[Node, list[Edge]] = {}
    into: dict[Node, list[Edge]] = {}
    for edge in edges:
        down.setdefault(edge.top, []).append(edge)
        into.setdefault(edge.low, []).append(edge)
    there = {node for edge in edges for node in (edge.top, edge.low)}
    return Net(
        whole.design, edges, down, into, [node for node in whole.supply if node in there],
        [node for node in whole.returns if node in there],
        {node: name for node, name in whole.metal.items() if node in there}, whole.posts,
        whole,
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
