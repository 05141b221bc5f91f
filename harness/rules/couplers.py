"""Rules on the couplers that part looms: full ones, and cables that pass one uncut."""

from __future__ import annotations

from collections.abc import Iterator

from harness.rules.case import Case
from harness.rules.figures import PRACTICE
from harness.rules.registry import Say, rule

NO_WAY = "no way left"


def _past(case: Case) -> Iterator[tuple[str, str, str]]:
    """Coupler, wire and reason of every wire that goes past a coupler uncut."""
    for coupler in case.design.couplers:
        for line in coupler.past:
            number, _, why = line.partition(": ")
            yield coupler.name, number, why


@rule(
    "coupler is full",
    severity="fault",
    summary="more wires cross a coupler than it has ways: the two looms cannot be parted there",
    source=PRACTICE,
    cure="take a coupler with more ways and two to spare",
)
def full_coupler(case: Case) -> Iterator[Say]:
    for coupler in case.design.couplers:
        left = [number for name, number, why in _past(case) if name == coupler.name and why == NO_WAY]
        if left:
            yield Say(
                coupler.name,
                f"{coupler.name} has {len(coupler.ways)} ways, all taken; "
                f"{f'{len(left)} wires more cross' if len(left) > 1 else '1 wire more crosses'} it:"
                f" {', '.join(left)}",
                f"take one with {len(coupler.ways) + len(left) + 2} ways or more (two to spare)",
                case.machine.parts[coupler.name].where,
            )


@rule(
    "cable passes a coupler uncut",
    severity="advice",
    summary="a cable too heavy for a contact crosses where two looms meet and keeps them together",
    source=PRACTICE,
    cure="undo its lug when the looms are parted, or land it on an insulated stud beside the coupler",
)
def uncut_cable(case: Case) -> Iterator[Say]:
    index = {wire.number: at for at, wire in enumerate(case.design.wires)}
    for name, number, why in _past(case):
        spec = case.machine.wires[index[number]]
        if why != NO_WAY and not spec.keep and not case.is_strap(spec):
            yield Say(
                number,
                f"wire {number} goes past {name} uncut: {why}",
                "undo its lug when the looms are parted, or land it on an insulated stud beside the coupler",
                spec.where,
            )
