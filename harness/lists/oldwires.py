"""The old wires that were traced beside the new ones: what was dropped, what is new, what changed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from harness.joined import Joined
from harness.model.assembly import OldWire
from harness.model.design import Design, Point, Wire

Fate = Literal["as before", "changed", "led otherwise", "dropped", "not traced"]
Spot = tuple[str, str]


@dataclass(frozen=True, slots=True)
class OldBeside:
    """One old wire and what became of it."""

    old: OldWire
    fate: Fate
    wires: tuple[str, ...]  # numbers of the new ones that serve instead
    told: str  # what is otherwise, in words


@dataclass(frozen=True, slots=True)
class Comparison:
    """Every old wire, and every new one that has no old counterpart."""

    old: tuple[OldBeside, ...]
    new: tuple[str, ...]


def beside(old_wires: Sequence[OldWire], design: Design) -> Comparison:
    """Compare the traced old wires with a design.

    An old wire has a counterpart where a new wire joins the same two terminals, or parts where no terminal
    was noted. Where the new wires join them by way of a splice, a coupler or another terminal, it is led
    otherwise. One of which only places are known cannot be compared: it is not traced.
    """
    nets = _nets(design)
    found = tuple(_beside(old, design, nets) for old in old_wires)
    met = {number for one in found for number in one.wires}
    return Comparison(found, tuple(wire.number for wire in design.wires if wire.number not in met))


def _spot(point: Point) -> Spot:
    return point.part, point.terminal


def _nets(design: Design) -> dict[Spot, int]:
    """Every terminal and splice with the number of its net; the halves of a coupler's way are one."""
    joined = Joined[Spot]()
    for wire in design.wires:
        joined.join(_spot(wire.to), _spot(wire.from_))
    for part in design.parts:
        if part.role == "coupler":
            for link in part.links:
                joined.join((part.name, link.b), (part.name, link.a))
    order: dict[Spot, int] = {}
    return {spot: order.setdefault(top, len(order)) for spot, top in joined.tops().items()}


def _at(end: tuple[str, str], spots: Iterable[Spot]) -> set[Spot]:
    """The terminals that an end of an old wire may mean: one, or all of its part."""
    part, terminal = end
    return {spot for spot in spots if spot[0] == part and terminal in ("", spot[1])}


def _beside(old: OldWire, design: Design, nets: dict[Spot, int]) -> OldBeside:
    if not old.from_end[0] or not old.to_end[0]:
        return OldBeside(old, "not traced", (), "note the part and terminal at both ends to compare it")
    here, there = _at(old.from_end, nets), _at(old.to_end, nets)
    direct = [
        wire
        for wire in design.wires
        if (_spot(wire.from_) in here and _spot(wire.to) in there)
        or (_spot(wire.from_) in there and _spot(wire.to) in here)
    ]
    if direct:
        words = _otherwise(old, direct[0])
        return OldBeside(old, "changed" if words else "as before", (direct[0].number,), words)
    shared = {nets[spot] for spot in here} & {nets[spot] for spot in there}
    if shared:
        ends = {spot for spot in here | there if nets[spot] in shared}
        numbers = tuple(w.number for w in design.wires if {_spot(w.from_), _spot(w.to)} & ends)
        return OldBeside(
            old, "led otherwise", numbers, "joined by way of a splice, coupler or other terminal"
        )
    return OldBeside(old, "dropped", (), "no new wire joins these two; a fuse or relay may stand between now")


def _otherwise(old: OldWire, new: Wire) -> str:
    """Size and colour where they differ and the old one was noted."""
    said = []
    if old.size and old.size != new.size:
        said.append(f"{new.size} instead of {old.size}")
    if old.colour and old.colour != new.colour:
        said.append(f"{new.colour} instead of {old.colour}")
    return ", ".join(said)
