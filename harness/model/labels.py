"""How large the labels on wires are."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LabelRule:
    """Sleeves that carry the number of a wire."""

    sleeve_least_mm: float  # long
    sleeve_most_mm: float
    letters_least_mm: float  # high
    letters_most_mm: float
    source: str
