"""Trials of the rules on couplers."""

from __future__ import annotations

from tests.rules.surveys import GOOD, changed
from tests.rules.trial import Trial

NOSE = "  - {from: box, to: nose, length: 2.0 m, zone: front, covering: corrugated}\n"
PARTED = (
    "  - {from: box, to: joint, length: 1.0 m, zone: front, covering: corrugated}\n"
    "  - {from: joint, to: nose, length: 1.0 m, zone: front, covering: corrugated}\n"
)


def coupled(words: str, *swaps: tuple[str, str]) -> str:
    """The good tractor with a coupler on the way to its two head lamps, whose grounds are in front of it."""
    part = f"parts:\n  nose plug: {{is: multi-way coupler, at: joint{words}}}\n"
    return changed((NOSE, PARTED), ("parts:\n", part), *swaps, text=GOOD)


HEATER = (
    "  nose heater: {is: intake heater, at: nose, power: 600 W}\n"
    "  heater fuse: {is: main fuse, at: box}\n"
    "modes:\n"
)
HEATER_PATH = (
    "  Nose heater:\n    works in: night\n    paths: [battery + > heater fuse > nose heater > frame]\n"
)

COUPLERS = [
    Trial(  # a live wire to each lamp
        "coupler is full",
        "fault",
        "nose plug",
        ("1 ways, all taken", "1 wire more crosses it"),
        coupled(", ways: 1"),
        coupled(", ways: 2"),
    ),
    Trial(  # 600 W on 12 V are 50 A, a contact carries 22 A
        "cable passes a coupler uncut",
        "advice",
        "heater fuse 2 > nose heater +",
        ("nose plug", "too thick for a contact"),
        coupled("", ("modes:\n", HEATER), ("  Left head lamp:\n", HEATER_PATH + "  Left head lamp:\n")),
        coupled(""),
    ),
]
