"""Stretches with one and the same volts: what chafes or leaks anywhere on one shows alike at a meter."""

from __future__ import annotations

from collections.abc import Sequence

from harness.electric.graph import Node
from harness.faultfinding.patient import Patient

MOST_NAMED = 4


def stretches(patient: Patient) -> list[tuple[Node, ...]]:
    """Points joined by wires and bars alone, in the order of the survey, metal and what is on it left out.

    Between two lies a fuse, a contact or a load, so a leak is told to be in one of them and no nearer.
    """
    home: dict[Node, Node] = {node: node for node in patient.nodes}

    def root(node: Node) -> Node:
        while home[node] != node:
            home[node] = home[home[node]]
            node = home[node]
        return node

    for edge in patient.edges.values():
        if edge.kind in ("wire", "bus") and edge.a in home and edge.b in home:
            home[root(edge.b)] = root(edge.a)
    grounded = {root(edge.a) for edge in patient.edges.values() if edge.kind == "joint"}
    grounded |= {root(node) for node in patient.nodes if node.kind == "body" or node == patient.reference}
    found: dict[Node, list[Node]] = {}
    for node in patient.nodes:
        if root(node) not in grounded:
            found.setdefault(root(node), []).append(node)
    return [tuple(nodes) for nodes in found.values()]


def stretch_words(nodes: Sequence[Node]) -> str:
    """A stretch by its points: "panel F3 - left head relay 30"."""
    named = [f"splice {node.name}" if node.kind == "splice" else str(node) for node in nodes]
    if len(named) > MOST_NAMED:
        named = [*named[: MOST_NAMED - 1], f"{len(named) - MOST_NAMED + 1} more points"]
    return " - ".join(named)
