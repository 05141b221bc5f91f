"""What a comparison is made of: single changes, what to buy or bring back, and both revisions."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Act = Literal["added", "removed", "changed"]

# The most weighty first: what can burn or stop the machine, what is wired otherwise, then what follows.
GROUPS = (
    "dangers", "machine", "fuses", "wires", "splices", "circuits", "parts", "runs", "places", "modes",
    "loads", "sources", "couplers", "fit-out", "numbers", "advice", "totals", "small",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that is not as it was."""

    group: str  # one of GROUPS
    act: Act
    subject: str  # in words, as it is called in the new design: "wire 12, F4 to left lamp +"
    old_name: str  # "" where it is new
    new_name: str  # "" where it is gone
    what: str = ""  # what of it: "size"; "" where it is new or gone
    was: str = ""
    now: str = ""
    because: tuple[str, ...] = ()  # what it follows from, in words


@dataclass(frozen=True, slots=True)
class Goods:
    """So much of one thing that is needed more, or less."""

    item: str
    size: str
    colour: str
    amount: float  # above 0, spare and waste included
    unit: str  # "m" or "each"


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two designs, as title blocks name it."""

    name: str
    revision: str
    file: str
    digest: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """All that differs between two designs."""

    old: Side
    new: Side
    changes: tuple[Change, ...]
    buy: tuple[Goods, ...]
    bring_back: tuple[Goods, ...]
    notes: tuple[str, ...] = ()  # about the two as a whole

    @property
    def same(self) -> bool:
        """Whether nothing differs that a person would build or buy otherwise."""
        return not (self.changes or self.buy or self.bring_back)
