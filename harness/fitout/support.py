"""How many ties and clamps a run takes, and of what size."""

from __future__ import annotations

import math
from dataclasses import dataclass

from harness.tables import load

TIE_SPACING_M = 0.25  # vibrating machine, 200 to 300 mm (common practice); AC 43.13-1B 11-158 b allows 305 mm
CLAMP_SPACING_M = 0.457  # 18 in, ABYC E-11 (memory); AC 43.13-1B 11-96 a allows 24 in
LEAST_TIE_WIDTH_MM = 3.6  # the miniature 2.5 mm class is too weak for a machine that shakes (common practice)
CLAMP_SERIES = {"AWG": "inch", "mm2": "metric"}


@dataclass(frozen=True, slots=True)
class Support:
    """Ties and clamps of one run, in number and catalogue text."""

    ties: int
    tie: str
    clamps: int
    clamp: str


NO_SUPPORT = Support(0, "", 0, "")


def _spans(length_m: float, spacing_m: float) -> int:
    return math.ceil(round(length_m / spacing_m, 9))


def tie_count(*, length_m: float) -> int:
    """Ties on a run: one at each end, at a branch as at a plain end, and none further apart than 250 mm."""
    return _spans(length_m, TIE_SPACING_M) + 1


def clamp_count(*, length_m: float, moves: bool) -> int:
    """Clamps on a run, none further apart than 457 mm; a moving run is held at both its ends."""
    spans = max(_spans(length_m, CLAMP_SPACING_M), 1)
    return spans + 1 if moves else spans


def tie_text(*, outside_mm: float, hot: bool) -> str:
    """The shortest tie that goes round, "" when none does. Source: cable_tie_lengths (memory)."""
    material = "heat-stabilised nylon" if hot else "black weather-resistant nylon"
    columns = ("tie_length_mm", "tie_width_mm", "max_bundle_mm")
    sizes = sorted(tuple(float(row[column]) for column in columns) for row in load("cable_tie_lengths").rows)
    for length_mm, width_mm, most_mm in sizes:
        if most_mm >= outside_mm and width_mm >= LEAST_TIE_WIDTH_MM:
            return f"cable tie, {length_mm:g} x {width_mm:g} mm ({length_mm / 25.4:.1f} in), {material}"
    return ""


def clamp_text(*, outside_mm: float, sizes: str) -> str:
    """The smallest P-clamp that takes the run, "" when none in the table does. Source: p_clamps (memory)."""
    for row in load("p_clamps").rows:
        bore_mm = float(row["tube_or_bundle_dia_mm"])
        if row["series"] == CLAMP_SERIES[sizes] and bore_mm >= outside_mm:
            bolt_mm = float(row["bolt_hole_mm"])
            return f"rubber-lined P-clamp, {row['designation']} ({bolt_mm:.1f} mm bolt hole)"
    return ""


def support(*, length_m: float, outside_mm: float, moves: bool, hot: bool, sizes: str) -> Support:
    """Ties and clamps of a run with wires in it: clamps carry the loom, ties hold it together.

    ``outside_mm``: diameter over the covering [mm]. ``sizes``: "AWG" for inch clamps, "mm2" for metric ones.
    """
    return Support(
        ties=tie_count(length_m=length_m),
        tie=tie_text(outside_mm=outside_mm, hot=hot),
        clamps=clamp_count(length_m=length_m, moves=moves),
        clamp=clamp_text(outside_mm=outside_mm, sizes=sizes),
    )
