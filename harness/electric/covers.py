"""What goes round the wires of a run, as heat sees it: a tube with air under it, a braid, or tape.

Fit-out chooses the same covering when all wires are sized, by the same tables; a test holds both together.
"""

from __future__ import annotations

from math import exp, floor, log

from harness.electric.heat import Sleeve, figure
from harness.model.machine import Machine, Run
from harness.model.stages import Routed
from harness.tables import load, remembered

ROOM = 1.25  # inside diameter of a tube over the bundle, upper figure of loom_fill_rules
ROOM_CLOSED = 1.4  # of a sleeve that cannot be opened: below 40 % of its bore is wire
VERY_HOT_C = 125.0
ADDS_MM = {  # on the diameter by what lies close (common practice)
    "braid": 1.5,
    "tape": 0.8,
    "spiral": 2.4,
    "shrink": 5.0,  # twice the thickest wall of heat_shrink: the hotter answer
}
SERIES = {"AWG": "inch split loom", "mm2": "metric corrugated NW"}
STEP = log(1.03)  # bundles within 3 % share one curve; the thinner counts, which is the hotter


def form_of(machine: Machine, routed: Routed, run: Run) -> str:
    """Covering of a run: "corrugated", "braid", "spiral", "glass", "tape", "shrink", or "" when bare.

    What the survey says; else where a new wire lies what suits the zone, and nothing on kept cables.
    """
    if run.shrink:
        return "shrink"
    if run.covering is not None:
        return "" if run.covering == "none" else run.covering
    new = any(not machine.wires[wire].keep for wire in routed.in_run[run.name])
    if not new:
        return ""
    zone = machine.zones[run.zone]
    if zone.ambient_c > VERY_HOT_C or "exhaust" in run.near:
        return "glass"
    if run.moves:
        return "braid" if zone.closed and not zone.wet else "spiral"
    return "corrugated"


def thinner_mm(across_mm: float) -> float:
    """A diameter at or just below another, one of a row of steps, so that curves can be kept [mm]."""
    return exp(STEP * floor(log(across_mm) / STEP + 1e-9))


@remembered
def sleeve(form: str, across_mm: float, sizes: str) -> Sleeve | None:
    """The layer round a bundle of a diameter; None when bare.

    A tube is the one that fits (loom_sizes, memory), bored with room; braid and tape lie close. A bundle too
    thick for every tube is taped. All count as the worst plastic of the table.
    """
    rho = figure("PVC thermal resistivity")
    if form == "corrugated":
        for row in load("loom_sizes").rows:
            inside_mm = float(row["inside_dia_mm"])
            if row["series"] == SERIES[sizes] and inside_mm >= ROOM * across_mm:
                return Sleeve(inside_mm, float(row["outside_dia_mm"]), rho)
        form = "tape"
    if form == "glass":
        for row in load("glass_sleeve").rows:
            if float(row["inside_dia_mm"]) >= ROOM_CLOSED * across_mm:
                return Sleeve(float(row["inside_dia_mm"]), float(row["outside_dia_mm"]), rho)
        form = "tape"
    adds_mm = ADDS_MM.get(form, 0.0)
    return Sleeve(across_mm, across_mm + adds_mm, rho) if adds_mm else None
