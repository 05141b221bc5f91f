"""Which label goes on which end of a wire."""

from __future__ import annotations

from dataclasses import dataclass

from harness.tables import load

SHORT_RULE = "wires"  # row of marking_rules for short wires, "3 to 7: one mark near the middle"


@dataclass(frozen=True, slots=True)
class Labels:
    """Text of the labels at both ends of a wire, "" for none."""

    start: str
    end: str
    notes: tuple[str, ...]


def one_label_up_to_m() -> float:
    """Length up to which one label in the middle is enough [m]; AC 43.13-1B 11-208 in marking_rules."""
    row = next(row for row in load("marking_rules").rows if row["rule"] == SHORT_RULE)
    return float(row["figure_mm"].split("-")[1]) / 1000


def labels(*, number: str, length_m: float) -> Labels:
    """The wire's number at both ends; on a wire of 178 mm or less once, near the middle.

    AC 43.13-1B asks no mark at all under 76 mm; here such a wire gets one, as every wire is in the lists by
    its number.
    """
    if length_m <= one_label_up_to_m():
        return Labels(number, "", ("one label near the middle",))
    return Labels(number, number, ())
