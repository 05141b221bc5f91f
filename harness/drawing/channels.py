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


@dataclass(frozen=True, slots=True)
class Bend:
    """On which track, counted from the left, a line changes height, and the height it has after that."""

    track: int
    level_mm: float


@dataclass(frozen=True, slots=True)
class _Piece:
    """A jog, or one half of a jog that needs two bends."""

    owner: int
    half: int
    jog: Jog


def _wished(piece: _Piece) -> tuple[bool, float, float, int, int]:
    """Order in which few lines cross: falling lines with the lowest first, rising ones with the highest."""
    rising = piece.jog.leave_mm < piece.jog.enter_mm
    sign = 1.0 if rising else -1.0
    return rising, sign * piece.jog.leave_mm, sign * piece.jog.enter_mm, piece.owner, piece.half


def _must_precede(first: _Piece, second: _Piece) -> bool:
    """Whether ``first`` needs a track left of ``second``, or their level pieces would lie on each other."""
    if first.owner == second.owner:
        return first.half < second.half
    return abs(second.jog.leave_mm - first.jog.enter_mm) < TOUCH_MM


def _break(piece: _Piece, others: Sequence[_Piece]) -> list[_Piece]:
    """Cut a jog in two at the height that is farthest from every other line."""
    low, high = sorted((piece.jog.enter_mm, piece.jog.leave_mm))
    ends = sorted(
        level for other in others for level in (other.jog.enter_mm, other.jog.leave_mm) if low < level < high
    )
    levels = [low, *ends, high]
    widest = max(range(len(levels) - 1), key=lambda index: (levels[index + 1] - levels[index], -index))
    middle = (levels[widest] + levels[widest + 1]) / 2
    enter, leave = Jog(piece.jog.enter_mm, middle), Jog(middle, piece.jog.leave_mm)
    return [_Piece(piece.owner, 0, enter), _Piece(piece.owner, 1, leave)]


def _in_order(jogs: Sequence[Jog]) -> list[_Piece]:
    """Pieces in the order of their tracks: as wished, but moved or cut where one would cover another."""
    waiting = [_Piece(index, 0, jog) for index, jog in enumerate(jogs) if not jog.straight]
    done: list[_Piece] = []
    broken: set[int] = set()
    while waiting:
        waiting.sort(key=_wished)
        free = (
            each
            for each in waiting
            if not any(_must_precede(other, each) for other in waiting if other is not each)
        )
        piece = next(free, None)
        if piece is None:
            stuck = [each for each in waiting if each.owner not in broken]
            if stuck:
                broken.add(stuck[0].owner)
                waiting.remove(stuck[0])
                waiting += _break(stuck[0], waiting)
                continue
            piece = waiting[0]
        done.append(piece)
        waiting.remove(piece)
    return done


def _overlap(one: Jog, other: Jog) -> bool:
    low, high = sorted((one.enter_mm, one.leave_mm))
    other_low, other_high = sorted((other.enter_mm, other.leave_mm))
    return low < other_high + TOUCH_MM and other_low < high + TOUCH_MM


def bends(jogs: Sequence[Jog]) -> list[tuple[Bend, ...]]:
    """Where each jog changes height, from left to right: never for a straight line, twice if need be."""
    given: list[tuple[_Piece, int]] = []
    for piece in _in_order(jogs):
        beside = [
            track for other, track in given if _overlap(other.jog, piece.jog) or _must_precede(other, piece)
        ]
        given.append((piece, max(beside, default=-1) + 1))
    found: list[list[Bend]] = [[] for _ in jogs]
    for piece, track in sorted(given, key=lambda each: each[1]):
        found[piece.owner].append(Bend(track, piece.jog.leave_mm))
    return [tuple(each) for each in found]


def count(found: Sequence[Sequence[Bend]]) -> int:
    """How many tracks are in use."""
    return max((bend.track for each in found for bend in each), default=-1) + 1
