"""Which fuse stands before every wire: a walk from the live posts through all that conducts."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from harness.electric.graph import Edge, Node, neighbours

FuseKey = tuple[str, str]  # part and link


@dataclass(frozen=True, slots=True)
class Guards:
    """Nearest fuses before every wire and every fuse; None by a way without: a wire then has no other."""

    live: dict[int, frozenset[FuseKey | None]]  # wires on the feed side of the loads
    back: dict[int, frozenset[FuseKey | None]]  # wires on the return side
    before: dict[FuseKey, frozenset[FuseKey | None]]  # fuse -> the fuses nearest before it
    ahead: dict[int, frozenset[FuseKey]]  # wires without a fuse -> the fuses they lead to


@dataclass(frozen=True, slots=True)
class _State:
    node: Node
    guard: FuseKey | None
    returning: bool  # past a load: only onward along the wires as written


def _next(state: _State, edge: Edge, other: Node) -> _State | None:
    """Where one step leads, or None where current from a battery does not go."""
    if other.kind == "body" or edge.kind in ("source", "joint"):
        return None
    if edge.kind == "wire" and state.returning and edge.a != state.node:
        return None  # up another load's return would be against its current
    if edge.kind == "fuse":
        if edge.key == state.guard:
            return None  # back through the fuse it came by
        assert isinstance(edge.key, tuple)
        return _State(other, edge.key, state.returning)
    return _State(other, state.guard, state.returning or edge.kind == "load")


def guards(ways: Iterable[Edge], starts: Iterable[Node], ends: Iterable[Node]) -> Guards:
    """Walk from ``starts`` (live posts); ``ends`` are chassis-side posts and ground points, where it stops.

    Every switch counts as closed, since any of them may be. A wire behind a load carries at most what the
    load's fuse passes when the load itself fails short, so it is listed too, under ``back``.
    """
    ways, starts = tuple(ways), tuple(starts)
    around = neighbours(ways)
    stops = set(ends)
    live: dict[int, set[FuseKey | None]] = {}
    back: dict[int, set[FuseKey | None]] = {}
    before: dict[FuseKey, set[FuseKey | None]] = {}
    todo = [_State(start, None, False) for start in starts]
    seen = set(todo)
    while todo:
        state = todo.pop()
        for edge, other in around.get(state.node, ()):
            onward = _next(state, edge, other)
            if isinstance(edge.key, int) and (
                onward is not None or not state.returning or edge.a == state.node
            ):
                (back if state.returning else live).setdefault(edge.key, set()).add(state.guard)
            if onward is None:
                continue
            if edge.kind == "fuse" and isinstance(edge.key, tuple):
                before.setdefault(edge.key, set()).add(state.guard)
            if onward not in seen and other not in stops:
                seen.add(onward)
                todo.append(onward)
    return Guards(
        {wire: _nearest(found) for wire, found in live.items()},
        {wire: _nearest(found) for wire, found in back.items() if wire not in live},
        {fuse: frozenset(found) for fuse, found in before.items()},
        _ahead(ways, starts),
    )


def _nearest(found: set[FuseKey | None]) -> frozenset[FuseKey | None]:
    """The fuses a wire is guarded by; by none where some way to it has none."""
    return frozenset([None]) if None in found else frozenset(found)


def rings(before: Mapping[FuseKey, Collection[FuseKey | None]]) -> dict[FuseKey, int]:
    """Fuse -> its ring: those of one number stand each before the other, side by side or between two sources.

    In a ring none is the farther one, so none has to stand above the others. Strongly connected parts by two
    walks (Kosaraju, textbook).
    """
    behind: dict[FuseKey, list[FuseKey]] = {}
    for fuse in sorted(before):
        for one in before[fuse]:
            if one is not None:
                behind.setdefault(one, []).append(fuse)
    order: list[FuseKey] = []
    seen: set[FuseKey] = set()
    for start in sorted({*before, *behind}):
        stack = [] if start in seen else [(start, iter(behind.get(start, ())))]
        seen.add(start)
        while stack:
            here, onward = stack[-1]
            there = next((one for one in onward if one not in seen), None)
            if there is None:
                order.append(here)
                stack.pop()
            else:
                seen.add(there)
                stack.append((there, iter(behind.get(there, ()))))
    found: dict[FuseKey, int] = {}
    for number, start in enumerate(reversed(order)):
        todo = [start]
        while todo:
            here = todo.pop()
            if here not in found:
                found[here] = number
                todo.extend(one for one in before.get(here, ()) if one is not None)
    return found


def _ahead(ways: tuple[Edge, ...], starts: Iterable[Node]) -> dict[int, frozenset[FuseKey]]:
    """Wires between a live post and the first fuses: what those fuses pass flows through them too."""
    around = neighbours(edge for edge in ways if edge.kind in ("wire", "bus", "contact", "fuse"))
    came: dict[Node, tuple[Edge, Node] | None] = dict.fromkeys(starts)
    found: dict[int, set[FuseKey]] = {}
    for node in (order := list(came)):
        for edge, other in around.get(node, ()):
            if edge.kind == "fuse":
                assert isinstance(edge.key, tuple)
                for wire in _wires_back(came, node):
                    found.setdefault(wire, set()).add(edge.key)
            elif other not in came and other.kind != "body":
                came[other] = (edge, node)
                order.append(other)
    return {wire: frozenset(fuses) for wire, fuses in found.items()}


def _wires_back(came: dict[Node, tuple[Edge, Node] | None], node: Node) -> list[int]:
    found = []
    while (step := came[node]) is not None:
        edge, node = step
        if isinstance(edge.key, int):
            found.append(edge.key)
    return found
