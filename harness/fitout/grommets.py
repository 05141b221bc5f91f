"""Which grommet lines each plate hole."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from harness.tables import load

SAME_HOLE_MM = 0.5  # a drilled hole this near a grommet's own counts as the same (common practice)
GROOVE_MOST_MM = 6.4  # 1/4 in, the thickest plate common grommets cover: grommet_rules (read-from-secondary)
LOOSE = 1.25  # inside diameter over what passes, beyond which the bundle is built up with tape


@dataclass(frozen=True, slots=True)
class Grommet:
    """A grommet for one hole; text "" when none in the table serves."""

    text: str
    inside_mm: float | None


NO_GROMMET = Grommet("", None)


def _hole(row: Mapping[str, str]) -> float:
    return float(row["panel_hole_mm"])


def _inside(row: Mapping[str, str]) -> float:
    return float(row["inside_dia_mm"])


def _for_hole(hole_mm: float) -> list[dict[str, str]]:
    """Grommets that sit in a hole: those of its own size, else those of the next size it can be opened to."""
    rows = list(load("grommets").rows)
    same = [row for row in rows if abs(_hole(row) - hole_mm) <= SAME_HOLE_MM]
    if same:
        return same
    larger = [row for row in rows if _hole(row) > hole_mm]
    nearest = min(map(_hole, larger), default=0.0)
    return [row for row in larger if _hole(row) == nearest]


def _text(row: Mapping[str, str], *, hole_mm: float, plate_mm: float | None, notes: list[str]) -> str:
    groove = f", groove for {plate_mm:g} mm plate" if plate_mm is not None else ""
    if abs(_hole(row) - hole_mm) > SAME_HOLE_MM:
        notes = [f"open the hole from {hole_mm:g} to {_hole(row):g} mm", *notes]
    if plate_mm is not None and plate_mm > GROOVE_MOST_MM:
        notes = [*notes, f"common grooves end at {GROOVE_MOST_MM:g} mm: ask for a wide one"]
    said = f" ({'; '.join(notes)})" if notes else ""
    return f"rubber grommet, {_hole(row):g} mm hole, {_inside(row):g} mm inside{groove}{said}"


def grommet(*, hole_mm: float, plate_mm: float | None, bundle_mm: float, covered_mm: float) -> Grommet:
    """The grommet with the least bore that passes the covered bundle, else the bare one.

    ``hole_mm``: bore of the hole [mm]. ``plate_mm``: thickness of the plate [mm]. ``bundle_mm`` and
    ``covered_mm``: diameter of the wires without and with their covering [mm]. A hole that is no grommet's
    own is opened to the next size that is; where the bundle does not pass either, there is none.
    Source: grommets (trade series from memory, MS rows read).
    """
    rows = sorted(_for_hole(hole_mm), key=_inside)
    bare: list[str] = ["the covering stops at both sides of the plate"]
    for passing_mm, notes in ((covered_mm, []), (bundle_mm, bare)):
        for row in rows:
            if _inside(row) >= passing_mm:
                loose = _inside(row) > LOOSE * passing_mm
                added = [*notes, "build the bundle up with tape to fill it"] if loose else list(notes)
                return Grommet(_text(row, hole_mm=hole_mm, plate_mm=plate_mm, notes=added), _inside(row))
    return NO_GROMMET
