"""Designs made by hand for the drawing tests: a small language of parts and paths, a machine in it.

A path is written ``battery + > main fuse 1/2 > key 30``; a step ``*S1`` is a splice. Everything that a
drawing does not show is filled with one plain value.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from itertools import pairwise

from harness.model.design import (
    CircuitResult,
    Design,
    Fuse,
    InnerLink,
    LoadResult,
    MachineInfo,
    ModeResult,
    PartResult,
    PathStep,
    Point,
    RunResult,
    Splice,
    TerminalUse,
    Totals,
    Wire,
    WireEnd,
)

BARE = WireEnd("ring M6", "M6", 6.0, "", 0.0, "", "", "")

# kind -> role, symbol, links as "a-b:kind", separated by blanks
KINDS = {
    "battery": ("source", "battery", "+~-:source"),
    "alternator": ("source", "alternator", "B+~case:source D+~case:bus"),
    "starter": ("load", "starter", "30~case:load 50~case:load"),
    "fuse": ("fuse", "fuse", "1~2:fuse"),
    "panel": ("fuse", "fuse panel", "in~F1:fuse in~F2:fuse in~F3:fuse in~F4:fuse in~F5:fuse in~F6:fuse"),
    "key": ("switch", "key switch", "30~15:contact 30~50:contact 30~19:contact"),
    "switch": ("switch", "switch", "1~2:contact"),
    "button": ("switch", "push button", "1~2:contact"),
    "oil switch": ("switch", "pressure switch", "1~case:contact"),
    "relay": ("relay", "relay", "30~87:contact 86~85:load"),
    "changeover relay": ("relay", "changeover relay", "30~87:contact 30~87a:contact 86~85:load"),
    "lamp": ("load", "lamp", "+~-:load"),
    "cased lamp": ("load", "lamp", "+~case:load"),
    "motor": ("load", "motor", "+~-:load"),
    "horn": ("load", "horn", "+~-:load"),
    "coil": ("load", "coil", "+~case:load"),
    "gauge": ("gauge", "gauge", "+~-:load +~S:bus"),
    "sender": ("sender", "sender", "S~case:load"),
    "stud": ("stud", "stud", ""),
    "ground": ("ground", "ground", ""),
    "diode": ("switch", "diode", "1~2:contact"),
}


@dataclass
class Builder:
    """Collects a design; ``build`` returns it."""

    name: str = "Test machine"
    parts: dict[str, tuple[str, str, str | None]] = field(default_factory=dict)  # kind, place, body
    wires: list[Wire] = field(default_factory=list)
    circuits: list[CircuitResult] = field(default_factory=list)
    runs: list[RunResult] = field(default_factory=list)
    splices: dict[str, str] = field(default_factory=dict)
    splice_circuit: dict[str, str] = field(default_factory=dict)
    assumed: set[str] = field(default_factory=set)
    kept: set[str] = field(default_factory=set)
    sizes: list[tuple[str, float]] = field(
        default_factory=lambda: [("16 AWG", 1.3), ("14 AWG", 2.0), ("2 AWG", 33.0)]
    )
    colours: tuple[str, ...] = ("RD", "BK", "RD/WH", "GNYE", "BU/YE", "BN")

    def part(self, name: str, kind: str, place: str, on: str | None = None) -> None:
        """Add a part of one of KINDS."""
        self.parts[name] = (kind, place, on)

    def splice(self, name: str, place: str) -> None:
        """Add a splice."""
        self.splices[name] = place

    def run(self, start: str, end: str, length_m: float = 1.0, **more: object) -> None:
        """Add a run; what it holds is worked out in ``build`` from the wires whose ends it joins."""
        values: dict[str, object] = {
            "name": f"{start} - {end}", "start": start, "end": end, "length_m": length_m, "zone": "frame",
            "ambient_c": 45.0, "wires": [], "bundle_mm": 8.5, "bundle_formula": "", "hole_mm": None,
            "plate_mm": None,
            "grommet": "", "grommet_inside_mm": None, "covering": "corrugated tube 10 mm",
            "covering_outside_mm": 12.0,
            "ties": 3, "tie": "", "clamps": 2, "clamp": "", "moves": False,
        }  # fmt: skip
        self.runs.append(RunResult(**{**values, **more}))  # type: ignore[arg-type]

    def _links(self, name: str) -> list[InnerLink]:
        links = []
        for each in KINDS[self.parts[name][0]][2].split():
            ends, _, kind = each.partition(":")
            a, _, b = ends.partition("~")
            links.append(InnerLink(f"{a}/{b}", a, b, kind))
        return links

    def _step(self, text: str) -> tuple[Point, Point, PathStep | None]:
        """Read one step: where the wire before lands, where the next one leaves, and the way between."""
        if text.startswith("*"):
            point = Point(text[1:], "", self.splices[text[1:]], "splice")
            return point, point, None
        name = max((each for each in self.parts if text == each or text.startswith(f"{each} ")), key=len)
        terminals = text[len(name) :].strip()
        enter, _, leave = terminals.partition("/")
        _, place, _ = self.parts[name]
        if not enter:
            links = self._links(name)
            enter, leave = (links[0].a, "") if links else ("stud", "")
        link = next(
            (each for each in self._links(name) if {each.a, each.b} == {enter, leave or "case"}), None
        )
        step = PathStep(None, name, link.name) if link is not None else None
        return Point(name, enter, place, "part"), Point(name, leave or enter, place, "part"), step

    def circuit(self, name: str, *paths: str, modes: tuple[str, ...] = ("running",)) -> None:
        """Add a circuit by its paths; a hop that stands in an earlier path is the same wire."""
        steps, numbers = [], []
        for path in paths:
            found = [self._step(each.strip()) for each in path.split(" > ")]
            row = [found[0][2]] if found[0][2] is not None else []
            for before, after in pairwise(found):
                number = self._wire(name, before[1], after[0])
                numbers.append(number)
                row.append(PathStep(number, None, None))
                if after[2] is not None:
                    row.append(after[2])
            steps.append(row)
        used = list(dict.fromkeys(numbers))
        self.circuits.append(CircuitResult(name, list(modes), "other", "RD", steps, list(paths), used))

    def _wire(self, circuit: str, start: Point, end: Point) -> str:
        for wire in self.wires:
            if (wire.from_, wire.to) == (start, end):
                return wire.number
        number = str(len(self.wires) + 1)
        size, area = self.sizes[len(self.wires) % len(self.sizes)]
        for point in (start, end):
            if point.kind == "splice":
                self.splice_circuit.setdefault(point.part, circuit)
        self.wires.append(
            Wire(
                number=number, circuit=circuit, from_=start, to=end, length_m=1.25, run_length_m=1.0,
                size=size,
                area_mm2=area, outside_mm=3.0, cable="GXL",
                colour=self.colours[len(self.wires) % len(self.colours)],
                current_a={"running": 5.0}, continuous_a=5.0, short_a=5.0, short_s=0.0, drop_v=0.1,
                resistance_ohm=0.01, conductor_c=60.0, ambient_c=45.0, ampacity_a=15.0, ampacity_base_a=20.0,
                ambient_factor=0.8, bundle_factor=0.9, bundle_loaded=4, margin=2.0, fuse="", fuse_a=None,
                runs=[], decided_by="mechanical", limits=[], kept=number in self.kept, from_end=BARE,
                to_end=BARE,
                assumed=[],
            )
        )  # fmt: skip
        return number

    def _terminals(self, name: str) -> list[TerminalUse]:
        found: dict[str, list[str]] = {}
        for link in self._links(name):
            for end in (link.a, link.b):
                if end != "case":
                    found.setdefault(end, [])
        for wire in self.wires:
            for point in (wire.from_, wire.to):
                if point.part == name and point.kind == "part":
                    found.setdefault(point.terminal, []).append(wire.number)
        return [TerminalUse(terminal, "blade", "6.3", wires) for terminal, wires in found.items()]

    def _part_results(self) -> list[PartResult]:
        return [
            PartResult(
                name=name, kind=kind, title=kind, role=KINDS[kind][0], letter="X", symbol=KINDS[kind][1],
                place=place,
                body=on, terminals=self._terminals(name), links=self._links(name),
                assumed=["current"] if name in self.assumed else [], notes="",
            )
            for name, (kind, place, on) in self.parts.items()
        ]  # fmt: skip

    def _loads(self) -> list[LoadResult]:
        return [
            LoadResult(
                part=name, link=link.name, circuit="", place=place, steady_a=4.6,
                peak_a=36.0 if kind == "coil" else None,
                peak_s=0.5 if kind == "coil" else None, allowance_v=0.5, allowance_source="",
                peak_allowance_v=None,
                peak_drop_v=None, modes=[], fuse="", assumed=["current"] if name in self.assumed else [],
            )
            for name, (kind, place, _) in self.parts.items()
            for link in self._links(name)
            if link.kind == "load"
        ]  # fmt: skip

    def _fuses(self) -> list[Fuse]:
        return [
            Fuse(
                name=name, part=name, link=link.name, place=place, form="blade", rating_a=15.0,
                colour="blue", fixed=False,
                load_a=10.0, peak_a=10.0, peak_s=None, least_a=12.5, most_a=20.0, wires=[], formula="",
                source="",
            )
            for name, (_, place, _) in self.parts.items()
            for link in self._links(name)
            if link.kind == "fuse"
        ]  # fmt: skip

    def _splice_results(self) -> list[Splice]:
        return [
            Splice(
                name=name, place=place, chosen=True, circuit=self.splice_circuit.get(name, ""),
                wires=[w.number for w in self.wires if name in (w.from_.part, w.to.part)], fitting="",
                shrink="",
                shrink_mm=0.0,
            )
            for name, place in self.splices.items()
        ]  # fmt: skip

    def _way(self, start: str, end: str) -> list[str]:
        """Names of the runs on the way with the fewest of them."""
        ways: dict[str, list[str]] = {start: []}
        waiting = [start]
        for place in waiting:
            for run in self.runs:
                other = {run.start: run.end, run.end: run.start}.get(place)
                if other is not None and other not in ways:
                    ways[other] = [*ways[place], run.name]
                    waiting.append(other)
        return ways.get(end, [])

    def _lay(self) -> None:
        """Put every wire into the runs it passes."""
        for index, wire in enumerate(self.wires):
            way = self._way(wire.from_.place, wire.to.place)
            self.wires[index] = replace(wire, runs=way)
        self.runs = [
            replace(run, wires=[wire.number for wire in self.wires if run.name in wire.runs])
            for run in self.runs
        ]

    def build(self) -> Design:
        """Return the design."""
        self._lay()
        places = {place: "frame" for _, place, _ in self.parts.values()}
        places |= {place: "frame" for run in self.runs for place in (run.start, run.end)}
        return Design(
            format="harness design 1", program="harness 0.1.0",
            machine=MachineInfo(
                name=self.name, voltage_v=12.0, chassis_post="negative", cable="GXL", sizes="AWG",
                rules="sae",
                rules_title="SAE sizes", rules_sources=[], colours="by function", numbering="by point",
                file="test.yaml", digest="0123456789ab", assumed=[],
            ),
            modes=[ModeResult("running", "running", 14.0, 20.0, 60.0)], places=places,
            parts=self._part_results(),
            circuits=self.circuits, wires=self.wires, splices=self._splice_results(), runs=self.runs,
            fuses=self._fuses(), loads=self._loads(), materials=[], findings=[],
            totals=Totals(len(self.wires), 0, 50.0, 1.0, 1.2, 0, 0.3, "lamp", 0.025),
            cautions=["Take the chassis lead off the battery before any work."],
        )  # fmt: skip


def medium() -> Builder:
    """Return a machine of a dozen circuits and forty wires, with every kind of thing a drawing shows."""
    b = Builder("Twelve-circuit test roller")
    for name, kind, place, on in (
        ("battery", "battery", "battery box", None), ("starter", "starter", "starter", "engine"),
        ("alternator", "alternator", "alternator", "engine"), ("main fuse", "fuse", "battery box", None),
        ("panel", "panel", "dash", None), ("key", "key", "dash", None), ("bus stud", "stud", "firewall",
        None),
        ("neutral switch", "switch", "lever", None), ("start relay", "relay", "firewall", None),
        ("charge lamp", "lamp", "dash", None), ("oil lamp", "lamp", "dash", None),
        ("oil switch", "oil switch", "engine block", "engine"), ("horn relay", "relay", "firewall", None),
        ("horn button", "button", "dash", None), ("horn", "horn", "front left", None),
        ("lamp switch", "switch", "dash", None), ("left head lamp", "lamp", "front left", None),
        ("right head lamp", "lamp", "front right", None), ("tail lamp", "cased lamp", "rear rail", "frame"),
        ("fuel gauge", "gauge", "dash", None), ("fuel sender", "sender", "rear rail", "frame"),
        ("stop solenoid", "coil", "engine block", "engine"), ("fan", "motor", "dash", None),
        ("fan relay", "changeover relay", "firewall", None), ("fan switch", "switch", "dash", None),
        ("frame ground", "ground", "left rail", "frame"), ("front ground", "ground", "front left", "frame"),
        ("engine ground", "ground", "engine block", "engine"),
    ):  # fmt: skip
        b.part(name, kind, place, on)
    b.splice("S1", "front left")
    b.splice("S2", "dash")
    b.assumed |= {"horn", "tail lamp"}
    b.kept |= {"1"}
    b.circuit(
        "Battery cables",
        "battery + > starter 30",
        "engine ground > battery -",
        "engine ground > frame ground",
    )
    b.circuit("Main feed", "battery + > main fuse 1/2 > bus stud > panel in")
    b.circuit("Charging", "alternator B+ > starter 30", "key 30/15 > charge lamp +/- > alternator D+")
    b.circuit("Key feed", "panel in/F1 > key 30")
    b.circuit(
        "Cranking",
        "key 30/50 > neutral switch 1/2 > start relay 86/85 > frame ground",
        "bus stud > start relay 30/87 > starter 50",
        modes=("cranking",),
    )
    b.circuit("Warning lamps", "key 30/15 > *S2 > charge lamp +", "*S2 > oil lamp +/- > oil switch 1")
    b.circuit("Stop solenoid", "key 30/15 > stop solenoid +")
    b.circuit(
        "Horn",
        "panel in/F2 > horn relay 30/87 > horn +/- > front ground",
        "panel in/F2 > horn button 1/2 > horn relay 86/85 > frame ground",
    )
    b.circuit(
        "Head lamps",
        "panel in/F3 > lamp switch 1/2 > *S1 > left head lamp +/- > front ground",
        "*S1 > right head lamp +/- > front ground",
        "lamp switch 1/2 > tail lamp +",
        modes=("night work",),
    )
    b.circuit("Fuel gauge", "panel in/F4 > fuel gauge +/- > frame ground")
    b.circuit("Fuel sender", "fuel gauge S > fuel sender S")
    b.circuit(
        "Fan",
        "panel in/F5 > fan relay 30/87 > fan +/- > frame ground",
        "panel in/F6 > fan switch 1/2 > fan relay 86/85 > frame ground",
    )
    for start, end, length, more in (
        ("battery box", "left rail", 1.15, {}), ("left rail", "firewall", 0.6, {"hole_mm": 32.0,
        "plate_mm": 3.0,
         "grommet": "rubber grommet 32 mm hole, 22 mm bore", "grommet_inside_mm": 22.0, "bundle_mm": 19.0}),
        ("firewall", "dash", 0.9, {"bundle_mm": 17.0}), ("firewall", "engine block", 0.5,
        {"covering": "braid 12 mm"}),
        ("engine block", "starter", 0.4, {"covering": ""}), ("engine block", "alternator", 0.7, {}),
        ("dash", "lever", 0.8, {"covering": "tape"}), ("left rail", "front left", 2.1, {"moves": True}),
        ("front left", "front right", 1.2, {}), ("left rail", "rear rail", 1.6, {}),
    ):  # fmt: skip
        b.run(start, end, length, **more)
    return b
