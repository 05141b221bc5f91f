"""Surveys to size: a small one to vary by hand, and a strategy that draws whole sound machines."""

from __future__ import annotations

from hypothesis import strategies as st

SMALL = """
machine: {name: bench, voltage: 12 V, chassis post: negative, cable: GXL, sizes: AWG, slack: 0 %}
zones:
  bay: {ambient: 85 °C}
  cool: {ambient: 30 °C}
runs:
  - {from: box, to: dash, length: 2 m, zone: cool}
  - {from: dash, to: lamp post, length: 3 m, zone: cool}
parts:
  battery: {is: battery, at: box, capacity: 70 Ah, cranking: 540 A}
  F1: {is: fuse, at: box}
  switch: {is: switch, at: dash}
  left lamp: {is: work lamp, at: lamp post, power: 55 W}
  right lamp: {is: work lamp, at: lamp post, power: 55 W}
  box ground: {is: ground point, at: box, on: frame}
  post ground: {is: ground point, at: lamp post, on: frame}
circuits:
  Ground:
    paths: [frame > battery -]
  Lamps:
    works in: night work
    paths:
      - battery + > F1 > switch > (left lamp, right lamp) > frame
"""

KINDS = {
    "work lamp": "power: {0} W",
    "horn": "current: {1} A",
    "electric pump": "current: {1} A, peak: {2} A for 0.3 s",
    "solenoid valve": "current: {1} A",
    "beacon": "power: {0} W",
}


@st.composite
def surveys(draw: st.DrawFn) -> str:
    """A sound machine: a chain of places with branches, a panel, and up to eight loads behind its ways."""
    volts = draw(st.sampled_from([6, 12, 24]))
    sizes = draw(st.sampled_from(["AWG", "mm2"]))
    cable = (
        draw(st.sampled_from(["GXL", "TXL"]))
        if sizes == "AWG"
        else draw(st.sampled_from(["class B", "class C"]))
    )
    post = draw(st.sampled_from(["negative", "positive"]))
    live, home = ("+", "-") if post == "negative" else ("-", "+")
    count = draw(st.integers(2, 6))
    hot = draw(st.integers(30, 85))
    lines = [
        f"machine: {{name: drawn, voltage: {volts} V, chassis post: {post}, cable: {cable}, sizes: {sizes}}}",
        "zones:",
        f"  one: {{ambient: {hot} °C, wet: yes}}",
        "  two: {ambient: 40 °C, closed: yes}",
        "runs:",
    ]
    for place in range(1, count):
        start = draw(st.integers(0, place - 1))
        length = draw(st.floats(0.2, 6).map(lambda metres: round(metres, 2)))
        zone = draw(st.sampled_from(["one", "two"]))
        hole = draw(st.sampled_from(["", ", hole: 60 mm, plate: 3 mm"]))
        lines.append(f"  - {{from: p{start}, to: p{place}, length: {length} m, zone: {zone}{hole}}}")
    loads = draw(st.integers(1, 8))
    ways = ", ".join(f"F{load}: " for load in range(loads))
    lines += [
        "parts:",
        "  battery: {is: battery, at: p0, capacity: 80 Ah, cranking: 600 A}",
        "  main fuse: {is: main fuse, at: p0}",
        f"  panel: {{is: fuse panel, at: p1, ways: {{{ways}}}}}",
    ]
    lines += [f"  ground {place}: {{is: ground point, at: p{place}, on: frame}}" for place in range(count)]
    circuits = [
        "circuits:",
        "  Supply:",
        f"    paths: [frame > battery {home}, battery {live} > main fuse > panel]",
    ]
    for load in range(loads):
        kind = draw(st.sampled_from(sorted(KINDS)))
        watts = draw(st.integers(5, 120))
        amps = draw(st.floats(0.5, 12).map(lambda value: round(value, 1)))
        place = draw(st.integers(1, count - 1))
        draws = KINDS[kind].format(watts, amps, round(2 * amps, 1))
        lines.append(f"  load {load}: {{is: {kind}, at: p{place}, {draws}}}")
        lines.append(f"  switch {load}: {{is: switch, at: p1}}")
        mode = draw(st.sampled_from(["running", "night work", "parked"]))
        circuits += [
            f"  Circuit {load}:",
            f"    works in: {mode}",
            f"    paths: [panel F{load} > switch {load} > load {load} > frame]",
        ]
    return "\n".join([*lines, *circuits]) + "\n"
