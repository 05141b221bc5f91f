"""What goes on both ends of every wire: terminal, strip, heat-shrink, label, in words for the bench."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from harness.fitout import shrink
from harness.fitout.choice import Choice, Landing, citation, surroundings
from harness.fitout.labels import label_notes
from harness.fitout.terminals import choose
from harness.model.design import Point, Wire, WireEnd
from harness.model.machine import Machine, Terminal

KEPT = WireEnd("", "", 0.0, "", 0.0, "", "kept", "")


def _sleeve(landing: Landing, choice: Choice) -> tuple[str, float, tuple[str, ...]]:
    """Heat-shrink over the barrel: its text, its cut length [mm], and notes."""
    if choice.covers_mm is None:
        return "", 0.0, ()
    wire_mm, barrel_mm = landing.wire.outside_mm, choice.covers_mm
    tube = shrink.over(wire_mm=wire_mm, barrel_mm=barrel_mm, sealed=choice.sealed or landing.around.wet)
    if tube is None:
        return "", 0.0, (f"no heat-shrink in the table grips {wire_mm:g} mm and passes {barrel_mm:g} mm",)
    length = shrink.on_splice_mm if choice.splices else shrink.on_terminal_mm
    return str(tube), length(barrel_mm=choice.covers_long_mm, adhesive=tube.adhesive), ()


def _end(landing: Landing, notes: tuple[str, ...] = ()) -> WireEnd:
    if landing.wire.kept:
        return KEPT
    choice = choose(landing)
    sleeve, sleeve_mm, sleeve_notes = _sleeve(landing, choice)
    return WireEnd(
        terminal=choice.terminal,
        stud=choice.stud,
        strip_mm=choice.strip_mm,
        shrink=sleeve,
        shrink_mm=sleeve_mm,
        label=landing.wire.number,
        notes="; ".join((*choice.notes, *sleeve_notes, *notes)),
        source=citation((*choice.tables, *(shrink.TABLES if sleeve else ()))),
    )


def _key(point: Point) -> tuple[str, str, str]:
    return point.kind, point.part, point.terminal


def _together(wires: Iterable[Wire]) -> dict[tuple[str, str, str], tuple[Wire, ...]]:
    found: dict[tuple[str, str, str], list[Wire]] = {}
    for wire in wires:
        for point in (wire.from_, wire.to):
            found.setdefault(_key(point), []).append(wire)
    return {key: tuple(each) for key, each in found.items()}


def _terminal(machine: Machine, point: Point) -> Terminal | None:
    if point.kind == "splice":
        return None
    return next((each for each in machine.parts[point.part].terminals if each.name == point.terminal), None)


_NOWHERE = ("", "", "")


def _across(machine: Machine) -> dict[tuple[str, str, str], tuple[str, str, str]]:
    """Pin of a coupler -> the pin of its other half."""
    found = {}
    for part in machine.parts.values():
        for link in part.links if part.way_a is not None else ():
            a, b = ("part", part.name, link.a), ("part", part.name, link.b)
            found[a], found[b] = b, a
    return found


def wire_ends(machine: Machine, wires: Sequence[Wire]) -> list[tuple[WireEnd, WireEnd]]:
    """What goes on both ends of every wire, in the order of the wires; kept wires stay as they are."""
    together = _together(wires)
    across = _across(machine)

    def landing(wire: Wire, point: Point) -> Landing:
        return Landing(
            wire=wire,
            point=point,
            part=machine.parts[point.part] if point.kind == "part" else None,
            terminal=_terminal(machine, point),
            around=surroundings(machine, point.place),
            together=together[_key(point)],
            mates=together.get(across.get(_key(point), _NOWHERE), ()),
        )

    def ends(wire: Wire) -> tuple[WireEnd, WireEnd]:
        return (
            _end(landing(wire, wire.from_), label_notes(length_m=wire.length_m)),
            _end(landing(wire, wire.to)),
        )

    return [ends(wire) for wire in wires]
