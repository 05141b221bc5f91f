"""The labels on a wire: how large, how far from its ends, and where one would be enough."""

from __future__ import annotations

from harness.model.labels import LabelRule
from harness.tables import load

FROM_END_RULE = "label sleeve from the terminal"
SIZE_RULE = "marker sleeve length, text height"
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


def _span(text: str) -> tuple[float, float]:
    """The two figures of "15-25 mm sleeve"."""
    least, most = text.split()[0].split("-")
    return float(least), float(most)


def from_end_mm(*, length_m: float, shrink_mm: float) -> tuple[float | None, float | None]:
    """How near to its terminal a label sits, and how far off at most [mm]; None where one is in the middle.

    25 to 50 mm (common practice, in marking_rules), and farther where heat-shrink would cover it.
    """
    if length_m <= short_m():
        return None, None
    least, most = _span(load("marking_rules").row("rule", FROM_END_RULE)["figure_mm"])
    near = max(least, shrink_mm)
    return near, near + most - least


def label_rule() -> LabelRule:
    """How long sleeves and how high letters are. Source: marking_rules (trade practice, memory)."""
    table = load("marking_rules")
    row = table.row("rule", SIZE_RULE)
    sleeve, letters = row["figure_in"].split("; text ")
    return LabelRule(*_span(sleeve), *_span(letters), str(table.cite(row)))
