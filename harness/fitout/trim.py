"""Edge trim: the U strip over a cut edge, round a hole no grommet lines or along what a run lies against."""

from __future__ import annotations

import math

from harness.model.bundles import Trim
from harness.tables import load

CUT_STEP_MM = 5
UNMEASURED = "for the plate's thickness (measure it)"


def _strip(plate_mm: float | None) -> tuple[str, float] | None:
    """Catalogue text of the strip for a plate and how far it stands over the edge [mm]; None when none fits.

    Of a plate nobody measured the thickest strip's lip is taken off the hole.
    Source: edge_trim (memory), the plates of grommet_rules.
    """
    rows = load("edge_trim").rows
    if plate_mm is None:
        return f"edge trim, U strip {UNMEASURED}", max(float(row["lip_mm"]) for row in rows)
    for row in rows:
        if float(row["plate_from_mm"]) <= plate_mm <= float(row["plate_to_mm"]):
            fits = f"for {row['plate_from_mm']} to {row['plate_to_mm']} mm plate"
            return f"edge trim, U strip {fits}", float(row["lip_mm"])
    return None


def _cut_m(length_mm: float) -> float:
    """Up to the next 5 mm [m]."""
    return math.ceil(round(length_mm / CUT_STEP_MM, 6)) * CUT_STEP_MM / 1000


def round_hole(*, hole_mm: float, plate_mm: float | None, bundle_mm: float) -> Trim | None:
    """Trim all round a hole; None when no strip grips the plate or the bundle is too thick for what is left.

    ``bundle_mm``: of the bare bundle [mm]. The strip keeps wire off the edge but does not grip it, so clamps
    hold the bundle on both sides.
    """
    found = _strip(plate_mm)
    if found is None or hole_mm - 2 * found[1] < bundle_mm:
        return None
    text, lip_mm = found
    return Trim("hole", text, _cut_m(math.pi * hole_mm), round(hole_mm - 2 * lip_mm, 1))


def along_edge(*, plate_mm: float | None, length_m: float) -> Trim | None:
    """Trim along an edge that a run lies against; None when no strip grips the plate."""
    found = _strip(plate_mm)
    return Trim("edge", found[0], _cut_m(1000 * length_m), None) if found else None
