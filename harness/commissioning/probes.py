"""Where the meter's probes go: terminal, place, wire and colour of a point of the machine."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from harness.model.design import Design, PartResult


@dataclass(frozen=True, slots=True, eq=False)
class _Places:
    """The parts of a design by name, and what lands on each terminal: "12a, WH"."""

    parts: Mapping[str, PartResult]
    landed: Mapping[tuple[str, str], Sequence[str]]


class Same:
    """A design that equals itself alone."""

    def __init__(self, design: Design) -> None:
        self.design = design

    def __hash__(self) -> int:
        return id(self.design)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and other.design is self.design


@lru_cache(maxsize=1)  # every terminal of a design is asked for, one after the other
def _places(same: Same) -> _Places:
    landed: defaultdict[tuple[str, str], list[str]] = defaultdict(list)
    for wire in same.design.wires:
        for end in (wire.from_, wire.to):
            landed[end.part, end.terminal].append(f"{wire.number}, {wire.colour}")
    return _Places({one.name: one for one in reversed(same.design.parts)}, dict(landed))


def at_terminal(design: Design, part: str, terminal: str) -> str:
    """A terminal with its place and the wires on it: "left head lamp 56b at nose (wire 12a, WH)"."""
    known = _places(Same(design))
    wires = known.landed.get((part, terminal), ())
    place = known.parts[part].place if part in known.parts else ""
    landed = f" (wire {'; '.join(wires[:3])})" if wires else ""
    return f"{part} {terminal}{f' at {place}' if place else ''}{landed}"


def at_load(design: Design, part: str, link: str) -> tuple[str, str]:
    """Where red and black go to read the volts of a load; red is on the plus side."""
    feed, _, back = link.partition("/")
    ends = (at_terminal(design, part, feed), at_terminal(design, part, back))
    return ends if design.machine.chassis_post == "negative" else (ends[1], ends[0])


def probes(red: str, black: str) -> str:
    """Both probes in words."""
    return f"red on {red}, black on {black}"


def point(design: Design, part: str, terminal: str) -> str:
    """A terminal as fault-finding is asked about it: "left lamp 56b", "bare metal of engine" for a case."""
    found = _places(Same(design)).parts.get(part)
    body = found.body if found else None
    return f"bare metal of {body}" if terminal == "case" and body else f"{part} {terminal}"


def across(design: Design, part: str, link: str) -> str:
    """Both ends of a load in those words, the black probe's first."""
    feed, _, back = link.partition("/")
    ends = (point(design, part, back), point(design, part, feed))
    return " to ".join(ends if design.machine.chassis_post == "negative" else ends[::-1])
