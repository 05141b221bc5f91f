"""The machine as a net whose every edge points from the live side down to the chassis."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from harness.drawing import symbols
from harness.model.design import Design, InnerLink, PartResult, Point, Wire

TAPS_OF_STUD = 3  # ways down from a stud that make it a rail
TAPS_OF_TERMINAL = 6  # from any other terminal
RETURNS = 4  # ways into a stud that make it a return rail
CASE = "case"
SOLENOID = "50"  # terminal of the solenoid that sits on a starter (DIN 72552)


class Node(NamedTuple):
    """One point of the net: a terminal of a part, or a splice with no terminal."""

    kind: str  # "part" or "splice"
    part: str
    terminal: str


@dataclass(eq=False, slots=True)
class Edge:
    """One wire, or one way through a part; ``top`` is nearer the live post."""

    at: int  # its place in the order of the design
    top: Node
    low: Node
    wire: Wire | None = None
    part: PartResult | None = None
    link: InnerLink | None = None
    symbol: str = ""

    @property
    def bulky(self) -> bool:
        """Whether current is used in it."""
        return self.link is not None and self.link.kind in ("load", "source", "bus")


@dataclass(frozen=True, slots=True)
class Net:
    """All edges with what leaves and meets at every node, and the nodes that are rails."""

    design: Design
    edges: Sequence[Edge]
    down: Mapping[Node, Sequence[Edge]]  # edges whose top is the node
    into: Mapping[Node, Sequence[Edge]]
    supply: Sequence[Node]  # rails above, from the battery on
    returns: Sequence[Node]  # rails below that are not metal of the machine
    metal: Mapping[Node, str]  # ends on the machine's metal -> its name
    posts: Collection[Node]  # live posts of batteries and of what makes its own volts
    whole: Net | None = None  # of a piece: what it is a piece of
    of_part: Mapping[str, Sequence[Edge]] = field(default_factory=dict)  # ways through a part


@dataclass(slots=True)
class _Draft:
    design: Design
    edges: list[Edge]
    parts: dict[str, PartResult]
    metal: dict[Node, str]
    down: dict[Node, list[Edge]] = field(default_factory=dict)
    into: dict[Node, list[Edge]] = field(default_factory=dict)

    def index(self) -> None:
        self.down, self.into = {}, {}
        for edge in self.edges:
            self.down.setdefault(edge.top, []).append(edge)
            self.into.setdefault(edge.low, []).append(edge)


def node_of(point: Point) -> Node:
    """Return the node a wire's end lands on."""
    return Node(point.kind, point.part, point.terminal if point.kind == "part" else "")


def _wired(wires: Iterable[Wire]) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for wire in wires:
        for point in (wire.from_, wire.to):
            if point.kind == "part":
                found.setdefault(point.part, set()).add(point.terminal)
    return found


def _taken(design: Design) -> dict[tuple[str, str], str]:
    """Ways through parts that a path takes, with the terminal that the path enters by ("" unknown)."""
    wires = {wire.number: wire for wire in design.wires}
    found: dict[tuple[str, str], str] = {}
    for circuit in design.circuits:
        for path in circuit.paths:
            for before, step in zip([None, *path[:-1]], path, strict=True):
                if step.part is None or step.link is None:
                    continue
                came = wires.get(before.wire or "") if before is not None else None
                enters = [
                    point.terminal
                    for point in ((came.from_, came.to) if came is not None else ())
                    if point.kind == "part" and point.part == step.part
                ]
                if enters or (step.part, step.link) not in found:
                    found[step.part, step.link] = enters[0] if enters else ""
    return found


def _shown(part: PartResult, link: InnerLink, wired: set[str], taken: bool) -> bool:
    """Whether a way through a part has current to carry: something is wired to where it leads."""
    cased = part.body is not None
    near = link.a in wired or (cased and link.a == CASE)
    far = link.b in wired or (cased and link.b == CASE)
    if near and far:
        return True
    return near if link.kind in ("load", "source") else taken and (near or far)


def _turn(edge: Edge) -> None:
    edge.top, edge.low = edge.low, edge.top


def _link_edges(design: Design, wires: Sequence[Wire]) -> list[Edge]:
    wired, taken = _wired(wires), _taken(design)
    found = []
    for part in design.parts:
        here = wired.get(part.name, set())
        if not here or part.role == "ground":
            continue
        for link in part.links:
            enters = taken.get((part.name, link.name))
            if not _shown(part, link, here, enters is not None):
                continue
            a, b = Node("part", part.name, link.a), Node("part", part.name, link.b)
            name = symbols.symbol_name(part=part.symbol, link=link.kind, terminal=link.a, other=link.b)
            if part.kind == "multi-way coupler":
                name = "coupler"
            elif part.symbol == "starter" and name == "motor" and SOLENOID in here:
                name = "starter"  # one without a solenoid of its own is switched by what feeds it
            edge = Edge(0, a, b, part=part, link=link, symbol=name)
            if enters == link.b and link.kind not in ("source", "load", "bus") and link.a != CASE:
                _turn(edge)
            found.append(edge)
    return found


def _metal(design: Design, edges: Iterable[Edge]) -> dict[Node, str]:
    """Every node that is the machine's metal."""
    parts = {part.name: part for part in design.parts}
    found = {}
    for edge in edges:
        for node in (edge.top, edge.low):
            part = parts.get(node.part) if node.kind == "part" else None
            if part is None:
                continue
            if part.role == "ground":
                found[node] = part.body or part.name
            elif node.terminal == CASE and part.body is not None:
                found[node] = part.body
    return found


