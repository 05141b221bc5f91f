"""What holds the loom's ends on the machine: stud by stud, and what goes across a bare coil."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class StudStack:
    """One stud, screw or post with wires on it: what lies on it, and how tight."""

    part: str
    terminal: str
    place: str
    fitting: str  # "stud", "screw" or "post"
    thread: str  # "M8"; "" at a battery post
    stack: list[str]  # from the metal outward
    wires: list[str]  # new and kept, thickest first
    hardware: dict[str, int]  # what has to be bought for it, with how many
    torque: str  # in words; "ask the maker of the part" where no source has it
    torque_nm: float | None  # the most a source gives; None when no source has it
    source: str


@dataclass(frozen=True, slots=True)
class Suppressor:
    """A diode across a coil that the survey says has nothing across it."""

    part: str
    coil: str  # link of the part: "86/85"
    item: str  # catalogue text
    size: str  # "3 A, 400 V"
    band: str  # the terminal that the diode's band goes to
