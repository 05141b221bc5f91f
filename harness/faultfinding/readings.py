"""What a person measures or sees on a machine, and what the network says it should be."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot
from typing import Literal

from harness.electric.graph import EdgeKey, Node
from harness.faultfinding.patient import OPEN_OHM, State

METER_V, METER_SHARE = 0.02, 0.005  # of a common digital meter: two digits and half a per cent
MODEL_SHARE = 0.12  # of what the wiring loses: lengths, joints and temperatures are never quite as surveyed
CLAMP_SHARE = 0.08  # of a clamp meter for direct current, and of what a load is said to draw
CLAMP_A = 0.1
SERIES_A = 0.01  # of a meter in place of a fuse or between post and cable, where little flows
WHOLE = 6.0  # strays that a whole fuse is away from one that was seen to be blown
WORKS, DIM, SEEN = 0.85, 0.3, 0.05  # shares of a load's own volts; how sharply an eye tells them apart

Look = Literal["works", "dim", "dead"]


@dataclass(frozen=True, slots=True)
class Volts:
    """A meter from ``against`` (None: the chassis post) to ``node``."""

    node: Node
    against: Node | None
    value: float

    def expected(self, state: State) -> float:
        """What it reads in this state [V]."""
        return state.volts(self.node, self.against)

    def sigma(self, expected: float, posts_v: float) -> float:
        """How far a reading may stray from that for no reason [V]."""
        lost = min(abs(expected), abs(abs(posts_v) - abs(expected)))  # a drop, or what a drop leaves
        return _apart(METER_V, METER_SHARE * expected, MODEL_SHARE * lost)


@dataclass(frozen=True, slots=True)
class Amps:
    """A clamp round a wire, or a fuse or switch in which its current flows."""

    key: EdgeKey
    value: float
    least_a: float = CLAMP_A  # what it may stray by at nought

    def expected(self, state: State) -> float:
        """What flows in this state, whichever way round [A]."""
        return abs(state.amps(self.key))

    def sigma(self, expected: float, posts_v: float) -> float:
        """How far a reading may stray from that for no reason [A]."""
        return _apart(self.least_a, CLAMP_SHARE * expected)


@dataclass(frozen=True, slots=True)
class Seen:
    """A load looked at: it works, is dim (slow, weak), or dead."""

    load: str  # "left head lamp +/-"
    look: Look
    healthy_v: float
    rated_v: float

    def share(self, state: State) -> float:
        """Its volts as a share of what it has when nothing is wrong, or is rated for where it is off."""
        own = self.healthy_v if abs(self.healthy_v) > DIM * self.rated_v else self.rated_v
        return abs(state.point.draw_v.get(self.load, 0.0) / own)  # a lamp glows whichever way it is fed

    def off(self, state: State) -> float:
        """How far the load's volts are from what was seen, in steps an eye tells apart."""
        return self.off_by(self.share(state))

    def off_by(self, share: float) -> float:
        """The same of a share of its volts."""
        low, high = {"works": (WORKS, 9.0), "dim": (DIM, WORKS), "dead": (-9.0, DIM)}[self.look]
        return max(low - share, share - high, 0.0) / SEEN


@dataclass(frozen=True, slots=True)
class Blown:
    """A fuse that was taken out and found blown."""

    key: EdgeKey
    again: bool = False  # a new one blows too

    def whole(self, state: State) -> float:
        """1 where it lets current through in this state, else 0."""
        return float(state.siemens(self.key) > 2 / OPEN_OHM)


Reading = Volts | Amps | Seen | Blown


def _apart(*parts: float) -> float:
    return hypot(*parts)
