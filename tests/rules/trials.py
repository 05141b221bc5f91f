"""For every rule a survey it must speak up on, with what it must say, and a near one it must let pass.

The numbers looked for are the survey's own, or follow from them by the sum beside them.
"""

from __future__ import annotations

from dataclasses import dataclass

from harness.model.design import Severity
from tests.rules.surveys import GOOD, MIDDLE, POSITIVE, PUMP, changed


@dataclass(frozen=True)
class Trial:
    """One survey that breaks one rule; ``subject`` is a name, or a wire as `end > end`."""

    rule: str
    severity: Severity
    subject: str
    words: tuple[str, ...]  # each must stand in the text
    bad: str
    clean: str = GOOD  # the rule says nothing of this one


LEFT = "panel F3 > lamp switch > left head lamp > frame"
RIGHT = "panel F4 > right head lamp > frame"
PARTS = "parts:\n"
NO_STRAP = ("  Straps:\n    paths: [engine > frame]\n", "")
LAMP = "left head lamp: {is: lamp, at: nose, power: 35 W}"
TRIGGER = "panel F1 > key 30/50 > neutral switch > start relay 86/85 > engine"
DASH_RUN = "zone: dash, hole: 38 mm, plate: 2 mm, covering: corrugated}"
NOSE_RUN = "length: 2.0 m, zone: front, covering: corrugated}"
BLOCK_RUN = "length: 0.8 m, zone: bay, covering: corrugated}"


COUPLED = "cab battery: {is: battery, at: box, capacity: 100 Ah}\n  split relay: {is: heavy relay, at: box}"


def _with(part: str, *swaps: tuple[str, str], text: str = GOOD) -> str:
    return changed((PARTS, f"{PARTS}  {part}\n"), *swaps, text=text)


def _wires(*lines: str) -> str:
    return changed(text=GOOD) + "wires:\n" + "".join(f"  {line}\n" for line in lines)


