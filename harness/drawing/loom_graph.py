"""The tree of places that the loom is drawn as: which place stands on top, which run leads where."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from harness.model.design import Design, RunResult


@dataclass(frozen=True, slots=True)
class Branch:
    """A run as drawn: from the place above to the place below."""

    run: RunResult
    above: int
    below: int


def place_names(design: Design) -> list[str]:
    """All places in the order of the runs, then those no run reaches."""
    ends = (place for run in design.runs for place in (run.start, run.end))
    rest = (part.place for part in design.parts)
    return list(dict.fromkeys((*ends, *rest, *design.places)))


def _beside(places: Sequence[str], runs: Sequence[RunResult]) -> Mapping[int, list[int]]:
    number = {place: index for index, place in enumerate(places)}
    beside: dict[int, list[int]] = {index: [] for index in range(len(places))}
    for run in runs:
        a, b = number[run.start], number[run.end]
        beside[a].append(b)
        beside[b].append(a)
    return beside


def _steps(beside: Mapping[int, Sequence[int]], root: int) -> dict[int, int]:
    """How many runs away every reachable place is, in the order they are reached."""
    steps = {root: 0}
    waiting = [root]
    for place in waiting:
        for other in beside[place]:
            if other not in steps:
                steps[other] = steps[place] + 1
                waiting.append(other)
    return steps


def roots(design: Design, count: int) -> list[int]:
    """Places worth trying on top: those from which the loom is least deep, the one with most wires first."""
    places = place_names(design)
    beside = _beside(places, design.runs)
    through = [
        sum(len(run.wires) for run in design.runs if place in (run.start, run.end)) for place in places
    ]
    largest = max((_steps(beside, place) for place in range(len(places))), key=len, default={})
    depth = {place: max(_steps(beside, place).values()) for place in largest}
    best = sorted(depth, key=lambda place: (depth[place], -through[place], place))
    return best[:count]


def branches(design: Design, root: int) -> list[Branch]:
    """Turn every run so that it leads away from ``root``; what does not hang on it gets a top of its own."""
    places = place_names(design)
    beside = _beside(places, design.runs)
    number = {place: index for index, place in enumerate(places)}
    order: dict[int, int] = {}
    depth: dict[int, int] = {}
    for start in (root, *range(len(places))):
        if start not in order:
            found = _steps(beside, start)
            depth.update(found)
            for place in found:
                order[place] = len(order)
    turned = []
    for run in design.runs:
        a, b = number[run.start], number[run.end]
        above, below = (a, b) if order[a] < order[b] else (b, a)
        turned.append(Branch(run, above, below))
    return turned
