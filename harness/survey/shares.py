"""How the words for spares are read: "10 % at least 2", "3", "none", "1 in 10"."""

from __future__ import annotations

import re
from typing import Annotated

from pydantic import PlainValidator

from harness.model.limits import LIMITS
from harness.model.spares import Extra
from harness.survey.fields import reader, schema_of
from harness.survey.units import WrongQuantity, quantity, tidy, whole

MOST_EXTRA = LIMITS["extra pieces"].most
MOST_WIRES = LIMITS["spare wires"].most
EXAMPLES = ("10 % at least 2", "3", "none")

_LEAST = re.compile(r"(?:(?P<share>.*[^\s,])[\s,]+)?at least\s+(?P<least>\d+)", re.IGNORECASE | re.ASCII)
_PER = re.compile(r"(?:1|one)\s+(?:in|to|per)\s+(?P<wires>\d{1,4})", re.IGNORECASE | re.ASCII)
_COUNT = re.compile(r"(?P<count>\d+)(?:\s+of each)?", re.IGNORECASE | re.ASCII)


def _pieces(digits: str, shown: str) -> int:
    if len(digits) > 5 or int(digits) > MOST_EXTRA:
        raise WrongQuantity(f"{shown!r} is more than {MOST_EXTRA} pieces", "check the figure")
    return int(digits)


def extra(text: str) -> Extra:
    """Read how many more: "10 %", "10 % at least 2", "2", "none"; raises WrongQuantity for other words."""
    shown = tidy(text)
    if shown.lower() == "none":
        return Extra(0.0, 0, assumed=False)
    count = _COUNT.fullmatch(shown)
    if count is not None:
        return Extra(0.0, _pieces(count["count"], shown), assumed=False)
    least = _LEAST.fullmatch(shown)
    share = shown if least is None else least["share"]
    pieces = 0 if least is None else _pieces(least["least"], shown)
    if share is None:
        return Extra(0.0, pieces, assumed=False)
    try:
        return Extra(quantity("share", share) / 100, pieces, assumed=False)
    except WrongQuantity as wrong:
        raise WrongQuantity(wrong.what, f"write a share and a count, {EXAMPLES[0]}, or none") from None


ExtraField = Annotated[
    Extra, PlainValidator(reader(extra)), schema_of("how many more than are needed", EXAMPLES)
]


def per(text: str) -> int:
    """Read for how many wires there is a spare: "1 in 10", and 0 for "none"; raises WrongQuantity."""
    shown = tidy(text)
    if shown.lower() == "none":
        return 0
    found = _PER.fullmatch(shown)
    wires = int(found["wires"]) if found else 0
    if not 1 <= wires <= MOST_EXTRA:
        raise WrongQuantity(f"{shown!r} does not say for how many wires a spare is", "write 1 in 10, or none")
    return wires


def count(text: str) -> int:
    """Read how many spare wires; raises WrongQuantity."""
    shown = tidy(text)
    found = whole(shown, 1, MOST_WIRES)
    if found is None:
        raise WrongQuantity(f"{shown!r} is not a count of wires", f"write count: 2, {MOST_WIRES} at most")
    return found


PerField = Annotated[
    int, PlainValidator(reader(per)), schema_of("for how many wires a spare one is laid", ("1 in 10", "none"))
]
CountField = Annotated[int, PlainValidator(reader(count)), schema_of("how many", ("2",))]