PROTECTION = [
    Trial(
        "unfused feed",
        "danger",
        "battery + > lamp switch 1",
        ("from the battery", "no fuse", "left head lamp"),
        changed((LEFT, "battery + > lamp switch > left head lamp > frame")),
        _with(
            "lamp fuse: {is: fuse, at: box}",
            (LEFT, "battery + > lamp fuse > lamp switch > left head lamp > frame"),
        ),
    ),
    Trial(
        "unfused feed",
        "danger",
        "alternator B+ > starter 30",
        ("alternator B+", "no fuse"),
        changed(("alternator B+ > charge fuse > starter 30", "alternator B+ > starter 30")),
    ),
    Trial(
        "unfused feed",
        "danger",
        "starter 30 > start relay 30",
        ("starter 50",),
        changed(("starter 30 > start fuse > start relay 30/87", "starter 30 > start relay 30/87")),
    ),
    Trial(
        "unfused feed",
        "danger",
        "alternator B+ > lamp switch 1",
        ("from alternator", "left head lamp"),
        changed((LEFT, "alternator B+ > lamp switch > left head lamp > frame"))
        + "wires:\n  alternator B+ > lamp switch: {size: 16 AWG}\n",
        changed((LEFT, "alternator B+ > lamp switch > left head lamp > frame"))
        + "wires:\n  alternator B+ > lamp switch: {size: 4 AWG}\n"
        + "  lamp switch > left head lamp: {size: 4 AWG}\n",
    ),
    Trial(  # two batteries coupled while charging: each end wants a fuse
        "unfused feed",
        "danger",
        "battery + > split relay 30",
        ("cab battery +",),
        _with(
            COUPLED,
            (RIGHT, RIGHT + ", battery + > split relay 30/87 > cab battery +, frame > cab battery -"),
        ),
        _with(
            COUPLED + "\n  near fuse: {is: main fuse, at: box}\n  far fuse: {is: main fuse, at: box}",
            (
                RIGHT,
                f"{RIGHT}, battery + > near fuse > split relay 30/87 > far fuse > cab battery +, "
                "frame > cab battery -",
            ),
        ),
    ),
    Trial(
        "short circuit",
        "danger",
        "main fuse 2 > frame",
        ("live side", "frame"),
        changed(("paths: [engine > frame]", "paths: [engine > frame, main fuse 2 > frame]")),
    ),
    Trial(
        "starter cable unfused",
        "advice",
        "battery + > starter 30",
        ("no fuse, as is usual", "starter"),
        GOOD,
        _with(
            "mega fuse: {is: main fuse, at: box}",
            ("battery + > starter 30", "battery + > mega fuse > starter 30"),
        ),
    ),
    Trial(
        "fuse above wire",
        "danger",
        "lamp switch 2 > left head lamp +",
        ("panel F3", "40 A", "18 AWG"),
        changed(("ways: 8", "ways: {F1: , F2: , F3: 40 A, F4: }"))
        + "wires:\n  lamp switch > left head lamp: {size: 18 AWG}\n",
        changed(("ways: 8", "ways: {F1: , F2: , F3: 5 A, F4: }"))
        + "wires:\n  lamp switch > left head lamp: {size: 18 AWG}\n",
    ),
    Trial(  # 300 W / 12 V / 0.8 = 31.25 A
        "no fuse rating satisfies",
        "fault",
        "panel F3",
        ("at least 31.2 A", "load of 25 A"),
        changed((LAMP, LAMP.replace("35 W", "300 W")))
        + "wires:\n  lamp switch > left head lamp: {size: 18 AWG}\n",
        changed((LAMP, LAMP.replace("35 W", "180 W"))),
    ),
    Trial(  # 35 W / 12 V = 2.92 A, 97 % of 3 A; 0.8 x 4 A would do
        "fuse too close to load",
        "fault",
        "panel F3",
        ("of 3 A", "2.92 A", "97%", "80%"),
        changed(("ways: 8", "ways: {F1: , F2: , F3: 3 A, F4: }")),
        changed(("ways: 8", "ways: {F1: , F2: , F3: 4 A, F4: }")),
    ),
    Trial(  # 36 A / 5 A = 720 %: beyond the last row of the blade's band
        "fuse blows on inrush",
        "fault",
        "panel F2",
        ("of 5 A", "36 A for 0.5 s", "720%"),
        changed(("ways: 8", "ways: {F1: , F2: 5 A, F3: , F4: }")),
    ),
    Trial(  # 2.0 m against 72 in = 1.83 m from a battery post
        "fuse far from source",
        "fault",
        "battery + > main fuse 1",
        ("main fuse", "2.00 m", "1.83 m", "battery +"),
        changed(("main fuse: {is: main fuse, at: box}", "main fuse: {is: main fuse, at: nose}")),
        changed(("main fuse: {is: main fuse, at: box}", "main fuse: {is: main fuse, at: dash}")),
    ),
    Trial(  # bare: 7 in = 0.18 m
        "fuse far from source",
        "fault",
        "battery + > main fuse 1",
        ("0.80 m of bare wire", "0.18 m"),
        changed(
            ("main fuse: {is: main fuse, at: box}", "main fuse: {is: main fuse, at: block}"),
            (BLOCK_RUN, BLOCK_RUN.replace("corrugated", "none")),
        ),
        changed(("main fuse: {is: main fuse, at: box}", "main fuse: {is: main fuse, at: block}")),
    ),
    Trial(  # from the starter stud: 40 in = 1.02 m; the stud is 0.8 m from the box, the dash 0.8 + 1.5 m
        "fuse far from source",
        "fault",
        "starter 30 > start fuse 1",
        ("2.30 m", "1.02 m", "starter 30"),
        changed(("start fuse: {is: fuse, at: block}", "start fuse: {is: fuse, at: dash}")),
    ),
    Trial(
        "charge wire too small",
        "danger",
        "alternator B+ > charge fuse 1",
        ("16 AWG", "gives 55 A"),
        _wires("alternator B+ > charge fuse: {size: 16 AWG, keep: yes, length: 0.5 m}"),
    ),
    Trial(
        "charge fuse too small",
        "fault",
        "charge fuse",
        ("of 50 A", "gives 55 A"),
        changed(
            (
                "charge fuse: {is: main fuse, at: block}",
                "charge fuse: {is: main fuse, at: block, rating: 50 A}",
            )
        ),
        changed(
            (
                "charge fuse: {is: main fuse, at: block}",
                "charge fuse: {is: main fuse, at: block, rating: 70 A}",
            )
        ),
    ),
    Trial(
        "fuse in the ground side",
        "danger",
        "earth fuse",
        ("negative post", "stays live"),
        _with(
            "earth fuse: {is: fuse, at: nose}",
            (LEFT, "panel F3 > lamp switch > left head lamp > earth fuse > frame"),
        ),
    ),
    Trial(
        "head lamps on one fuse",
        "advice",
        "panel F3",
        ("left head lamp and right head lamp",),
        changed(
            (f"[{LEFT}]", "['panel F3 > lamp switch > (left head lamp, right head lamp) > frame']"),
            (RIGHT, "panel F3 > lamp switch"),
        ),
    ),
    Trial(
        "brake lamps on one fuse",
        "advice",
        "panel F5",
        ("left rear and right rear", "brake lamp"),
        _with(
            "left rear: {is: brake lamp, at: nose}\n  right rear: {is: brake lamp, at: nose}",
            (RIGHT, f"{RIGHT}, 'panel F5 > (left rear, right rear) > frame'"),
        ),
        _with(
            "left rear: {is: brake lamp, at: nose}\n  right rear: {is: brake lamp, at: nose}",
            (RIGHT, f"{RIGHT}, panel F5 > left rear > frame, panel F6 > right rear > frame"),
        ),
    ),
    Trial(
        "breaker resets by itself",
        "advice",
        "main fuse",
        ("resets by itself",),
        changed(
            ("main fuse: {is: main fuse, at: box}", "main fuse: {is: breaker, at: box, resets: automatic}")
        ),
        changed(("main fuse: {is: main fuse, at: box}", "main fuse: {is: breaker, at: box, resets: manual}")),
    ),
]

