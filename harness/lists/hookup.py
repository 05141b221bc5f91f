"""The hook-up sheet: for every part and splice, which wires land on which terminal and with which lug."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from harness.lists.measure import natural
from harness.model.design import Design, PartResult, Point, Wire, WireEnd


@dataclass(frozen=True, slots=True)
class Landing:
    """One wire on one terminal."""

    number: str
    colour: str
    size: str
    lug: str  # catalogue text of what is on this end, "" when bare
    notes: str  # what to know about this end, "" when nothing
    other: Point  # where its other end is
    circuit: str
    kept: bool
    threading: tuple[str, ...] = ()  # what to do at this end, in this order


@dataclass(frozen=True, slots=True)
class HookTerminal:
    """One terminal and what lands on it, thickest first: the largest lug sits nearest the part."""

    name: str  # "" at a splice
    fitting: str  # "stud", "blade", ...; the splice's own fitting at a splice
    size: str  # thread or blade width, "" when it has none
    landings: tuple[Landing, ...]  # empty when nothing lands here


@dataclass(frozen=True, slots=True)
class HookPart:
    """One part or splice with all its terminals."""

    name: str
    title: str
    place: str
    terminals: tuple[HookTerminal, ...]
    notes: str = ""  # what the survey says of the part


Key = tuple[str, str, str]  # kind, part, terminal


def _landing(wire: Wire, end: WireEnd, other: Point) -> Landing:
    return Landing(
        number=wire.number,
        colour=wire.colour,
        size=wire.size,
        lug=end.terminal,
        notes="" if wire.kept else end.notes,
        other=other,
        circuit=wire.circuit,
        kept=wire.kept,
        threading=tuple(end.threading),
    )


def _landings(wires: list[Wire]) -> Mapping[Key, tuple[Landing, ...]]:
    """Group both ends of every wire by the terminal they land on, thickest wire first."""
    found: defaultdict[Key, list[Landing]] = defaultdict(list)
    for wire in sorted(wires, key=lambda wire: (-wire.area_mm2, natural(wire.number))):
        ends = ((wire.from_, wire.from_end, wire.to), (wire.to, wire.to_end, wire.from_))
        for here, end, other in ends:
            found[here.kind, here.part, here.terminal].append(_landing(wire, end, other))
    return {key: tuple(landings) for key, landings in found.items()}


def _terminals(
    part: PartResult, landings: Mapping[Key, tuple[Landing, ...]], landed: Sequence[str]
) -> tuple[HookTerminal, ...]:
    """Return the part's terminals, then any other that a wire lands on: no wire gets lost."""
    known = tuple(
        HookTerminal(use.terminal, use.fitting, use.size, landings.get(("part", part.name, use.terminal), ()))
        for use in part.terminals
    )
    listed = {terminal.name for terminal in known}
    others = tuple(
        HookTerminal(name, "", "", landings["part", part.name, name]) for name in landed if name not in listed
    )
    return known + others


def _parts(design: Design, landings: Mapping[Key, tuple[Landing, ...]]) -> list[HookPart]:
    landed: defaultdict[str, list[str]] = defaultdict(list)
    for kind, owner, name in landings:
        if kind == "part":
            landed[owner].append(name)
    return [
        HookPart(part.name, part.title, part.place, _terminals(part, landings, landed[part.name]), part.notes)
        for part in design.parts
    ]


def _splices(design: Design, landings: Mapping[Key, tuple[Landing, ...]]) -> list[HookPart]:
    return [
        HookPart(
            name=splice.name,
            title=f"splice, {splice.spot}" if splice.spot else "splice",
            place=splice.place,
            terminals=(HookTerminal("", splice.fitting, "", landings.get(("splice", splice.name, ""), ())),),
        )
        for splice in design.splices
    ]


def hook_up(design: Design) -> list[HookPart]:
    """Return every part in the design's order, then every splice; empty terminals are listed too."""
    landings = _landings(design.wires)
    return _parts(design, landings) + _splices(design, landings)
