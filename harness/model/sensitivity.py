"""What a figure that was never measured can change of a design, when it is wrong."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from harness.model.problem import Where

Way = Literal["more", "less"]


@dataclass(frozen=True, slots=True)
class Assumption:
    """One figure that was assumed: filled in from a kind, or written with a question mark."""

    section: str  # "machine", "zones", "runs", "parts", "circuits", "wires"
    name: str  # of the entry, "" in the section machine
    what: str  # "current", "resistance of contact 30/87"
    value: str  # with its unit: "320 A"
    where: Where
    marked: bool = False  # by a question mark in the survey
    figured: bool = True  # False: not a figure that sizes, fuses or findings could follow

    @property
    def title(self) -> str:
        """The figure in words: "starter: current 320 A"."""
        return f"{self.name}: {self.what} {self.value}".removeprefix(": ").rstrip()


@dataclass(frozen=True, slots=True)
class Effect:
    """One thing that comes out otherwise when the figure is more, or less, than assumed."""

    way: Way
    about: Literal["wire", "fuse", "finding"]
    subject: str  # number of the wire, name of the fuse, rule of the finding
    ends: str  # of a wire "battery + to starter 30", of a finding what it is about; "" of a fuse
    before: str  # "1/0 AWG", "30 A", "fault"; "" where there was none
    after: str

    @property
    def words(self) -> str:
        """What comes out otherwise, as the end of a sentence."""
        if self.about == "finding":
            of = f" ({self.ends})" if self.ends else ""
            if self.before and self.after:
                return f"turns the {self.before} {self.subject}{of} into {self.after}"
            if self.after:
                return f"brings the {self.after} {self.subject}{of}"
            return f"takes the {self.before} {self.subject}{of} away"
        thing = f"wire {self.subject} ({self.ends})" if self.about == "wire" else f"fuse {self.subject}"
        if self.before and self.after:
            return f"makes {thing} {self.after} instead of {self.before}"
        return f"adds {thing}, {self.after}" if self.after else f"does away with {thing}, {self.before}"


@dataclass(frozen=True, slots=True)
class Weighed:
    """An assumption with all that hangs on it."""

    assumption: Assumption
    effects: tuple[Effect, ...]
    weight: int  # how much the answer changes; 0: nothing
    high: bool  # a wire, a fuse or something dangerous or faulty hangs on it
