"""Which way the survey wants a wire laid."""

from __future__ import annotations

from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Laying:
    """What a wire must go through and must not pass."""

    via: tuple[str, ...] = ()  # places or runs, in order from the wire's end nearer the source
    avoid: tuple[str, ...] = ()  # places it does not pass (it may end there), runs it does not lie in
    loose: bool = False  # via is said of the circuit: not for a wire that would have to turn back for it

    def back(self) -> Laying:
        """The same, seen from the wire's other end."""
        return self if len(self.via) < 2 else replace(self, via=self.via[::-1])


FREE = Laying()


@dataclass(frozen=True, slots=True)
class WayTaken:
    """Why a wire goes another way than the shortest between its ends."""

    shortest_m: float  # along the runs, were nothing asked of its way
    longer_m: float  # than that; 0 where the way taken is as short
    why: list[str]  # "through right rail", "keeps off engine tee", "the cooler way"
