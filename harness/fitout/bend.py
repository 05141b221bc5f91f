"""How far the bundle of a run and the wires in it may be bent."""

from __future__ import annotations

from collections.abc import Sequence

from harness.model.bundles import Bend
from harness.model.design import Wire
from harness.tables import Source, load, remembered

GENERAL = "bend radius, wire or cable"
AT_STRIP = "bend radius at terminal strips where well supported"


@remembered
def _rule(rule: str) -> tuple[float, Source]:
    """Times the outside diameter, "10 x outside diameter", and where it is written."""
    table = load("support_rules")
    row = table.row("rule", rule)
    return float(row["figure_in"].split(" x ")[0]), table.cite(row)


def bend(wires: Sequence[Wire], bundle_mm: float) -> Bend | None:
    """The least inside radii of a run with these wires in it; None when it is empty.

    ``bundle_mm``: diameter of the bare bundle [mm]; a single cable bends by its own. The covering is left out
    of it: tube, braid and tape are made to follow the wires.
    Source: support_rules: 10 x outside diameter (read), 3 x at a terminal strip where well held (memory).
    """
    if not wires or bundle_mm <= 0:
        return None
    general, source = _rule(GENERAL)
    at_strip, strip_source = _rule(AT_STRIP)
    thickest = max(wires, key=lambda wire: wire.outside_mm)
    across_mm = thickest.outside_mm
    if len(wires) == 1:
        formula = f"{general:g} x {across_mm:.1f} mm, the cable's own diameter"
    else:
        formula = (
            f"{general:g} x {bundle_mm:.1f} mm; wire {thickest.number} alone {general:g} x {across_mm:.1f} mm"
        )
    return Bend(
        loom_mm=round(general * bundle_mm, 1),
        wire=thickest.number,
        wire_mm=round(general * across_mm, 1),
        strip_mm=round(at_strip * across_mm, 1),
        formula=f"{formula}, {at_strip:g} x at a terminal strip where it is held",
        source=f"{source}; at a strip {strip_source}",
    )
