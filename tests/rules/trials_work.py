"""Trials of the rules on starting, joints and the loom."""

from __future__ import annotations

from tests.rules.surveys import PUMP, changed
from tests.rules.trial import (
    BLOCK_RUN,
    DASH_RUN,
    ISOLATOR,
    LAMP,
    LEFT,
    NOSE_RUN,
    RADIO,
    RIGHT,
    TRIGGER,
    Trial,
    with_part,
)

GLOW = "\n  ".join(f"plug {at}: {{is: glow plug, at: block, on: engine}}" for at in ("one", "two", "three"))
PREHEAT = "  Preheat:\n    works in: cranking\n    paths: ['{path} > (plug one, plug two, plug three)']\n"
HEAVY = "glow fuse: {is: main fuse, at: box}\n  glow relay: {is: heavy relay, at: box}\n  " + GLOW
ISOLATED = [
    ("battery + > starter 30", "battery + > isolator > starter 30"),
    ("battery + > main fuse > panel", "isolator 2 > main fuse > panel"),
]

FOOT = ("[battery + > starter 30,", "[battery + > foot switch > starter 30,")
NO_SMALL_WIRE = ("      - starter 30 > start fuse > start relay 30/87 > starter 50\n", "")
TOWED = (
    PUMP.replace(
        "  engine ground:",
        "  tail lamp: {is: tail lamp, at: block, on: engine, power: 5 W}\n  engine ground:",
    )
    + "  Tail lamp:\n    paths: [key 15 > tail lamp]\n"
)

STARTING = [
    Trial(  # a neutral switch that is in no way to the starter helps nobody
        "start interlock missing",
        "advice",
        "starter",
        ("worked by a switch in its cable",),
        with_part("foot switch: {is: starter foot switch, at: block}", FOOT, NO_SMALL_WIRE),
    ),
    Trial(
        "start interlock missing",
        "danger",
        "starter",
        ("50", "without passing a neutral", "can drive off"),
        changed((TRIGGER, "panel F1 > key 30/50 > start relay 86/85 > engine")),
        changed((TRIGGER, "panel F1 > key 30/50 > start relay 86/85 > neutral switch > engine")),
    ),
    Trial(  # a button beside the interlock is a way round it
        "start interlock missing",
        "danger",
        "starter",
        ("50",),
        with_part(
            "start button: {is: push button, at: dash}",
            (TRIGGER, f"{TRIGGER}\n      - panel F1 > start button > start relay 86"),
        ),
    ),
    Trial("start interlock missing", "advice", "starter", ("no interlock",), PUMP),
    Trial(  # a pump with lamps and horn, on wheels
        "start interlock missing",
        "danger",
        "starter",
        ("can drive off (tail lamp)",),
        TOWED,
    ),
    Trial(
        "start interlock missing",
        "advice",
        "starter",
        ("no interlock",),
        TOWED.replace("Test pump,", "Test pump, self-propelled: no,"),
    ),
    Trial(
        "starter trigger drop",
        "fault",
        "starter",
        ("1.00 V is the most", "40 A"),
        changed(
            (TRIGGER, "panel F1 > key 30/50 > neutral switch > starter 50"),
            ("      - starter 30 > start fuse > start relay 30/87 > starter 50\n", ""),
        ),
    ),
    Trial(  # 3 x 12 A through a contact for 30 A
        "preheat through the key",
        "danger",
        "key",
        ("plug one, plug two, plug three", "36 A", "30 A"),
        with_part(GLOW, ("  Cranking:\n", PREHEAT.format(path="panel F1 > key 30/19") + "  Cranking:\n")),
        with_part(
            HEAVY,
            (
                "  Cranking:\n",
                PREHEAT.format(path="battery + > glow fuse > glow relay 30/87") + "  Cranking:\n",
            ),
        ),
    ),
    Trial(
        "pull-in through a small switch",
        "fault",
        "stop solenoid",
        ("36 A", "0.5 s", "key 30/15", "30 A"),
        changed(("panel F2 > stop relay 30/87 > stop solenoid", "key 15 > stop solenoid")),
    ),
    Trial(
        "exciter backfeed",
        "danger",
        "alternator",
        ("D+", "stop solenoid"),
        changed(
            ("panel F1 > key 30/15 > charge lamp > alternator D+", "panel F1 > key 30/15 > alternator D+")
        ),
    ),
    Trial(
        "exciter backfeed",
        "fault",
        "alternator",
        ("D+", "no lamp, resistor or diode"),
        changed(
            (
                "panel F1 > key 30/15 > charge lamp > alternator D+",
                "panel F1 > key 30/15a > alternator D+\n      - panel F1 > key 30/15",
            ),
        ),
        with_part(
            "exciter diode: {is: diode, at: dash}",
            (
                "panel F1 > key 30/15 > charge lamp > alternator D+",
                "panel F1 > key 30/15 > exciter diode > alternator D+",
            ),
        ),
    ),
    Trial(
        "no exciter path",
        "fault",
        "alternator",
        ("D+",),
        changed(("charge lamp > alternator D+", "charge lamp > frame")),
    ),
    Trial(
        "isolator under a running engine",
        "advice",
        "isolator",
        ("alternator",),
        with_part(ISOLATOR, *ISOLATED),
        with_part(
            ISOLATOR,
            *ISOLATED,
            ("alternator B+ > charge fuse > starter 30", "alternator B+ > charge fuse > battery +"),
        ),
    ),
]

