"""What comes home over bodies and straps, and what the charging lines would stand."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Sneak:
    """A way home that current finds through loads when a strap is open: dim, slow, or on by surprise."""

    through: list[str]  # parts on the cut-off metal, taken backwards
    out_by: list[str]  # parts on the same feed that are grounded elsewhere
    share: float  # of the system's volts that those see then, at most


@dataclass(frozen=True, slots=True)
class GroundCable:
    """A strap, ground cable or shared return wire: what it brings home, and what its loss would do."""

    wire: str
    start: str  # the end farther from the chassis post
    end: str
    mode: str  # in which it carries most, everything at once
    current_a: float
    short_a: float  # worst sum with short-spell loads and peaks
    short_s: float
    ampacity_a: float
    drop_v: float  # at current_a, its two joints included
    loses: list[str]  # loads and sources with no way home when it is open
    other_way: list[str]  # wires that carry it then; [] when it is the only way
    sneaks: list[Sneak]


@dataclass(frozen=True, slots=True)
class Ground:
    """One body: what its loads send into it, and how far that lifts it off the chassis post."""

    body: str
    cables: list[str]  # wires that tie it to other metal or to the battery
    mode: str  # in which its loads send most into it
    return_a: float
    lift_mode: str  # in which it stands highest
    lift_v: float | None  # above the chassis post; None when nothing ties it to that
    cranking_lift_v: float | None  # the same while the starter turns


@dataclass(frozen=True, slots=True)
class ChargeLine:
    """The wires from an alternator or dynamo to the battery, and what output they would stand."""

    part: str
    output_a: float
    wires: list[str]  # numbers, from the alternator on
    weakest: str  # the one that may carry least
    ampacity_a: float  # what that may carry
    by_drop_a: float | None  # output at which the line loses all its allowance; None when it loses nothing
    allowance_v: float | None
