"""The circuit graph: terminals, splices and bodies as nodes; wires, inner links and metal joints as edges."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal, NamedTuple

from harness.electric.rows import passes, row_lengths
from harness.model.design import Point
from harness.model.machine import End, Link, Machine, Part
from harness.model.stages import Routed, RoutedWire
from harness.tables import load

RESISTOR_OHM = 0.05  # an inner bar below this is metal, from here on a winding or resistor
WINDING_OHM = 0.5  # a contact that resists so much is a resistor: it limits current as a load does

EdgeKind = Literal["wire", "contact", "fuse", "load", "bus", "source", "joint"]
EdgeKey = int | tuple[str, str]  # a wire index, or part and link


class Node(NamedTuple):
    """One electrical point: a terminal of a part, a splice, or a body. A tuple, for its quick hash."""

    kind: Literal["terminal", "splice", "body"]
    name: str
    terminal: str = ""

    def __str__(self) -> str:
        return f"{self.name} {self.terminal}".rstrip()


@dataclass(frozen=True, slots=True)
class Edge:
    """One way for current between two nodes. ``key`` names it: a wire index, or part and link."""

    a: Node
    b: Node
    kind: EdgeKind
    key: EdgeKey
    ohm: float  # fixed part: joints, contacts; a wire's copper comes on top
    link: Link | None = None


def node_of(point: Point) -> Node:
    """The node a wire's end sits on."""
    if point.kind == "splice":
        return Node("splice", point.part)
    return Node("terminal", point.part, point.terminal)


def link_node(part: Part, terminal: str) -> Node:
    """The node of one end of a part's inner link; its case is the body it sits on."""
    if terminal != "case":
        return Node("terminal", part.name, terminal)
    return Node("body", part.body) if part.body is not None else Node("terminal", part.name, "case")


def joint_ohm(machine: Machine, point: Point) -> float:
    """Resistance of one crimped and fastened end [ohm]. Source: contact_resistance."""
    table = load("contact_resistance").column("item", "resistance_mohm")
    if point.kind == "splice":
        return table["splice"] / 1000
    part = machine.parts[point.part]
    if part.way_a is not None:
        return 0.0  # a way of a coupler counts once, as the link between its halves
    fitting = next((term for term in part.terminals if term.name == point.terminal), None)
    kind = fitting.fitting if fitting else "blade"
    if kind == "stud":
        small = fitting is not None and fitting.size in SMALL_STUDS
        return table["stud joint small" if small else "lug joint heavy"] / 1000
    items = {
        "post": "battery post clamp",
        "pin": "coupler pin",
        "screw": "stud joint small",
        "pigtail": "splice",
    }
    return table[items.get(kind, "blade terminal")] / 1000


def ground_ohm() -> float:
    """Resistance of a ground point in its metal, whatever its thread [ohm]. Source: contact_resistance."""
    return load("contact_resistance").column("item", "resistance_mohm")["stud joint small"] / 1000


SMALL_STUDS = {"M3", "M3.5", "M4", "M5", "M6", "#6", "#8", "#10", "1/4"}  # up to 1/4 in


def _wire_edge(machine: Machine, wire: RoutedWire) -> Edge:
    ohm = joint_ohm(machine, wire.a) + joint_ohm(machine, wire.b)
    return Edge(node_of(wire.a), node_of(wire.b), "wire", wire.index, ohm)


def _part_edges(part: Part) -> Iterator[Edge]:
    for link in part.links:
        yield Edge(
            link_node(part, link.a), link_node(part, link.b), link.kind, (part.name, link.name),
            link.resistance_ohm, link,
        )  # fmt: skip
    if part.role == "ground" and part.body is not None:
        for terminal in part.terminals:
            here = Node("terminal", part.name, terminal.name)
            yield Edge(here, Node("body", part.body), "joint", (part.name, terminal.name), ground_ohm())


def edges(machine: Machine, routed: Routed) -> tuple[Edge, ...]:
    """Every edge, wires first in their order, then the insides of parts in the order of the survey."""
    inner = (edge for part in machine.parts.values() for edge in _part_edges(part))
    return (*(_wire_edge(machine, wire) for wire in routed.wires), *inner)


