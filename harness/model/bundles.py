"""What is worked out of a bundle besides its diameter: how far it may be bent."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Bend:
    """The least radii a run may be bent to, measured at the inside of the bend."""

    loom_mm: float  # the whole bundle
    wire: str  # number of its thickest wire
    wire_mm: float  # that wire alone, where it leaves the loom
    strip_mm: float  # that wire at a terminal strip, where it is held well
    formula: str
    source: str