JOINTS = [
    Trial(
        "terminal with too many wires",
        "fault",
        "nose ground",
        ("6 wires", "a stud that takes 4"),
        with_part(
            "\n  ".join(f"side {at}: {{is: lamp, at: nose, power: 5 W}}" for at in "abcd"),
            (
                RIGHT,
                RIGHT
                + ", "
                + ", ".join(f"panel F{5 + i} > side {at} > nose ground" for i, at in enumerate("abcd")),
            ),
        ),
        with_part(
            "\n  ".join(f"side {at}: {{is: lamp, at: nose, power: 5 W}}" for at in "ab"),
            (
                RIGHT,
                RIGHT
                + ", "
                + ", ".join(f"panel F{5 + i} > side {at} > nose ground" for i, at in enumerate("ab")),
            ),
        ),
    ),
    Trial(
        "contact overloaded",
        "fault",
        "lamp switch",
        ("25 A in night", "20 A"),
        changed((LAMP, LAMP.replace("35 W", "300 W"))),
        changed((LAMP, LAMP.replace("35 W", "200 W"))),
    ),
    Trial(  # the contact of a relay: 400 W / 12 V = 33.3 A
        "contact overloaded",
        "fault",
        "lamp relay",
        ("lamp relay 30/87 carries 33.3 A in night", "30 A"),
        with_part(
            "lamp relay: {is: relay, at: nose}",
            (LAMP, LAMP.replace("35 W", "400 W")),
            (
                LEFT,
                "panel F3 > lamp relay 30/87 > left head lamp > frame, "
                "panel F5 > lamp switch > lamp relay 86/85 > frame",
            ),
        ),
        with_part(
            "lamp relay: {is: relay, at: nose}",
            (LAMP, LAMP.replace("35 W", "340 W")),
            (
                LEFT,
                "panel F3 > lamp relay 30/87 > left head lamp > frame, "
                "panel F5 > lamp switch > lamp relay 86/85 > frame",
            ),
        ),
    ),
    Trial(
        "coil without suppression",
        "fault",
        "stop solenoid",
        ("1 A", "radio"),
        with_part(RADIO, (RIGHT, RIGHT + ", stop relay 87 > radio > frame")),
        with_part(
            RADIO,
            (RIGHT, RIGHT + ", stop relay 87 > radio > frame"),
            ("peak: 36 A for 0.5 s}", "peak: 36 A for 0.5 s, suppressed: yes}"),
        ),
    ),
    Trial(
        "terminal does not fit",
        "fault",
        "battery + > starter 30",
        ("M4",),
        changed(
            (
                "{is: starter motor, at: block, on: engine,",
                "{is: starter motor, at: block, on: engine, terminals: {30: stud M4},",
            )
        ),
    ),
    Trial(
        "part not wired",
        "advice",
        "radio",
        ("no wire leads to it",),
        with_part(RADIO),
        with_part(RADIO, (RIGHT, RIGHT + ", panel F5 > radio > frame")),
    ),
]

THICK = "wires:\n" + "".join(  # four of them are more than 41.6 mm across
    f"  {hop}: {{size: 4/0 AWG}}\n"
    for hop in (
        "main fuse > panel", "charge lamp > alternator D+", "stop relay 87 > stop solenoid",
        "panel F4 > right head lamp",
    )
)  # fmt: skip

