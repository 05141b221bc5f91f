"""Studs, screws and posts with wires on them: what lies on each, what to buy for it, and how tight it goes.

The stack of a ground point: bright metal, serrated washer that bites into it, lugs with the thickest wire's
innermost, flat washer, spring washer, nut (common practice; a plain washer and a spring washer under the nut
as in AC 21-99 section 2 chapter 13). A part's own stud keeps its own nut. Torque is printed where a source
has it; a stud of a part is its maker's business (FAA AC 43.13-1B 11-177 d), so the figure of another machine
stands there as an example only.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from harness.fitout.ferrules import CLAMP
from harness.model.design import Wire
from harness.model.hardware import StudStack, Suppressor
from harness.model.machine import Link, Machine, Part, Terminal
from harness.tables import load

ASK = "ask the maker of the part"
OWN = ("stud", "ground")  # roles of parts whose hardware we bring
RING_LUG = "ring lug"  # rows of stud_torque for a plain terminal of that thread
DIODES_A = (1.0, 3.0, 6.0, 10.0)  # as rectifier diodes are commonly sold (common practice)
DIODE_V = 400  # reverse volts, far above what any battery here gives (common practice)


def _matches(row: Mapping[str, str], part: Part, terminal: Terminal, volts_v: float) -> bool:
    return (
        row["kind"] == part.kind
        and row["terminal"] in ("", terminal.name)
        and row["thread"] in ("", terminal.size)
        and row["volts"] in ("", f"{volts_v:g}")
    )


def _torque_row(part: Part, terminal: Terminal, volts_v: float) -> Mapping[str, str] | None:
    rows = load("stud_torque").rows
    if part.role in OWN:
        return next((row for row in rows if row["kind"] == RING_LUG and row["thread"] == terminal.size), None)
    return next((row for row in rows if _matches(row, part, terminal, volts_v)), None)


def torque(part: Part, terminal: Terminal, volts_v: float) -> tuple[str, float | None, str]:
    """How tight: in words, the most a source gives [Nm], and the source. Source: stud_torque."""
    row = _torque_row(part, terminal, volts_v)
    if row is None:
        return ("no figure: snug, with a short spanner" if part.role in OWN else ASK), None, ""
    least, most = float(row["least_nm"]), float(row["most_nm"])
    figure = f"{most:g} Nm" if least == most else f"{least:g} to {most:g} Nm"
    words = figure if part.role in OWN else f"{figure} is one figure: {ASK}"
    return words, most, str(load("stud_torque").cite(row))


def _lugs(wires: Sequence[Wire]) -> list[str]:
    return [f"lug of {wire.number}" for wire in wires]


def _stack(part: Part, terminal: Terminal, wires: Sequence[Wire]) -> tuple[list[str], dict[str, int]]:
    """What lies on it from the metal outward, and what of that has to be bought."""
    lugs = _lugs(wires)
    if terminal.fitting == "post":
        return ["clean bright post", *lugs, "clamp bolt", "thin coat of grease"], {}
    if part.role == "ground":
        stack = ["bright metal", "serrated washer", *lugs, "flat washer", "spring washer", "nut", "paint"]
        bought = ("bolt, plated, as long as plate and lugs need", "serrated lock washer", "flat washer")
        return stack, dict.fromkeys((*bought, "spring lock washer", "nut, all metal"), 1)
    if part.role == "stud":
        bought = ("flat washer", "spring lock washer", "nut, all metal")
        return [*lugs, "flat washer", "spring washer", "nut"], dict.fromkeys(bought, 1)
    return [*lugs, "its own washer and nut" if terminal.fitting == "stud" else "its own screw"], {}


def _landing(wires: Sequence[Wire]) -> dict[tuple[str, str], list[Wire]]:
    found: dict[tuple[str, str], list[Wire]] = {}
    for wire in wires:
        for point in (wire.from_, wire.to):
            if point.kind == "part":
                found.setdefault((point.part, point.terminal), []).append(wire)
    return found


def studs(machine: Machine, wires: Sequence[Wire]) -> list[StudStack]:
    """Every stud, screw and post that a wire lands on, in the order of the parts."""
    landing = _landing(wires)
    found = []
    for part in machine.parts.values():
        for terminal in part.terminals:
            here = sorted(landing.get((part.name, terminal.name), []), key=lambda wire: -wire.area_mm2)
            if not here or terminal.fitting not in ("stud", "screw", "post") or terminal.size == CLAMP:
                continue
            stack, bought = _stack(part, terminal, here)
            if all(wire.kept for wire in here):
                bought = {}
            words, most_nm, source = torque(part, terminal, machine.voltage_v)
            found.append(
                StudStack(
                    part.name, terminal.name, part.place, terminal.fitting, terminal.size, stack,
                    [wire.number for wire in here], bought, words, most_nm, source,
                )
            )  # fmt: skip
    return found


def _coils(part: Part) -> Iterator[Link]:
    return (link for link in part.links if link.load is not None and link.load.nature == "coil")


def _fed_backwards(machine: Machine, part: Part, link: Link) -> bool:
    """Whether a path feeds a coil by the terminal that its kind names second: "relay 85/86"."""
    for circuit in machine.circuits:
        for before, step in (pair for path in circuit.paths for pair in pairwise(path.steps)):
            if step.part == part.name and step.link == link.name and before.wire is not None:
                return machine.wires[before.wire].b.terminal == link.b
    return False


def _suppressor(machine: Machine, part: Part, link: Link) -> Suppressor:
    steady_a = link.load.steady_a if link.load else 0.0
    rating_a = next((each for each in DIODES_A if each >= steady_a), None)
    size = f"{rating_a:g} A, {DIODE_V} V" if rating_a else f"over {steady_a:g} A, {DIODE_V} V"
    fed, other = (link.b, link.a) if _fed_backwards(machine, part, link) else (link.a, link.b)
    positive, negative = (fed, other) if machine.chassis_post == "negative" else (other, fed)
    return Suppressor(
        part.name, link.name, f"suppression diode across the coil, band to {positive}, not to {negative}",
        size, positive,
    )  # fmt: skip


def suppressors(machine: Machine) -> list[Suppressor]:
    """A diode for every coil that the survey says has nothing across it (``suppressed: no``).

    Its band goes to the terminal that is the more positive one: the fed one with the negative post on the
    chassis, the other with the positive post there; the wrong way round it is a short circuit. It is rated
    for the coil's steady current, which goes on through it at switching off (common practice).
    """
    return [
        _suppressor(machine, part, link)
        for part in machine.parts.values()
        if part.bare_coil
        for link in _coils(part)
    ]
