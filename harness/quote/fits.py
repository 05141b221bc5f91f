"""Whether pieces can all be cut whole from given lengths, decided exactly; and the cuts."""

from __future__ import annotations

from collections.abc import Sequence

from harness.buying.cutting import Cut, Stock, TooLong, best_fit, cutting_plan

MOST_STEPS = 20_000  # of the search; a count and no clock, so that every computer decides alike


def cuts_from(pieces: Sequence[int], stocks: Sequence[Stock]) -> tuple[Cut, ...] | None:
    """The cuts of every piece from stock of which there are so many, None where the quick ways find none."""
    try:
        return cutting_plan(pieces, stocks).cuts
    except TooLong:
        return None


def fits(pieces: Sequence[int], lengths: Sequence[int]) -> bool | None:
    """Whether every piece comes whole out of these lengths; None where the search gave up.

    Longest piece first, into each different room once; of equal pieces the rooms go one way only. What is
    left of a length that no piece fits any more counts as lost, which ends most ways early.
    """
    pieces = sorted(pieces, reverse=True)
    if sum(pieces) > sum(lengths):
        return False
    if not pieces:
        return True
    rooms = sorted(lengths, reverse=True)
    if best_fit(pieces, [Stock("", room, 0) for room in rooms]) is not None:
        return True
    rest = [0] * (len(pieces) + 1)
    for at in range(len(pieces) - 1, -1, -1):
        rest[at] = rest[at + 1] + pieces[at]
    shortest = pieces[-1]
    steps = 0
    seen: set[tuple[int, tuple[int, ...]]] = set()

    def place(at: int) -> bool | None:
        nonlocal steps
        if at == len(pieces):
            return True
        steps += 1
        if steps > MOST_STEPS:
            return None
        if rest[at] > sum(room for room in rooms if room >= shortest):
            return False
        state = (at, tuple(sorted(rooms)))
        if state in seen:
            return False
        tried: set[int] = set()
        for which, room in enumerate(rooms):
            if room < pieces[at] or room in tried:
                continue
            tried.add(room)
            rooms[which] -= pieces[at]
            found = place(at + 1)
            rooms[which] += pieces[at]
            if found is not False:
                return found
        seen.add(state)
        return False

    if len(pieces) > 400:  # deeper than the search can go
        return None
    return place(0)
