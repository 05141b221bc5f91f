"""Trials of the rules on what is taken over from the old machine."""

from __future__ import annotations

from tests.rules.surveys import changed
from tests.rules.trial import NOSE_RUN, RIGHT, Trial, with_part, with_wires

GAUGE = (
    "fuel gauge: {{is: fuel gauge, at: dash, {gauge}}}\n"
    "  fuel sender: {{is: fuel sender, at: block, {sender}}}"
)
PLAIN = "notes: as found"
TO_GAUGE = f"{RIGHT}, panel F5 > fuel gauge > frame, fuel gauge S > fuel sender"
KEPT = "engine > battery -: {{keep: yes, size: 2/0 AWG, length: 0.9 m{more}}}"
SEARCHED = (
    "  sizes: AWG\n",
    "  sizes: AWG\n  looked for: [fusible link, breaker, diode, resistor, ballast resistor]\n",
)
TWO = "twin lamp: {is: head lamp, at: nose, on: frame}"


def _gauge(gauge: str, sender: str, path: str = TO_GAUGE) -> str:
    return with_part(GAUGE.format(gauge=gauge, sender=sender), (RIGHT, path))


OLDLOOM = [
    Trial(
        "sender needs its own return",
        "fault",
        "fuel sender",
        ("insulated return", "engine"),
        _gauge(PLAIN, "on: engine, insulated: yes"),
        _gauge(PLAIN, "on: engine, insulated: yes", f"{TO_GAUGE} > frame"),
    ),
    Trial(
        "sender needs its own return",
        "fault",
        "fuel sender",
        ("no way home",),
        _gauge(PLAIN, "on: engine, insulated: yes"),
        _gauge(PLAIN, "on: engine, insulated: no"),
    ),
    Trial(  # 240 to 33 ohm and 10 to 180 ohm are the two common sets (common practice)
        "sender does not match gauge",
        "fault",
        "fuel sender",
        ("10 to 180 ohm", "wants 240 to 33 ohm"),
        _gauge("range: 240 to 33 ohm", "on: engine, range: 10 to 180 ohm"),
        _gauge("range: 240 to 33 ohm", "on: engine, range: 240 ohm to 30 ohm"),
    ),
    Trial(
        "sender does not match gauge",
        "fault",
        "fuel sender",
        ("reads full when empty",),
        _gauge("range: 240 to 33 ohm", "on: engine, range: 33 to 240 ohm"),
        _gauge("range: 240 to 33 ohm", "on: engine"),
    ),
    Trial(
        "copper on aluminium",
        "advice",
        "frame",
        ("aluminium", "frame ground"),
        changed(("  frame: {}\n", "  frame: {metal: aluminium}\n")),
        changed(("  frame: {}\n", "  frame: {metal: steel}\n")),
    ),
    Trial(
        "clamp-on cable end",
        "fault",
        "engine > battery -",
        ("clamped-on end",),
        with_wires(KEPT.format(more=", ends: clamp-on")),
        with_wires(KEPT.format(more=", ends: crimped")),
    ),
    Trial(
        "wire without label",
        "advice",
        "engine > battery -",
        ("has no number",),
        with_wires(KEPT.format(more="")),
        with_wires(KEPT.format(more=", labels: yes")),
    ),
    Trial(
        "hidden parts not looked for",
        "advice",
        "engine > battery -",
        ("fusible link, breaker, diode",),
        with_wires(KEPT.format(more="")),
        changed(SEARCHED) + f"wires:\n  {KEPT.format(more='')}\n",
    ),
    Trial(
        "filaments share one bracket",
        "advice",
        "twin lamp",
        ("2 filaments", "frame"),
        with_part(TWO, (RIGHT, f"{RIGHT}, panel F5 > twin lamp 56a, panel F6 > twin lamp 56b")),
        with_part(TWO, (RIGHT, f"{RIGHT}, panel F5 > twin lamp 56a, panel F6 > twin lamp 56b/31 > frame")),
    ),
    Trial(
        "moving wire not fine-stranded",
        "advice",
        "box - nose",
        ("common GXL",),
        changed((NOSE_RUN, NOSE_RUN.replace("covering", "hinge: yes, covering"))),
        changed((NOSE_RUN, NOSE_RUN.replace("covering", "hinge: yes, strands: fine, covering"))),
    ),
    Trial(  # nothing lies over the hinge
        "moving wire not fine-stranded",
        "advice",
        "box - nose",
        ("common GXL",),
        changed((NOSE_RUN, NOSE_RUN.replace("covering", "hinge: yes, covering"))),
        changed(
            (NOSE_RUN, f"{NOSE_RUN}\n  - {{from: nose, to: tip, length: 1 m, zone: front, hinge: yes}}"),
            ("parts:\n", "places:\n  tip: {zone: front}\nparts:\n"),
        ),
    ),
]
