"""Surveys of machines of any size that are hard in every way; the same text for the same number and seed.

Two batteries in series, an engine and cabs on straps, fuses in three rows, and circuits of lamps on splices
within splices, motors with an inrush, relays, horns that sound for a spell, and pairs that share a switch.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random

CIRCUITS_A_PANEL = 6
PANELS_A_BAR = 4
PANELS_A_CAB = 9
WIRES_A_PANEL = 40.5  # with the circuits on it, its main fuse and its share of a bar; counted, not exact

HEAD = """\
machine:
  name: Generated machine
  voltage: 24 V
  chassis post: negative
  cable: GXL
zones:
  engine bay: {ambient: 65 °C, wet: yes}
  frame: {ambient: 45 °C}
  cab: {ambient: 40 °C, closed: yes}
"""
RUNS = ["{from: battery box, to: engine, length: 1.2 m, zone: engine bay}"]
PARTS = [
    "low battery: {is: battery, at: battery box, rated: 12 V, capacity: 180 Ah, cranking: 1000 A}",
    "high battery: {is: battery, at: battery box, rated: 12 V, capacity: 180 Ah, cranking: 1000 A}",
    "starter: {is: starter motor, at: engine, on: engine, current: 250 A for 20 s}",
    "charge fuse: {is: main fuse, at: engine, stud: M8}",
    "alternator: {is: alternator, at: engine, on: engine, output: 80 A}",
    "start fuse: {is: fuse, at: battery box}",
    "start button: {is: push button, at: battery box}",
    "engine stud: {is: ground point, at: engine, on: engine, stud: M12}",
    "second engine stud: {is: ground point, at: engine, on: engine, stud: M10}",
    "frame stud: {is: ground point, at: battery box, on: frame, stud: M12}",
    "second frame stud: {is: ground point, at: battery box, on: frame, stud: M10}",
]
MAIN = """\
  Battery cables:
    works in: cranking
    paths:
      - high battery - > low battery +
      - high battery + > starter 30
      - engine stud > low battery -
  Straps:
    paths:
      - engine stud > frame stud
      - second engine stud > second frame stud
  Cranking:
    works in: cranking
    paths:
      - high battery + > start fuse > start button > starter 50
  Charging:
    works in: [running, night work]
    paths:
      - alternator B+ > charge fuse > starter 30
