"""Why a wire lies where it does, where that is not simply the shortest way between its ends."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from harness.loom.ways import Ways
from harness.model.laying import FREE, Laying, WayTaken
from harness.model.machine import Run

SAME_M = 1e-6


def _passed(way: Sequence[str], start: str, runs: Mapping[str, Run]) -> list[str]:
    """Runs and places of a way in their order, its ends left out."""
    here, found = start, []
    for name in way:
        run = runs[name]
        here = run.end if run.start == here else run.start
        found += [name, here]
    return found[:-1]


def _length_m(way: Sequence[str], runs: Mapping[str, Run]) -> float:
    return sum(runs[name].length_m for name in way)


def way_taken(
    laying: Laying,
    ends: tuple[str, str],
    way: Sequence[str],
    runs: Mapping[str, Run],
    *,
    plain: Ways,
    cool: bool,
) -> WayTaken | None:
    """What was asked of a wire's way and what that costs; None where nothing was, or it made no difference.

    ``plain``: the ways by length alone. ``cool``: a hot metre counts more than one.
    """
    if laying == FREE and not cool:
        return None
    start, end = ends
    shortest = plain.of(start).runs(end)
    shortest_m = _length_m(shortest, runs)
    mine, others = {start, *_passed(way, start, runs), end}, _passed(shortest, start, runs)
    why = []
    if laying.via and all(via in mine for via in laying.via):
        why.append("forced through " + ", ".join(laying.via))
    avoided = [each for each in others if each in laying.avoid]
    if avoided:
        why.append("kept off " + ", ".join(dict.fromkeys(avoided)))
    if cool and _length_m(way, runs) > _length_m(plain.laid((start,), laying).runs(end), runs) + SAME_M:
        why.append("cooler than the shorter way")
    if not why:
        return None
    return WayTaken(shortest_m, max(0.0, round(_length_m(way, runs) - shortest_m, 6)), why)
