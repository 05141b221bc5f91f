"""Trials of the rules on the ways of wires."""

from __future__ import annotations

from tests.rules.surveys import changed
from tests.rules.trial import Trial

NOSE = "  - {from: box, to: nose, length: 2.0 m, zone: front, covering: corrugated}\n"
RIGHT_RAIL = NOSE + "  - {from: dash, to: nose, length: 4.0 m, zone: front, covering: corrugated}\n"
LEFT = "  Left head lamp:\n    works in: night\n"

WAYS = [
    Trial(  # the block hangs on the box by one run: to the block and on would be there and back
        "forced way takes no wire",
        "advice",
        "Left head lamp",
        ("Left head lamp is to go through block",),
        changed((NOSE, RIGHT_RAIL), (LEFT, LEFT + "    via: block\n")),
        changed((NOSE, RIGHT_RAIL), (LEFT, LEFT + "    via: dash - nose\n")),
    ),
]
