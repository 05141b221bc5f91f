"""Trials of the rules on dead shorts."""

from __future__ import annotations

from tests.rules.surveys import GOOD, changed
from tests.rules.trial import NOSE_RUN, Trial

THIN = "wires:\n  lamp switch > left head lamp: {size: 18 AWG}\n"
LARGE = ("ways: 8", "ways: {F1: , F2: , F3: 40 A, F4: }")

FAULTS = [
    Trial(  # 40 A blade at 200 to 350 %: 5 s; 0.82 mm² stands (143 x 0.82)² = 13.8 kA²s from 90 °C
        "fuse too slow for its wire",
        "danger",
        "lamp switch 2 > left head lamp +",
        ("18 AWG", "5 s", "panel F3"),
        changed(LARGE) + THIN,
        changed(("ways: 8", "ways: {F1: , F2: , F3: 5 A, F4: }")) + THIN,
    ),
    Trial(  # 100 m of 18 AWG is about 2.1 ohm: 12.6 V drive less than 6 A through it
        "short not cleared",
        "fault",
        "lamp switch 2 > left head lamp +",
        ("panel F3", "may never open"),
        changed((NOSE_RUN, NOSE_RUN.replace("2.0 m", "100 m"))) + THIN,
        GOOD,
    ),
    Trial(  # the stop solenoid's pull asks for 30 A, half of the main fuse: bands of 8820-3 and 8820-5 meet
        "fuses in series trip out of order",
        "advice",
        "main fuse",
        ("panel F2",),
        GOOD,
        changed(
            ("main fuse: {is: main fuse, at: box}", "main fuse: {is: main fuse, at: box, rating: 100 A}")
        ),
    ),
]
