"""Trials of the rules on dead shorts."""

from __future__ import annotations

from tests.rules.surveys import GOOD, changed
from tests.rules.trial import NOSE_RUN, Trial

THIN = "wires:\n  lamp switch > left head lamp: {size: 18 AWG}\n"
LARGE = ("ways: 8", "ways: {F1: , F2: , F3: 40 A, F4: }")

FAULTS = [
    Trial(  # 40 A blade at 160 to 200 %: 50 s; 0.82 mm² stands (143 x 0.82)² = 13.8 kA²s from 90 °C
        "fuse too slow for its wire",
        "danger",
        "lamp switch 2 > left head lamp +",
        ("18 AWG", "50 s", "panel F3"),
        changed(LARGE) + THIN,
        changed(("ways: 8", "ways: {F1: , F2: , F3: 5 A, F4: }")) + THIN,
    ),
    Trial(  # 18 m of 18 AWG is about 0.43 ohm warm: 12.2 V drive 22 A through it and the rest, 110 % of 20 A
        "short not cleared",
        "fault",
        "lamp switch 2 > left head lamp +",
        ("110%", "may never open", "goes on"),
        changed(
            (NOSE_RUN, NOSE_RUN.replace("2.0 m", "18 m")), ("ways: 8", "ways: {F1: , F2: , F3: 20 A, F4: }")
        )
        + THIN,
        GOOD,
    ),
    Trial(  # 100 m: under 6 A, which 18 AWG carries for ever and a 4 A fuse may carry for ever too
        "short not cleared",
        "advice",
        "lamp switch 2 > left head lamp +",
        ("may never open", "the wire stands that much"),
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
