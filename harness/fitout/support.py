"""How many ties and clamps a run takes, and of what size."""

from __future__ import annotations

import math
from dataclasses import dataclass

from harness.model.bundles import Fastener, Spacing
from harness.tables import load

LEAST_TIE_WIDTH_MM = 3.6  # the miniature 2.5 mm class is too weak for a machine that shakes (common practice)
CLAMP_SERIES = {"AWG": "inch", "mm2": "metric"}


@dataclass(frozen=True, slots=True)
class Support:
    """Ties and clamps of one run, in number and catalogue text."""

    ties: int
    tie: str
    clamps: int
    clamp: str
    fasteners: tuple[Fastener, ...] = ()


NO_SUPPORT = Support(0, "", 0, "")
SAME_BOLT_MM = 0.5  # holes this near take the same bolt
EACH = (
    ("bolt for clamps", "bolt", 1),
    ("plain washer for clamps", "washer", 2),
    ("locking nut for clamps", "nut", 1),
)


def _spans(length_m: float, spacing_m: float) -> int:
    return math.ceil(round(length_m / spacing_m, 9))


def tie_count(*, length_m: float, every_m: float) -> int:
    """Ties on a run: one at each end, a branch or a plain one, and none further apart than ``every_m``."""
    return _spans(length_m, every_m) + 1


def clamp_count(*, length_m: float, every_m: float, moves: bool) -> int:
    """Clamps on a run, none further apart than ``every_m``; a moving run is held at both its ends."""
    spans = max(_spans(length_m, every_m), 1)
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


def clamp_row(*, outside_mm: float, sizes: str) -> dict[str, str] | None:
    """The smallest P-clamp that takes the run; None when none does. Source: p_clamps (memory)."""
    for row in load("p_clamps").rows:
        bore_mm = float(row["tube_or_bundle_dia_mm"])
        if row["series"] == CLAMP_SERIES[sizes] and bore_mm >= outside_mm:
            return row
    return None


def clamp_text(*, outside_mm: float, sizes: str) -> str:
    """That clamp as the catalogue has it, "" when there is none."""
    row = clamp_row(outside_mm=outside_mm, sizes=sizes)
    if row is None:
        return ""
    return f"rubber-lined P-clamp, {row['designation']} ({float(row['bolt_hole_mm']):.1f} mm bolt hole)"


def fasteners(*, clamps: int, outside_mm: float, sizes: str) -> tuple[Fastener, ...]:
    """Bolt, two washers and locking nut of every clamp, by its hole. Source: clamp_fasteners."""
    clamp = clamp_row(outside_mm=outside_mm, sizes=sizes)
    if clamp is None:
        return ()
    table = load("clamp_fasteners")
    hole_mm = float(clamp["bolt_hole_mm"] or 0)
    row = min(table.rows, key=lambda each: abs(float(each["bolt_hole_mm"]) - hole_mm))
    if abs(float(row["bolt_hole_mm"]) - hole_mm) > SAME_BOLT_MM:  # a shop's own clamp for another bolt
        return ()
    return tuple(Fastener(item, row[key], each * clamps, str(table.cite(row))) for item, key, each in EACH)


def support(
    *, length_m: float, outside_mm: float, moves: bool, apart: Spacing, hot: bool, sizes: str
) -> Support:
    """Ties and clamps of a run with wires in it: clamps carry the loom, ties hold it together.

    ``outside_mm``: diameter over the covering [mm]. ``apart``: the most between two.
    ``sizes``: "AWG" for inch clamps, "mm2" for metric ones.
    """
    clamps = clamp_count(length_m=length_m, every_m=apart.clamps_every_m, moves=moves)
    return Support(
        ties=tie_count(length_m=length_m, every_m=apart.ties_every_m),
        tie=tie_text(outside_mm=outside_mm, hot=hot),
        clamps=clamps,
        clamp=clamp_text(outside_mm=outside_mm, sizes=sizes),
        fasteners=fasteners(clamps=clamps, outside_mm=outside_mm, sizes=sizes),
    )
