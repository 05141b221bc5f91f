"""Splits wires at the couplers that join two looms: each becomes two, with a pin in both halves."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from harness.model.laying import FREE, Laying
from harness.model.machine import (
    End,
    Link,
    Machine,
    Part,
    Path,
    SpliceSpec,
    Step,
    Terminal,
    WireSpec,
)
from harness.model.stages import Routed, RoutedWire
from harness.tables import load

KIND = "multi-way coupler"


@dataclass(frozen=True, slots=True)
class Laid:
    """What sizing found of a wire before it is split."""

    area_mm2: float
    current_a: float  # the most it carries for as long as a mode lasts


def couplers(machine: Machine) -> list[Part]:
    """Every coupler of the survey, in its order."""
    return [part for part in machine.parts.values() if part.kind == KIND]


def coupler_places(machine: Machine) -> frozenset[str]:
    """Places at which two looms meet: no splice belongs there."""
    return frozenset(part.place for part in couplers(machine))


def sides(machine: Machine, place: str) -> tuple[str, ...]:
    """The places a coupler's two runs lead to: half A faces the first, half B the second."""
    return tuple(
        run.end if run.start == place else run.start for run in machine.runs if place in (run.start, run.end)
    )


def _places(machine: Machine, wire: RoutedWire) -> list[str]:
    """Every place of a wire's way, from its first end on."""
    ends = {run.name: (run.start, run.end) for run in machine.runs}
    found = [wire.a.place]
    for name in wire.runs:
        start, end = ends[name]
        found.append(end if found[-1] == start else start)
    return found


def _parted(spec: WireSpec, machine: Machine, wire: RoutedWire, place: str) -> tuple[Laying, Laying]:
    """What a wire must go through before a coupler's place, and what after it."""
    places = _places(machine, wire)
    via, done, before = spec.laying.via, 0, 0
    for run, end in zip(("", *wire.runs), places, strict=True):
        for passed in (run, end):
            if done < len(via) and passed == via[done]:
                done += 1
        if end == place and not before:
            before = done
    if done < len(via):  # said of the circuit, and this wire goes its own way
        return replace(spec.laying, via=()), replace(spec.laying, via=())
    return replace(spec.laying, via=via[:before]), replace(spec.laying, via=via[before:])


def passes(machine: Machine, wire: RoutedWire, part: Part) -> str | None:
    """Which half a wire comes to first; None where it does not go through the coupler's place."""
    places = _places(machine, wire)
    if part.place not in places[1:-1]:
        return None
    before = places[places.index(part.place) - 1]
    return "A" if before == sides(machine, part.place)[0] else "B"


def thickest_mm2() -> float:
    """Copper area of the thickest wire a contact takes [mm2]. Source: coupler_contacts (read)."""
    return max((float(row["wire_to_mm2"]) for row in load("coupler_contacts").rows), default=0.0)


def most_a(part: Part) -> float:
    """What one way of a coupler may carry [A]: as surveyed, else what the largest contact does."""
    contacts = (float(row["continuous_a"]) for row in load("coupler_contacts").rows)
    return part.way_a or max(contacts, default=0.0)


def why_whole(part: Part, spec: WireSpec, laid: Laid) -> str:
    """Why a wire passes a coupler uncut, "" when it fits a pin."""
    if spec.keep:
        return "kept as it is"
    if spec.length_m is not None:
        return "measured end to end"
    if spec.whole:
        return "with a contact in it, it would have to be too thick for one"
    if laid.area_mm2 > thickest_mm2():
        return f"{laid.area_mm2:.3g} mm2 is too thick for a contact"
    if laid.current_a > most_a(part):
        return f"{laid.current_a:.3g} A is more than {most_a(part):g} A a way"
    return ""


