"""Trials of the rules on fuses."""

from __future__ import annotations

from tests.rules.surveys import GOOD, changed
from tests.rules.trial import BLOCK_RUN, COUPLED, LAMP, LEFT, RIGHT, Trial, with_part, with_wires

PROTECTION = [
    Trial(
        "unfused feed",
        "danger",
        "battery + > lamp switch 1",
        ("from the battery", "no fuse", "left head lamp"),
        changed((LEFT, "battery + > lamp switch > left head lamp > frame")),
        with_part(
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
        with_part(
            COUPLED,
            (RIGHT, RIGHT + ", battery + > split relay 30/87 > cab battery +, frame > cab battery -"),
        ),
        with_part(
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
        with_part(
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
    Trial(  # 300 W / 12 V / 0.776 = 32.22 A: 0.8 x (1 - 0.2 % x 15 K) at 40 °C
        "no fuse rating satisfies",
        "fault",
        "panel F3",
        ("at least 32.2 A", "load of 25 A"),
        changed((LAMP, LAMP.replace("35 W", "300 W")))
        + "wires:\n  lamp switch > left head lamp: {size: 18 AWG}\n",
        changed((LAMP, LAMP.replace("35 W", "180 W"))),
    ),
    Trial(  # 35 W / 12 V = 2.92 A, 97 % of 3 A; 0.776 x 4 A would do
        "fuse too close to load",
        "fault",
        "panel F3",
        ("of 3 A", "2.92 A", "97%", "78%", "blade at 40 °C"),
        changed(("ways: 8", "ways: {F1: , F2: , F3: 3 A, F4: }")),
        changed(("ways: 8", "ways: {F1: , F2: , F3: 4 A, F4: }")),
    ),
    Trial(  # ISO 8820-3: 27 A may last 600 s, 32 A 50 s (memory); on a log-log line 27 x (32/27)^0.75 =
        # 30.7 A, 600 x (50/600)^0.75 = 93 s; 18 AWG carries 21 A for ever in the air here
        "slow overload burns wire",
        "fault",
        "lamp switch 2 > left head lamp +",
        ("at 30.7 A", "153%", "93.1 s", "18 AWG", "panel F3"),
        changed(("ways: 8", "ways: {F1: , F2: , F3: 20 A, F4: }"))
        + "wires:\n  lamp switch > left head lamp: {size: 18 AWG}\n",
        changed(("ways: 8", "ways: {F1: , F2: , F3: 15 A, F4: }"))
        + "wires:\n  lamp switch > left head lamp: {size: 18 AWG}\n",
    ),
    Trial(  # behind the start fuse: 12.6 V over 3.1 mohm of battery and some more, over 1000 A
        "short beyond breaking capacity",
        "advice",
        "start fuse",
        ("start fuse", "break 1000 A"),
        GOOD,
        changed(("cranking: 700 A}", "cranking: 120 A}")),
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
        with_wires("alternator B+ > charge fuse: {size: 16 AWG, keep: yes, length: 0.5 m}"),
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
        with_part(
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
        with_part(
            "left rear: {is: brake lamp, at: nose}\n  right rear: {is: brake lamp, at: nose}",
            (RIGHT, f"{RIGHT}, 'panel F5 > (left rear, right rear) > frame'"),
        ),
        with_part(
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
