"""Trials of the rules on supply, modes, returns and polarity."""

from __future__ import annotations

from tests.rules.surveys import MIDDLE, POSITIVE, changed
from tests.rules.trial import ISOLATOR, LAMP, LEFT, NO_STRAP, RIGHT, Trial, with_part, with_wires

THIN_LAMP = "wires:\n  lamp switch > left head lamp: {size: 18 AWG}\n"
AMMETER = "ammeter: {is: ammeter, at: dash, rating: 60 A}"
METERED = ("battery + > main fuse > panel", "battery + > main fuse > ammeter > panel")

CABLES = "  Battery cables:\n    works in: cranking\n"

SUPPLY = [
    Trial(  # 250 A by the survey
        "starter turns outside cranking",
        "fault",
        "starter",
        ("250 A", "parked, running, night"),
        changed((CABLES, "  Battery cables:\n")),
    ),
    Trial(
        "load starved",
        "fault",
        "left head lamp",
        ("in night", "2.92 A", "0.12 V are allowed"),
        changed(("    paths: [panel F3", "    drop: 1 %\n    paths: [panel F3")) + THIN_LAMP,
    ),
    Trial(
        "charge line drop",
        "fault",
        "alternator",
        ("the 55 A of alternator", "0.40 V are allowed"),
        with_wires("charge fuse > starter 30: {keep: yes, size: 8 AWG, length: 5 m}"),
    ),
    Trial(
        "no feed",
        "fault",
        "left head lamp",
        ("no path brings current",),
        changed((LEFT, "lamp switch > left head lamp > frame")),
    ),
    Trial(  # GXL stands 125 °C, SAE J1128
        "place too hot for cable",
        "danger",
        "battery + > starter 30",
        ("GXL stands 125 °C", "it is 130 °C in zone 'bay'"),
        changed(("bay: {ambient: 60 °C}", "bay: {ambient: 130 °C}")),
        changed(("bay: {ambient: 60 °C}", "bay: {ambient: 120 °C}")),
    ),
    Trial(
        "kept wire too small",
        "danger",
        "lamp switch 2 > left head lamp +",
        ("the old wire", "18 AWG", "ampacity"),
        changed((LAMP, LAMP.replace("35 W", "300 W")))
        + "wires:\n  lamp switch > left head lamp: {size: 18 AWG, keep: yes, length: 3.5 m}\n",
        changed() + "wires:\n  lamp switch > left head lamp: {size: 14 AWG, keep: yes, length: 3.5 m}\n",
    ),
    Trial(
        "wire too small",
        "danger",
        "lamp switch 2 > left head lamp +",
        ("by the survey", "18 AWG", "ampacity"),
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
        with_part(AMMETER, METERED, ("output: 55 A", "output: 70 A")),
        with_part(AMMETER, METERED),
    ),
    Trial(
        "starter through ammeter",
        "danger",
        "ammeter",
        ("250 A",),
        with_part(AMMETER, ("battery + > starter 30", "battery + > ammeter > starter 30")),
        with_part(AMMETER, METERED),
    ),
    Trial(
        "ammeter across the supply",
        "danger",
        "ammeter",
        ("dead short",),
        with_part(
            AMMETER, ("paths: [engine > frame]", "paths: [engine > frame, battery + > ammeter > frame]")
        ),
        with_part(AMMETER, METERED),
    ),
    Trial(
        "alternator past the ammeter",
        "advice",
        "alternator",
        ("ammeter",),
        with_part(AMMETER, METERED),
        with_part(
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
        with_wires("engine > battery -: {size: 6 AWG, keep: yes, length: 1 m}"),
    ),
]


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
