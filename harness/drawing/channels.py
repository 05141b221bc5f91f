"""Gives the lines between two columns of boxes a track each, so that none lies on another and few cross."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

TOUCH_MM = 2.0  # closer than this, two lines look like one


@dataclass(frozen=True, slots=True)
class Jog:
    """A line that enters a channel at one height and leaves it at another."""

    enter_mm: float
    leave_mm: float

    @property
    def straight(self) -> bool:
        """Whether it needs no track."""
        return abs(self.enter_mm - self.leave_mm) < 0.01


def _left_to_right(jogs: Sequence[Jog]) -> list[int]:
    """Order in which the fewest lines cross: falling lines with the lowest first, rising ones with the highest."""
    bent = [index for index, jog in enumerate(jogs) if not jog.straight]

    def key(index: int) -> tuple[float, float, int]:
        jog = jogs[index]
        sign = -1.0 if jog.leave_mm > jog.enter_mm else 1.0
        return (sign * jog.leave_mm, sign * jog.enter_mm, index)

    falling = [index for index in bent if jogs[index].leave_mm > jogs[index].enter_mm]
    rising = [index for index in bent if jogs[index].leave_mm < jogs[index].enter_mm]
    return sorted(falling, key=key) + sorted(rising, key=key)


def _must_precede(first: Jog, second: Jog) -> bool:
    """Whether ``first`` needs a track left of ``second``, or their level pieces would lie on each other."""
    return abs(second.leave_mm - first.enter_mm) < TOUCH_MM


def _in_order(jogs: Sequence[Jog]) -> list[int]:
    """Order of the tracks: as wished, moved where a level piece would otherwise cover another."""
    waiting = _left_to_right(jogs)
    done: list[int] = []
    while waiting:
        free = (
            index
            for index in waiting
            if not any(_must_precede(jogs[other], jogs[index]) for other in waiting if other != index)
        )
        index = next(free, waiting[0])
        done.append(index)
        waiting.remove(index)
    return done


def _overlap(one: Jog, other: Jog) -> bool:
    low, high = sorted((one.enter_mm, one.leave_mm))
    other_low, other_high = sorted((other.enter_mm, other.leave_mm))
    return low < other_high + TOUCH_MM and other_low < high + TOUCH_MM


def tracks(jogs: Sequence[Jog]) -> list[int | None]:
    """Number of the track, counted from the left, on which each jog changes height; None for a straight line."""
    given: list[int | None] = [None] * len(jogs)
    for index in _in_order(jogs):
        if jogs[index].straight:
            continue
        beside = [
            track
            for other, track in enumerate(given)
            if track is not None
            and (_overlap(jogs[other], jogs[index]) or _must_precede(jogs[other], jogs[index]))
        ]
        given[index] = max(beside, default=-1) + 1
    return given


def count(given: Sequence[int | None]) -> int:
    """How many tracks are in use."""
    return max((track for track in given if track is not None), default=-1) + 1
