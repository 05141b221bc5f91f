"""The diameter of a bundle of wires from the outside diameters of the wires in it."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

from harness.tables import load, remembered

ROUND_BUNDLE = 1.2  # D = 1.2 * sqrt(sum d^2), trade rule for mixed sizes, see bundle_formula

FEW = 6  # wires up to which the rule for mixed sizes is short: 1.2 x root 6 is 2.94, and six equal need 3


@remembered
def _factors() -> tuple[float, ...]:
    """Bundle over wire diameter of 1, 2, 3, ... equal wires. Source: bundle_factor (read)."""
    rows = load("bundle_factor").rows
    spans = [(int(row["n_wires_from"]), int(row["n_wires_to"]), row) for row in rows]
    return tuple(
        float(row["bundle_dia_over_wire_dia"]) for low, high, row in spans for _ in range(low, high + 1)
    )


def round_three_mm(thickest_mm: float, middle_mm: float, thinnest_mm: float) -> float:
    """The smallest circle round three wires, thickest first [mm].

    The thinnest lies in the gap beside the other two, or all three touch each other and the circle.
    Source: geometry (Descartes' theorem of four circles that touch).

    >>> round(round_three_mm(1.0, 1.0, 1.0), 4)
    2.1547
    """
    side_by_side = thickest_mm + middle_mm
    a, b, c = 1 / thickest_mm, 1 / middle_mm, 1 / thinnest_mm
    if c >= a + b - 1 / side_by_side:  # thin enough for the gap
        return side_by_side
    return 1 / (2 * sqrt(a * b + b * c + c * a) - a - b - c)


def _by_squares(ordered: Sequence[float]) -> tuple[float, str]:
    """1.2 x root of the sum of squares, or what the few thickest need by the share of as many equal ones."""
    few = len(ordered[:FEW])
    plain = ROUND_BUNDLE * sqrt(sum(size * size for size in ordered))
    share = max(ROUND_BUNDLE, _factors()[few - 1] / sqrt(few))
    thick = share * sqrt(sum(size * size for size in ordered[:few]))
    if plain >= thick:
        return plain, f"{ROUND_BUNDLE:g} x root of the sum of squares of {len(ordered)} wires"
    which = f"{few} wires" if few == len(ordered) else f"the {few} thickest"
    return thick, f"{share:.3g} x root of the sum of squares of {which}"


def _thickest_need(ordered: Sequence[float]) -> tuple[float, str]:
    """What the first so many wires, each taken as thick as the thinnest of them, need by themselves."""
    count, needed = max(
        ((at, factor * ordered[at - 1]) for at, factor in enumerate(_factors()[: len(ordered)], 1)),
        key=lambda each: each[1],
    )
    return needed, f"{count} wires of {ordered[count - 1]:.1f} mm or more: {_factors()[count - 1]:g} x that"


def bundle_diameter_mm(outsides_mm: Sequence[float]) -> tuple[float, str]:
    """Diameter of a round bundle [mm] and the rule it came from, in words.

    ``outsides_mm``: outside diameter of every wire [mm]. Wires of one size use the table's factor; two or
    three wires the geometry. Mixed sizes use 1.2 x root of the sum of squares, or more where that is less
    than the thickest of them need by themselves: the plain formula is up to 15 % short for few wires.
    Source: bundle_factor (trade table, read) and bundle_formula (read), which names that shortfall. Packings
    of circles that were searched need at most 1 % more (the printed factor of 12 wires is that short) and
    up to an eighth less (8 and 9 wires by the printed factors, one thick wire with a few thin ones).

    >>> bundle_diameter_mm([2.0] * 7)[0]
    6.0
    """
    if not outsides_mm:
        return 0.0, "no wires"
    ordered = sorted(outsides_mm, reverse=True)
    thickest = ordered[0]
    if ordered[-1] == thickest and len(ordered) <= len(_factors()):
        factor = _factors()[len(ordered) - 1]
        return factor * thickest, f"{len(ordered)} equal wires: {factor:g} x {thickest:.1f} mm"
    if len(ordered) == 2:
        return sum(ordered), f"two side by side: {thickest:.1f} + {ordered[1]:.1f} mm"
    three = round_three_mm(*ordered[:3])
    if len(ordered) == 3:
        return three, f"the smallest circle round three wires, the thickest {thickest:.1f} mm"
    rule, words = _by_squares(ordered)
    least, why = _thickest_need(ordered)
    if three > max(least, rule):
        return three, f"the smallest circle round the three thickest, from {thickest:.1f} mm"
    if least > rule:
        return least, why
    return rule, words