def _reach(starts: Iterable[Node], step: Callable[[Node], Iterable[Node]]) -> set[Node]:
    found = set(starts)
    waiting = list(found)
    while waiting:
        for node in step(waiting.pop()):
            if node not in found:
                found.add(node)
                waiting.append(node)
    return found


def _posts(draft: _Draft) -> tuple[list[Node], set[Node]]:
    """Live posts and chassis posts of the batteries."""
    cells = [e for e in draft.edges if e.symbol == "battery" and e.link is not None]
    return list(dict.fromkeys(e.top for e in cells)), {e.low for e in cells}


def _turn_series(draft: _Draft, live: Collection[Node], low: Collection[Node]) -> None:
    """Turn a link between two batteries so that the upper battery stands above the lower."""
    for edge in draft.edges:
        if edge.wire is not None and edge.low in low and edge.top in live:
            _turn(edge)


def _turn_returns(draft: _Draft, fed: set[Node], low: Collection[Node]) -> None:
    """Turn every way that starts at the metal, so that metal is always below."""
    draft.index()

    def on(node: Node) -> Iterable[Node]:
        if node in low:
            return ()
        return (e.low for e in draft.down.get(node, ()) if e.low not in fed and e.low not in draft.metal)

    grounded = _reach(draft.metal, on)
    for edge in draft.edges:
        if edge.top in grounded and edge.low not in draft.metal and (edge.low in grounded or edge.low in low):
            _turn(edge)


def _turn_charging(draft: _Draft, fed: set[Node]) -> None:
    """Turn every way from a generator to what the battery feeds, so that the generator hangs below."""
    draft.index()
    made = [e.top for e in draft.edges if e.link is not None and e.link.kind == "source" and e.top not in fed]

    def on(node: Node) -> Iterable[Node]:
        return (e.low for e in draft.down.get(node, ()) if not e.bulky and e.low not in fed)

    def back(node: Node) -> Iterable[Node]:
        return (e.top for e in draft.into.get(node, ()) if not e.bulky and e.top not in fed)

    ahead = _reach(made, on)
    lands = _reach(fed, back) - fed
    for edge in draft.edges:
        if not edge.bulky and edge.top in ahead & lands and (edge.low in fed or edge.low in lands):
            _turn(edge)


def _fed(draft: _Draft, live: Iterable[Node]) -> set[Node]:
    draft.index()

    def on(node: Node) -> Iterable[Node]:
        return (e.low for e in draft.down.get(node, ()) if e.low not in draft.metal)

    return _reach(live, on)


def _rails(draft: _Draft, live: Sequence[Node], low: Collection[Node]) -> tuple[list[Node], list[Node]]:
    """Choose the rails: posts, bars of fuses, studs with many ways out; below, studs with many ways in."""
    draft.index()
    made = [e.top for e in draft.edges if e.link is not None and e.link.kind == "source"]
    above = [node for node in dict.fromkeys((*live, *made)) if not draft.into.get(node)]
    below = []
    for node in dict.fromkeys(node for edge in draft.edges for node in (edge.top, edge.low)):
        if node in draft.metal or node in above:
            continue
        out, into = draft.down.get(node, ()), draft.into.get(node, ())
        part = draft.parts.get(node.part) if node.kind == "part" else None
        stud = part is not None and part.role == "stud"
        fuses = sum(1 for e in out if e.link is not None and e.link.kind == "fuse")
        if fuses > 1 or len(out) >= (TAPS_OF_STUD if stud else TAPS_OF_TERMINAL):
            above.append(node)
        elif len(into) >= (RETURNS if stud or node in low else TAPS_OF_TERMINAL + 2) and len(out) <= 1:
            below.append(node)
    return above, below


def by_part(edges: Iterable[Edge]) -> dict[str, list[Edge]]:
    """List the ways through each part."""
    found: dict[str, list[Edge]] = {}
    for edge in edges:
        if edge.part is not None:
            found.setdefault(edge.part.name, []).append(edge)
    return found


def build(design: Design, wires: Sequence[Wire] | None = None) -> Net:
    """Build the net of a design, of all its wires or of some."""
    chosen = list(design.wires if wires is None else wires)
    edges = [Edge(0, node_of(wire.from_), node_of(wire.to), wire=wire) for wire in chosen]
    edges += _link_edges(design, chosen)
    parts = {part.name: part for part in design.parts}
    draft = _Draft(design, edges, parts, _metal(design, edges))
    for edge in edges:
        if edge.top in draft.metal and edge.low not in draft.metal and edge.link is not None:
            _turn(edge)
    live, low = _posts(draft)
    _turn_series(draft, live, low)
    draft.index()
    heads = [node for node in live if not draft.into.get(node)] or live
    fed = _fed(draft, heads)
    _turn_returns(draft, fed, low)
    _turn_charging(draft, _fed(draft, heads))
    above, below = _rails(draft, heads, low)
    for at, edge in enumerate(draft.edges):
        edge.at = at
    return Net(
        design, draft.edges, draft.down, draft.into, above, below, draft.metal, frozenset(heads),
        of_part=by_part(draft.edges),
    )  # fmt: skip
