"""Puts the trees of tracks on sheets in order, numbers the tracks, and finds what refers to what."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from harness.drawing.tracks.net import Edge, Net, Node
from harness.drawing.tracks.place import HeadKind, Limits, State, Tree, lay
from harness.drawing.tracks.words import Words


@dataclass(frozen=True, slots=True)
class Root:
    """Where a tree starts."""

    kind: HeadKind
    head: Node
    edges: Sequence[Edge]


@dataclass(frozen=True, slots=True)
class Plate:
    """The trees of one sheet, the number of its first track, and its rails."""

    trees: Sequence[Tree]
    first: int
    supply: Sequence[Node]
    returns: Sequence[Node]
    metal: Sequence[str]

    @property
    def tracks(self) -> int:
        """How many tracks it holds."""
        return sum(tree.columns for tree in self.trees)


@dataclass(frozen=True, slots=True)
class Room:
    """What one sheet takes."""

    limits: Limits
    above: int  # most supply rails
    below: int  # most rails below


@dataclass(slots=True)
class Laid:
    """All tracks on their sheets, with what is needed to refer to them."""

    net: Net
    plates: list[Plate]
    edge_track: dict[Edge, int] = field(default_factory=dict)
    node_track: dict[Node, int] = field(default_factory=dict)
    part_tracks: dict[str, list[int]] = field(default_factory=dict)  # also splices, by name
    taps: dict[object, list[int]] = field(default_factory=dict)  # tracks on a rail, by node or metal
    before: int = 0  # sheets of the drawing that come before the first of these

    @property
    def broken(self) -> int:
        """How many tracks go on from another one."""
        return sum(tree.kind == "goes on" for plate in self.plates for tree in plate.trees)

    def sheet_of(self, track: int) -> int:
        """Number of the sheet a track stands on."""
        return self.before + bisect_right(self.plates, track, key=lambda plate: plate.first)


def _reach(net: Net, edges: Iterable[Edge]) -> list[Edge]:
    stops = {*net.supply, *net.returns, *net.metal}
    found: dict[Edge, None] = {}
    stack = list(edges)[::-1]
    while stack:
        edge = stack.pop()
        if edge in found:
            continue
        found[edge] = None
        if edge.low not in stops:
            stack += reversed(list(net.down.get(edge.low, ())))
    return list(found)


def _heavy(edge: Edge) -> bool:
    """Whether a way is what a machine lives by: starter or generator."""
    if edge.part is None or edge.link is None:
        return False
    return (edge.part.symbol == "starter" and edge.symbol in ("motor", "starter")) or (
        edge.link.kind == "source" and edge.symbol in ("alternator", "dynamo")
    )


def _rank(net: Net, order: Mapping[str, int], root: Root) -> tuple[int, int, int]:
    """Batteries, then starter and generators, then straps, then by circuit in the survey's order."""
    below = _reach(net, root.edges)
    at = root.edges[0].at
    circuit = next((order.get(e.wire.circuit, 0) for e in below if e.wire is not None), len(order))
    if root.head in net.posts and root.edges[0].symbol.startswith("battery"):
        return 0, circuit, at
    if root.head in net.posts and any(_heavy(edge) for edge in below):
        return 1, circuit, at
    if root.kind == "bridge" and root.head in net.metal:
        return 2, circuit, at
    return 3, circuit, at


def roots(net: Net) -> list[Root]:
    """List where trees start, in the order they are drawn."""
    order = {circuit.name: at for at, circuit in enumerate(net.design.circuits)}
    found = [Root("supply", node, [edge]) for node in net.supply for edge in net.down.get(node, ())]
    found += [Root("bridge", node, [edge]) for node in net.returns for edge in net.down.get(node, ())]
    found += [Root("bridge", node, [edge]) for node in net.metal for edge in net.down.get(node, ())]
    rails = {*net.supply, *net.returns, *net.metal}
    for node, edges in net.down.items():
        if node not in rails and not net.into.get(node):
            found.append(Root("float", node, list(edges)))
    return sorted(found, key=lambda root: _rank(net, order, root))


