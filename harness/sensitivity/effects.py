"""Two designs of one machine side by side: other sizes, other fuses, findings that came and went."""

from __future__ import annotations

from collections.abc import Iterable

from harness.model.design import Design, Point
from harness.model.sensitivity import Effect, Way

# How much one change counts when assumptions are put in order; a choice of ours.
WEIGHTS = {"wire": 3, "fuse": 3, "danger": 6, "fault": 4, "advice": 1}


def effects(base: Design, other: Design, way: Way) -> list[Effect]:
    """What the other design has otherwise: sizes, fuses, then findings, each in the order of the design."""
    return [*_wires(base, other, way), *_fuses(base, other, way), *_findings(base, other, way)]


def weight(several: Iterable[Effect]) -> int:
    """How heavy changes are together."""
    total = 0
    for each in several:
        total += WEIGHTS[(each.after or each.before) if each.about == "finding" else each.about]
    return total


def _wires(base: Design, other: Design, way: Way) -> Iterable[Effect]:
    ends = {wire.number: f"{_end(wire.from_)} to {_end(wire.to)}" for wire in (*other.wires, *base.wires)}
    was = {wire.number: wire.size for wire in base.wires}
    now = {wire.number: wire.size for wire in other.wires}
    for number in {**was, **now}:
        before, after = was.get(number, ""), now.get(number, "")
        if before != after:
            yield Effect(way, "wire", number, ends[number], before, after)


def _fuses(base: Design, other: Design, way: Way) -> Iterable[Effect]:
    was = {fuse.name: f"{fuse.rating_a:g} A" for fuse in base.fuses}
    now = {fuse.name: f"{fuse.rating_a:g} A" for fuse in other.fuses}
    for name in {**was, **now}:
        before, after = was.get(name, ""), now.get(name, "")
        if before != after:
            yield Effect(way, "fuse", name, "", before, after)


def _findings(base: Design, other: Design, way: Way) -> Iterable[Effect]:
    was = {(each.rule, each.subject): str(each.severity) for each in base.findings}
    now = {(each.rule, each.subject): str(each.severity) for each in other.findings}
    for rule, subject in {**was, **now}:
        before, after = was.get((rule, subject), ""), now.get((rule, subject), "")
        if before != after:
            yield Effect(way, "finding", rule, subject, before, after)


def _end(point: Point) -> str:
    return f"{point.part} {point.terminal}".rstrip()
