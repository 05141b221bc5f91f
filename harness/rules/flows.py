"""Two questions to a graph of points: what lies on a way between two, and how much fits through at most.

Written out, because the usual library for them takes longer to start than both together on a large machine.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from math import inf
from typing import TypeVar

Point = TypeVar("Point", bound=Hashable)


def blocks_at(root: Point, joined: Iterable[tuple[Point, Point]]) -> list[set[Point]]:
    """The blocks that meet at a point: points that any two ways apart from each other tie to it.

    Depth first with low points (Hopcroft and Tarjan 1973); the root is in every block.
    """
    around: dict[Point, dict[Point, None]] = {}
    for a, b in joined:
        around.setdefault(a, {})[b] = None
        around.setdefault(b, {})[a] = None
    number = {root: 0}
    low = {root: 0}
    below: dict[Point, list[Point]] = {root: []}
    todo = [(root, iter(around.get(root, ())))]
    while todo:
        here, others = todo[-1]
        for other in others:
            if other not in number:
                number[other] = low[other] = len(number)
                below[here].append(other)
                below[other] = []
                todo.append((other, iter(around[other])))
                break
            if len(todo) < 2 or other != todo[-2][0]:
                low[here] = min(low[here], number[other])
        else:
            todo.pop()
            if todo:
                low[todo[-1][0]] = min(low[todo[-1][0]], low[here])
    found = []
    for first in below[root]:
        block, order = {root, first}, [first]
        for here in order:
            inside = [each for each in below[here] if low[each] < number[here]]
            block.update(inside)
            order.extend(inside)
        found.append(block)
    return found


def most_flow(room: Mapping[tuple[Point, Point], float], starts: Iterable[Point], end: Point) -> float:
    """How much fits from some points together to another, with so much room from point to point.

    Shortest way with room left, again and again (Edmonds and Karp 1972); 0 where no way leads there, and
    infinite where a start is the end.
    """
    starts = dict.fromkeys(starts)
    if end in starts:
        return inf
    left: dict[Point, dict[Point, float]] = {}
    for (a, b), each in room.items():
        left.setdefault(a, {})[b] = each
        left.setdefault(b, {}).setdefault(a, 0.0)
    total = 0.0
    while True:
        came: dict[Point, Point | None] = dict.fromkeys(starts)
        for here in (order := list(came)):
            if here == end:
                break
            for other, rest in left.get(here, {}).items():
                if rest > 1e-9 and other not in came:
                    came[other] = here
                    order.append(other)
        if end not in came:
            return total
        steps, there = [], end
        while (before := came[there]) is not None:
            steps.append((before, there))
            there = before
        more = min(left[a][b] for a, b in steps)
        for a, b in steps:
            left[a][b] -= more
            left[b][a] += more
        total += more
