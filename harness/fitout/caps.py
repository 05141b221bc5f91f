"""What closes the ends of a spare wire: a glue-lined sleeve past the cut end, pinched shut while hot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from harness.fitout.choice import Choice, citation
from harness.fitout.labels import from_end_mm
from harness.fitout.passing import END, START, passing
from harness.fitout.pull import NO_PULL
from harness.fitout.shrink import TABLES, choose, on_terminal_mm
from harness.fitout.steps import OnThisEnd, steps
from harness.fitout.terminals import CAP_MM
from harness.model.design import RunResult, Wire, WireEnd

COILED = "spare: not stripped; coil what is left over and tie it back"
NO_SLEEVE = "no glue-lined sleeve of the table fits: seal the cut end"


def _cap(wire: Wire, passes: Sequence[str]) -> WireEnd:
    tube = choose(smallest_mm=wire.outside_mm, largest_mm=wire.outside_mm, adhesive=True)
    sleeve = str(tube or "")
    order = OnThisEnd(Choice(capped=bool(tube)), passes, wire.number, "", sleeve, "", NO_PULL)
    sleeve_mm = on_terminal_mm(barrel_mm=CAP_MM, adhesive=True) if tube else 0.0
    near_mm, far_mm = from_end_mm(length_m=wire.length_m, shrink_mm=sleeve_mm)
    return WireEnd(
        terminal="",
        stud="",
        strip_mm=0.0,
        shrink=sleeve,
        shrink_mm=sleeve_mm,
        label=wire.number,
        notes=COILED if tube else f"{NO_SLEEVE}; {COILED}",
        source=citation(TABLES),
        threading=steps(order),
        label_near_mm=near_mm,
        label_far_mm=far_mm,
    )


def capped(spares: Sequence[Wire], *, beside: Sequence[Wire], runs: Sequence[RunResult]) -> tuple[Wire, ...]:
    """Spare wires with both ends capped and labelled; they go through holes as the wires ``beside`` them."""
    passes = passing(beside, runs, spares)
    return tuple(
        replace(
            wire,
            from_end=_cap(wire, passes.get((wire.number, START), ())),
            to_end=_cap(wire, passes.get((wire.number, END), ())),
        )
        for wire in spares
    )