"""
MODES = ("[parked, running]", "running", "[running, night work]", "night work")


@dataclass(slots=True)
class _Survey:
    """The sections of a survey as they grow."""

    random: Random
    runs: list[str] = field(default_factory=lambda: list(RUNS))
    parts: list[str] = field(default_factory=lambda: list(PARTS))
    circuits: list[str] = field(default_factory=lambda: [MAIN.rstrip("\n")])
    bodies: list[str] = field(default_factory=lambda: ["engine", "frame"])

    def part(self, name: str, kind: str, place: str, more: str = "") -> str:
        """A part, whose name is handed back for the path it stands in."""
        self.parts.append(f"{name}: {{is: {kind}, at: {place}{more}}}")
        return name

    def circuit(self, name: str, *paths: str, modes: str = "", drop: str = "5 %") -> None:
        self.circuits.append(f"  {name}:\n    drop: {drop}")
        if modes:
            self.circuits.append(f"    works in: {modes}")
        self.circuits += ["    paths:", *(f'      - "{path}"' for path in paths)]

    def text(self) -> str:
        bodies = [f"  {body}: {{}}" for body in self.bodies]
        runs, parts = [f"  - {run}" for run in self.runs], [f"  {part}" for part in self.parts]
        blocks = ("bodies:", *bodies, "runs:", *runs, "parts:", *parts, "circuits:", *self.circuits)
        return HEAD + "\n".join(blocks) + "\n"


@dataclass(frozen=True, slots=True)
class _Spot:
    """Where a circuit is fed and where its loads stand."""

    feed: str  # "panel 3 F2"
    name: str  # of the circuit
    near: str  # place of panel and switches
    far: str  # place of the loads
    body: str
    modes: str


def _lamps(survey: _Survey, at: _Spot) -> None:
    """Two to four lamps behind a switch, the last two on a splice of their own."""
    switch = survey.part(f"switch {at.name}", "switch", at.near)
    watts = survey.random.choice((2, 3, 5))
    count = survey.random.randint(2, 4)
    lamps = [survey.part(f"lamp {at.name} {n}", "lamp", at.far, f", power: {watts} W") for n in range(count)]
    inner = f"({', '.join(lamps[-2:])})"
    branches = f"({', '.join([*lamps[:-2], inner])})" if count > 2 else inner
    survey.circuit(f"Lamps {at.name}", f"{at.feed} > {switch} > {branches} > {at.body}", modes=at.modes)


def _motor(survey: _Survey, at: _Spot) -> None:
    """A motor that pulls six times its current while it starts."""
    switch = survey.part(f"switch {at.name}", "switch", at.near)
    amps = survey.random.choice((0.3, 0.5, 0.8))
    peak = f", current: {amps} A, peak: {6 * amps:.1f} A for 0.4 s"
    motor = survey.part(f"motor {at.name}", "wiper motor", at.far, peak)
    survey.circuit(f"Motor {at.name}", f"{at.feed} > {switch} > {motor} > {at.body}", modes=at.modes)


def _relay(survey: _Survey, at: _Spot) -> None:
    """A valve switched by a relay whose coil hangs on the same fuse."""
    relay = survey.part(f"relay {at.name}", "relay", at.near)
    button = survey.part(f"button {at.name}", "push button", at.near)
    valve = survey.part(f"valve {at.name}", "solenoid valve", at.far, ", power: 12 W, suppressed: yes")
    coil = f"{relay} 86/85 > {button} > {at.body}"
    survey.circuit(
        f"Valve {at.name}", f"{at.feed} > ({relay} 30/87 > {valve} > {at.body}, {coil})", modes=at.modes
    )


def _horn(survey: _Survey, at: _Spot) -> None:
    """A horn that sounds for a few seconds."""
    button = survey.part(f"button {at.name}", "push button", at.near)
    horn = survey.part(f"horn {at.name}", "horn", at.far, ", current: 1.5 A for 10 s")
    survey.circuit(f"Horn {at.name}", f"{at.feed} > {button} > {horn} > {at.body}", modes=at.modes)


def _pair(survey: _Survey, at: _Spot) -> None:
    """Two circuits that share a switch and the wire to it, and a lamp that tells."""
    switch = survey.part(f"switch {at.name}", "switch", at.near)
    beacon = survey.part(f"beacon {at.name}", "lamp", at.far, ", power: 5 W")
    pump = survey.part(f"pump {at.name}", "washer pump", at.far, ", current: 0.6 A, peak: 2.4 A for 0.2 s")
    tell = survey.part(f"tell {at.name}", "lamp", at.near, ", power: 1 W")
    shared = f"{at.feed} > {switch}"
    survey.circuit(f"Beacon {at.name}", f"{shared} > ({beacon}, {tell}) > {at.body}", modes=at.modes)
    survey.circuit(f"Pump {at.name}", f"{shared} > {pump} > {at.body}", modes=at.modes)


CIRCUITS: tuple[Callable[[_Survey, _Spot], None], ...] = (_lamps, _lamps, _motor, _relay, _horn, _pair)


def _cab(survey: _Survey, number: int, place: str) -> str:
    """A cab on rubber, tied to the frame by two straps; its name."""
    body = f"cab {number}"
    survey.bodies.append(body)
    for which in ("left", "right"):
        survey.part(f"{which} stud of {body}", "ground point", place, f", on: {body}, stud: M10")
        survey.part(f"{which} stud below {body}", "ground point", place, ", on: frame, stud: M10")
    straps = [f"{which} stud of {body} > {which} stud below {body}" for which in ("left", "right")]
    survey.circuit(f"Straps of {body}", *straps)
    return body


def _panel(survey: _Survey, number: int, body: str, bar: str) -> None:
    """A fuse panel on a bar, at its place along the trunk, and all that hangs on it."""
    near, far, inside = f"s{number}", f"e{number}", "cab" if body != "frame" else "frame"
    before = (
        f"s{(number - 1) // 3}" if number else "battery box"
    )  # three branches at each place keep ways short
    survey.runs += [
        f"{{from: {before}, to: {near}, length: 0.6 m, zone: frame}}",
        f"{{from: {near}, to: {far}, length: {survey.random.choice((0.9, 1.4, 2.1))} m, zone: {inside}}}",
    ]
    panel = survey.part(f"panel {number}", "fuse panel", near, f", ways: {CIRCUITS_A_PANEL}, stud: M6")
    fuse = survey.part(f"panel fuse {number}", "main fuse", near, ", stud: M6")
    survey.circuit(f"Feed {number}", f"{bar} > {fuse} > {panel}")
    survey.part(f"ground {number}", "ground point", far, f", on: {body}, stud: M8")
    for way in range(1, CIRCUITS_A_PANEL + 1):
        modes = survey.random.choice(MODES)
        spot = _Spot(f"{panel} F{way}", f"{number}-{way}", near, far, body, modes)
        survey.random.choice(CIRCUITS)(survey, spot)


def survey(wires: int, seed: int = 1) -> str:
    """A survey with about ``wires`` wires, never fewer than a panel's."""
    made = _Survey(Random(seed))
    body, bar = "frame", ""
    for number in range(max(1, round((wires - 8) / WIRES_A_PANEL))):
        if number % PANELS_A_BAR == 0:
            bar = made.part(f"bar {number}", "bus stud", f"s{number}")
            fuse = made.part(f"main fuse {number}", "main fuse", "battery box", ", stud: M8")
            made.circuit(f"Bar {number}", f"high battery + > {fuse} > {bar}")
        if number % PANELS_A_CAB == PANELS_A_CAB // 2:
            body = _cab(made, number, f"s{number}") if body == "frame" else "frame"
        _panel(made, number, body, bar)
    return made.text()