class _Ways:
    """The ways of one coupler that are still free; more are made where the survey set no number."""

    def __init__(self, part: Part, taken: Iterable[str]) -> None:
        self.part = part
        self.links = list(part.links)
        self.made: list[Link] = []
        self._counted = bool(part.links)
        used = set(taken)
        self._free = [link for link in part.links if not {link.a, link.b} & used]
        self._ohm = load("contact_resistance").column("item", "resistance_mohm")["coupler pin"] / 1000

    def next(self) -> Link | None:
        """The next free way, None when the coupler is full."""
        if self._free:
            return self._free.pop(0)
        if self._counted:
            return None
        name = str(len(self.made) + 1)
        link = Link(f"{name}A/{name}B", f"{name}A", f"{name}B", "bus", self._ohm, rating_a=most_a(self.part))
        self.made.append(link)
        return link

    def done(self) -> Part:
        """The coupler with the ways that were made."""
        pins = {end: Terminal(end, "pin", "") for link in self.made for end in (link.a, link.b)}
        known = {terminal.name: terminal for terminal in self.part.terminals}
        return replace(
            self.part, links=(*self.part.links, *self.made), terminals=tuple((known | pins).values())
        )


def _split_path(path: Path, cuts: Mapping[int, tuple[Step, Step]], machine: Machine) -> Path:
    """The same path with each cut wire as two and the way through the coupler between."""
    steps: list[Step] = []
    for at, step in enumerate(path.steps):
        steps.append(step)
        if step.wire is None or step.wire not in cuts:
            continue
        through, other = cuts[step.wire]
        spec = machine.wires[step.wire]
        before = path.steps[at - 1].part if at else None
        after = path.steps[at + 1].part if at + 1 < len(path.steps) else None
        backwards = (before is not None and before == spec.b.name) or (
            after is not None and after == spec.a.name
        )
        steps[-1:] = [other, through, step] if backwards else [step, through, other]
    return replace(path, steps=tuple(steps))


def _split_at(machine: Machine, routed: Routed, laid: Mapping[int, Laid], part: Part) -> Machine:
    taken = {end.terminal for wire in machine.wires for end in (wire.a, wire.b) if end.name == part.name}
    ways = _Ways(part, taken)
    wires = list(machine.wires)
    cuts: dict[int, tuple[Step, Step]] = {}
    for wire in routed.wires:
        spec = machine.wires[wire.index]
        half = passes(machine, wire, part)
        if half is None or why_whole(part, spec, laid[wire.index]):
            continue
        link = ways.next()
        if link is None:
            continue  # a finding says that the coupler is too small
        first, second = (link.a, link.b) if half == "A" else (link.b, link.a)
        new = len(wires)
        ways_of = (
            (spec.laying, spec.laying) if spec.laying == FREE else _parted(spec, machine, wire, part.place)
        )
        wires[wire.index] = replace(spec, b=End("part", part.name, first), laying=ways_of[0])
        origin = spec.index if spec.origin is None else spec.origin
        end = End("part", part.name, second)
        wires.append(replace(spec, index=new, a=end, origin=origin, laying=ways_of[1]))
        cuts[wire.index] = (Step(part=part.name, link=link.name), Step(wire=new))
    circuits = tuple(
        replace(circuit, paths=tuple(_split_path(path, cuts, machine) for path in circuit.paths))
        for circuit in machine.circuits
    )
    return replace(
        machine, wires=tuple(wires), circuits=circuits, parts={**machine.parts, part.name: ways.done()}
    )


def _placed(machine: Machine, routed: Routed) -> tuple[SpliceSpec, ...]:
    """The splices where they are: a coupler must not make them wander to its other side."""
    return tuple(
        replace(splice, place=routed.splice_places[splice.name], chosen=splice.chosen or splice.place is None)
        for splice in machine.splices
    )


def split(machine: Machine, routed: Routed, laid: Mapping[int, Laid], part: Part) -> Machine:
    """The machine with every wire cut in two that goes through one coupler and fits its pins.

    A wire that passes several couplers is cut at one after the other: route again between the calls. The
    first half keeps the index, second halves follow at the end.
    """
    return replace(_split_at(machine, routed, laid, part), splices=_placed(machine, routed))


def too_thick(machine: Machine, areas_mm2: Mapping[int, float]) -> set[int]:
    """Surveyed wires whose halves no contact takes, by index; ``areas_mm2``: wire -> area as sized."""
    pins = {part.name for part in couplers(machine)}
    return {
        wire.index if wire.origin is None else wire.origin
        for wire in machine.wires
        if (wire.a.name in pins or wire.b.name in pins) and areas_mm2[wire.index] > thickest_mm2()
    }
