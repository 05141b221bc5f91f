"""Where the meter's probes go: terminal, place, wire and colour of a point of the machine."""

from __future__ import annotations

from harness.model.design import Design


def at_terminal(design: Design, part: str, terminal: str) -> str:
    """A terminal with its place and the wires on it: "left head lamp 56b at nose (wire 12a, WH)"."""
    wires = [
        f"{wire.number}, {wire.colour}"
        for wire in design.wires
        for end in (wire.from_, wire.to)
        if (end.part, end.terminal) == (part, terminal)
    ]
    place = next((one.place for one in design.parts if one.name == part), "")
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
    body = next((one.body for one in design.parts if one.name == part), None)
    return f"bare metal of {body}" if terminal == "case" and body else f"{part} {terminal}"


def across(design: Design, part: str, link: str) -> str:
    """Both ends of a load in those words, the black probe's first."""
    feed, _, back = link.partition("/")
    ends = (point(design, part, back), point(design, part, feed))
    return " to ".join(ends if design.machine.chassis_post == "negative" else ends[::-1])