def _trees(net: Net, words: Words, limits: Limits) -> Iterable[Tree]:
    state = State()
    waiting = roots(net)[::-1]
    left = list(net.edges)[::-1]
    while waiting or left:
        if not waiting:
            edge = left.pop()
            if edge not in state.edges and edge.top not in state.nodes:
                ways = [each for each in net.down[edge.top] if each not in state.edges]
                waiting.append(Root("float", edge.top, ways))
            elif edge not in state.edges:
                waiting.append(Root("goes on", edge.top, [edge]))
            continue
        root = waiting.pop()
        edges = [edge for edge in root.edges if edge not in state.edges]
        if not edges or (root.kind == "float" and root.head in state.nodes):
            continue
        tree, cut = lay(net, words, root.kind, root.head, edges, state, limits)
        yield tree
        kind: HeadKind = "bridge" if root.kind == "bridge" else "goes on"
        waiting += [
            Root(kind if edge.top == root.head and kind == "bridge" else "goes on", edge.top, [edge])
            for edge in reversed(cut)
        ]


def _tree_rails(net: Net, tree: Tree) -> tuple[set[Node], set[Node], set[str]]:
    above = {tree.head} if tree.kind == "supply" else set()
    above |= {spot.edge.low for spot in tree.edges if spot.end == "supply"}
    below = {spot.edge.low for spot in tree.edges if spot.end == "return"}
    metal = {net.metal[spot.edge.low] for spot in tree.edges if spot.end == "metal"}
    if tree.kind == "bridge":
        if tree.head in net.metal:
            metal.add(net.metal[tree.head])
        else:
            below.add(tree.head)
    return above, below, metal


def _plate(net: Net, trees: Sequence[Tree], first: int) -> Plate:
    above: set[Node] = set()
    below: set[Node] = set()
    metal: set[str] = set()
    for tree in trees:
        one, two, three = _tree_rails(net, tree)
        above, below, metal = above | one, below | two, metal | three
    return Plate(
        trees, first, [node for node in net.supply if node in above],
        [node for node in net.returns if node in below],
        [name for name in dict.fromkeys(net.metal.values()) if name in metal],
    )  # fmt: skip


def _fits(plate: Plate, room: Room) -> bool:
    rails = len(plate.returns) + len(plate.metal)
    return plate.tracks <= room.limits.columns and len(plate.supply) <= room.above and rails <= room.below


def plates(net: Net, words: Words, room: Room) -> Laid:
    """Lay all tracks on sheets."""
    found: list[Plate] = []
    here: list[Tree] = []
    first = 1
    for tree in _trees(net, words, room.limits):
        if here and not _fits(_plate(net, [*here, tree], first), room):
            found.append(_plate(net, here, first))
            first += found[-1].tracks
            here = []
        here.append(tree)
    if here:
        found.append(_plate(net, here, first))
    laid = Laid(net, found)
    for plate in found:
        _note(laid, plate)
    return laid


def _mark(tracks: dict[str, list[int]], name: str, track: int) -> None:
    row = tracks.setdefault(name, [])
    if track not in row:
        row.append(track)


def _note(laid: Laid, plate: Plate) -> None:
    """Note on which track everything of a sheet stands."""
    track = plate.first
    for tree in plate.trees:
        for spot in tree.edges:
            here = track + spot.column
            laid.edge_track[spot.edge] = here
            if spot.edge.part is not None:
                _mark(laid.part_tracks, spot.edge.part.name, here)
            if spot.end in ("metal", "return"):
                _tap(laid, spot.edge.low, here)
            elif spot.end == "supply":
                laid.taps.setdefault(spot.edge.low, []).append(track + spot.leg)
        for node, at in tree.nodes.items():
            laid.node_track[node] = track + at.column
            _mark(laid.part_tracks, node.part, track + at.column)
        if tree.kind in ("supply", "bridge"):
            _tap(laid, tree.head, track)
        track += tree.columns


def _tap(laid: Laid, node: Node, track: int) -> None:
    laid.taps.setdefault(laid.net.metal.get(node, node), []).append(track)
    _mark(laid.part_tracks, node.part, track)
