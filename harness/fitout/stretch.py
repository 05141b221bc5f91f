"""The stretch of loom that is shrunk over: which tube, and in how many pieces."""

from __future__ import annotations

import math

from harness.fitout.shrink import KEPT_ADHESIVE, KEPT_THIN, Tube, choose, cut_mm
from harness.model.bundles import Stretch
from harness.tables import load, remembered

LAP_MM = 25.0  # of one piece over the next, twice the lap on a splice (common practice)
SOURCE = (
    "heat_shrink_rules: at least 1.10 x recovered and at most 0.80 x expanded bore, a maker's guide (read)"
)


@remembered
def _stick_mm(sizes: str) -> float:
    """Length that tube is sold in [mm]. Source: sold_as (common practice)."""
    rows = [row for row in load("sold_as").rows if row["group"] == "heat-shrink" and row["sizes"] == sizes]
    return 1000 * float(rows[0]["amount"])


def _wall_mm(tube: Tube) -> float:
    """Wall of a tube shrunk free [mm]; of one that does not say, as in a shop's own list, the thickest."""
    walls = {
        (
            float(row["expanded_id_min_mm"]),
            float(row["recovered_id_max_mm"]),
            "adhesive" in row["family"],
        ): float(row["recovered_wall_nom_mm"])
        for row in load("heat_shrink").rows
        if row["recovered_wall_nom_mm"]
    }
    mine = (tube.expanded_mm, tube.recovered_mm, tube.adhesive)
    return walls.get(mine, max(walls.values(), default=0.0))


def _tube(asked: str, bundle_mm: float, *, wet: bool) -> Tube | None:
    """Thin or adhesive-lined tube as asked; left open, adhesive where it is wet, the other if none fits."""
    kinds = {"thin": (False,), "adhesive": (True,)}.get(asked, (True, False) if wet else (False, True))
    found = (choose(smallest_mm=bundle_mm, largest_mm=bundle_mm, adhesive=each) for each in kinds)
    return next((each for each in found if each is not None), None)


def _pieces(finished_mm: float, longest_mm: float) -> int:
    """How many pieces lap to a length when none may be longer [mm]."""
    if finished_mm <= longest_mm:
        return 1
    return math.ceil(round((finished_mm - LAP_MM) / (longest_mm - LAP_MM), 9))


def stretch(*, asked: str, bundle_mm: float, length_m: float, wet: bool, sizes: str) -> Stretch | None:
    """Tube over the whole of a run, cut so that it covers it once it has shrunk; None when no tube fits.

    ``asked``: "thin", "adhesive" or "yes". ``bundle_mm``: diameter of the bare bundle [mm]. ``sizes``: "AWG"
    for sticks of 4 ft, "mm2" for 1.2 m. A run longer than a stick gets equal pieces that lap.
    """
    tube = _tube(asked, bundle_mm, wet=wet)
    if tube is None:
        return None
    kept = KEPT_ADHESIVE if tube.adhesive else KEPT_THIN
    stick_mm = _stick_mm(sizes)
    finished_mm = 1000 * length_m
    count = _pieces(finished_mm, math.floor(stick_mm / 5) * 5 * kept)
    each_mm = (finished_mm + (count - 1) * LAP_MM) / count
    return Stretch(
        text=str(tube),
        pieces=count,
        cut_mm=cut_mm(finished_mm=each_mm, adhesive=tube.adhesive),
        lap_mm=LAP_MM if count > 1 else 0.0,
        expanded_mm=tube.expanded_mm,
        recovered_mm=tube.recovered_mm,
        outside_mm=round(bundle_mm + 2 * _wall_mm(tube), 1),
        source=SOURCE,
    )
