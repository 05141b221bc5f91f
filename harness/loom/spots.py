"""Where along a run each splice is made: clear of branches, holes, hinges and other splices."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from math import ceil

from harness.model.machine import Machine, Run
from harness.model.stages import SplicePlace
from harness.tables import load

STEP_M = 0.01  # a splice is laid to the centimetre: nobody measures closer in a loom
TINY_M = 1e-9

Additions = list[tuple[str, float]]
End = tuple[str, SplicePlace | None]  # name, and its spot where it is a splice that lies along a run


@dataclass(frozen=True, slots=True)
class Tail:
    """One wire of a splice, as it leaves the splice's place."""

    run: str  # the first run of its way; "" when it stays at the place
    current_a: float  # that weighs its copper


@cache
def _figure_m(item: str) -> float:
    return float(load("splice_spots").row("item", item)["value_mm"]) / 1000


def sleeve_m(wires: int) -> float:
    """The most a splice of so many wires takes of a run [m], for no size is known yet: splice_spots."""
    return _figure_m("sleeve of two wires" if wires <= 2 else "sleeve of three wires or more")


def takes_splices(run: Run) -> bool:
    """Whether splices may lie in a run: it does not move, passes no hole and no exhaust.

    Nobody measured where along a run its hole is, so such a run takes none however long it is.
    """
    return not run.moves and run.hole_mm is None and "exhaust" not in run.near


class _Room:
    """What is left of one run between the splices laid from its two ends."""

    def __init__(self, run: Run) -> None:
        clear_m = _figure_m("clear of a branch")
        self._run = run
        self._taken_m = {run.start: clear_m, run.end: clear_m}  # from each end, sleeves and gaps included

    def lay(self, place: str, sleeve: float) -> float | None:
        """How far from a place the next splice's middle lies [m]; None when the run is full."""
        other = self._run.end if place == self._run.start else self._run.start
        offset_m = ceil(round((self._taken_m[place] + sleeve / 2) / STEP_M, 6)) * STEP_M
        ends_m = offset_m + sleeve / 2
        if ends_m + self._taken_m[other] > self._run.length_m + TINY_M:
            return None
        self._taken_m[place] = ends_m + _figure_m("between two splices")
        return round(offset_m, 6)


def _best_first(tails: Sequence[Tail], runs: Mapping[str, Run]) -> list[str]:
    """The runs its wires lie in, the one that pulls most first: there a splice costs least copper."""
    pulls: dict[str, float] = {}
    for tail in tails:
        if tail.run and takes_splices(runs[tail.run]):
            pulls[tail.run] = pulls.get(tail.run, 0.0) + tail.current_a
    return sorted(pulls, key=lambda name: -round(pulls[name], 9))


def splice_spots(
    machine: Machine, places: Mapping[str, str], tails: Mapping[str, Sequence[Tail]]
) -> dict[str, SplicePlace]:
    """The spot of every splice that the tool places; none for those that fit in no run.

    ``places``: splice -> its place. ``tails``: splice -> its wires. In the order of ``tails`` each takes the
    next free stretch of the run in which most current of its own flows, seen from its place.
    """
    runs = {run.name: run for run in machine.runs}
    rooms: dict[str, _Room] = {}
    found: dict[str, SplicePlace] = {}
    for name, wires in tails.items():
        place = places[name]
        for run_name in _best_first(wires, runs):
            run = runs[run_name]
            if run_name not in rooms:
                rooms[run_name] = _Room(run)
            offset_m = rooms[run_name].lay(place, sleeve_m(len(wires)))
            if offset_m is not None:
                towards = run.end if run.start == place else run.start
                found[name] = SplicePlace(run_name, place, offset_m, towards)
                break
    return found


def shifts(first: End, last: End, way: Sequence[str]) -> Additions:
    """What a wire gains or loses by its splices lying along runs [m], with the reason.

    ``first``, ``last``: what stands at either end of the wire. ``way``: its runs.
    """
    if first[1] and last[1] and not way and first[1].run == last[1].run:
        apart_m = abs(first[1].offset_m - last[1].offset_m)
        return [(f"from {first[0]} to {last[0]} along {first[1].run}", apart_m)]
    found: Additions = []
    for (name, spot), run in ((first, way[0] if way else ""), (last, way[-1] if way else "")):
        if spot is not None:
            sign = -1.0 if spot.run == run else 1.0
            found.append((f"{name} lies {spot}", sign * spot.offset_m))
    return found
