"""How long each wire is cut: the way along the runs, and every addition to it with its reason."""

from __future__ import annotations

from math import ceil

from harness.model.design import Point
from harness.model.machine import Machine, Run, WireSpec
from harness.tables import load

ROUND_UP_M = 0.05  # cut lengths go up to the next 50 mm (common practice)
HINGE_SLACK_M = 0.10  # each moving joint; our default, to be checked at full travel


def _fitting(machine: Machine, point: Point) -> str:
    """What an end lands on, in the words of length_allowances."""
    if point.kind == "splice":
        return "splice"
    part = machine.parts[point.part]
    if part.kind == "fuse panel":
        return "fuse panel"
    fitting = next((term.fitting for term in part.terminals if term.name == point.terminal), "blade")
    return {"post": "battery post", "pin": "coupler"}.get(fitting, fitting)


def _allowances_m(machine: Machine, ends: tuple[Point, Point]) -> list[tuple[str, float]]:
    """What the ends add to a wire, by what they land on [m]. Source: length_allowances (common practice).

    A cable with an end on a battery post is battery cable: its other lug adds no more than that of a cable
    measured lug to lug.
    """
    table = load("length_allowances").column("end", "allowance_mm")
    kinds = [_fitting(machine, point) for point in ends]
    if "battery post" in kinds:
        kinds = ["heavy lug" if kind == "stud" else kind for kind in kinds]
    return [(f"{kind} at {point.part}", table[kind] / 1000) for kind, point in zip(kinds, ends, strict=True)]


def _reach(machine: Machine, spec: WireSpec, ends: tuple[Point, Point]) -> list[tuple[str, float]]:
    """What a wire between two parts at one place needs to get across; a splice sits on the way."""
    a, b = ends
    if spec.length_m is not None or a.place != b.place or a.part == b.part:
        return []
    across = machine.place_reach_m.get(a.place, 0.0)
    if "splice" in (a.kind, b.kind):
        across /= 2
    return [(f"across {a.place}, from part to part", across)]


def cut_length(
    machine: Machine, spec: WireSpec, ends: tuple[Point, Point], runs: list[Run], way_m: float
) -> tuple[float, tuple[tuple[str, float], ...]]:
    """Cut length [m] and every addition that made it."""
    if spec.keep:
        return way_m, ()
    additions: list[tuple[str, float]] = _reach(machine, spec, ends)
    if spec.length_m is None and way_m:
        additions.append((f"slack {machine.slack:.0%} of the runs", machine.slack * way_m))
        additions += [(f"moving joint {run.name}", HINGE_SLACK_M) for run in runs if run.moves]
    additions += _allowances_m(machine, ends)
    exact = way_m + sum(length for _, length in additions)
    rounded = ceil(round(exact / ROUND_UP_M, 6)) * ROUND_UP_M
    additions.append(("rounded up to the next 50 mm", rounded - exact))
    return round(rounded, 3), tuple(additions)
