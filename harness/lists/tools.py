"""The tools the job needs, from the fit-out: dies, strippers, cutters, heat, holes, torque, meters."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from harness.lists.measure import natural
from harness.lists.tally import by_key, once
from harness.model.design import Design, RunResult, Wire, WireEnd
from harness.model.tools import Tool

PRACTICE = "common practice (memory)"
OPENED = re.compile(r"open the hole from ([\d.]+) to ([\d.]+) mm")  # in the text of a grommet
N_PER_LBF = 4.4482216
BALANCE_N = 225.0  # end of a common spring balance, 50 lb

# Family of a die, as wire ends name it -> the tool it sits in, and what to know about it.
CRIMPERS: Mapping[str, tuple[str, str]] = {
    "insulated": ("ratchet crimping tool, die for insulated terminals", "pliers without a ratchet do not do"),
    "insulated with shrink sleeve": (
        "ratchet crimping tool, die for insulated terminals with a shrink sleeve",
        "the die for plain insulated ones cuts the sleeve",
    ),
    "bare barrel": ("ratchet crimping tool, die for bare closed barrels", "seam to the die's round side"),
    "tube lug": ("hex press for copper tube lugs, die", "a hammer or a vice does not do"),
    "coupler contact": ("crimping tool for the coupler's contacts", "as the maker of the coupler says"),
    "ferrule": ("crimping tool for wire ferrules, square or hex", "one for all sizes"),
    "plug contact": ("crimping tool for the contacts of a part's plug", "as the maker of the plug says"),
}


@dataclass(frozen=True, slots=True)
class _Crimp:
    """One crimp on a new wire."""

    wire: Wire
    end: WireEnd

    @property
    def family(self) -> str:
        return self.end.die.partition(", ")[0]

    @property
    def size(self) -> str:
        return self.end.die.partition(", ")[2]


def _crimps(design: Design) -> list[_Crimp]:
    return [
        _Crimp(wire, end)
        for wire in design.wires
        if not wire.kept
        for end in (wire.from_end, wire.to_end)
        if end.die
    ]


def _pulls(crimps: list[_Crimp]) -> str:
    """The least pulls of trial pieces crimped with one die, by size of wire."""
    ordered = sorted(crimps, key=lambda crimp: (crimp.wire.area_mm2, crimp.end.pull_n))
    least = {crimp.wire.size: crimp.end.pull_n for crimp in ordered if crimp.end.pull_n}
    if not least:
        return "no table has a pull for it: ask the maker of the terminal"
    words = (f"{size} {pull_n:.0f} N ({pull_n / N_PER_LBF:.0f} lb)" for size, pull_n in least.items())
    return f"trial pieces must hold {', '.join(words)}"


def _dies(design: Design) -> Iterator[Tool]:
    groups: dict[tuple[str, str], list[_Crimp]] = {}
    for crimp in _crimps(design):
        groups.setdefault((crimp.family, crimp.size), []).append(crimp)
    order = list(CRIMPERS)
    for (family, size), crimps in sorted(
        groups.items(), key=lambda item: (order.index(item[0][0]), natural(item[0][1]))
    ):
        what, note = CRIMPERS[family]
        sources = once(crimp.end.pull_source for crimp in crimps if crimp.end.pull_n)
        yield Tool(
            what, size, f"{note}; {_pulls(crimps)}", once(crimp.wire.number for crimp in crimps),
            "; ".join([*sources, PRACTICE]),
        )  # fmt: skip


def _span(wires: list[Wire]) -> str:
    """The sizes of some wires: "18 to 10 AWG", "0.75 to 6 mm2", or the one there is."""
    ordered = sorted(wires, key=lambda wire: wire.area_mm2)
    thin, thick = ordered[0].size, ordered[-1].size
    if thin == thick:
        return thin
    return f"{thin.rpartition(' ')[0]} to {thick}"


def _cutting(design: Design) -> Iterator[Tool]:
    """Cutters and strippers: cable with tube lugs needs its own."""
    heavy = {crimp.wire.number for crimp in _crimps(design) if crimp.family == "tube lug"}
    new = [wire for wire in (*design.wires, *design.spares) if not wire.kept]
    thin, thick = ([wire for wire in new if (wire.number in heavy) is want] for want in (False, True))
    if thin:
        numbers = [wire.number for wire in thin]
        yield Tool("side cutters", _span(thin), "square cuts, no crushed strands", numbers, PRACTICE)
        yield Tool(
            "wire stripper with holes or a stop", _span(thin), "no strand nicked; strip as the cut list says",
            numbers, PRACTICE,
        )  # fmt: skip
    if thick:
        numbers = [wire.number for wire in thick]
        yield Tool(
            "cable cutter with curved blades", _span(thick), "a saw leaves loose strands", numbers, PRACTICE
        )
        yield Tool("cable knife or ring stripper", _span(thick), "cut round, then along", numbers, PRACTICE)


def _heat(design: Design) -> Iterator[Tool]:
    shrunk = [
        wire.number
        for wire in (*design.wires, *design.spares)
        if not wire.kept
        for end in (wire.from_end, wire.to_end)
        if end.shrink or "adhesive-lined sleeve" in end.terminal
    ]
    shrunk += [splice.name for splice in design.splices if splice.shrink]
    shrunk += [run.name for run in design.runs if run.stretch is not None]
    if shrunk:
        why = "until the glue shows all round; no flame near fuel, and none on the insulation"
        yield Tool("hot-air gun with a bent nozzle", "", why, once(shrunk), PRACTICE)


def _opened(run: RunResult) -> tuple[str, str] | None:
    found = OPENED.search(run.grommet)
    return (found.group(1), found.group(2)) if found else None


def _holes(design: Design) -> Iterator[Tool]:
    lined = [run for run in design.runs if run.grommet]
    opened = by_key((found, run.name) for run in lined if (found := _opened(run)))
    by_size: dict[str, list[tuple[str, list[str]]]] = {}
    for (was, becomes), names in opened.items():
        by_size.setdefault(becomes, []).append((was, names))
    for becomes in sorted(by_size, key=float):
        was = ", ".join(each for each, _ in by_size[becomes])
        names = [name for _, found in by_size[becomes] for name in found]
        yield Tool(
            "hole cutter or stepped drill",
            f"{becomes} mm",
            f"opens holes of {was} mm for their grommets",
            names,
            PRACTICE,
        )
    edged = [run.name for run in design.runs if run.grommet or run.trims]
    if edged:
        why = "no burr under a grommet or an edge trim"
        yield Tool("deburring tool or half-round file", "", why, edged, PRACTICE)


def _tight(design: Design) -> Iterator[Tool]:
    known = [stud for stud in design.studs if stud.torque_nm is not None]
    if known:
        least, most = (pick(stud.torque_nm or 0.0 for stud in known) for pick in (min, max))
        span = f"{least:g} Nm" if least == most else f"{least:g} to {most:g} Nm"
        why = "small studs take less than one thinks: see the sheet Studs"
        yield Tool("torque wrench that reads low", span, why, once(stud.part for stud in known), PRACTICE)
    grounds = [part.name for part in design.parts if part.role == "ground"]
    if grounds:
        yield Tool(
            "wire brush or emery cloth", "", "bright metal under every ground point", grounds, PRACTICE
        )


def _trying(design: Design) -> Iterator[Tool]:
    pulled = [crimp for crimp in _crimps(design) if 0 < crimp.end.pull_n <= BALANCE_N]
    if pulled:
        most = max(crimp.end.pull_n for crimp in pulled)
        size = f"to {most:.0f} N ({most / N_PER_LBF:.0f} lb)"
        why = "pulls trial crimps; heavier ones are pulled on a bench"
        yield Tool("spring balance", size, why, once(crimp.wire.number for crimp in pulled), PRACTICE)
    if design.wires:
        why = "continuity of every wire, volts and drops at first power; one that reads to 0.1 ohm"
        yield Tool(
            "multimeter",
            f"DC to {2 * design.machine.voltage_v:g} V and more",
            why,
            [circuit.name for circuit in design.circuits],
            PRACTICE,
        )


MAKERS: tuple[Callable[[Design], Iterator[Tool]], ...] = (_dies, _cutting, _heat, _holes, _tight, _trying)


def tools(design: Design) -> list[Tool]:
    """Every tool that the fit-out of a design asks for; ``design.tools`` is not read."""
    return [tool for make in MAKERS for tool in make(design)]
