"""How long each wire is cut: the way along the runs, and every addition to it with its reason.

What an end adds in all is its row of ``length_allowances`` or what the survey says; both hold what it takes
to re-terminate that end as often as asked (twice: FAA AC 43.13-1B 11-118, in support_rules), and never less.
One re-termination takes the longest strip of the small terminals, 7.9 mm (crimp_prep_rules), and the 6 mm of
wire under the heat-shrink behind it (heat_shrink_rules): 14 mm. Sizes are not known yet when a wire is cut,
so the longest stands for all. Battery cable is cut to its finished length.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil

from harness.model.design import Point
from harness.model.machine import Machine, Run, WireSpec
from harness.tables import load, remembered

Additions = list[tuple[str, float]]

NO_DRIP = ("splice", "battery post", "heavy lug")  # a splice lies inside the loom, heavy cable is not looped


@remembered
def _usual(column: str) -> dict[str, float]:
    return {end: value / 1000 for end, value in load("length_allowances").column("end", column).items()}


@remembered
def _covers(kind: str) -> str:
    return load("length_allowances").row("end", kind)["covers"]


def allowance_m(machine: Machine, what: str) -> float:
    """What a kind of end, a ``drip loop`` or a ``hinge`` adds, or the step to ``round up`` to [m]."""
    return machine.allowances_m.get(what, _usual("allowance_mm")[what])


def _fitting(machine: Machine, point: Point) -> str:
    """What an end lands on, in the words of length_allowances."""
    if point.kind == "splice":
        return "splice"
    part = machine.parts[point.part]
    if part.kind == "fuse panel":
        return "fuse panel"
    fitting = next((term.fitting for term in part.terminals if term.name == point.terminal), "blade")
    return {"post": "battery post", "pin": "coupler"}.get(fitting, fitting)


def _kinds(machine: Machine, ends: tuple[Point, Point]) -> list[str]:
    """What both ends land on; the other lug of a cable with an end on a battery post is a heavy one."""
    kinds = [_fitting(machine, point) for point in ends]
    if "battery post" in kinds:
        return ["heavy lug" if kind == "stud" else kind for kind in kinds]
    return kinds


def _wet(machine: Machine, place: str) -> bool:
    zone = machine.zones.get(machine.place_zones.get(place, ""))
    return zone is not None and zone.wet


def _at_end(machine: Machine, kind: str, point: Point) -> Iterator[tuple[str, float]]:
    """What one end adds: what it takes to re-terminate it, what is left for reach, and a drip loop."""
    where = f"{kind} at {point.part}"
    each_m = _usual("each_mm")[kind]
    again_m = machine.reterminate * each_m
    if again_m:
        yield f"re-terminate {machine.reterminate} x {each_m * 1000:g} mm, {where}", again_m
    rest_m = round(allowance_m(machine, kind) - again_m, 6)
    if rest_m > 0:
        yield f"{_covers(kind)}, {where}", rest_m
    drip_m = allowance_m(machine, "drip loop")
    if drip_m and kind not in NO_DRIP and _wet(machine, point.place):
        yield f"drip loop at {point.part}", drip_m


def _reach(machine: Machine, spec: WireSpec, ends: tuple[Point, Point]) -> Additions:
    """What a wire between two parts at one place needs to get across; a splice sits on the way."""
    a, b = ends
    if spec.length_m is not None or a.place != b.place or a.part == b.part:
        return []
    across = machine.place_reach_m.get(a.place, 0.0)
    if "splice" in (a.kind, b.kind):
        across /= 2
    return [(f"across {a.place}, from part to part", across)]


def _on_the_way(machine: Machine, runs: list[Run], way_m: float) -> Additions:
    """Slack of the runs, and what each moving joint takes beyond the length measured at full travel."""
    found = [(f"slack {machine.slack:.0%} of the runs", machine.slack * way_m)]
    hinge_m = allowance_m(machine, "hinge")
    return found + [(f"moving joint {run.name}", hinge_m) for run in runs if run.moves and hinge_m]


def _rounded(machine: Machine, exact_m: float) -> tuple[float, Additions]:
    step_m = allowance_m(machine, "round up")
    if not step_m:
        return exact_m, []
    rounded_m = ceil(round(exact_m / step_m, 6)) * step_m
    return rounded_m, [(f"rounded up to the next {step_m * 1000:g} mm", rounded_m - exact_m)]


def open_length(
    machine: Machine, places: tuple[str, str], runs: list[Run], way_m: float
) -> tuple[float, tuple[tuple[str, float], ...]]:
    """Cut length [m] of a wire that ends at no part, and every addition that made it."""
    additions = _on_the_way(machine, runs, way_m)
    additions += [(f"{_covers('spare')} at {place}", allowance_m(machine, "spare")) for place in places]
    length_m, rounding = _rounded(machine, way_m + sum(length for _, length in additions))
    return round(length_m, 3), (*additions, *rounding)


def cut_length(
    machine: Machine,
    spec: WireSpec,
    ends: tuple[Point, Point],
    runs: list[Run],
    way_m: float,
    at_splices: Sequence[tuple[str, float]] = (),
) -> tuple[float, tuple[tuple[str, float], ...]]:
    """Cut length [m] and every addition that made it.

    ``at_splices``: what it gains, or loses, by where along their runs its splices lie [m].
    """
    if spec.keep:
        return way_m, ()
    additions = _reach(machine, spec, ends)
    if spec.length_m is None and way_m:
        additions += _on_the_way(machine, runs, way_m)
    if spec.length_m is None:
        additions += at_splices
    for kind, point in zip(_kinds(machine, ends), ends, strict=True):
        additions += _at_end(machine, kind, point)
    length_m, rounding = _rounded(machine, way_m + sum(length for _, length in additions))
    return round(length_m, 3), (*additions, *rounding)