LOOM = [
    Trial(
        "bundle does not fit its hole",
        "fault",
        "box - dash",
        ("is 8 mm",),
        changed((DASH_RUN, DASH_RUN.replace("38 mm", "8 mm"))),
    ),
    Trial(
        "hole without grommet",
        "danger",
        "box - dash",
        ("bare 38 mm hole", "the survey says it stays bare", "no fuse guards"),
        changed(
            (DASH_RUN, DASH_RUN.replace("plate", "grommet: no, plate")),
            ("main fuse: {is: main fuse, at: box}", "main fuse: {is: main fuse, at: dash}"),
        ),
    ),
    Trial(
        "hole without grommet",
        "fault",
        "box - dash",
        ("bare 38 mm hole",),
        changed((DASH_RUN, DASH_RUN.replace("plate", "grommet: no, plate"))),
    ),
    Trial(  # the smallest adhesive tube, 3/1 mm, grips 1.1 mm; the widest, 52/13 mm, passes 41.6 mm
        "stretch not shrunk over",
        "fault",
        "box - dash",
        ("no adhesive-lined tube", "instead"),
        changed((DASH_RUN, DASH_RUN.replace("plate", "shrink: adhesive, plate"))) + THICK,
        changed((DASH_RUN, DASH_RUN.replace("plate", "shrink: adhesive, plate"))),
    ),
    Trial(  # AC 43.13-1B 11-96 a: 24 in, 610 mm (read)
        "supports far apart",
        "advice",
        "box - dash",
        ("held every 0.8 m",),
        changed((DASH_RUN, DASH_RUN.replace("plate", "clamps every: 0.8 m, plate"))),
        changed((DASH_RUN, DASH_RUN.replace("plate", "clamps every: 0.6 m, plate"))),
    ),
    Trial(  # SGT stands 80 °C (SAE J1127, read)
        "place too hot for cable",
        "danger",
        "battery + > starter 30",
        ("85 °C", "SGT stands 80 °C"),
        changed(("bay: {ambient: 60 °C}", "bay: {ambient: 85 °C}"))
        + "wires:\n  battery + > starter 30: {keep: yes, size: 2/0 AWG, length: 0.9 m, cable: SGT}\n",
        changed(("bay: {ambient: 60 °C}", "bay: {ambient: 85 °C}"))
        + "wires:\n  battery + > starter 30: {keep: yes, size: 2/0 AWG, length: 0.9 m, cable: SGX}\n",
    ),
    Trial(  # the alternator's 55 A through an old cable that is far too thin, in 60 °C air and a tube
        "loom too hot",
        "danger",
        "box - block",
        ("corrugated", "GXL stands 125 °C"),
        changed()
        + "wires:\n  battery + > starter 30: {keep: yes, size: 12 AWG, length: 0.9 m, cable: GXL}\n",
        changed() + "wires:\n  battery + > starter 30: {keep: yes, size: 4 AWG, length: 0.9 m, cable: GXL}\n",
    ),
    Trial(  # the same heat beside an idle wire of PVC, which stands less (SGT: 80 °C, SAE J1127, read)
        "loom too hot",
        "danger",
        "box - block",
        ("SGT stands 80 °C",),
        changed(("bay: {ambient: 60 °C}", "bay: {ambient: 70 °C}"))
        + "wires:\n  battery + > starter 30: {keep: yes, size: 8 AWG, length: 0.9 m, cable: SXL}\n"
        "  engine > frame: {keep: yes, size: 2/0 AWG, length: 0.9 m, cable: SGT}\n",
        changed(("bay: {ambient: 60 °C}", "bay: {ambient: 70 °C}"))
        + "wires:\n  battery + > starter 30: {keep: yes, size: 8 AWG, length: 0.9 m, cable: SXL}\n"
        "  engine > frame: {keep: yes, size: 2/0 AWG, length: 0.9 m, cable: SGX}\n",
    ),
    Trial(
        "run near exhaust",
        "fault",
        "box - nose",
        ("bare",),
        changed((NOSE_RUN, NOSE_RUN.replace("covering: corrugated", "covering: none, near: [exhaust]"))),
    ),
    Trial(
        "run near exhaust",
        "advice",
        "box - nose",
        ("40 °C",),
        changed((NOSE_RUN, NOSE_RUN.replace("covering", "near: [exhaust], covering"))),
    ),
    Trial(
        "run on an edge or hose",
        "danger",
        "box - block",
        ("edge", "bare", "has no fuse"),
        changed((BLOCK_RUN, BLOCK_RUN.replace("covering: corrugated", "covering: none, near: [edge]"))),
    ),
    Trial(
        "run on an edge or hose",
        "fault",
        "box - nose",
        ("hose", "bare"),
        changed((NOSE_RUN, NOSE_RUN.replace("covering: corrugated", "covering: none, near: [hose]"))),
    ),
    Trial(
        "run on an edge or hose",
        "advice",
        "box - nose",
        ("edge",),
        changed((NOSE_RUN, NOSE_RUN.replace("covering", "near: [edge], covering"))),
    ),
    Trial(
        "run near fuel line",
        "fault",
        "box - block",
        ("fuel line", "has no fuse"),
        changed((BLOCK_RUN, BLOCK_RUN.replace("covering", "near: [fuel line], covering"))),
    ),
    Trial(
        "run near fuel line",
        "advice",
        "box - nose",
        ("fuel line",),
        changed((NOSE_RUN, NOSE_RUN.replace("covering", "near: [fuel line], covering"))),
    ),
    Trial(
        "run over a hinge bare",
        "fault",
        "box - nose",
        ("no covering",),
        changed((NOSE_RUN, NOSE_RUN.replace("covering: corrugated", "covering: none, hinge: yes"))),
        changed((NOSE_RUN, NOSE_RUN.replace("covering", "hinge: yes, covering"))),
    ),
]
