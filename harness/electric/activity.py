"""Which contacts are closed and which loads are on in a mode, worked out from the paths as written."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from heapq import heappop, heappush

from harness.electric.graph import Battery, Edge, Node, neighbours
from harness.model.machine import Load, Machine, Mode

PASSIVE = frozenset({"wire", "fuse", "bus", "joint"})


@dataclass(frozen=True, slots=True)
class LoadAt:
    """One load that is on: current enters at ``feed`` and leaves at ``back``."""

    part: str
    link: str
    feed: Node
    back: Node
    load: Load


@dataclass(frozen=True, slots=True)
class Activity:
    """One mode: the edges that conduct, the loads that are on, and those that no source reaches."""

    mode: Mode
    conducting: tuple[Edge, ...]
    loads: tuple[LoadAt, ...]
    unfed: tuple[LoadAt, ...]


def _used(machine: Machine, mode: Mode) -> dict[tuple[str, str], None]:
    """Inner links that the paths of the mode's circuits run through, in order."""
    return {
        (step.part, step.link): None
        for circuit in machine.circuits
        if mode.name in circuit.modes
        for path in circuit.paths
        for step in path.steps
        if step.part is not None and step.link is not None
    }


def fed_nodes(ways: Iterable[Edge], starts: Collection[Node], closed: Collection[object]) -> set[Node]:
    """Nodes that live posts reach over conducting edges, never through the metal of a body."""
    around = neighbours(edge for edge in ways if edge.kind in PASSIVE or edge.key in closed)
    seen = set(starts)
    todo = list(starts)
    while todo:
        for _, other in around.get(todo.pop(), ()):
            if other not in seen and other.kind != "body":
                seen.add(other)
                todo.append(other)
    return seen


def _closing(ways: Iterable[Edge], starts: Iterable[Node], goals: tuple[Node, ...]) -> list[Edge]:
    """The contacts on the way to a goal that has the fewest of them; [] when there is no way."""
    around = neighbours(edge for edge in ways if edge.kind in PASSIVE or edge.kind == "contact")
    cost: dict[Node, tuple[int, int]] = {}
    came: dict[Node, tuple[Edge, Node]] = {}
    heap: list[tuple[int, int, Node]] = [(0, 0, start) for start in starts]
    cost.update(dict.fromkeys(starts, (0, 0)))
    while heap:
        contacts, hops, here = heappop(heap)
        if here in goals:
            return _contacts_back(came, here)
        for edge, other in around.get(here, ()):
            if other.kind == "body":
                continue
            step = (contacts + (edge.kind == "contact"), hops + 1)
            if other not in cost or step < cost[other]:
                cost[other], came[other] = step, (edge, here)
                heappush(heap, (*step, other))
    return []


def _contacts_back(came: dict[Node, tuple[Edge, Node]], end: Node) -> list[Edge]:
    found = []
    while end in came:
        edge, end = came[end]
        if edge.kind == "contact":
            found.append(edge)
    return found


def activity(machine: Machine, mode: Mode, ways: tuple[Edge, ...], starts: list[Node]) -> Activity:
    """Close what the mode's paths run through, and what must be closed upstream to feed them.

    A path may start in the middle (``key 30/50 > ...`` or ``F5 > ...``); what feeds it then lies on other
    paths, possibly of circuits that name no mode, so the contacts on the way there are closed too.
    """
    used = _used(machine, mode)
    closed: set[object] = {edge.key for edge in ways if edge.kind == "contact" and edge.key in used}
    on = [edge for edge in ways if edge.kind == "load" and edge.key in used]
    fed = fed_nodes(ways, starts, closed)
    for edge in on:
        if edge.a not in fed and edge.b not in fed:
            closed.update(contact.key for contact in _closing(ways, starts, (edge.a, edge.b)))
            fed = fed_nodes(ways, starts, closed)
    loads = [_load_at(edge, fed) for edge in on]
    conducting = tuple(edge for edge in ways if edge.kind in PASSIVE or edge.key in closed)
    return Activity(
        mode,
        conducting,
        tuple(load for load in loads if load.feed in fed),
        tuple(load for load in loads if load.feed not in fed),
    )


def _load_at(edge: Edge, fed: set[Node]) -> LoadAt:
    """Point the load from its live side to its return side."""
    assert isinstance(edge.key, tuple) and edge.link is not None and edge.link.load is not None
    part, link = edge.key
    turned = edge.a not in fed and edge.b in fed
    feed, back = (edge.b, edge.a) if turned else (edge.a, edge.b)
    return LoadAt(part, link, feed, back, edge.link.load)


def live_posts(found: list[Battery], charging: list[Node]) -> list[Node]:
    """Where current can come from; batteries first, a generator's stud when there is no battery."""
    return [battery.live for battery in found] or charging
