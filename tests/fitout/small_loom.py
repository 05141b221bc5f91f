"""Small machines and looms to fit out, built by hand: a few parts, a few hops, given sizes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from harness.model.design import Point, RunResult, Splice, Wire
from harness.model.machine import (
    Body,
    Circuit,
    End,
    Link,
    Load,
    Machine,
    Part,
    Path,
    Run,
    Step,
    Terminal,
    WireSpec,
    Zone,
)
from harness.model.problem import Where
from harness.model.stages import BARE_END, Loom

NOWHERE = Where("roller.yaml", 1, 1)
ZONES = {
    "dash": Zone("dash", 50.0, wet=False, closed=True, assumed=False, where=NOWHERE),
    "engine bay": Zone("engine bay", 90.0, wet=False, closed=False, assumed=False, where=NOWHERE),
    "frame": Zone("frame", 40.0, wet=True, closed=False, assumed=False, where=NOWHERE),
}
PLACES = {"console": "dash", "engine": "engine bay", "rail": "frame"}
LAMP = Load(4.6, None, None, None, 55.0, "lamp")
COIL = Load(0.15, None, None, None, None, "coil")


def link(a: str, b: str, kind: str, load: Load | None = None, ohm: float = 0.0) -> Link:
    return Link(f"{a}/{b}", a, b, kind, ohm, load)  # type: ignore[arg-type]


def part(
    name: str, kind: str, role: str, terminals: dict[str, str], links: Sequence[Link] = (), **more: Any
) -> Part:
    """A part with terminals in words: {"30": "stud M10"}."""
    made = []
    for each, words in terminals.items():
        fitting, _, size = words.partition(" ")
        made.append(Terminal(each, fitting, size))  # type: ignore[arg-type]
    given: dict[str, Any] = {
        "place": "console", "body": None, "rated_v": None, "capacity_ah": None, "cranking_a": None,
        "output_a": None, "needs_polarity": False, "suppressed": None, "allowance": "", "assumed": (),
        "notes": "", "where": NOWHERE, "title": kind, "letter": "X", "symbol": kind,
        "inlet": made[0].name, "outlet": made[-1].name, **more,
    }  # fmt: skip
    given |= {"terminals": tuple(made), "links": tuple(links), "role": role}
    return Part(name=name, kind=kind, **given)


def battery(name: str = "battery", **more: Any) -> Part:
    return part(
        name,
        "battery",
        "source",
        {"+": "post", "-": "post"},
        [link("+", "-", "source")],
        capacity_ah=100.0,
        **more,
    )


def fuse(name: str) -> Part:
    return part(name, "fuse", "fuse", {"1": "pigtail", "2": "pigtail"}, [link("1", "2", "fuse")])


def switch(name: str) -> Part:
    return part(name, "switch", "switch", {"1": "blade 6.3", "2": "blade 6.3"}, [link("1", "2", "contact")])


def lamp(name: str, kind: str = "lamp") -> Part:
    return part(name, kind, "load", {"+": "blade 6.3", "-": "blade 6.3"}, [link("+", "-", "load", LAMP)])


def relay(name: str) -> Part:
    return part(
        name, "relay", "relay", dict.fromkeys(("30", "87", "86", "85"), "blade 6.3"),
        [link("30", "87", "contact"), link("86", "85", "load", COIL)],
    )  # fmt: skip


def key(name: str = "key") -> Part:
    return part(
        name, "key switch", "switch", dict.fromkeys(("30", "15", "50"), "blade 6.3"),
        [link("30", "15", "contact"), link("30", "50", "contact")],
    )  # fmt: skip


def alternator() -> Part:
    return part(
        "alternator", "alternator", "source", {"B+": "stud M8", "D+": "stud M5"},
        [link("B+", "case", "source"), link("D+", "case", "bus", ohm=3.0)], body="engine",
    )  # fmt: skip


def starter() -> Part:
    return part(
        "starter", "starter motor", "load", {"30": "stud M10", "50": "stud M5"},
        [link("30", "case", "load", LAMP), link("50", "case", "load", COIL)], body="engine", place="engine",
    )  # fmt: skip


def ground_point(name: str = "dash ground", body: str = "frame", stud: str = "M8") -> Part:
    return part(name, "ground point", "ground", {"stud": f"stud {stud}"}, body=body)


def end(text: str) -> End:
    """ "frame" without a terminal is a body, "S1" a splice, "key 30" a terminal of a part."""
    if text in ("frame", "engine"):
        return End("body", text)
    if text.startswith("S") and text[1:].isdigit():
        return End("splice", text)
    name, _, terminal = text.rpartition(" ")
    return End("part", name, terminal)


def machine(parts: Sequence[Part], hops: Mapping[str, Sequence[str]] | None = None, **more: Any) -> Machine:
    """A machine of these parts; ``hops`` gives each circuit ("name: function") its wires ("a > b").

    The same hop in two circuits is the same wire.
    """
    wires: dict[str, WireSpec] = {}
    circuits = []
    for title, texts in (hops or {}).items():
        name, _, function = title.partition(": ")
        steps = []
        for text in texts:
            if text not in wires:
                a, b = map(end, text.split(" > "))
                wires[text] = WireSpec(len(wires), a, b, name, False, None, None, None, None, NOWHERE)
            steps.append(Step(wire=wires[text].index))
        path = Path("", tuple(steps), NOWHERE)
        circuits.append(Circuit(name, ("running",), None, function, None, (path,), NOWHERE))
    given: dict[str, Any] = {
        "name": "pump set", "voltage_v": 12.0, "chassis_post": "negative", "cable": "GXL", "sizes": "AWG",
        "rules": "sae", "colours": "by function", "numbering": "by point", "slack": 0.05, "waste": 0.12,
        "spare": "", "zones": ZONES, "place_zones": PLACES, "runs": (),
        "bodies": {name: Body(name, NOWHERE) for name in ("frame", "engine")},
        "parts": {each.name: each for each in parts}, "modes": (), "circuits": tuple(circuits),
        "wires": tuple(wires.values()), "splices": (), **more,
    }  # fmt: skip
    return Machine(**given)


def point(text: str, place: str = "console") -> Point:
    at = end(text)
    return Point(at.name, at.terminal, place, "splice" if at.kind == "splice" else "part")


def wire(
    number: str, hop: str, size: str = "14 AWG", area_mm2: float = 1.85, outside_mm: float = 3.5,
    places: tuple[str, str] = ("console", "console"), length_m: float = 2.0, kept: bool = False,
) -> Wire:  # fmt: skip
    """A sized wire with both ends still bare."""
    start, finish = hop.split(" > ")
    return Wire(
        number=number, circuit="c", from_=point(start, places[0]), to=point(finish, places[1]),
        length_m=length_m, run_length_m=length_m, size=size, area_mm2=area_mm2, outside_mm=outside_mm,
        cable="GXL", colour="BK", current_a={}, continuous_a=0.0, short_a=0.0, short_s=0.0, drop_v=0.0,
        resistance_ohm=0.0, conductor_c=60.0, ambient_c=40.0, ampacity_a=20.0, ampacity_base_a=25.0,
        ambient_factor=1.0, bundle_factor=1.0, bundle_loaded=1, margin=0.2, fuse="", fuse_a=None, runs=[],
        decided_by="drop", limits=[], kept=kept, from_end=BARE_END, to_end=BARE_END, assumed=[],
    )  # fmt: skip


def survey_run(name: str = "rail - console", **more: Any) -> Run:
    given: dict[str, Any] = {
        "start": "rail", "end": "console", "length_m": 1.0, "zone": "frame", "hole_mm": None,
        "plate_mm": None, "grommet": True, "moves": False, "near": (), "covering": None, "where": NOWHERE,
        **more,
    }  # fmt: skip
    return Run(name=name, **given)


def run(survey: Run, wires: Sequence[str], bundle_mm: float, ambient_c: float = 40.0) -> RunResult:
    """A run as routing and sizing leave it, with what fit-out fills still blank."""
    return RunResult(
        name=survey.name, start=survey.start, end=survey.end, length_m=survey.length_m, zone=survey.zone,
        ambient_c=ambient_c, wires=list(wires), bundle_mm=bundle_mm, bundle_formula="",
        hole_mm=survey.hole_mm, plate_mm=survey.plate_mm, grommet="", grommet_inside_mm=None,
        covering="", covering_outside_mm=0.0,
        ties=0, tie="", clamps=0, clamp="", moves=survey.moves,
    )  # fmt: skip


def splice(name: str, numbers: Sequence[str]) -> Splice:
    return Splice(name, "console", True, "c", list(numbers), "", "", 0.0)


def loom(wires: Sequence[Wire], runs: Sequence[RunResult] = (), splices: Sequence[Splice] = ()) -> Loom:
    return Loom(tuple(wires), tuple(runs), tuple(splices))


def blank(filled: Loom) -> Loom:
    """The loom with every field that fit-out fills set back to blank."""
    wires = tuple(replace(each, from_end=BARE_END, to_end=BARE_END) for each in filled.wires)
    splices = tuple(replace(each, fitting="", shrink="", shrink_mm=0.0) for each in filled.splices)
    runs = tuple(
        replace(
            each,
            grommet="",
            grommet_inside_mm=None,
            covering="",
            covering_outside_mm=0.0,
            ties=0,
            tie="",
            clamps=0,
            clamp="",
            bend=None,
            trims=[],
            spacing=None,
            fasteners=[],
            fill=None,
            covering_m=0.0,
            stretch=None,
        )
        for each in filled.runs
    )
    return Loom(wires, runs, splices)


def box_wires(*, kept: bool) -> tuple[Part, tuple[Wire, ...]]:
    """A box with two studs and one wire between them."""
    box = part("box", "module", "load", {"1": "stud M6", "2": "stud M6"})
    return box, (wire("1", "box 1 > box 2", kept=kept),)
