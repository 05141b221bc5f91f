"""What the steps between machine and design hand on: routes, then wires, runs and splices to fit out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from harness.model.design import Point, RunResult, Splice, Wire, WireEnd
from harness.model.laying import WayTaken

BARE_END = WireEnd("", "", 0.0, "", 0.0, "", "", "")


@dataclass(frozen=True, slots=True)
class RoutedWire:
    """One wire with both ends at a real terminal and its way along the runs."""

    index: int  # into Machine.wires
    a: Point
    b: Point
    runs: tuple[str, ...]  # in order from a to b
    run_length_m: float  # as measured, without slack
    length_m: float  # cut length
    additions: tuple[tuple[str, float], ...]  # every addition to the run length, with its reason, in metres
    way: WayTaken | None = None  # where something was asked of its way


@dataclass(frozen=True, slots=True)
class SplicePlace:
    """Where along a run a splice lies."""

    run: str
    place: str  # that it is measured from
    offset_m: float  # to its middle
    towards: str  # the place at the run's other end

    def __str__(self) -> str:
        return f"{1000 * self.offset_m:.0f} mm from {self.place} towards {self.towards}"


@dataclass(frozen=True, slots=True)
class Routed:
    """Every wire's way, and what lies in every run."""

    wires: tuple[RoutedWire, ...]  # same order as Machine.wires
    splice_places: Mapping[str, str]
    in_run: Mapping[str, tuple[int, ...]]  # run name -> wire indexes
    splice_spots: Mapping[str, SplicePlace] = field(default_factory=dict)  # those that lie along a run


@dataclass(frozen=True, slots=True)
class Loom:
    """Sized wires, runs and splices; fit-out fills the blank fields and changes nothing else."""

    wires: tuple[Wire, ...]  # same order as Machine.wires
    runs: tuple[RunResult, ...]
    splices: tuple[Splice, ...]
    spares: tuple[Wire, ...] = ()  # capped at both ends, in no circuit
