"""Where the machine comes apart: looms, and the couplers between them with their pin lists."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CouplerWay:
    """One way of a coupler: what is crimped into both halves."""

    way: str
    wire_a: str  # number, "" when the way is spare
    wire_b: str
    circuit: str
    colour: str
    contact: str  # catalogue text of the contact size, "" when the way is spare


@dataclass(frozen=True, slots=True)
class CouplerResult:
    """A coupler that joins two looms, with its pin list."""

    name: str
    place: str
    half_a: str  # the place half A faces
    half_b: str
    ways: list[CouplerWay]
    counted: bool  # the survey says how many ways there are
    past: list[str]  # numbers of wires that go past it uncut, with the reason


@dataclass(frozen=True, slots=True)
class LoomResult:
    """One loom that is built and taken off by itself."""

    name: str
    places: list[str]
    wires: list[str]  # new wires wholly in it
    wire_length_m: float
    copper_kg: float
    weight_kg: float  # copper and insulation
