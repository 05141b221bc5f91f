"""Places one tree of tracks: every wire and sign gets a column and a height, every joint a level bar.

Columns fill downwards. A bar that joins columns is set below everything already in the columns it passes,
so no bar ever runs through a sign or a text; that is the whole method.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from typing import Literal

from harness.drawing.tracks.net import Edge, Net, Node
from harness.drawing.tracks.words import MARKS_IN_LINE, SMALL_SIZE, Line, Words, high_mm

SIGN_MM = 8.0  # height of a symbol with its leads
WIRE_MM = 8.0  # least length of a wire
ROW_MM = 3.1  # least height of a terminal
GAP_MM = 1.4  # under a bar
HEAD_MM = 4.0  # of the mark a track goes on from

End = Literal["", "metal", "return", "supply", "ref", "rail ref"]
HeadKind = Literal["supply", "bridge", "float", "goes on"]


@dataclass(eq=False, slots=True)
class EdgeSpot:
    """One wire or sign at its place; ``y`` is the top of its label or symbol."""

    edge: Edge
    column: int
    y: float
    high: float
    lines: Sequence[Line]
    end: End = ""
    leg: int = -1  # column that rises to a supply rail
    leg_y: float = 0.0


@dataclass(eq=False, slots=True)
class NodeSpot:
    """One terminal or splice: its text stands from ``y`` to ``bar``, its bar lies at ``bar``."""

    node: Node
    column: int
    y: float
    bar: float
    lines: Sequence[Line]
    arrive: list[int]
    leave: list[int] = field(default_factory=list)
    cut: list[Edge] = field(default_factory=list)  # ways that go on in another track
    come: list[Edge] = field(default_factory=list)  # ways that come from another track


@dataclass(eq=False, slots=True)
class Tree:
    """Columns that belong together, with everything in them."""

    kind: HeadKind
    head: Node
    edges: list[EdgeSpot] = field(default_factory=list)
    nodes: dict[Node, NodeSpot] = field(default_factory=dict)
    columns: int = 0
    high: float = 0.0
    bridge_y: float = 0.0


@dataclass(frozen=True, slots=True)
class Limits:
    """How many columns and how much height a sheet has."""

    columns: int
    high_mm: float


@dataclass(slots=True)
class State:
    """What is placed already, over all trees."""

    nodes: dict[Node, Tree] = field(default_factory=dict)
    edges: set[Edge] = field(default_factory=set)


def _stops(net: Net) -> set[Node]:
    return {*net.supply, *net.returns, *net.metal}


def _members(
    net: Net, starts: Sequence[Edge], state: State, cut: Collection[Edge]
) -> tuple[set[Edge], set[Edge]]:
    """Collect what hangs below some edges, and those edges among it that lead back up."""
    stops = _stops(net)
    found: set[Edge] = set()
    back: set[Edge] = set()
    on_way: set[Node] = set()
    done: set[Node] = set()
    stack: list[tuple[Edge, bool]] = [(edge, False) for edge in reversed(starts)]
    while stack:
        edge, leaving = stack.pop()
        if leaving:
            on_way.discard(edge.low)
            done.add(edge.low)
            continue
        found.add(edge)
        node = edge.low
        if node in on_way:
            back.add(edge)
        elif node not in stops and node not in done and node not in state.nodes:
            on_way.add(node)
            stack.append((edge, True))
            below = (e for e in net.down.get(node, ()) if e not in cut and e not in state.edges)
            stack += [(each, False) for each in reversed(list(below))]
    return found, back


class _Run:
    """One try to place a tree within limits; ``over`` holds the ways that did not fit."""

    def __init__(
        self, net: Net, words: Words, tree: Tree, starts: Sequence[Edge], state: State, cut: Sequence[Edge],
        limits: Limits,
    ) -> None:  # fmt: skip
        self.net, self.words, self.tree, self.state, self.limits = net, words, tree, state, limits
        self.cut = set(cut)
        self.members, self.back = _members(net, starts, state, self.cut)
        if tree.kind == "float":
            self.back |= {edge for edge in self.members if edge.low == tree.head}
        self.supply, self.returns = set(net.supply), set(net.returns)
        self.waits: dict[Node, list[int]] = {}
        self.awaited: dict[Node, int] = {}
        for edge in self.members - self.back:
            self.awaited[edge.low] = self.awaited.get(edge.low, 0) + 1
        self.bottom: list[float] = []
        self.used: list[bool] = []
        self.over: dict[Edge, None] = {}
        self.placed: set[Edge] = set()

    def _column(self, y: float) -> int:
        self.bottom.append(y)
        self.used.append(False)
        return len(self.bottom) - 1

    def _full(self) -> bool:
        return len(self.bottom) >= self.limits.columns

    def go(self, starts: Sequence[Edge]) -> None:
        """Place everything."""
        tree = self.tree
        if tree.kind == "float":
            self._node(tree.head, [self._column(0.0)])
        elif tree.kind == "bridge":
            self._column(0.0)
            tree.bridge_y = GAP_MM
            for edge in starts:
                if self._full() and edge is not starts[0]:
                    self.over[edge] = None
                else:
                    self._descend(edge, self._column(2 * GAP_MM))
        else:
            self._descend(starts[0], self._column(HEAD_MM if tree.kind == "goes on" else GAP_MM))
        while self.waits:
            node = next(iter(self.waits))
            self._node(node, self.waits.pop(node))
        tree.columns, tree.high = len(self.bottom), max(self.bottom, default=0.0)

    def _block(self, edge: Edge) -> tuple[list[Line], float]:
        if edge.wire is not None:
            lines = self.words.wire(edge)
            return lines, max(WIRE_MM, high_mm(lines) + 2.2)
        lines = self.words.sign(edge)
        extra = SMALL_SIZE * 1.25 if self.words.apart(edge) else 0.0
        return lines, max(SIGN_MM, high_mm(lines) + extra + 0.8)

    def _descend(self, edge: Edge, column: int) -> None:
        lines, high = self._block(edge)
        y = self.bottom[column]
        if y + high + self._tail(edge) > self.limits.high_mm and self.used[column]:
            self.over[edge] = None
            return
        self.used[column] = True
        spot = EdgeSpot(edge, column, y, high, lines)
        self.tree.edges.append(spot)
        self.placed.add(edge)
        self.bottom[column] = y + high
        self._land(spot)

    def _tail(self, edge: Edge) -> float:
        """Room for what must stand under a way at least: nothing over a rail, else a terminal or a mark."""
        if edge.low in self.net.metal or edge.low in self.returns:
            return 0.0
        return ROW_MM + 2 * GAP_MM + HEAD_MM

    def _land(self, spot: EdgeSpot) -> None:
        node, net = spot.edge.low, self.net
        if node in net.metal:
            spot.end = "metal"
        elif node in self.returns:
            spot.end = "return"
        elif node in self.supply:
            self._rise(spot)
        elif spot.edge in self.back or node in self.state.nodes or node in self.tree.nodes:
            spot.end = "ref"
            self.bottom[spot.column] += HEAD_MM
        else:
            self.waits.setdefault(node, []).append(spot.column)
            if len(self.waits[node]) >= self.awaited.get(node, 0):
                self._node(node, self.waits.pop(node))

    def _rise(self, spot: EdgeSpot) -> None:
        """Lead the end of a way up to a supply rail, in a column of its own."""
        if self._full():
            spot.end = "rail ref"
            self.bottom[spot.column] += HEAD_MM
            return
        spot.end = "supply"
        y = max(self.bottom[spot.column :]) + GAP_MM
        spot.leg, spot.leg_y = self._column(y), y
        self._pass(spot.column, y)

    def _pass(self, first: int, y: float) -> None:
        """Keep everything that comes after below a bar."""
        for column in range(first, len(self.bottom)):
            self.bottom[column] = max(self.bottom[column], y + GAP_MM)

    def _node(self, node: Node, arrive: list[int]) -> None:
        ways = [e for e in self.net.down.get(node, ()) if e not in self.state.edges and e not in self.placed]
        ways.sort(key=lambda edge: edge.link is None)  # the part itself stands under its terminal
        go = [e for e in ways if e not in self.cut]
        columns = sorted(arrive)
        fresh = max(0, len(go) - len(columns))
        last = len(self.bottom) - 1 if fresh else columns[-1]
        barred = len(columns) > 1 or len(go) > 1
        y = max(self.bottom[columns[0] : last + 1]) if barred else self.bottom[columns[0]]
        come = [e for e in self.net.into.get(node, ()) if e not in self.placed]
        away = [e for e in ways if e in self.cut]
        around = (*self.net.into.get(node, ()), *self.net.down.get(node, ()))
        alone = all(edge.link is None for edge in around)
        lines = self.words.node(node, full=alone or (self.tree.kind == "float" and node == self.tree.head))
        marks = -(-len(away) // MARKS_IN_LINE) + -(-len(come) // MARKS_IN_LINE)
        text = high_mm(lines)
        bar = y + max(ROW_MM, text + marks * SMALL_SIZE * 1.25 + 0.5)
        spot = NodeSpot(node, columns[0], y, bar, lines, columns, [], away, come)
        self.tree.nodes[node] = spot
        for column in range(columns[0], (last if barred else columns[0]) + 1):
            self.bottom[column] = bar + (GAP_MM if barred else 0.0)
        self._ways(spot, go)

    def _ways(self, spot: NodeSpot, go: Sequence[Edge]) -> None:
        for number, edge in enumerate(go):
            if number < len(spot.arrive):
                column = spot.arrive[number]
            elif self._full():
                self.over[edge] = None
                continue
            else:
                column = self._column(spot.bar + GAP_MM)
            spot.leave.append(column)
            self._descend(edge, column)


def lay(
    net: Net, words: Words, kind: HeadKind, head: Node, starts: Sequence[Edge], state: State, limits: Limits
) -> tuple[Tree, list[Edge]]:
    """Place one tree and note it as placed; returns it and the ways that go on in a tree of their own."""
    cut: dict[Edge, None] = {}
    while True:
        tree = Tree(kind, head)
        run = _Run(net, words, tree, starts, state, list(cut), limits)
        run.go(starts)
        if not run.over:
            break
        cut.update(run.over)
    state.edges |= run.placed
    for node in tree.nodes:
        state.nodes[node] = tree
    heads = {tree.head} if kind == "bridge" else set()
    return tree, [edge for edge in cut if edge.top in tree.nodes or edge.top in heads]
