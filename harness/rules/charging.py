"""Rules on the exciter's lamp, and what alternator the charging line as designed would stand."""

from __future__ import annotations

from collections.abc import Iterator

from harness.model.grounds import ChargeLine
from harness.model.machine import End
from harness.rules.case import Case, Way, part_end
from harness.rules.figures import PRACTICE
from harness.rules.registry import Say, rule
from harness.rules.starting import exciters

LEAST_LAMP_W = 1.5  # through it an alternator still wakes; 2 to 3 W is usual (common practice)


@rule(
    "exciter lamp too weak",
    severity="fault",
    summary="the charge warning lamp passes too little to wake the alternator: under 1.5 W, or an LED",
    source=f"exciter lamp of 2 to 3 W, or 10 ohm and a diode beside it ({PRACTICE})",
    cure="fit a filament lamp of 2 to 3 W, or a resistor beside the lamp",
)
def weak_lamp(case: Case) -> Iterator[Say]:
    def metal(way: Way, _: End) -> bool:
        return way.kind in ("wire", "bus", "fuse")

    for alternator, end in exciters(case):
        if alternator.kind == "dynamo":
            continue
        tied = case.reach([end], metal, stops=case.is_low)
        feeding = [(part, link) for part, link in case.loads() if part_end(part, link.b) in tied]
        watts = sum(link.load.steady_a * case.machine.voltage_v for _, link in feeding if link.load)
        blind = all(part.needs_polarity for part, _ in feeding)
        if feeding and (watts < LEAST_LAMP_W or blind) and end not in case.fed:
            part = feeding[0][0]
            why = "lets next to nothing through" if blind else f"takes only {watts:.2g} W"
            yield Say(
                part.name,
                f"{part.name} {why}, and all that wakes {alternator.name} goes through it: it may not charge "
                "until it is revved hard, or not at all",
                "fit a filament lamp of 2 to 3 W, or a resistor beside it that takes as much",
                part.where,
            )


def charge_lines(case: Case) -> list[ChargeLine]:
    """Every charging line with the largest alternator its wires, and its drop, would do for."""
    found = []
    for part, end in case.alternator_outputs():
        wires = [step.wire for step in case.charge_way(end) if step.wire is not None]
        if not wires:
            continue
        weakest = min(wires, key=lambda at: (case.design.wires[at].ampacity_a, at))
        output = part.output_a or 0.0
        loads = [load for load in case.design.loads if load.part == part.name and load.modes]
        load = next((load for load in loads if case.load_link(load)[1].kind == "source"), None)
        lost = max((seen.judged_v for seen in load.modes), default=0.0) if load is not None else 0.0
        found.append(
            ChargeLine(
                part.name, output, [case.number(at) for at in wires], case.number(weakest),
                case.design.wires[weakest].ampacity_a,
                output * load.allowance_v / lost if load is not None and lost > 0 else None,
                load.allowance_v if load is not None else None,
            )
        )  # fmt: skip
    return found
