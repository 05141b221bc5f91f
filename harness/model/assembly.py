"""Old wires that are still in the machine, and the steps of building its looms and fitting them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from harness.model.problem import Where


@dataclass(frozen=True, slots=True)
class OldWire:
    """An old wire or bundle that still lies in the machine."""

    start: str  # place
    end: str
    through: tuple[str, ...]  # runs; none: the shortest way between its places
    colour: str  # IEC 60757 letters, "" when not said
    pulls: bool  # sound enough to draw a new loom through
    where: Where
    from_end: tuple[str, str] = ("", "")  # part and terminal where it was traced to, "" where not
    to_end: tuple[str, str] = ("", "")
    tag: str = ""  # number of the tag at both its ends
    size: str = ""  # "14 AWG", as seen
    kept: bool | None = None  # it stays in the machine; None: not said
    why: str = ""
    photo: str = ""  # name of a file

    @property
    def title(self) -> str:
        """The wire in words: "old GN wire from dash to rear left"."""
        colour = f"{self.colour} " if self.colour else ""
        return f"old {colour}wire from {self.start} to {self.end}"


@dataclass(frozen=True, slots=True)
class AssemblyStep:
    """One step of building a loom on the board, of fitting it to the machine, or of the end of the job."""

    number: int
    stage: Literal["on the board", "on the machine", "at the end"]
    loom: str  # "" where it is about the whole machine
    where: str  # branch, run or place
    what: str
    wires: list[str]
    caution: str  # to be read before it, "" when there is none
    source: str
