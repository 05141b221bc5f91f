"""A design ready for looking up, and the words and figures that a circuit writes at a part."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from harness.model.design import Design, Fuse, InnerLink, LoadResult, PartResult, Point, Wire

ASSUMED = "~"


@dataclass(frozen=True, slots=True)
class Index:
    """The design, ready for looking up."""

    design: Design
    parts: Mapping[str, PartResult]
    wires: Mapping[str, Wire]
    into: Mapping[tuple[str, str], Sequence[Wire]]  # wires whose end nearer the load is this terminal
    out_of: Mapping[tuple[str, str], Sequence[Wire]]
    fuses: Mapping[tuple[str, str], Fuse]
    loads: Mapping[tuple[str, str], LoadResult]


def index(design: Design) -> Index:
    """Index a design by name and terminal."""
    into: dict[tuple[str, str], list[Wire]] = {}
    out_of: dict[tuple[str, str], list[Wire]] = {}
    for wire in design.wires:
        into.setdefault((wire.to.part, wire.to.terminal), []).append(wire)
        out_of.setdefault((wire.from_.part, wire.from_.terminal), []).append(wire)
    return Index(
        design=design,
        parts={part.name: part for part in design.parts},
        wires={wire.number: wire for wire in design.wires},
        into=into,
        out_of=out_of,
        fuses={(fuse.part, fuse.link): fuse for fuse in design.fuses},
        loads={(load.part, load.link): load for load in design.loads},
    )


def amperes(value: float) -> str:
    """Write a current with two or three figures, never in powers of ten."""
    return f"{value:.2g} A" if value < 10 else f"{value:.3g} A" if value < 1000 else f"{value:.0f} A"


def spot(point: Point) -> str:
    """Name a terminal; the one terminal of a stud needs no name."""
    return point.part if point.terminal in ("", "stud") else f"{point.part} {point.terminal}"


def value(known: Index, part: PartResult, link: InnerLink) -> str:
    fuse = known.fuses.get((part.name, link.name))
    if fuse is not None and link.kind == "fuse":
        return amperes(fuse.rating_a)
    load = known.loads.get((part.name, link.name))
    if load is None or link.kind != "load":
        return ""
    return f"{ASSUMED if load.assumed else ''}{amperes(load.steady_a)}"


def peaks(known: Index, part: PartResult, links: Iterable[InnerLink]) -> list[str]:
    found = []
    for link in links:
        load = known.loads.get((part.name, link.name))
        if load is not None and load.peak_a is not None and load.peak_s is not None:
            found.append(f"{amperes(load.peak_a)} for {load.peak_s:g} s at first")
    return found


def other_half(known: Index, part: PartResult, links: Sequence[InnerLink], circuit: str) -> list[str]:
    """Tell in which circuit the other half of a relay is drawn."""
    if part.role != "relay":
        return []
    drawn = {link.kind for link in links}
    notes = []
    for kind, word in (("load", "coil"), ("contact", "contact")):
        ends = {end for link in part.links if link.kind == kind for end in (link.a, link.b)}
        wires = [
            wire
            for end in sorted(ends)
            for wire in (*known.into.get((part.name, end), ()), *known.out_of.get((part.name, end), ()))
        ]
        circuits = [each for each in dict.fromkeys(wire.circuit for wire in wires) if each != circuit]
        if kind not in drawn and circuits:
            notes.append(f"{word}: {circuits[0]}")
    return notes
