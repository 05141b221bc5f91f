"""Things that come to be one by being joined, two at a time: points of a circuit, places, limits."""

from __future__ import annotations

from collections.abc import Hashable
from typing import Generic, TypeVar

T = TypeVar("T", bound=Hashable)


class Joined(Generic[T]):
    """Which things are one; a thing that was never named is one with itself alone.

    Disjoint sets with path halving (textbook): even over many joins each question is answered in a few steps.
    """

    def __init__(self) -> None:
        self._above: dict[T, T] = {}

    def top(self, thing: T) -> T:
        """The one that stands for all that ``thing`` is joined with."""
        above = self._above
        while (up := above.setdefault(thing, thing)) != thing:
            above[thing] = thing = above[up]
        return thing

    def join(self, one: T, other: T) -> bool:
        """Make two one; what stood for ``one`` stands for both. Returns False where they were one already."""
        top, below = self.top(one), self.top(other)
        self._above[below] = top
        return top != below

    def tops(self) -> dict[T, T]:
        """Everything named so far, in the order of naming, with what stands for it."""
        return {thing: self.top(thing) for thing in list(self._above)}
