"""The same pieces in the order they are laid on the board: loom by loom, the trunk first, then its branches.

The board is laid from the main junction outwards: the place that most wires of a loom touch (of equal ones
that where more of them end). From there the trunk follows the runs with the most wires in them; every other
way is a branch, and a branch has branches in the same manner. A wire stands in the branch in which its
farther end lies, the longest first. Longest trunk wires first is common practice.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from harness.joined import Joined
from harness.lists.cutlist import CutLine, cut_list, made
from harness.lists.measure import natural
from harness.model.design import Design, RunResult, Wire

PAST = "past the couplers"  # what goes from one loom into another uncut
Kind = Literal["trunk", "branch", "by itself"]  # the last hangs together with no other wire of its loom


@dataclass(frozen=True, slots=True)
class Branch:
    """A stretch of one loom on the board, with the pieces that reach into it and no farther."""

    loom: str
    places: tuple[str, ...]  # from where it leaves outwards
    runs: tuple[str, ...]
    kind: Kind
    lines: tuple[CutLine, ...]  # longest first

    @property
    def title(self) -> str:
        """The branch in words: "trunk: dash - console foot - bulkhead"."""
        return f"{self.kind}: {' - '.join(self.places)}"


Arc = tuple[str, RunResult]  # the place at the other end, and the run that leads there


@dataclass(frozen=True, slots=True)
class _Board:
    """One loom spread out: how far each place lies from the main junction, and by which run it is reached."""

    root: str
    far_m: Mapping[str, float]
    reached: Mapping[str, Arc]  # place -> the place before it, and the run between
    weight: Mapping[str, int]  # run -> wires in it

    def onward(self) -> dict[str, list[Arc]]:
        """Place -> what lies behind it, thickest first."""
        found: dict[str, list[Arc]] = {}
        for place, (before, run) in self.reached.items():
            found.setdefault(before, []).append((place, run))
        for arcs in found.values():
            arcs.sort(key=lambda arc: (-self.weight[arc[1].name], natural(arc[0])))
        return found


def _way(wire: Wire, runs: Mapping[str, RunResult]) -> list[str]:
    return [name for name in wire.runs if name in runs]


def _touched(wire: Wire, runs: Mapping[str, RunResult]) -> set[str]:
    passed = {place for name in _way(wire, runs) for place in (runs[name].start, runs[name].end)}
    return passed | {wire.from_.place, wire.to.place}


def _board(wires: Sequence[Wire], runs: Mapping[str, RunResult]) -> _Board:
    weight: dict[str, int] = {}
    met: dict[str, int] = {}
    ended: dict[str, int] = {}
    for wire in wires:
        for name in _way(wire, runs):
            weight[name] = weight.get(name, 0) + 1
        for place in _touched(wire, runs):
            met[place] = met.get(place, 0) + 1
        for end in (wire.from_, wire.to):
            ended[end.place] = ended.get(end.place, 0) + 1
    around: dict[str, list[Arc]] = {}
    for name in weight:
        run = runs[name]
        around.setdefault(run.start, []).append((run.end, run))
        around.setdefault(run.end, []).append((run.start, run))
    root = min(met, key=lambda place: (-met[place], -ended.get(place, 0), natural(place)))
    far_m: dict[str, float] = {}
    reached: dict[str, Arc] = {}
    waiting: list[tuple[float, tuple[tuple[int, int, str], ...], str, str, str]] = [
        (0.0, natural(root), root, "", "")
    ]
    while waiting:
        so_far_m, _, place, before, name = heapq.heappop(waiting)
        if place in far_m:
            continue
        far_m[place] = so_far_m
        if name:
            reached[place] = (before, runs[name])
        for other, run in around.get(place, ()):
            if other not in far_m:
                heapq.heappush(waiting, (so_far_m + run.length_m, natural(other), other, place, run.name))
    return _Board(root, far_m, reached, weight)


def _chains(board: _Board) -> Iterator[tuple[tuple[str, ...], tuple[str, ...]]]:
    """Yield places and runs of the trunk, then of every branch as it leaves, each before its own branches."""
    onward = board.onward()
    waiting: list[tuple[str, Arc | None]] = [(board.root, None)]
    while waiting:
        start, first = waiting.pop()
        places, runs = [start], []
        side: list[tuple[str, Arc]] = []
        if first is not None:
            places.append(first[0])
            runs.append(first[1].name)
        while arcs := onward.get(places[-1], ()):
            here = places[-1]
            side += [(here, arc) for arc in arcs[1:]]
            places.append(arcs[0][0])
            runs.append(arcs[0][1].name)
        waiting += reversed(side)
        yield tuple(places), tuple(runs)


def _branches(
    loom: str, wires: Sequence[Wire], runs: Mapping[str, RunResult], lines: Mapping[str, CutLine]
) -> Iterator[Branch]:
    """One loom's branches; what hangs together with none of it is laid after it, in the same manner."""
    for at, mine in enumerate(_apart(wires, runs)):
        for one in _of_board(loom, mine, _board(mine, runs), runs, lines):
            yield replace(one, kind="by itself") if at and one.kind == "trunk" else one


def _apart(wires: Sequence[Wire], runs: Mapping[str, RunResult]) -> list[list[Wire]]:
    """The wires by what hangs together, most wires first."""
    joined = Joined[str]()
    for wire in wires:
        for place in _touched(wire, runs):
            joined.join(wire.from_.place, place)
    found: dict[str, list[Wire]] = {}
    for wire in wires:
        found.setdefault(joined.top(wire.from_.place), []).append(wire)
    return sorted(found.values(), key=len, reverse=True)


def _of_board(
    loom: str, wires: Sequence[Wire], board: _Board, runs: Mapping[str, RunResult],
    lines: Mapping[str, CutLine],
) -> Iterator[Branch]:  # fmt: skip
    home: dict[str, int] = {}
    chains = list(_chains(board))
    for at, (places, _) in enumerate(chains):
        for place in places:
            home.setdefault(place, at)
    held: dict[int, list[Wire]] = {}
    for wire in sorted(wires, key=lambda wire: (-wire.length_m, natural(wire.number))):
        ends = [end.place for end in (wire.from_, wire.to) if end.place in board.far_m]
        held.setdefault(home[max(ends, key=lambda place: board.far_m[place])], []).append(wire)
    for at, (places, names) in enumerate(chains):
        own = tuple(lines[wire.number] for wire in held.get(at, ()))
        if own or names:
            yield Branch(loom, places, names, "branch" if at else "trunk", own)
    laid = {run for _, names in chains for run in names}
    for name in sorted(board.weight, key=natural):
        if name not in laid and runs[name].start in board.far_m:  # closes a ring: laid with its wires' ends
            yield Branch(loom, (runs[name].start, runs[name].end), (name,), "branch", ())


def by_branch(design: Design) -> list[Branch]:
    """Every new wire once, by loom and branch, in the order of laying; batches as in the cut list."""
    lines = {line.number: line for spool in cut_list(design) for line in spool.lines}
    runs = {run.name: run for run in design.runs}
    owner = {number: loom.name for loom in design.looms for number in loom.wires}
    nowhere = PAST if design.looms else ""
    groups: dict[str, list[Wire]] = {loom.name: [] for loom in design.looms}
    for wire in made(design):
        if not wire.kept:
            groups.setdefault(owner.get(wire.number, nowhere), []).append(wire)
    return [
        branch for loom, wires in groups.items() if wires for branch in _branches(loom, wires, runs, lines)
    ]
