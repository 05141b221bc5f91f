"""Surveys of machines of any size: a trunk of frame places, on it panels, switches, lamps and motors."""

from __future__ import annotations

from itertools import count

WIRES_A_CIRCUIT = 7  # tap to panel, way to switch, switch to splice, two from the splice, two to the frame
CIRCUITS_A_PLACE = 3

HEAD = """\
machine:
  name: Generated machine
  voltage: 24 V
  chassis post: negative
  cable: GXL
zones:
  frame: {ambient: 45 °C}
bodies:
  frame: {}
"""
WIRES = """\
wires:
  frame > battery -: {keep: yes, size: 4/0 AWG, length: 0.5 m}
"""


def survey(wires: int) -> str:
    """A survey with about ``wires`` wires, never fewer than a circuit; the same text for the same number."""
    circuits = max(1, round((wires - 1) / (WIRES_A_CIRCUIT + 1 / CIRCUITS_A_PLACE)))
    stations = -(-circuits // CIRCUITS_A_PLACE)
    number = count()
    runs = ["  - {from: battery box, to: s0, length: 0.8 m, zone: frame}"]
    parts = [
        "  battery: {is: battery, at: battery box, capacity: 400 Ah}",
        "  g battery: {is: ground point, at: battery box, on: frame, stud: M10}",
    ]
    text: list[str] = ["  Ground:", "    paths: [frame > battery -]"]
    for at in range(stations):
        if at:  # a tree with three branches at each place keeps every way short
            runs.append(f"  - {{from: s{(at - 1) // 3}, to: s{at}, length: 0.6 m, zone: frame}}")
        runs.append(f"  - {{from: s{at}, to: e{at}, length: 0.9 m, zone: frame}}")
        parts.append(f"  g{at}: {{is: ground point, at: e{at}, on: frame, stud: M8}}")
        parts.append(f"  panel{at}: {{is: fuse panel, at: s{at}, ways: {CIRCUITS_A_PLACE}}}")
        text += [f"  Feed {at}:", "    drop: 3 %", "    paths:"]
        text += [f"      - battery + > panel{at} bus"]
        for way in range(1, CIRCUITS_A_PLACE + 1):
            if (one := next(number)) >= circuits:
                break
            parts.append(f"  switch{one}: {{is: switch, at: s{at}}}")
            parts.append(f"  lamp{one}: {{is: lamp, at: e{at}, power: {2 + one % 4} W}}")
            parts.append(f"  motor{one}: {{is: lamp, at: e{at}, current: 0.{1 + one % 3} A}}")
            text += [f"  Circuit {one}:", "    drop: 3 %", "    paths:"]
            text += [f"      - panel{at} F{way} > switch{one} > (lamp{one}, motor{one}) > frame"]
    return "\n".join([HEAD + "runs:", *runs, "parts:", *parts, "circuits:", *text, WIRES])