THIN_LAMP = "wires:\n  lamp switch > left head lamp: {size: 18 AWG}\n"
AMMETER = "ammeter: {is: ammeter, at: dash, rating: 60 A}"
METERED = ("battery + > main fuse > panel", "battery + > main fuse > ammeter > panel")

SUPPLY = [
    Trial(
        "load starved",
        "fault",
        "left head lamp",
        ("in night", "2.92 A", "0.12 V are allowed"),
        changed((LEFT, LEFT)).replace("    paths: [panel F3", "    drop: 1 %\n    paths: [panel F3")
        + THIN_LAMP,
    ),
    Trial(
        "no feed",
        "fault",
        "left head lamp",
        ("no path brings current",),
        changed((LEFT, "lamp switch > left head lamp > frame")),
    ),
    Trial(
        "kept wire too small",
        "danger",
        "lamp switch 2 > left head lamp +",
        ("the old wire", "18 AWG", "ampacity needs"),
        changed((LAMP, LAMP.replace("35 W", "300 W")))
        + "wires:\n  lamp switch > left head lamp: {size: 18 AWG, keep: yes, length: 3.5 m}\n",
        changed() + "wires:\n  lamp switch > left head lamp: {size: 14 AWG, keep: yes, length: 3.5 m}\n",
    ),
    Trial(
        "wire too small",
        "danger",
        "lamp switch 2 > left head lamp +",
        ("by the survey", "18 AWG", "ampacity needs"),
        changed((LAMP, LAMP.replace("35 W", "300 W"))) + THIN_LAMP,
        changed() + "wires:\n  lamp switch > left head lamp: {size: 14 AWG}\n",
    ),
    Trial(  # two lamps 5.83 A, stop solenoid 1 A, charge lamp and relays: over 0.8 x 8 A
        "alternator overloaded",
        "advice",
        "night",
        ("of the 8 A",),
        changed(("output: 55 A", "output: 8 A")),
    ),
    Trial(  # 50 Ah / 2.92 A / 24 = 0.7 days
        "parked drain",
        "advice",
        "parked",
        ("2.92 A", "100 Ah", "0.7 days"),
        changed(("works in: night\n    paths: [panel F3", "works in: [parked, night]\n    paths: [panel F3")),
    ),
    Trial(
        "relay not worked in a mode",
        "fault",
        "stop relay",
        ("used in cranking, night", "coil"),
        changed(("      - key 15 > stop relay 86/85 > frame\n", ""))
        + "  Stop coil:\n    works in: running\n    paths: [key 15 > stop relay 86/85 > frame]\n",
        changed(("      - key 15 > stop relay 86/85 > frame\n", ""))
        + "  Stop coil:\n    paths: [key 15 > stop relay 86/85 > frame]\n",
    ),
    Trial(
        "ammeter carries everything",
        "danger",
        "ammeter",
        ("60 A", "gives 70 A"),
        _with(AMMETER, METERED, ("output: 55 A", "output: 70 A")),
        _with(AMMETER, METERED),
    ),
    Trial(
        "starter through ammeter",
        "danger",
        "ammeter",
        ("250 A",),
        _with(AMMETER, ("battery + > starter 30", "battery + > ammeter > starter 30")),
        _with(AMMETER, METERED),
    ),
    Trial(
        "ammeter across the supply",
        "danger",
        "ammeter",
        ("dead short",),
        _with(AMMETER, ("paths: [engine > frame]", "paths: [engine > frame, battery + > ammeter > frame]")),
        _with(AMMETER, METERED),
    ),
    Trial(
        "alternator past the ammeter",
        "advice",
        "alternator",
        ("ammeter",),
        _with(AMMETER, METERED),
        _with(
            AMMETER,
            METERED,
            ("alternator B+ > charge fuse > starter 30", "alternator B+ > charge fuse > panel bus"),
        ),
    ),
]

