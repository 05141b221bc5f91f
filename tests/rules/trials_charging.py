"""Trials of the rules on exciter lamps, isolators, two batteries, spare ways, connectors and studs."""

from __future__ import annotations

from tests.rules.surveys import GOOD, MIDDLE, PUMP, changed
from tests.rules.trial import COUPLED, ISOLATOR, LAMP, LEFT, RIGHT, Trial, with_part

CHARGE_LAMP = "charge lamp: {is: warning lamp, at: dash, power: 3 W}"
ISOLATED = [
    ("battery + > starter 30", "battery + > isolator > starter 30"),
    ("battery + > main fuse > panel", "isolator 2 > main fuse > panel"),
]
FUSED = f"{COUPLED}\n  near fuse: {{is: main fuse, at: box}}\n  far fuse: {{is: main fuse, at: box}}"
SPLIT = (
    "  Split charge:\n    works in: {modes}\n    paths:\n"
    "      - battery + > near fuse > split relay 30/87 > far fuse > cab battery +\n"
    "      - frame > cab battery -\n  Cranking:\n"
)
SOLENOID = "current: 1 A, peak: 36 A for 0.5 s"
STUDDED = "lamp block: {is: terminal stud, at: dash, stud: SIZE}"

EQUALISED = (
    (
        "  radio: {is: radio, at: seat}\n",
        "  radio: {is: radio, at: seat}\n  equaliser: {is: charge equaliser, at: box, rated: 12 V}\n"
        "  equaliser fuse: {is: fuse, at: box}\n",
    ),
    (
        "  Radio:\n",
        "  Middle:\n    paths: [high battery + > equaliser fuse > equaliser 24/- > frame, "
        "equaliser 12 > low battery +]\n  Radio:\n",
    ),
)

CHARGING = [
    Trial(
        "exciter lamp too weak",
        "fault",
        "charge lamp",
        ("takes only 1 W", "alternator"),
        changed((CHARGE_LAMP, CHARGE_LAMP.replace("3 W", "1 W"))),
        changed((CHARGE_LAMP, CHARGE_LAMP.replace("3 W", "2 W"))),
    ),
    Trial(  # a diode that lights passes no more than its own few milliamperes
        "exciter lamp too weak",
        "fault",
        "charge lamp",
        ("lets next to nothing through",),
        changed((CHARGE_LAMP, CHARGE_LAMP.replace("3 W", "3 W, polarised: yes"))),
    ),
    Trial(
        "pull coil left energised",
        "fault",
        "stop solenoid",
        ("36 A", "what it holds with is not said"),
        changed((SOLENOID, "peak: 36 A for 0.5 s")),
    ),
    Trial(
        "pull coil left energised",
        "fault",
        "stop solenoid",
        ("36 A for 20 s", "burns"),
        changed((SOLENOID, "current: 1 A, peak: 36 A for 20 s")),
        changed((SOLENOID, "current: 1 A, peak: 36 A for 2 s")),
    ),
    Trial(  # the engine's own stop on a lamp's fuse
        "safety function shares its fuse",
        "advice",
        "stop solenoid",
        ("panel F2", "right head lamp", "cannot be stopped"),
        changed((RIGHT, "panel F2 > right head lamp > frame")),
    ),
]

ISOLATING = [
    Trial(
        "no battery isolator", "advice", "battery", ("only a spanner",), GOOD, with_part(ISOLATOR, *ISOLATED)
    ),
    Trial(  # a switch in the starter's cable alone is no isolator
        "no battery isolator",
        "advice",
        "battery",
        ("only a spanner",),
        with_part(ISOLATOR, ISOLATED[0]),
        with_part(
            ISOLATOR.replace("at: box", "at: tray"),
            ("engine > battery -", "engine > isolator > battery -"),
            text=PUMP,
        ),
    ),
    Trial(
        "alive past the isolator",
        "advice",
        "isolator",
        ("right head lamp", "a way leads round it"),
        with_part(
            f"{ISOLATOR}\n  lamp fuse: {{is: fuse, at: box}}",
            *ISOLATED,
            (RIGHT, "battery + > lamp fuse > right head lamp > frame"),
        ),
        with_part(
            f"{ISOLATOR}\n  lamp fuse: {{is: fuse, at: box}}",
            *ISOLATED,
            (RIGHT, "isolator 2 > lamp fuse > right head lamp > frame"),
        ),
    ),
    Trial(  # in the chassis lead, and a lamp's return straight to the post beside it
        "alive past the isolator",
        "advice",
        "isolator",
        ("tail",),
        with_part(
            f"{ISOLATOR}\n  tail: {{is: tail lamp, at: box}}",
            ("engine > battery -", "engine > isolator > battery -"),
            (RIGHT, RIGHT + ", panel F5 > tail > battery -"),
        ),
        with_part(
            f"{ISOLATOR}\n  tail: {{is: tail lamp, at: box}}",
            ("engine > battery -", "engine > isolator > battery -"),
            (RIGHT, RIGHT + ", panel F5 > tail > frame"),
        ),
    ),
    Trial(
        "split-charge relay",
        "fault",
        "split relay",
        ("closed in cranking", "starter draws through it"),
        with_part(FUSED, ("  Cranking:\n", SPLIT.format(modes="[cranking, running]"))),
        with_part(FUSED, ("  Cranking:\n", SPLIT.format(modes="running"))),
    ),
    Trial(  # a heavy relay for 100 A, an alternator of 120 A
        "split-charge relay",
        "fault",
        "split relay",
        ("may carry 100 A", "gives 120 A"),
        with_part(FUSED, ("  Cranking:\n", SPLIT.format(modes="running")), ("output: 55 A", "output: 120 A")),
        with_part(FUSED, ("  Cranking:\n", SPLIT.format(modes="running")), ("output: 55 A", "output: 90 A")),
    ),
    Trial(  # an equaliser holds the middle, so the radio there is right
        "load on the middle of a pair",
        "fault",
        "radio",
        ("12 V for radio",),
        MIDDLE,
        changed(*EQUALISED, text=MIDDLE),
    ),
]

