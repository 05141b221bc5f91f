"""What a branch comes to as a splice, a daisy-chain, or wires side by side from where it starts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

JointWay = Literal["splice", "chain", "stud"]
JointWish = Literal["splice", "chain", "stud", "least"]


@dataclass(frozen=True, slots=True)
class JointCount:
    """One way to make a branch, by wires as thick as those of the splice."""

    way: JointWay
    wire_m: float  # cut lengths
    copper_kg: float
    wires: int
    terminals: int
    splices: int
    not_so: str  # why it cannot be made that way, "" when it can


@dataclass(frozen=True, slots=True)
class JointResult:
    """One branch of the survey, and what each way to make it comes to."""

    splice: str
    circuit: str
    starts_at: str  # the terminal it is fed from
    leads_to: list[str]  # in the order of the survey, which is that of a daisy-chain
    made: JointWay
    wish: JointWish
    counts: list[JointCount]
    saves_kg: float  # copper saved against the dearest of the ways that can be made