RETURNS = [
    Trial(
        "no return path",
        "fault",
        "right head lamp",
        ("terminal -", "negative post"),
        changed((RIGHT, "panel F4 > right head lamp")),
    ),
    Trial(  # the lamps alone sit on the frame: 2 x 2.92 A, and the two relays' coils
        "body with no strap",
        "fault",
        "frame",
        ("left head lamp", "no strap"),
        changed(NO_STRAP),
    ),
    Trial(
        "body with no strap",
        "danger",
        "engine",
        ("starter", "fuel lines"),
        changed(NO_STRAP, ("engine > battery -", "frame > battery -")),
    ),
    Trial(
        "strap smaller than starter cable",
        "fault",
        "engine > battery -",
        ("starter", "6 AWG"),
        _wires("engine > battery -: {size: 6 AWG, keep: yes, length: 1 m}"),
    ),
    Trial(
        "strap over a hinge",
        "advice",
        "engine > frame",
        ("box - block",),
        changed((BLOCK_RUN, BLOCK_RUN.replace("}", ", hinge: yes}"))),
    ),
]

GLOW = "\n  ".join(f"plug {at}: {{is: glow plug, at: block, on: engine}}" for at in ("one", "two", "three"))
PREHEAT = "  Preheat:\n    works in: cranking\n    paths: ['{path} > (plug one, plug two, plug three)']\n"
HEAVY = "glow fuse: {is: main fuse, at: box}\n  glow relay: {is: heavy relay, at: box}\n  " + GLOW
ISOLATOR = "isolator: {is: isolator, at: box}"
ISOLATED = [
    ("battery + > starter 30", "battery + > isolator > starter 30"),
    ("battery + > main fuse > panel", "isolator 2 > main fuse > panel"),
]

STARTING = [
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
        _with(
            "start button: {is: push button, at: dash}",
            (TRIGGER, f"{TRIGGER}\n      - panel F1 > start button > start relay 86"),
        ),
    ),
    Trial("start interlock missing", "advice", "starter", ("no interlock",), PUMP),
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
        _with(GLOW, ("  Cranking:\n", PREHEAT.format(path="panel F1 > key 30/19") + "  Cranking:\n")),
        _with(
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
        _with(
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
        _with(ISOLATOR, *ISOLATED),
        _with(
            ISOLATOR,
            *ISOLATED,
            ("alternator B+ > charge fuse > starter 30", "alternator B+ > charge fuse > battery +"),
        ),
    ),
]

