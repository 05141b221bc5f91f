"""One turn of sizing: what a set of resistances leads to, and whether two turns ask the same of the sizes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from harness.electric.currents import ModeSolution
from harness.electric.droplimits import LoadLimit, drop_limit
from harness.electric.limits import Duty, Surroundings
from harness.electric.optimum import Choice
from harness.electric.program import Strap
from harness.electric.ruleset import Size

SAME = 2e-7  # currents [A], volts and resistances that agree as closely are the same; below optimum.MARGIN_V


@dataclass(frozen=True, slots=True)
class Turn:
    """What one set of resistances leads to: currents, duties, and what each wire may take for them."""

    ohms: Mapping[int, float]
    solutions: Sequence[ModeSolution]
    duties: Sequence[Duty]
    near: Sequence[Surroundings]
    choices: Mapping[int, list[tuple[Size, Choice]]]
    limits: Sequence[LoadLimit]
    straps: Sequence[Strap]
    carried: Mapping[str, Mapping[int, float]]  # continuous currents by mode


def even(one: Mapping[int, float], other: Mapping[int, float]) -> bool:
    """Whether currents or resistances are the same but for the rounding of the solve."""
    return one.keys() == other.keys() and all(
        abs(value - other[key]) <= SAME * max(abs(value), 1.0) for key, value in one.items()
    )


def same_duties(turn: Turn, duties: Sequence[Duty], carried: Mapping[str, Mapping[int, float]]) -> bool:
    """Whether every wire carries what it carried in a turn."""
    return all(
        even({0: a.continuous_a, 1: a.short_a}, {0: b.continuous_a, 1: b.short_a})
        and replace(a, continuous_a=0.0, short_a=0.0) == replace(b, continuous_a=0.0, short_a=0.0)
        for a, b in zip(turn.duties, duties, strict=True)
    ) and all(even(wires, turn.carried.get(mode, {})) for mode, wires in carried.items())


def same_program(one: Turn, other: Turn) -> bool:
    """Whether two turns ask the same of the sizes, so that the proof of one is the proof of the other."""
    if one.choices is not other.choices or one.straps != other.straps or len(one.limits) != len(other.limits):
        return False
    for a, b in zip(map(drop_limit, one.limits), map(drop_limit, other.limits), strict=True):
        if abs(a.left_v - b.left_v) > SAME or not even(a.share_a, b.share_a):
            return False
    return True
