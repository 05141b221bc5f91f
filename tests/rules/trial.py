"""What a trial of a rule is, and the pieces of the good survey that trials swap."""

from __future__ import annotations

from dataclasses import dataclass

from harness.model.design import Severity
from tests.rules.surveys import GOOD, changed


@dataclass(frozen=True)
class Trial:
    """One survey that breaks one rule; ``subject`` is a name, or a wire as `end > end`."""

    rule: str
    severity: Severity
    subject: str
    words: tuple[str, ...]  # each must stand in the text
    bad: str
    clean: str = GOOD  # the rule says nothing of this one


LEFT = "panel F3 > lamp switch > left head lamp > frame"
RIGHT = "panel F4 > right head lamp > frame"
ISOLATOR = "isolator: {is: isolator, at: box}"
RADIO = "radio: {is: radio, at: dash}"
PARTS = "parts:\n"
NO_STRAP = ("  Straps:\n    paths: [engine > frame]\n", "")
LAMP = "left head lamp: {is: lamp, at: nose, power: 35 W}"
TRIGGER = "panel F1 > key 30/50 > neutral switch > start relay 86/85 > engine"
DASH_RUN = "zone: dash, hole: 38 mm, plate: 2 mm, covering: corrugated}"
NOSE_RUN = "length: 2.0 m, zone: front, covering: corrugated}"
BLOCK_RUN = "length: 0.8 m, zone: bay, covering: corrugated}"


COUPLED = "cab battery: {is: battery, at: box, capacity: 100 Ah}\n  split relay: {is: heavy relay, at: box}"


def with_part(part: str, *swaps: tuple[str, str], text: str = GOOD) -> str:
    return changed((PARTS, f"{PARTS}  {part}\n"), *swaps, text=text)


def with_wires(*lines: str) -> str:
    return changed(text=GOOD) + "wires:\n" + "".join(f"  {line}\n" for line in lines)
