"""What hangs on each edge of a graph: a walk that finds every edge whose loss cuts something off."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

Edge = tuple[Hashable, Hashable]
ROOT = object()


@dataclass(frozen=True, slots=True)
class Bridges:
    """The only ways home of a graph, from a depth-first walk of it.

    ``first`` and ``last``: the span of walk numbers behind each node. ``above``: node -> the nearest edge on
    its way home that has no way round, None when it has several ways. ``beyond``: such an edge -> the next.
    """

    first: Mapping[Hashable, int]
    last: Mapping[Hashable, int]
    above: Mapping[Hashable, int | None]
    beyond: Mapping[int, int | None]
    span: Mapping[int, tuple[int, int]]  # edge -> walk numbers of what hangs on it

    def chain(self, node: Hashable) -> list[int]:
        """Every edge whose loss cuts a node off, nearest first; [] for a node that is not in the graph."""
        found: list[int] = []
        edge = self.above.get(node)
        while edge is not None:
            found.append(edge)
            edge = self.beyond[edge]
        return found


@dataclass(slots=True)
class _Walk:
    first: dict[Hashable, int] = field(default_factory=dict)
    low: dict[Hashable, int] = field(default_factory=dict)
    last: dict[Hashable, int] = field(default_factory=dict)
    came: dict[Hashable, tuple[Hashable, int] | None] = field(default_factory=dict)


def bridges(edges: Sequence[Edge], homes: Iterable[Hashable]) -> Bridges:
    """The edges without a way round, seen from ``homes``, which count as one point; linear in the edges.

    Edges are told by their place in the list. Source: R. E. Tarjan, A note on finding the bridges of a graph,
    Information Processing Letters 2 (1974) 160-161 (memory).
    """
    around: dict[Hashable, list[tuple[Hashable, int]]] = {ROOT: []}
    for at, (a, b) in enumerate(edges):
        around.setdefault(a, []).append((b, at))
        around.setdefault(b, []).append((a, at))
    for home in homes:
        for at in (-1, -2):  # two ways each, so that none of these is ever the only one
            around[ROOT].append((home, at))
            around.setdefault(home, []).append((ROOT, at))
    walk = _walk(around)
    above: dict[Hashable, int | None] = {}
    beyond: dict[int, int | None] = {}
    span: dict[int, tuple[int, int]] = {}
    for node in walk.first:
        step = walk.came[node]
        if step is None:
            above[node] = None
            continue
        parent, edge = step
        if walk.low[node] > walk.first[parent]:
            above[node], beyond[edge] = edge, above[parent]
            span[edge] = (walk.first[node], walk.last[node])
        else:
            above[node] = above[parent]
    return Bridges(walk.first, walk.last, above, beyond, span)


def _walk(around: Mapping[Hashable, list[tuple[Hashable, int]]]) -> _Walk:
    walk = _Walk()
    walk.first[ROOT] = walk.low[ROOT] = 0
    walk.came[ROOT] = None
    stack = [(ROOT, iter(around[ROOT]))]
    while stack:
        node, ways = stack[-1]
        for other, edge in ways:
            if other not in walk.first:
                walk.first[other] = walk.low[other] = len(walk.first)
                walk.came[other] = (node, edge)
                stack.append((other, iter(around[other])))
                break
            step = walk.came[node]
            if step is None or edge != step[1] or step[0] != other:
                walk.low[node] = min(walk.low[node], walk.first[other])
        else:
            stack.pop()
            walk.last[node] = len(walk.first) - 1
            step = walk.came[node]
            if step is not None:
                walk.low[step[0]] = min(walk.low[step[0]], walk.low[node])
    return walk
