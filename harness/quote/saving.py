"""What wire costs by the metre in two designs of the same machines, where both have a price."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from harness.electric.prices import HEAVY_TYPES, PER_M, STEP, Prices
from harness.quote.result import money
from harness.quote.wares import to_cents


def _steps(wire: Mapping[str, Any], prices: Prices) -> int | None:
    """What a metre of a wire costs, battery cable too; None where no list has its cable and size."""
    for cable in (wire["cable"], *HEAVY_TYPES):
        for colour in (wire["colour"], ""):
            found = prices.steps.get((cable, wire["size"], colour))
            if found is not None:
                return found
    return None


def by_metre(
    pairs: Sequence[tuple[Mapping[str, Any], Mapping[str, Any]]], prices: Prices
) -> tuple[int, int, int, int]:
    """Cents of the wires in the one design and in the other, how many wires that is, and of how many.

    A wire is known by its number and its ends; what is kept costs nothing and is not counted. Colours that
    are not listed cost what the dearest of that size does.
    """
    sums, counted, of = [0, 0], 0, 0
    for one, other in pairs:
        there = {_name(wire): wire for wire in other["wires"] if not wire["kept"]}
        for wire in one["wires"]:
            if wire["kept"]:
                continue
            of += 1
            same = there.get(_name(wire))
            costs = [_steps(each, prices) if each is not None else None for each in (wire, same)]
            if same is None or costs[0] is None or costs[1] is None:
                continue
            counted += 1
            for at, (each, cost) in enumerate(zip((wire, same), costs, strict=True)):
                sums[at] += (cost or 0) * round(each["length_m"] * PER_M)
    first, second = (to_cents(Decimal(whole) * STEP / PER_M) for whole in sums)
    return first, second, counted, of


def _name(wire: Mapping[str, Any]) -> tuple[str, ...]:
    ends = (wire["from"], wire["to"])
    return (wire["number"], *(word for end in ends for word in (end["part"], end["terminal"])))


def metres_words(pairs: Sequence[tuple[Mapping[str, Any], Mapping[str, Any]]], prices: Prices) -> str:
    """The same in words; "" where no wire has a price both ways."""
    now, then, counted, of = by_metre(pairs, prices)
    if not counted:
        return ""
    whose = f"all {of} wires" if counted == of else f"{counted} of {of} wires, which have a price both ways"
    return f"the wire alone by the metre {money(then)}, as quoted {money(now)} ({whose})"
