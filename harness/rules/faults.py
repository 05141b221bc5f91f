"""Rules on dead shorts: a fuse too slow for its wire, one that never opens, or opens after the one before."""

from __future__ import annotations

from collections.abc import Iterator

from harness.rules.case import Case
from harness.rules.figures import amps
from harness.rules.registry import Say, rule

BANDS = "bands of fuse_time_current (ISO and SAE rows memory, UL rows read)"
SHORT = f"k²S² of IEC 60364-5-54 (adiabatic_constants, read-from-secondary) against {BANDS}"


@rule(
    "fuse too slow for its wire",
    severity="danger",
    summary="in a dead short a wire gets hotter than its insulation stands before the fuse opens",
    source=SHORT,
    cure="fit a smaller or quicker fuse, or a thicker wire",
)
def too_slow(case: Case) -> Iterator[Say]:
    at = {wire.number: index for index, wire in enumerate(case.design.wires)}
    for fault in case.design.faults:
        if fault.stands is False and fault.clearing_s is not None and fault.let_through_a2s is not None:
            index = at[fault.wire]
            yield Say(
                fault.wire,
                f"shorted at its far end {case.say_wire(index)}, {case.design.wires[index].size}, takes "
                f"{amps(fault.current_a)} for up to {fault.clearing_s:.2g} s until {fault.fuse} opens: "
                + (
                    f"{fault.let_through_a2s:.3g} A²s, and its insulation stands "
                    f"{fault.wire_stands_a2s:.3g} A²s"
                    if fault.let_through_a2s > fault.wire_stands_a2s
                    else "longer than its insulation stands that much heat"
                ),
                f"fit {fault.fuse} smaller or of a quicker form, or a thicker wire",
                case.machine.wires[index].where,
            )


@rule(
    "short not cleared",
    severity="fault",
    summary=(
        "a dead short at a wire's far end draws too little current to open the fuse for certain; advice "
        "where the wire stands it"
    ),
    source=BANDS,
    cure="fit a smaller fuse, a thicker or shorter wire, or a fuse of its own nearer the load",
)
def not_cleared(case: Case) -> Iterator[Say]:
    at = {wire.number: index for index, wire in enumerate(case.design.wires)}
    for fault in case.design.faults:
        if fault.cleared is False and not fault.limited and fault.fuse_a is not None:
            index = at[fault.wire]
            lasts = (
                "the wire stands that much, but the battery runs flat and the fault stays warm"
                if fault.stands
                else f"the wire may carry {amps(case.design.wires[index].ampacity_a)}, and the short goes on"
            )
            yield Say(
                fault.wire,
                f"shorted at its far end {case.say_wire(index)} may take no more than "
                f"{amps(fault.current_a)} (hot copper, battery half flat), "
                f"{fault.current_a / fault.fuse_a:.0%} of {fault.fuse} at {amps(fault.fuse_a)}: "
                f"it may never open; {lasts}",
                "fit a smaller fuse, a thicker or shorter wire, or a fuse of its own nearer the load",
                case.machine.wires[index].where,
                severity="advice" if fault.stands else None,
            )


@rule(
    "fuses in series trip out of order",
    severity="advice",
    summary="of two fuses one behind the other the one nearer the battery may open first on a dead short",
    source=BANDS,
    cure="widen the step between the two ratings, or take a slower form for the one nearer the battery",
)
def out_of_order(case: Case) -> Iterator[Say]:
    parts = {fuse.name: fuse.part for fuse in case.design.fuses}
    found: dict[str, list[str]] = {}
    for order in case.design.fuse_order:
        if order.wrong_from_a is not None:
            text = f"{order.near} (from {amps(order.wrong_from_a)})"
            found.setdefault(order.far, []).append(text)
    for far, near in found.items():
        yield Say(
            far,
            f"{far} may open before {', '.join(near[:4])} on a short behind that: more goes dead than had to",
            f"widen the step between them, or take a slower form for {far}, as far as its wires allow",
            case.machine.parts[parts[far]].where,
        )
