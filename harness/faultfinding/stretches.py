"""Stretches with one and the same volts: what chafes or leaks anywhere on one shows alike at a meter."""

from __future__ import annotations

from collections.abc import Sequence

from harness.electric.graph import Node
from harness.faultfinding.patient import Patient
from harness.joined import Joined

MOST_NAMED = 4


def stretches(patient: Patient) -> list[tuple[Node, ...]]:
    """Points joined by wires and bars alone, in the order of the survey, metal and what is on it left out.

    Between two lies a fuse, a contact or a load, so a leak is told to be in one of them and no nearer.
    """
    nodes, joined = set(patient.nodes), Joined[Node]()
    for edge in patient.edges.values():
        if edge.kind in ("wire", "bus") and edge.a in nodes and edge.b in nodes:
            joined.join(edge.a, edge.b)
    grounded = {joined.top(edge.a) for edge in patient.edges.values() if edge.kind == "joint"}
    grounded |= {
        joined.top(node) for node in patient.nodes if node.kind == "body" or node == patient.reference
    }
    found: dict[Node, list[Node]] = {}
    for node in patient.nodes:
        if joined.top(node) not in grounded:
            found.setdefault(joined.top(node), []).append(node)
    return [tuple(nodes) for nodes in found.values()]


def stretch_words(nodes: Sequence[Node]) -> str:
    """A stretch by its points: "panel F3 - left head relay 30"."""
    named = [f"splice {node.name}" if node.kind == "splice" else str(node) for node in nodes]
    if len(named) > MOST_NAMED:
        named = [*named[: MOST_NAMED - 1], f"{len(named) - MOST_NAMED + 1} more points"]
    return " - ".join(named)
