"""Trials of the rules on what sources really give."""

from __future__ import annotations

from tests.rules.surveys import changed
from tests.rules.trial import Trial, with_part

RADIO_ON = "  Radio:\n    works in: running\n    paths: [panel F5 > radio > frame]\n"
THIN_RADIO = "wires:\n  panel F5 > radio: {keep: yes, size: 18 AWG, length: 15 m}\n"
RADIO_PART = "radio: {is: radio, at: nose, current: 20 A}"
FAN = "fan: {is: fan, at: dash, current: 30 A}"
FAN_ON = "  Big fan:\n    works in: night\n    paths: [panel F5 > fan > frame]\n"
THIN_FEED = "wires:\n  main fuse > panel: {keep: yes, size: 10 AWG, length: 6 m}\n"
CRANKING = "cranking: 700 A"
OUTPUT = "output: 55 A"
NIGHT = "night: {engine: running}"

SOURCES = [
    Trial(  # 240 W over 15 m of 18 gauge, about 0.35 ohm: 13.8² / (4 x 0.35) = 136 W at most
        "load collapses",
        "fault",
        "radio",
        ("in running", "20 A at 12.00 V"),
        with_part(RADIO_PART) + RADIO_ON + THIN_RADIO,
        with_part(RADIO_PART) + RADIO_ON + THIN_RADIO.replace("15 m", "1 m"),
    ),
    Trial(  # 6 x 0.9 V / 250 A x 0.40 / 0.511 = 17 mohm at -10 °C; 12.44 - 250 x 0.017 = 8.2 V at the posts
        "starter short of volts",
        "fault",
        "starter",
        ("at -10 °C", "needs 9.60 V", "charged 80%"),
        changed((CRANKING, "cranking: 250 A")),
    ),
    Trial(  # the same battery holds the stop solenoid at some 8 V, three quarters of 12 V are 9
        "weak while cranking",
        "fault",
        "stop solenoid",
        ("needs 9.00 V", "in cranking at -10 °C", "nor hold"),
        changed((CRANKING, "cranking: 250 A")),
    ),
    Trial(  # at -10 °C 10 mohm x 263 A leave 9.8 V, and the pull-in takes more on its way
        "weak while cranking",
        "advice",
        "stop solenoid",
        ("needs 9.00 V", "though it holds"),
        changed((CRANKING, "cranking: 420 A")),
    ),
    Trial(
        "weak while cranking",
        "advice",
        "radio",
        ("needs 9.00 V", "start anew"),
        with_part("radio: {is: radio, at: dash, current: 1 A}", (CRANKING, "cranking: 250 A"))
        + RADIO_ON.replace("running", "cranking"),
        with_part("radio: {is: radio, at: dash, current: 1 A}") + RADIO_ON.replace("running", "cranking"),
    ),
    Trial(  # lamps 5.8 A, solenoid 1 A, relays: more than 4 A
        "battery not charged",
        "fault",
        "night",
        ("in night", "4 A are generated", "the battery gives"),
        changed((OUTPUT, "output: 4 A")),
    ),
    Trial(
        "battery not charged",
        "advice",
        "alternator",
        ("at idle 3 A", "in night"),
        changed((OUTPUT, f"{OUTPUT}, idle output: 3 A")),
        changed((OUTPUT, f"{OUTPUT}, idle output: 30 A")),
    ),
    Trial(
        "battery not charged",
        "advice",
        "night",
        ("3 A are generated",),
        changed((OUTPUT, f"{OUTPUT}, idle output: 3 A"), (NIGHT, "night: {engine: running, speed: idle}")),
        changed((OUTPUT, f"{OUTPUT}, idle output: 30 A"), (NIGHT, "night: {engine: running, speed: idle}")),
    ),
    Trial(  # 30 A over 6 m of 10 gauge, about 22 mohm with its joints: 0.6 of 13 V, 3.3 % are 0.43
        "lamp dims",
        "advice",
        "left head lamp",
        ("in night", "when Big fan comes on"),
        with_part(FAN) + FAN_ON + THIN_FEED,
        with_part(FAN.replace("30 A", "10 A")) + FAN_ON + THIN_FEED,
    ),
    Trial(  # it may fall from 52 to 50 %, and loses 0.2 % a day by itself: ten days
        "parked drain",
        "advice",
        "parked",
        ("nothing is drawn", "from 52% charge it is at 50%", "at -10 °C", "after 10.0 days"),
        changed((CRANKING, f"{CRANKING}, charge: 52 %")),
    ),
]
