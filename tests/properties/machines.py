"""Surveys of small machines of any shape: runs with holes and hinges, a panel, circuits, a coupler."""

from __future__ import annotations

from hypothesis import strategies as st

LOADS = (
    "is: lamp, power: 21 W", "is: work lamp, power: 55 W", "is: horn, current: 4 A",
    "is: electric pump, current: 5 A", "is: fan, current: 6 A",
)  # fmt: skip
ZONES = (
    "zones: {dry: {ambient: 40 °C, closed: yes}, wet: {ambient: 45 °C, wet: yes}, hot: {ambient: 85 °C}}\n"
)
HOLES = (None, None, None, "9 mm", "16 mm", "22 mm", "25 mm", "38 mm", "60 mm", "95 mm")
BOX, PANEL = "battery box", "panel place"


@st.composite
def surveys(draw: st.DrawFn) -> str:
    """Draw a survey that is right, whatever the rules may find in it."""
    sizes = draw(st.sampled_from(("AWG", "mm2")))
    places = [BOX, PANEL, *(f"place {number}" for number in range(draw(st.integers(1, 5))))]
    runs, parts = _runs(draw, places)
    ways = draw(st.integers(1, 7))
    parts += [
        "battery: {is: battery, at: battery box, capacity: 90 Ah}",
        f"main fuse: {{is: {draw(st.sampled_from(('main fuse', 'fuse')))}, at: battery box}}",
        f"panel: {{is: fuse panel, at: {PANEL}, ways: {max(4, ways + draw(st.integers(0, 3)))}}}",
        *(f"ground {at}: {{is: ground point, at: {place}, on: frame}}" for at, place in enumerate(places)),
    ]
    paths = ["battery + > main fuse > panel", "frame > battery -"]
    for way in range(1, ways + 1):
        paths += _circuit(draw, way, places, parts)
    kept = draw(st.sampled_from(("", "wires:\n  battery + > main fuse: {keep: yes, size: SIZE}\n")))
    lines = [
        f"machine: {{name: Any machine, voltage: 12 V, chassis post: negative, sizes: {sizes}}}",
        ZONES + "bodies: {frame: {}}",
        "runs:", *(f"  - {run}" for run in runs),
        "parts:", *(f"  {part}" for part in parts),
        "circuits:",
        *(f'  Circuit {at}: {{paths: ["{path}"]}}' for at, path in enumerate(paths)),
        f"spares: {{wires: {draw(st.sampled_from(('none', '1 in 3', '1 in 10')))}}}",
    ]  # fmt: skip
    if draw(st.booleans()):
        lines.append(f"spare wires: [{{from: {BOX}, to: {draw(st.sampled_from(places[1:]))}, count: 2}}]")
    return "\n".join(lines) + "\n" + kept.replace("SIZE", "6 AWG" if sizes == "AWG" else "16 mm2")


def _runs(draw: st.DrawFn, places: list[str]) -> tuple[list[str], list[str]]:
    """A tree of runs; one of them may be parted by a coupler."""
    runs, parts = [], []
    cut = draw(st.integers(1, len(places) + 2))  # beyond the last place: no coupler
    for number in range(1, len(places)):
        above, here = places[draw(st.integers(0, number - 1))], places[number]
        if number == cut:
            parts.append("joint plug: {is: multi-way coupler, at: joint}")
            runs.append(f"{{from: {above}, to: joint, length: 0.6 m, zone: wet}}")
            above = "joint"
        hole = draw(st.sampled_from(HOLES))
        length = draw(st.integers(20, 400)) / 100
        zone = draw(st.sampled_from(("dry", "wet", "hot")))
        more = f", hole: {hole}, plate: {draw(st.integers(1, 8))} mm" if hole else ""
        more += draw(st.sampled_from(("", "", ", covering: braid", ", covering: tape", ", covering: none")))
        more += draw(st.sampled_from(("", "", ", hinge: yes", ", grommet: no" if hole else "")))
        runs.append(f"{{from: {above}, to: {here}, length: {length} m, zone: {zone}{more}}}")
    return runs, parts


def _circuit(draw: st.DrawFn, way: int, places: list[str], parts: list[str]) -> list[str]:
    """One to three loads behind a way, perhaps by a switch or a relay; more than one hang on a splice."""

    def load(number: int) -> str:
        kind, place = draw(st.sampled_from(LOADS)), draw(st.sampled_from(places))
        parts.append(f"load {way}-{number}: {{{kind}, at: {place}}}")
        return f"load {way}-{number}"

    loads = [load(number) for number in range(draw(st.integers(1, 3)))]
    end = loads[0] if len(loads) == 1 else f"({', '.join(loads)})"
    form = draw(st.sampled_from(("straight", "switch", "relay")))
    if form == "straight":  # a fuse in line has leads of its own, which take butt splices
        parts.append(f"own fuse {way}: {{is: fuse, at: {draw(st.sampled_from(places))}}}")
        return [f"panel F{way} > own fuse {way} > {end} > frame"]
    parts.append(f"switch {way}: {{is: switch, at: {draw(st.sampled_from(places))}}}")
    if form == "switch":
        return [f"panel F{way} > switch {way} > {end} > frame"]
    parts.append(f"relay {way}: {{is: relay, at: {draw(st.sampled_from(places))}}}")
    coil = f"panel F{way} > switch {way} > relay {way} 86/85 > frame"
    return [coil, f"panel F{way} > relay {way} 30/87 > {end} > frame"]
