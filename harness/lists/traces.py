"""The way of the current through one wire: which wires and parts feed it, and which it feeds."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from harness.model.design import Design, PartResult, Point, Wire

Node = tuple[str, str, str]  # kind, name, terminal


@dataclass(frozen=True, slots=True)
class Trace:
    """Everything on the way of one wire's current, the wire itself left out."""

    wires: tuple[str, ...]
    parts: tuple[str, ...]  # parts and splices


def _node(point: Point) -> Node:
    return point.kind, point.part, point.terminal


@dataclass(frozen=True, slots=True)
class Ways:
    """Where wires start and end, and how current passes through parts."""

    starting: Mapping[Node, list[Wire]]
    ending: Mapping[Node, list[Wire]]
    inner: Mapping[Node, list[Node]]  # a source or the metal of a part is no way through
    dividing: frozenset[str]  # studs and fuse panels: what hangs on them is not one wire's way any more


def _divides(part: PartResult) -> bool:
    return part.role == "stud" or sum(link.kind == "fuse" for link in part.links) > 1


def ways_of(design: Design) -> Ways:
    """Sort the wires and inner links of a design by the terminals they touch."""
    starting: defaultdict[Node, list[Wire]] = defaultdict(list)
    ending: defaultdict[Node, list[Wire]] = defaultdict(list)
    inner: defaultdict[Node, list[Node]] = defaultdict(list)
    for wire in design.wires:
        starting[_node(wire.from_)].append(wire)
        ending[_node(wire.to)].append(wire)
    for part in design.parts:
        for link in part.links:
            if link.kind == "source" or "case" in (link.a, link.b):
                continue
            a, b = ("part", part.name, link.a), ("part", part.name, link.b)
            inner[a].append(b)
            inner[b].append(a)
    divides = frozenset(part.name for part in design.parts if _divides(part))
    return Ways(starting, ending, inner, divides)


def _through(ways: Ways, node: Node, *, up: bool) -> Iterator[Wire]:
    """Wires that bring current to ``node`` or take it on, through the parts on the way."""
    landing = ways.ending if up else ways.starting
    seen, todo = {node}, [node]
    while todo:
        here = todo.pop()
        yield from landing.get(here, ())
        for there in ways.inner.get(here, ()):
            if there not in seen:
                seen.add(there)
                todo.append(there)


def _walk(ways: Ways, wire: Wire, *, up: bool) -> Iterator[Wire]:
    seen, todo = {wire.number}, [wire]
    while todo:
        point = todo[-1].from_ if up else todo[-1].to
        todo.pop()
        if not up and point.part in ways.dividing:
            continue
        for found in _through(ways, _node(point), up=up):
            if found.number not in seen:
                seen.add(found.number)
                todo.append(found)
                yield found


def trace(ways: Ways, wire: Wire) -> Trace:
    """Return the way of one wire: back to its source, and on to ground or to where current divides."""
    found = [*_walk(ways, wire, up=True), *_walk(ways, wire, up=False)]
    points = [point for each in (wire, *found) for point in (each.from_, each.to)]
    return Trace(
        tuple(dict.fromkeys(each.number for each in found)),
        tuple(dict.fromkeys(point.part for point in points)),
    )
