"""The text of the labels on a wire, and where one would be enough."""

from __future__ import annotations

from harness.tables import load

SHORT_RULE = "wires"  # row of marking_rules for short wires, "3 to 7: one mark near the middle"


def short_m() -> float:
    """Length up to which one mark near the middle is enough [m]: AC 43.13-1B 11-208, in marking_rules."""
    row = next(row for row in load("marking_rules").rows if row["rule"] == SHORT_RULE)
    return float(row["figure_mm"].split("-")[1]) / 1000


def label_notes(*, length_m: float) -> tuple[str, ...]:
    """What to say of the labels of a wire: both ends carry its number, and on a short one both meet.

    AC 43.13-1B asks no mark at all under 76 mm; here every wire is labelled, as the lists go by its number.
    """
    return ("one label, in the middle",) if length_m <= short_m() else ()
