"""Designs to make books from: one small enough to count by hand, one of any size, one of any names."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import strategies as st

from harness.buying.plan import buying_plan
from harness.buying.totals import buying_totals
from harness.lists.materials import materials
from harness.model.design import (
    CircuitResult,
    Design,
    Finding,
    Fuse,
    InnerLink,
    Limit,
    LoadResult,
    LoadVolts,
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
from harness.model.hardware import StudStack
from harness.model.looms import CouplerResult, CouplerWay, LoomResult
from harness.model.operating import Operating, OperatingLoad, OperatingSource

BLADE = "blade (ISO 8820-3 type C)"


def point(text: str, place: str = "dash") -> Point:
    """``"key 15"`` is terminal 15 of the key; ``"*S1"`` is splice S1."""
    if text.startswith("*"):
        return Point(text[1:], "", place, "splice")
    part, _, terminal = text.rpartition(" ")
    return Point(part, terminal, place, "part")


BOOT = "rubber boot over lug, for 10 AWG cable"
ORDER = ["label", "boot", "strip 7 mm", "crimp", "pull by hand", "boot over it once bolted"]


def end(
    terminal: str = "", *, stud: str = "", shrink: str = "", shrink_mm: float = 0.0, label: str = ""
) -> WireEnd:
    strip = 7.0 if terminal else 0.0
    return WireEnd(
        terminal, stud, strip, shrink, shrink_mm, label, "", "ring table (memory)" if terminal else ""
    )


def limit(name: str = "drop", **changes: object) -> Limit:
    base = Limit(
        name="drop",
        least_size="16 AWG",
        least_area_mm2=1.31,
        value=0.31,
        allowed=0.36,
        unit="V",
        formula="4.58 A x 0.0677 ohm = 0.31 V",
        source="voltage drop rules of vehicle makers (read)",
    )
    return replace(base, name=name, **changes)  # type: ignore[arg-type]


def wire(number: str, a: str, b: str, length_m: float, **changes: object) -> Wire:
    base = Wire(
        number=number,
        circuit="Lamps",
        from_=point(a),
        to=point(b),
        length_m=length_m,
        run_length_m=length_m * 0.9,
        size="16 AWG",
        area_mm2=1.31,
        outside_mm=2.4,
        cable="GXL",
        colour="BU/WH",
        current_a={"parked": 0.0, "night work": 4.583333},
        continuous_a=4.583333,
        short_a=4.583333,
        short_s=0.0,
        drop_v=0.0712,
        resistance_ohm=0.0155,
        conductor_c=71.2,
        ambient_c=60.0,
        ampacity_a=11.4,
        ampacity_base_a=20.0,
        ambient_factor=0.81,
        bundle_factor=0.7,
        bundle_loaded=4,
        margin=1.49,
        fuse="panel F1",
        fuse_a=7.5,
        runs=["dash - front"],
        decided_by="drop",
        limits=[limit(), limit("mechanical", least_size="18 AWG", least_area_mm2=0.823, unit="mm²")],
        kept=False,
        from_end=end(
            "blade 6.3, for 14-16 AWG", stud="6.3", shrink="shrink 4.8", shrink_mm=30.0, label=number
        ),
        to_end=end("ring M5, for 14-16 AWG", stud="M5", shrink="shrink 4.8", shrink_mm=40.0, label=number),
        assumed=["current 4.6 A (typical lamp, 55 W)"],
    )
    return replace(base, **changes)  # type: ignore[arg-type]


def part(
    name: str, kind: str, role: str, terminals: dict[str, tuple[str, str]], **changes: object
) -> PartResult:
    base = PartResult(
        name=name,
        kind=kind,
        title=kind,
        role=role,
        letter="E",
        symbol=kind,
        place="dash",
        body=None,
        terminals=[TerminalUse(t, fitting, size, []) for t, (fitting, size) in terminals.items()],
        links=[],
        assumed=[],
        notes="",
    )
    return replace(base, **changes)  # type: ignore[arg-type]


def fuse(name: str, owner: str, rating_a: float, colour: str, **changes: object) -> Fuse:
    base = Fuse(
        name=name,
        part=owner,
        link=name.split()[-1],
        place="dash",
        form=BLADE,
        rating_a=rating_a,
        colour=colour,
        fixed=False,
        load_a=4.583333,
        peak_a=4.583333,
        peak_s=0.0,
        least_a=5.729167,
        most_a=11.4,
        wires=["2", "3"],
        formula="4.58 A / 0.8 = 5.73 A <= 7.5 A <= 11.4 A",
        source="fuse practice (read)",
    )
    return replace(base, **changes)  # type: ignore[arg-type]


def run(name: str, length_m: float, **changes: object) -> RunResult:
    start, finish = name.split(" - ")
    base = RunResult(
        name=name,
        start=start,
        end=finish,
        length_m=length_m,
        zone="frame",
        ambient_c=45.0,
        wires=["2", "3"],
        bundle_mm=6.1,
        bundle_formula="1.2 x sqrt(2.4^2 + 2.4^2)",
        hole_mm=None,
        plate_mm=None,
        grommet="",
        grommet_inside_mm=None,
        covering="corrugated 10",
        covering_outside_mm=13.0,
        ties=3,
        tie="tie 100 x 2.5",
        clamps=2,
        clamp="clamp 13",
        moves=False,
    )
    return replace(base, **changes)  # type: ignore[arg-type]


def finding(rule: str, severity: str, subject: str, text: str, **changes: object) -> Finding:
    base = Finding(rule, "advice", subject, text, "common practice", "put a grommet in", "pump.yaml:12:5")
    return replace(base, severity=severity, **changes)  # type: ignore[arg-type]


def machine(**changes: object) -> MachineInfo:
    base = MachineInfo(
        name="Pump set",
        voltage_v=12.0,
        chassis_post="negative",
        cable="GXL",
        sizes="AWG",
        rules="sae",
        rules_title="SAE gauges",
        rules_sources=["SAE J1128 conductor areas (memory)", "33 CFR 183.425 table 5 (read)"],
        colours="by function",
        numbering="in order",
        file="pump.yaml",
        digest="0123456789ab",
        assumed=["frame: 45 °C"],
    )
    return replace(base, **changes)  # type: ignore[arg-type]


PARTS = [
    part("battery", "battery", "source", {"+": ("post", ""), "-": ("post", "")}, place="battery box"),
    part("starter", "starter motor", "load", {"30": ("stud", "M8"), "50": ("blade", "6.3")}, place="engine"),
    part("bus", "bus stud", "stud", {"stud": ("stud", "M8")}),
    part(
        "panel",
        "fuse panel",
        "fuse",
        {"in": ("stud", "M5"), "F1": ("blade", "6.3"), "F2": ("blade", "6.3")},
        links=[InnerLink("F1", "in", "F1", "fuse"), InnerLink("F2", "in", "F2", "fuse")],
    ),
    part(
        "relay",
        "relay",
        "relay",
        dict.fromkeys(("30", "85", "86", "87"), ("blade", "6.3")),
        title="relay, one contact",
    ),
    part("left lamp", "lamp", "load", {"+": ("pigtail", ""), "-": ("pigtail", "")}, place="front"),
    part("right lamp", "lamp", "load", {"+": ("blade", "6.3"), "-": ("blade", "6.3")}, place="front"),
    part("ground front", "ground point", "ground", {"stud": ("stud", "M6")}, place="front", body="frame"),
]

LUG = end("lug M8, for 2/0 AWG", stud="M8", shrink="shrink 19", shrink_mm=60.0, label="1")
SPLICE_END = end(label="4")
WIRES = [
    wire(
        "1",
        "battery +",
        "starter 30",
        1.9,
        kept=True,
        size="2/0 AWG",
        area_mm2=67.4,
        cable="SGT",
        colour="RD",
        circuit="Start",
        fuse="",
        fuse_a=None,
        from_end=LUG,
        to_end=LUG,
        outside_mm=15.0,
    ),
    wire(
        "2",
        "battery +",
        "panel in",
        2.45,
        size="10 AWG",
        area_mm2=5.26,
        colour="RD",
        circuit="Feed",
        fuse="",
        fuse_a=None,
        from_end=replace(end("ring M8, for 10-12 AWG", stud="M8", label="2"), boot=BOOT, threading=ORDER),
        outside_mm=4.0,
        to_end=replace(end("ring M5, for 10-12 AWG", stud="M5", label="2"), boot=BOOT, threading=ORDER),
    ),
    wire("3", "panel F1", "relay 30", 0.6),
    wire("4", "relay 87", "*S1", 3.2, to_end=SPLICE_END),
    wire(
        "5a",
        "*S1",
        "left lamp +",
        0.5,
        from_end=SPLICE_END,
        to_end=end("butt splice, for 14-16 AWG", label="5a"),
    ),
    wire("5b", "*S1", "right lamp +", 0.75, from_end=SPLICE_END),
    wire(
        "6",
        "left lamp -",
        "ground front stud",
        0.35,
        colour="BK",
        from_end=end("butt splice, for 14-16 AWG", label="6"),
        to_end=end("ring M6, for 14-16 AWG", stud="M6"),
    ),
    wire(
        "7",
        "right lamp -",
        "ground front stud",
        0.35,
        colour="BK",
        to_end=end("ring M6, for 14-16 AWG", stud="M6", label="7"),
    ),
]

SPLICE = Splice(
    name="S1",
    place="front",
    chosen=True,
    circuit="Lamps",
    wires=["4", "5a", "5b"],
    fitting="closed splice, for 3 x 16 AWG",
    shrink="shrink 6.4",
    shrink_mm=45.0,
)
FUSES = [fuse("panel F1", "panel", 7.5, "brown"), fuse("panel F2", "panel", 7.5, "brown")]
RUNS = [
    run("battery box - dash", 2.0),
    run(
        "dash - front",
        2.6,
        hole_mm=32.0,
        plate_mm=3.0,
        grommet="grommet 32 / 19",
        grommet_inside_mm=19.0,
        ties=7,
    ),
]
LOADS = [
    LoadResult(
        part=f"{side} lamp",
        link="+/-",
        circuit="Lamps",
        place="front",
        steady_a=4.583333,
        peak_a=None,
        peak_s=None,
        allowance_v=0.36,
        allowance_source="3 % (read)",
        peak_allowance_v=None,
        peak_drop_v=None,
        modes=[LoadVolts("night work", 4.583333, 13.89, 0.31, 0.29, 14.2)],
        fuse="panel F1",
        assumed=["power 55 W"],
    )
    for side in ("left", "right")
]
FINDINGS = [
    finding("spares", "advice", "panel", "no spare way is left"),
    finding("unfused feed", "danger", "2", "2.45 m of feed from the battery has no fuse"),
    finding("drop", "fault", "left lamp", "0.41 V lost, 0.36 V allowed"),
]
CIRCUITS = [
    CircuitResult(
        name="Lamps",
        modes=["night work"],
        function="head lamps",
        colour="BU/WH",
        paths=[[PathStep("3", None, None), PathStep(None, "relay", "30/87"), PathStep("4", None, None)]],
        texts=["panel F1 > relay 30/87 > (left lamp, right lamp) > frame"],
        wires=["3", "4", "5a", "5b", "6", "7"],
    )
]


COUPLER = CouplerResult(
    "front plug", "dash", "battery box", "front",
    [
        CouplerWay("1", "5a", "5b", "Lamps", "BU/WH", "size 16"),
        CouplerWay("2", "", "", "", "", ""),
    ],
    True, ["2: 13.3 mm2 is too thick for a contact"],
)  # fmt: skip


STUDS = [
    StudStack(
        "ground front", "stud", "front", "stud", "M6", ["bright metal", "serrated washer", "lug of 6", "nut"],
        ["6", "7"], {"serrated lock washer": 1, "nut, all metal": 1}, "2.5 Nm", 2.5, "a manual (read)",
    )
]  # fmt: skip
LOOM = LoomResult("loom 1", ["dash", "front"], ["2", "3"], 3.15, 0.09, 0.14)


def small_design(*, waste: float = 0.12, **changes: object) -> Design:
    """A pump set of 8 wires, one of them kept; its lists are counted by hand in the tests."""
    base = Design(
        format="harness design 1",
        program="harness 0.1.0",
        machine=machine(),
        modes=[
            ModeResult("parked", "stopped", 12.6, 0.0, 0.0),
            ModeResult("night work", "running", 14.2, 9.2, 28.0),
        ],
        places={"battery box": "frame", "dash": "dash", "front": "frame", "engine": "engine bay"},
        parts=PARTS,
        circuits=CIRCUITS,
        wires=WIRES,
        splices=[SPLICE],
        runs=RUNS,
        fuses=FUSES,
        loads=LOADS,
        materials=[],
        findings=FINDINGS,
        totals=Totals(
            wires=8,
            kept_wires=1,
            wire_length_m=8.2,
            copper_kg=0.19,
            baseline_copper_kg=0.21,
            baseline_unfit=2,
            worst_drop_v=0.41,
            worst_drop_load="left lamp",
            worst_drop_share=0.034,
        ),
        cautions=["Disconnect the battery's chassis lead first, and connect it last."],
        studs=STUDS,
        operating=[
            Operating(
                "night work", "running", "rated", 27.0, True, 13.9,
                [OperatingSource("battery", "", -3.2, 13.9)],
                [OperatingLoad("left lamp", "+/-", 4.9, 13.6, 12.0, 4.583333, True, 13.7)],
            )
        ],
    )  # fmt: skip
    blank = replace(base, **changes)  # type: ignore[arg-type]
    listed = replace(blank, materials=materials(blank, waste=waste))
    plan = buying_plan(listed)
    return replace(listed, buying=plan, buying_totals=buying_totals(plan))


def renamed(design: Design, name: str) -> Design:
    """Put one text wherever a survey can put words of its own."""
    numbers = {each.number: f"{name}{i}" for i, each in enumerate(design.wires)}
    wires = [
        replace(
            each,
            number=numbers[each.number],
            circuit=name,
            colour=name,
            from_=replace(each.from_, part=name, place=name),
            assumed=[name],
            from_end=replace(each.from_end, label=name, terminal=name, shrink=name),
        )
        for each in design.wires
    ]
    return replace(
        design,
        machine=replace(design.machine, name=name, file=name, assumed=[name]),
        wires=wires,
        places={name: name},
        parts=[replace(each, name=name, place=name, notes=name, assumed=[name]) for each in design.parts],
        loads=[replace(each, part=name, circuit=name, place=name) for each in design.loads],
        fuses=[replace(each, name=name, part=name, wires=[name]) for each in design.fuses],
        runs=[replace(each, name=name, zone=name) for each in design.runs],
        splices=[replace(each, name=name, place=name) for each in design.splices],
        findings=[replace(each, subject=name, text=name, where=name) for each in design.findings],
        materials=[replace(each, item=name, used_on=[name]) for each in design.materials],
        modes=[replace(each, name=name) for each in design.modes],
        operating=[
            replace(
                each,
                mode=name,
                sources=[replace(one, part=name) for one in each.sources],
                loads=[replace(one, part=name) for one in each.loads],
            )
            for each in design.operating
        ],
        starts=[replace(each, part=name) for each in design.starts],
        charge_lines=[
            replace(
                each,
                part=name,
                wires=[numbers[number] for number in each.wires],
                weakest=numbers[each.weakest],
            )
            for each in design.charge_lines
        ],
        cautions=[name],
    )


SIZES = {"18 AWG": 0.823, "16 AWG": 1.31, "10 AWG": 5.26}
ENDS = st.builds(
    end,
    st.sampled_from(["", "ring M5", "ring M6", "blade 6.3"]),
    stud=st.sampled_from(["", "M5"]),
    shrink=st.sampled_from(["", "shrink 4.8", "shrink 6.4"]),
    shrink_mm=st.sampled_from([25.0, 30.0, 45.0]),
    label=st.sampled_from(["", "label"]),
)
POINTS = st.sampled_from(
    ["battery +", "starter 30", "panel F1", "left lamp +", "ground front stud", "*S1", "relay 87"]
)


@st.composite
def designs(draw: st.DrawFn) -> Design:
    """Designs of any few wires between the pump set's parts, some kept; ends and lengths as they fall."""
    wires = []
    for index in range(draw(st.integers(min_value=0, max_value=8))):
        size = draw(st.sampled_from(sorted(SIZES)))
        wires.append(
            wire(
                str(index + 1),
                draw(POINTS),
                draw(POINTS),
                draw(st.integers(min_value=1, max_value=2000)) / 100,
                size=size,
                area_mm2=SIZES[size],
                colour=draw(st.sampled_from(["RD", "BK", "BU/WH"])),
                cable=draw(st.sampled_from(["GXL", "TXL"])),
                kept=draw(st.booleans()),
                from_end=draw(ENDS),
                to_end=draw(ENDS),
            )
        )
    joined = [each.number for each in wires if "splice" in (each.from_.kind, each.to.kind)]
    return small_design(wires=wires, splices=[replace(SPLICE, wires=joined)] if joined else [])
