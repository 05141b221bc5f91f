"""Every drop limit of a machine: which load may lose how much, in which case, over which wires."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from harness.electric.allowance import SET, Allowance, peak_allowance, steady_allowance, table_allowance
from harness.electric.currents import Case, LoadWay, ModeSolution, fixed_drop_v, wire_share_a
from harness.electric.graph import batteries
from harness.electric.program import DropLimit
from harness.electric.starterways import is_starter_main
from harness.model.machine import Circuit, Machine

WIRE_SHARE = 0.25  # of an allowance, kept for the wires whatever joints and contacts take


@dataclass(frozen=True, slots=True)
class LoadLimit:
    """The drop limit of one load in one case of one mode."""

    part: str
    link: str
    case: Case
    way: LoadWay
    allowance: Allowance
    side: str = ""  # "live side" or "ground side" where only that stretch of the way is held to it
    usual: Allowance | None = None  # the table's, where the survey sets another

    @property
    def name(self) -> str:
        """The load, and the side of its way."""
        return f"{self.part} ({self.side})" if self.side else self.part


def side_volts(machine: Machine, solutions: Iterable[ModeSolution]) -> dict[tuple[str, str], float]:
    """(part, link) of a load that hangs on a voltage converter -> the volts that gives [V]."""
    converters = {battery.live: battery.volts_v for battery in batteries(machine) if battery.converts}
    return {
        load: converters[way.feed_post]
        for solution in solutions
        for load, way in solution.ways.items()
        if way.feed_post in converters
    }


def load_limits(machine: Machine, solutions: Sequence[ModeSolution]) -> list[LoadLimit]:
    """Every load's allowance against every case that asks for it."""
    owner, sides = circuit_of_links(machine), side_volts(machine, solutions)
    found = []
    for solution in solutions:
        for part, link in solution.ways:
            system_v = sides.get((part, link), machine.voltage_v)
            for case, stretch, allowance, side in _asked(machine, owner, solution, part, link, system_v):
                usual = None
                if allowance.source == SET:
                    usual = _usual(machine, owner, part, link, system_v)
                found.append(LoadLimit(part, link, case, stretch, allowance, side, usual))
    return found


def _usual(
    machine: Machine, owner: Mapping[tuple[str, str], Circuit], part: str, link: str, system_v: float
) -> Allowance:
    """What a load would be allowed if the survey set nothing."""
    piece = machine.parts[part]
    inner = next(one for one in piece.links if one.name == link)
    if inner.kind == "source":
        return table_allowance("charging", system_v=machine.voltage_v)
    return steady_allowance(replace(owner[part, link], allowance_v=None), piece, inner, system_v=system_v)


def _asked(
    machine: Machine,
    owner: Mapping[tuple[str, str], Circuit],
    solution: ModeSolution,
    part: str,
    link: str,
    system_v: float,
) -> Iterable[tuple[Case, LoadWay, Allowance, str]]:
    piece = machine.parts[part]
    inner = next(one for one in piece.links if one.name == link)
    if inner.kind == "source":
        circuit = owner.get((part, link))
        set_v = circuit.allowance_v if circuit else None
        allowance = table_allowance("charging", system_v=machine.voltage_v)
        if set_v is not None:
            allowance = Allowance(set_v, SET)
        yield solution.case("charging"), solution.ways[part, link], allowance, ""
        return
    circuit = owner[part, link]
    steady = steady_allowance(circuit, piece, inner, system_v=system_v)
    yield solution.judged(part, link), solution.ways[part, link], steady, ""
    if is_starter_main(piece, inner):
        yield from _starter_sides(machine, solution, part, link)
    peak = peak_allowance(piece, inner, system_v=system_v)
    if peak is not None:
        yield solution.case(f"peak {part} {link}"), solution.ways[part, link], peak, ""


def _starter_sides(
    machine: Machine, solution: ModeSolution, part: str, link: str
) -> Iterable[tuple[Case, LoadWay, Allowance, str]]:
    """A starter's live side and ground side are held to figures of their own."""
    way = solution.ways[part, link]
    for row, stretch in (("starter live side", way.feed), ("starter ground side", way.back)):
        yield (
            solution.judged(part, link),
            replace(
                way, feed=stretch if stretch is way.feed else (), back=stretch if stretch is way.back else ()
            ),
            table_allowance(row, system_v=machine.voltage_v),
            row.removeprefix("starter "),
        )


def circuit_of_links(machine: Machine) -> dict[tuple[str, str], Circuit]:
    """(part, link) -> the first circuit whose paths use it; a charger's source link by the wires on it."""
    found: dict[tuple[str, str], Circuit] = {}
    for circuit in machine.circuits:
        for step in (step for path in circuit.paths for step in path.steps):
            if step.part is not None and step.link is not None:
                found.setdefault((step.part, step.link), circuit)
    by_name = {circuit.name: circuit for circuit in machine.circuits}
    sources = {part.name: part for part in machine.parts.values() if part.role == "source"}
    for wire in machine.wires:
        for end in (end for end in (wire.a, wire.b) if end.kind == "part" and end.name in sources):
            for link in sources[end.name].links:
                if link.kind == "source" and end.terminal in (link.a, link.b):
                    found.setdefault((end.name, link.name), by_name[wire.circuit])
    return found


def drop_limit(limit: LoadLimit) -> DropLimit:
    """What the wires may lose: the allowance less joints and contacts.

    Of an allowance of the table never less than a quarter: where joints and contacts alone eat it no wire
    can save the load; the finding says so, and the wires are not made absurd for it. What the survey sets is
    taken at its word, and where no wire can do that, the wires are sized by the table instead.
    """
    fixed, share_a = fixed_drop_v(limit.way, limit.case), wire_share_a(limit.way, limit.case)
    usual = limit.usual or limit.allowance
    least_v = max(usual.drop_v - fixed, WIRE_SHARE * usual.drop_v)
    if limit.usual is None:
        return DropLimit(share_a, least_v)
    return DropLimit(share_a, limit.allowance.drop_v - fixed, least_v)
