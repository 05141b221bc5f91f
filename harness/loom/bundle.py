"""The diameter of a bundle of wires from the outside diameters of the wires in it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from math import sqrt

from harness.tables import load

ROUND_BUNDLE = 1.2  # D = 1.2 * sqrt(sum d^2), trade rule for mixed sizes, see bundle_factor in sources.csv


def _equal_factor(count: int) -> float | None:
    for row in load("bundle_factor").rows:
        if int(row["n_wires_from"]) <= count <= int(row["n_wires_to"]):
            return float(row["bundle_dia_over_wire_dia"])
    return None


def bundle_diameter_mm(outsides_mm: Sequence[float]) -> tuple[float, str]:
    """Diameter of a round bundle [mm] and the rule it came from, in words.

    ``outsides_mm``: outside diameter of every wire [mm]. Wires of one size use the table's factor; mixed
    sizes use 1.2 x root of the sum of squares, never less than the two thickest side by side.
    Source: bundle_factor (trade table, read) and its companion formula (read).

    >>> bundle_diameter_mm([2.0] * 7)[0]
    6.0
    """
    if not outsides_mm:
        return 0.0, "no wires"
    ordered = sorted(outsides_mm, reverse=True)
    sizes = [size for size, _ in groupby(ordered)]
    factor = _equal_factor(len(ordered))
    if len(sizes) == 1 and factor is not None:
        return factor * ordered[0], f"{len(ordered)} equal wires: {factor:g} x {ordered[0]:.1f} mm"
    rule = ROUND_BUNDLE * sqrt(sum(size * size for size in ordered))
    widest = sum(ordered[:2])
    if rule < widest:
        return widest, f"two thickest side by side: {ordered[0]:.1f} + {ordered[1]:.1f} mm"
    return rule, f"1.2 x root of the sum of squares of {len(ordered)} wires"