RADIO = "radio: {is: radio, at: dash}"

POLARITY = [
    Trial(
        "polarised part reversed",
        "danger",
        "alternator",
        ("positive post is on the chassis",),
        changed(
            (
                "alternator B- > charge fuse > battery -, alternator B+ > frame",
                "alternator B+ > charge fuse > battery -",
            ),
            ("output: 45 A", "output: 45 A, on: frame"),
            text=POSITIVE,
        ),
        POSITIVE,
    ),
    Trial("positive ground", "advice", "alternator", ("negative feeds", "alternator, radio"), POSITIVE),
    Trial(
        "battery voltage differs",
        "fault",
        "battery",
        ("12 V", "24 V"),
        changed(("voltage: 12 V", "voltage: 24 V"), ("capacity: 100 Ah", "rated: 12 V, capacity: 100 Ah")),
        MIDDLE,
    ),
    Trial(
        "part of another voltage",
        "fault",
        "left head lamp",
        ("made for 24 V", "gets 12 V"),
        changed((LAMP, LAMP.replace("power", "rated: 24 V, power"))),
        changed((LAMP, LAMP.replace("power", "rated: 12 V, power"))),
    ),
    Trial(
        "load on the middle of a pair",
        "fault",
        "radio",
        ("12 V for radio", "24 V pair"),
        MIDDLE,
        changed(
            ("low battery + > tap fuse > radio > frame", "high battery + > tap fuse > radio > frame"),
            text=MIDDLE,
        ),
    ),
    Trial(
        "middle tap with isolator in the ground lead",
        "danger",
        "isolator",
        ("radio", "reversed 12 V"),
        changed(
            ("frame > low battery -", "frame > isolator > low battery -"),
            ("parts:\n", f"parts:\n  {ISOLATOR}\n"),
            text=MIDDLE,
        ),
        MIDDLE,
    ),
]

JOINTS = [
    Trial(
        "terminal with too many wires",
        "fault",
        "nose ground",
        ("6 wires", "a stud that takes 4"),
        _with(
            "\n  ".join(f"side {at}: {{is: lamp, at: nose, power: 5 W}}" for at in "abcd"),
            (
                RIGHT,
                RIGHT
                + ", "
                + ", ".join(f"panel F{5 + i} > side {at} > nose ground" for i, at in enumerate("abcd")),
            ),
        ),
        _with(
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
    Trial(
        "coil without suppression",
        "fault",
        "stop solenoid",
        ("1 A", "radio"),
        _with(RADIO, (RIGHT, RIGHT + ", stop relay 87 > radio > frame")),
        _with(
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
        _with(RADIO),
        _with(RADIO, (RIGHT, RIGHT + ", panel F5 > radio > frame")),
    ),
]

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
    Trial(  # GXL stands 125 °C (SAE J1128, read)
        "temperature above insulation class",
        "fault",
        "battery + > starter 30",
        ("130 °C", "GXL stands 125 °C", "the same of"),
        changed(("bay: {ambient: 60 °C}", "bay: {ambient: 130 °C}")),
        changed(("bay: {ambient: 60 °C}", "bay: {ambient: 95 °C}")),
    ),
    Trial(  # SGT stands 80 °C (SAE J1127, read)
        "temperature above insulation class",
        "fault",
        "battery + > starter 30",
        ("85 °C", "SGT stands 80 °C"),
        changed(("bay: {ambient: 60 °C}", "bay: {ambient: 85 °C}"))
        + "wires:\n  battery + > starter 30: {keep: yes, size: 2/0 AWG, length: 0.9 m, cable: SGT}\n",
        changed(("bay: {ambient: 60 °C}", "bay: {ambient: 85 °C}"))
        + "wires:\n  battery + > starter 30: {keep: yes, size: 2/0 AWG, length: 0.9 m, cable: SGX}\n",
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
        ("edge", "bare", "without a fuse"),
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
        ("fuel line", "without a fuse"),
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

TRIALS = [*PROTECTION, *SUPPLY, *RETURNS, *STARTING, *POLARITY, *JOINTS, *LOOM]