ISOLATING += [
    Trial(  # an equaliser shares the charge, and does nothing against an open chassis lead
        "middle tap with isolator in the ground lead",
        "danger",
        "isolator",
        ("radio", "reversed 12 V"),
        changed(
            *EQUALISED,
            ("frame > low battery -", "frame > isolator > low battery -"),
            ("parts:\n", f"parts:\n  {ISOLATOR}\n"),
            text=MIDDLE,
        ),
        changed(*EQUALISED, text=MIDDLE),
    ),
]

PANELS = [
    Trial(
        "dissimilar spare ways",
        "advice",
        "panel",
        ("F5 10 A, F6 20 A",),
        changed(("ways: 8", "ways: {F1: , F2: , F3: , F4: , F5: 10 A, F6: 20 A, F7: , F8: }")),
        changed(("ways: 8", "ways: {F1: , F2: , F3: , F4: , F5: 10 A, F6: 10 A, F7: , F8: }")),
    ),
    Trial(
        "few spare ways",
        "advice",
        "panel",
        ("1 of 5", "2 are asked for"),
        changed(("ways: 8", "ways: 5")),
        changed(("ways: 8", "ways: 6")),
    ),
    Trial(
        "few spare ways",
        "advice",
        "panel",
        ("0 of 4",),
        changed(("ways: 8", "ways: 4")),
        GOOD,
    ),
    Trial(  # the survey may ask for more: half of eight are four
        "few spare ways",
        "advice",
        "panel",
        ("4 of 8", "5 are asked for"),
        GOOD + "spares: {fuse ways: 60 %}\n",
        GOOD + "spares: {fuse ways: 50 %}\n",
    ),
    Trial(  # or for none
        "few spare ways",
        "advice",
        "panel",
        ("0 of 4",),
        changed(("ways: 8", "ways: 4")),
        changed(("ways: 8", "ways: 4")) + "spares: {fuse ways: none}\n",
    ),
]

PINS = [
    Trial(  # 300 W / 12 V = 25 A
        "connector overloaded",
        "fault",
        "plug",
        ("pin 1 of plug carries 25 A in night", "13 A"),
        with_part(
            "plug: {is: connector, at: nose}",
            (LAMP, LAMP.replace("35 W", "300 W")),
            (LEFT, "panel F3 > lamp switch > plug 1 > left head lamp > frame"),
        ),
        with_part(
            "plug: {is: connector, at: nose, rating: 25 A}",
            (LAMP, LAMP.replace("35 W", "300 W")),
            (LEFT, "panel F3 > lamp switch > plug 1 > left head lamp > frame"),
        ),
    ),
    Trial(  # M4 as #8: 30 A (MIL-DTL-83454A, read); 500 W / 12 V = 41.7 A
        "stud overloaded",
        "advice",
        "lamp block",
        ("41.7 A", "M4", "30 A"),
        with_part(
            STUDDED.replace("SIZE", "M4"),
            (LAMP, LAMP.replace("35 W", "500 W")),
            (LEFT, "panel F3 > lamp switch > lamp block > left head lamp > frame"),
        ),
        with_part(
            STUDDED.replace("SIZE", "M6"),
            (LAMP, LAMP.replace("35 W", "500 W")),
            (LEFT, "panel F3 > lamp switch > lamp block > left head lamp > frame"),
        ),
    ),
    Trial(  # a pin has two sides: one wire on each is right, a third is not
        "terminal with too many wires",
        "fault",
        "plug",
        ("3 wires", "a pin that takes 2"),
        with_part(
            "plug: {is: connector, at: nose}",
            (LEFT, "panel F3 > lamp switch > plug 1 > left head lamp > frame"),
            (RIGHT, RIGHT + ", panel F5 > plug 1"),
        ),
        with_part(
            "plug: {is: connector, at: nose}",
            (LEFT, "panel F3 > lamp switch > plug 1 > left head lamp > frame"),
        ),
    ),
]
