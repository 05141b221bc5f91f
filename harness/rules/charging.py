"""Rules on the exciter's lamp, and what alternator the charging line as designed would stand."""

from __future__ import annotations

from collections.abc import Iterator

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


def charge_allows(case: Case, wire: int) -> list[str]:
    """What output a wire of the charging line would stand, and the whole line by its drop, in words.

    [] for a wire that is not on the way from an alternator to a battery.
    """
    found = []
    for part, end in case.alternator_outputs():
        tree = case.reach([end], lambda way, _: way.kind not in ("load", "source"), stops=case.is_low)
        post = next((post for post in sorted(case.live_posts) if post in tree), None)
        wires = [step.wire for step in case.way_back(tree, post) if step.wire is not None] if post else []
        if wire not in wires:
            continue
        able = case.design.wires[wire].ampacity_a
        weakest = min(wires, key=lambda at: (case.design.wires[at].ampacity_a, at))
        line = case.design.wires[weakest]
        words = f"{part.name} gives {part.output_a or 0.0:.3g} A; this wire would do for {able:.3g} A"
        if weakest != wire:
            words += f", the line for {line.ampacity_a:.3g} A (wire {line.number})"
        for load in case.design.loads:
            seen = max((one.judged_v for one in load.modes), default=0.0) if load.part == part.name else 0.0
            if seen > 0:
                most = (part.output_a or 0.0) * load.allowance_v / seen
                words += f", and the line by its drop of {load.allowance_v:.2f} V for {most:.3g} A"
        found.append(words)
    return found
