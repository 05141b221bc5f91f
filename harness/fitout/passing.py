"""What a wire goes through before its terminal is crimped on: grommets, braid, and from which side."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from harness.model.design import RunResult, Wire

START, END = "from", "to"
End = tuple[str, str]  # number of a wire, and which of its ends


def _slid_on(run: RunResult) -> Iterator[str]:
    """What is no use once the terminals are on: it cannot be opened, and they do not pass it."""
    if run.grommet:
        yield f"grommet of {run.name}"
    if run.stretch is not None:
        yield f"heat-shrink of {run.name}"
    if run.covering.startswith("glass-fibre sleeve"):
        yield f"glass-fibre sleeve of {run.name}"
    if run.covering.startswith("expandable braided sleeve"):
        yield f"braid of {run.name}"


def _sides(wire: Wire, runs: Mapping[str, RunResult]) -> Iterator[tuple[RunResult, bool, float, float]]:
    """Every run of a wire, whether it is laid from the run's start, and its length before and beyond."""
    here, before_m = wire.from_.place, 0.0
    whole_m = sum(runs[name].length_m for name in wire.runs)
    for name in wire.runs:
        run = runs[name]
        forward = run.start == here
        yield run, forward, before_m, whole_m - before_m - run.length_m
        here, before_m = (run.end if forward else run.start), before_m + run.length_m


def passing(
    wires: Sequence[Wire], runs: Sequence[RunResult], spares: Sequence[Wire] = ()
) -> dict[End, list[str]]:
    """What goes on first at every wire end, what lies farthest from the end first.

    The shorter side of the loom is pulled through a hole (less wire to pull, common practice): the terminals
    on that side are crimped afterwards. All wires of a hole are pulled from one side, and ``spares`` with
    them.
    """
    known = {run.name: run for run in runs}
    slid = {run.name: texts for run in runs if (texts := list(_slid_on(run)))}
    laid = [
        (wire, [each for each in _sides(wire, known) if each[0].name in slid])
        for wire in (*wires, *spares)
        if not wire.kept and not slid.keys().isdisjoint(wire.runs)
    ]
    longer_m: defaultdict[str, float] = defaultdict(float)  # by how much the side of the run's end is longer
    idle = {wire.number for wire in spares}
    for wire, passed in laid:
        for run, forward, before_m, beyond_m in passed if wire.number not in idle else ():
            longer_m[run.name] += (beyond_m - before_m) if forward else (before_m - beyond_m)
    found: defaultdict[End, list[str]] = defaultdict(list)
    for wire, passed in laid:
        for run, forward, _, _ in passed:
            pulled_end = longer_m[run.name] <= 1e-9  # the run's end side is pulled, and so on equal sides
            side = END if pulled_end == forward else START
            there = found[wire.number, side]
            found[wire.number, side] = [*there, *slid[run.name]] if side == END else [*slid[run.name], *there]
    return dict(found)