@dataclass(frozen=True, slots=True)
class Battery:
    """One battery as a source between two nodes."""

    part: str
    live: Node  # the post that is not on the chassis side
    ground: Node
    volts_v: float
    inner_ohm: float
    capacity_ah: float = 60.0
    charge: float = 1.0  # state of charge, 0 to 1
    converts: bool = False  # a voltage converter: its volts do not follow charge or cold


def _inner_ohm(part: Part, volts_v: float) -> float:
    """Inner resistance [ohm] from the cold-cranking rating, else from capacity.

    Source: SAE J537 holds 7.2 V (12 V battery) at the rating at -18 °C, so R = (12.6 - 7.2) / rating
    (memory); without a rating it is taken as 7.5 x capacity in Ah (common practice).
    """
    cells = volts_v / 2
    rating = part.cranking_a or 7.5 * (part.capacity_ah or 60.0)
    return cells * (2.1 - 1.2) / rating


def _gives(part: Part) -> bool:
    """Whether it is a battery or a converter: a source that gives volts and no rated current."""
    return (
        part.role == "source" and part.output_a is None and any(link.kind == "source" for link in part.links)
    )


def _in_series(machine: Machine) -> dict[str, int]:
    """Battery -> how many are in its row, told by wires, fuses, studs and isolators between their posts."""
    own = [
        part.name for part in machine.parts.values() if _gives(part) and not any(x.load for x in part.links)
    ]
    if len(own) < 2:
        return {}
    grounds = {part.name for part in machine.parts.values() if part.role == "ground"}

    def is_metal(end: End) -> bool:
        return end.kind == "body" or end.name in grounds

    joins = [(wire.a, wire.b) for wire in machine.wires if not (is_metal(wire.a) or is_metal(wire.b))]
    for part in machine.parts.values():
        if passes(part.role, part.kind):
            joins += [(End("part", part.name, link.a), End("part", part.name, link.b)) for link in part.links]
    return row_lengths(own, joins)


def batteries(machine: Machine) -> list[Battery]:
    """Every battery, live post first whichever post the chassis has."""
    sign = 1 if machine.chassis_post == "negative" else -1
    in_series = _in_series(machine)
    found = []
    for part in filter(_gives, machine.parts.values()):
        volts = part.rated_v or machine.voltage_v / in_series.get(part.name, 1)
        posts = [Node("terminal", part.name, name) for name in ("+", "-")[::sign]]
        found.append(
            Battery(
                part.name, posts[0], posts[1], volts, _inner_ohm(part, volts), part.capacity_ah or 60.0,
                1.0 if part.charge is None else part.charge, any(link.load for link in part.links),
            )
        )  # fmt: skip
    return found


@dataclass(frozen=True, slots=True)
class Charger:
    """One alternator or dynamo as a source between two nodes."""

    part: str
    link: str
    live: Node
    ground: Node
    output_a: float
    idle_a: float = 0.0  # what it gives at idle


def chargers(machine: Machine) -> list[Charger]:
    """Every charging source with what it can give, live stud first whichever post the chassis has."""
    ground_sign = "-" if machine.chassis_post == "negative" else "+"
    found = []
    for part in machine.parts.values():
        for link in part.links:
            if part.role != "source" or not part.output_a or link.kind != "source":
                continue
            live, ground = link_node(part, link.a), link_node(part, link.b)
            if live.kind == "body" or (ground.kind != "body" and live.terminal.endswith(ground_sign)):
                live, ground = ground, live
            found.append(
                Charger(part.name, link.name, live, ground, part.output_a, part.idle_output_a or 0.0)
            )
    return found


def neighbours(ways: Iterable[Edge]) -> Mapping[Node, list[tuple[Edge, Node]]]:
    """Adjacency of a set of edges: node -> (edge, node at its other end), in the order of the edges."""
    found: dict[Node, list[tuple[Edge, Node]]] = {}
    for edge in ways:
        found.setdefault(edge.a, []).append((edge, edge.b))
        found.setdefault(edge.b, []).append((edge, edge.a))
    return found
