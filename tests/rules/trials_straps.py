"""Trials of the rules on straps and ground cables."""

from __future__ import annotations

from tests.rules.surveys import changed
from tests.rules.trial import BLOCK_RUN, LAMP, Trial, with_part, with_wires

BRIGHT = (LAMP, LAMP.replace("35 W", "300 W"))
SOLENOID = "panel F2 > stop relay 30/87 > stop solenoid"

STRAPS = [
    Trial(  # 300 W / 12 V = 25 A from one lamp, 35 W / 12 V = 2.9 A from the other
        "strap overloaded",
        "danger",
        "engine > frame",
        ("left head lamp", "18 AWG", "28."),
        changed(BRIGHT) + "wires:\n  engine > frame: {size: 18 AWG}\n",
        changed(BRIGHT) + "wires:\n  engine > frame: {size: 8 AWG}\n",
    ),
    Trial(  # 3 m of 4 AWG is 2.4 mohm (0.815 mohm a metre, ASTM B258): 250 A lose 0.6 V in it
        "starter ground drop",
        "fault",
        "engine > battery -",
        ("250 A of starter", "0.30 V is the most"),
        with_wires("engine > battery -: {keep: yes, size: 4 AWG, length: 3 m}"),
    ),
    Trial(  # 5 m of 12 AWG is 26 mohm (5.21 a metre, ASTM B258): 28 A lose 0.7 V in it
        "body off ground",
        "advice",
        "frame",
        ("in night frame stands", "off the negative post", "0.20 V is the most"),
        changed(BRIGHT) + "wires:\n  engine > frame: {size: 12 AWG, keep: yes, length: 5 m}\n",
        changed(BRIGHT) + "wires:\n  engine > frame: {size: 2 AWG, keep: yes, length: 1 m}\n",
    ),
    Trial(
        "strap over a hinge",
        "advice",
        "engine > frame",
        ("box - block", "left head lamp", "lose their ground"),
        changed((BLOCK_RUN, BLOCK_RUN.replace("}", ", hinge: yes}"))),
    ),
    Trial(  # the lamp on the frame and the solenoid on the engine hang on one contact
        "open ground feeds the engine",
        "advice",
        "engine > frame",
        ("back through tell lamp into stop solenoid", "key off"),
        with_part(
            "tell lamp: {is: lamp, at: dash, power: 21 W}",
            (SOLENOID, "'panel F2 > stop relay 30/87 > (stop solenoid, tell lamp > frame)'"),
        ),
        with_part(
            "tell lamp: {is: lamp, at: dash, power: 21 W}",
            (SOLENOID, "'panel F2 > stop relay 30/87 > (stop solenoid, tell lamp > engine)'"),
        ),
    ),
    Trial(  # a lamp of 0.2 W passes far too little for a solenoid of 1 A
        "open ground feeds the engine",
        "advice",
        "engine > frame",
        ("back through tell lamp into stop solenoid",),
        with_part(
            "tell lamp: {is: lamp, at: dash, power: 21 W}",
            (SOLENOID, "'panel F2 > stop relay 30/87 > (stop solenoid, tell lamp > frame)'"),
        ),
        with_part(
            "tell lamp: {is: lamp, at: dash, power: 0.2 W}",
            (SOLENOID, "'panel F2 > stop relay 30/87 > (stop solenoid, tell lamp > frame)'"),
        ),
    ),
]
