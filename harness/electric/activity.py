"""Which contacts are closed and which loads are on in a mode, worked out from the paths as written."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from heapq import heappop, heappush

from harness.electric.graph import Battery, Edge, EdgeKey, Node, neighbours
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


def _isolators(machine: Machine) -> dict[tuple[str, str], None]:
    """Contacts of battery isolators: closed whenever anything works, whatever their circuit says."""
    isolators = (part for part in machine.parts.values() if part.kind == "isolator")
    return {(part.name, link.name): None for part in isolators for link in part.links}


Around = Mapping[Node, list[tuple[Edge, Node]]]


class _Fed:
    """Nodes that live posts reach over conducting edges, never through the metal of a body."""

    def __init__(self, around: Around, starts: Iterable[Node], closed: set[EdgeKey]) -> None:
        self._around = around
        self.closed = closed
        self.nodes = set(starts)
        self._flood(list(self.nodes))

    def _flood(self, todo: list[Node]) -> None:
        while todo:
            for edge, other in self._around.get(todo.pop(), ()):
                passes = edge.kind in PASSIVE or edge.key in self.closed
                if passes and other not in self.nodes and other.kind != "body":
                    self.nodes.add(other)
                    todo.append(other)

    def close(self, contacts: Iterable[Edge]) -> None:
        """Close more contacts and let what they reach be fed."""
        for edge in contacts:
            if edge.key not in self.closed:
                self.closed.add(edge.key)
                self._flood([node for node in (edge.a, edge.b) if node in self.nodes])


class _Closing:
    """The contacts on the way from the live posts to any node that has the fewest of them."""

    def __init__(self, around: Around, starts: Iterable[Node]) -> None:
        cost: dict[Node, tuple[int, int]] = dict.fromkeys(starts, (0, 0))
        heap: list[tuple[int, int, Node]] = [(0, 0, start) for start in cost]
        self._came: dict[Node, tuple[Edge, Node]] = {}
        self._rank: dict[Node, int] = {}  # the nearer, the lower
        while heap:
            contacts, hops, here = heappop(heap)
            self._rank.setdefault(here, len(self._rank))
            for edge, other in around.get(here, ()):
                if other.kind == "body":
                    continue
                step = (contacts + (edge.kind == "contact"), hops + 1)
                if other not in cost or step < cost[other]:
                    cost[other], self._came[other] = step, (edge, here)
                    heappush(heap, (*step, other))

    def to(self, goals: Iterable[Node]) -> list[Edge]:
        """What to close to feed the nearest of some nodes; [] when there is no way."""
        near = [goal for goal in goals if goal in self._rank]
        if not near:
            return []
        end = min(near, key=self._rank.__getitem__)
        found = []
        while end in self._came:
            edge, end = self._came[end]
            if edge.kind == "contact":
                found.append(edge)
        return found


def activity(machine: Machine, mode: Mode, ways: tuple[Edge, ...], starts: list[Node]) -> Activity:
    """Close what the mode's paths run through, and what must be closed upstream to feed them.

    A path may start in the middle (``key 30/50 > ...`` or ``F5 > ...``); what feeds it then lies on other
    paths, possibly of circuits that name no mode, so the contacts on the way there are closed too.
    """
    used = _used(machine, mode)
    on = [edge for edge in ways if edge.kind == "load" and edge.key in used]
    if on:
        used |= _isolators(machine)
    around = neighbours(edge for edge in ways if edge.kind in PASSIVE or edge.kind == "contact")
    fed = _Fed(around, starts, {edge.key for edge in ways if edge.kind == "contact" and edge.key in used})
    closing: _Closing | None = None
    for edge in on:
        if edge.a not in fed.nodes and edge.b not in fed.nodes:
            closing = closing or _Closing(around, starts)
            fed.close(closing.to((edge.a, edge.b)))
    loads = [_load_at(edge, fed.nodes) for edge in on]
    conducting = tuple(edge for edge in ways if edge.kind in PASSIVE or edge.key in fed.closed)
    return Activity(
        mode,
        conducting,
        tuple(load for load in loads if load.feed in fed.nodes),
        tuple(load for load in loads if load.feed not in fed.nodes),
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
