"""Trials of the rules on the ways of wires."""

from __future__ import annotations

from tests.rules.surveys import changed
from tests.rules.trial import Trial

NOSE = "  - {from: box, to: nose, length: 2.0 m, zone: front, covering: corrugated}\n"
RIGHT_RAIL = NOSE + "  - {from: dash, to: nose, length: 4.0 m, zone: front, covering: corrugated}\n"
LEFT = "  Left head lamp:\n    works in: night\n"

# two lamps beyond a fork: the splice belongs at the fork, and no part sits there
FORK = """
machine: {name: fork, voltage: 12 V, chassis post: negative}
zones: {deck: {ambient: 40 °C}}
runs:
  - {from: box, to: fork, length: 1 m, zone: deck, hinge: yes}
  - {from: fork, to: lamp post, length: 0.5 m, zone: deck, hole: 30 mm, plate: 2 mm}
  - {from: fork, to: mast, length: 0.2 m, zone: deck}
parts:
  battery: {is: battery, at: box, capacity: 70 Ah, cranking: 540 A}
  F1: {is: fuse, at: box}
  lamp one: {is: work lamp, at: lamp post, power: 55 W}
  lamp two: {is: work lamp, at: mast, power: 55 W}
  box ground: {is: ground point, at: box, on: frame}
circuits:
  Ground: {paths: [frame > battery -]}
  Lamp: {paths: ["battery + > F1 > (lamp one, lamp two) > frame"]}
"""

WAYS = [
    Trial(  # a lamp has blades, and a blade takes one push-on (common practice)
        "branch stays a splice",
        "advice",
        "S1",
        ("S1: lamp one + is a blade that takes 1, not 2",),
        FORK.replace("post: negative", "post: negative, joints: chain"),
        FORK,
    ),
    Trial(  # 100 mm clear at both ends, a sleeve of 65 mm whose middle lies on a centimetre: 272.5 mm
        "splice at a branch",
        "advice",
        "S1",
        ("stays at fork", "box - fork and fork - lamp post and fork - mast have no room"),
        FORK,
        FORK.replace("0.2 m", "0.28 m"),
    ),
    Trial(  # the block hangs on the box by one run: to the block and on would be there and back
        "forced way takes no wire",
        "advice",
        "Left head lamp",
        ("Left head lamp is to go through block",),
        changed((NOSE, RIGHT_RAIL), (LEFT, LEFT + "    via: block\n")),
        changed((NOSE, RIGHT_RAIL), (LEFT, LEFT + "    via: dash - nose\n")),
    ),
]
