"""What goes on both ends of every wire: terminal, strip, heat-shrink, label, in words for the bench."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from harness.fitout import shrink
from harness.fitout.boots import boot_for
from harness.fitout.choice import Choice, Landing, citation, surroundings
from harness.fitout.labels import from_end_mm, label_notes
from harness.fitout.passing import END, START, passing
from harness.fitout.pull import NO_PULL, Pull, pull_in_one_barrel, pull_of
from harness.fitout.steps import OnThisEnd, steps
from harness.fitout.terminals import choose
from harness.model.design import Point, RunResult, Splice, Wire, WireEnd
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


def _pull(landing: Landing, choice: Choice) -> Pull:
    if not choice.terminal and not choice.joins:
        return NO_PULL
    return pull_in_one_barrel(choice.barrel_of) if choice.barrel_of else pull_of(landing.wire.size)


@dataclass(frozen=True, slots=True)
class _Given:
    """What is known of an end beside its landing."""

    passes: Sequence[str] = ()
    splice_shrink: str = ""
    notes: tuple[str, ...] = ()


def _end(landing: Landing, chassis_post: str, given: _Given) -> WireEnd:
    if landing.wire.kept:
        return KEPT
    choice = choose(landing)
    sleeve, sleeve_mm, sleeve_notes = _sleeve(landing, choice)
    label = landing.wire.number
    boot = boot_for(landing, chassis_post) if choice.terminal else ""
    pull = _pull(landing, choice)
    near_mm, far_mm = from_end_mm(length_m=landing.wire.length_m, shrink_mm=sleeve_mm)
    on_it = OnThisEnd(choice, given.passes, label, boot, sleeve, given.splice_shrink, pull)
    return WireEnd(
        terminal=choice.terminal,
        stud=choice.stud,
        strip_mm=choice.strip_mm,
        shrink=sleeve,
        shrink_mm=sleeve_mm,
        label=label,
        notes="; ".join((*choice.notes, *sleeve_notes, *given.notes)),
        source=citation((*choice.tables, *(shrink.TABLES if sleeve else ()))),
        boot=boot,
        threading=steps(on_it),
        pull_n=pull.least_n,
        pull_source=pull.source,
        die=choice.die,
        label_near_mm=near_mm,
        label_far_mm=far_mm,
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


def _carriers(wires: Sequence[Wire], splices: Sequence[Splice]) -> dict[tuple[str, str], str]:
    """Splice and number of the wire that its heat-shrink is slid on before the crimp, with words for it.

    It goes on the wire that comes to the splice by itself, else on the first new one.
    """
    shrunk = {splice.name for splice in splices if splice.shrink}
    first: dict[str, str] = {}
    coming, leaving = [(wire.to, wire) for wire in wires], [(wire.from_, wire) for wire in wires]
    for point, wire in (*coming, *leaving):
        if point.kind == "splice" and point.part in shrunk and not wire.kept:
            first.setdefault(point.part, wire.number)
    return {(name, number): f"heat-shrink of splice {name}" for name, number in first.items()}


def wire_ends(
    machine: Machine, wires: Sequence[Wire], splices: Sequence[Splice] = (), runs: Sequence[RunResult] = ()
) -> list[tuple[WireEnd, WireEnd]]:
    """What goes on both ends of every wire, in the order of the wires; kept wires stay as they are.

    ``splices``, ``runs``: as fitted, for what is threaded on before an end is crimped.
    """
    together = _together(wires)
    across = _across(machine)
    passes = passing(wires, runs)
    carriers = _carriers(wires, splices)

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

    def end(wire: Wire, side: str, notes: tuple[str, ...] = ()) -> WireEnd:
        point = wire.from_ if side == START else wire.to
        shrunk = carriers.get((point.part, wire.number), "") if point.kind == "splice" else ""
        given = _Given(passes.get((wire.number, side), ()), shrunk, notes)
        return _end(landing(wire, point), machine.chassis_post, given)

    return [(end(wire, START, label_notes(length_m=wire.length_m)), end(wire, END)) for wire in wires]
