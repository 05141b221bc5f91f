"""What is worked out of a bundle besides its diameter: how it is bent, held, shrunk over, kept off edges."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Bend:
    """The least radii a run may be bent to, measured at the inside of the bend."""

    loom_mm: float  # the whole bundle
    wire: str  # number of its thickest wire
    wire_mm: float  # that wire alone, where it leaves the loom
    strip_mm: float  # that wire at a terminal strip, where it is held well
    formula: str
    source: str


@dataclass(frozen=True, slots=True)
class Fill:
    """How full a tube or sleeve is."""

    share: float  # areas of the wires over the area of its bore
    most_share: float
    rule: str  # with the numbers in it
    source: str


@dataclass(frozen=True, slots=True)
class Trim:
    """A piece of edge trim that keeps a run off a cut edge."""

    over: Literal["hole", "edge"]
    text: str  # catalogue text
    length_m: float  # as cut
    room_mm: float | None  # what is left of a hole inside it


@dataclass(frozen=True, slots=True)
class Spacing:
    """The most there may be between two supports of a run."""

    clamps_every_m: float
    ties_every_m: float
    why: str  # what of the run decides it: "open", "battery cable", "as surveyed"
    source: str


@dataclass(frozen=True, slots=True)
class Stretch:
    """Heat-shrink over the whole of a run, in place of its covering."""

    text: str  # catalogue text of the tube
    pieces: int
    cut_mm: float  # length of each as cut; it is shorter once shrunk
    lap_mm: float  # of one over the next, 0 for a single piece
    expanded_mm: float  # bore as bought: what has to pass before it is shrunk
    recovered_mm: float  # bore when shrunk free
    outside_mm: float  # of the run with it on
    source: str


@dataclass(frozen=True, slots=True)
class Fastener:
    """What bolts the clamps of a run on, so many of one kind."""

    item: str
    size: str  # thread and length
    count: int
    source: str
