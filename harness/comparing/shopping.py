"""What there is to buy for a change, and what is left over and goes back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from harness.comparing.change import Goods
from harness.model.design import Material

Key = tuple[str, str, str, str, str]

LEAST_M = 0.05  # of wire or sleeving; a piece shorter than a hand is no reason to go to the counter


ORDER = (
    "wire", "terminals", "splices", "heat-shrink", "grommets", "covering", "ties", "clamps", "labels",
    "fuses", "relays", "holders", "other",
)  # fmt: skip
COUNTED_IN_SIZE = ("heat-shrink", "covering")  # their size says how many pieces there are, so it is left out


def _size(material: Material) -> str:
    return "" if material.group in COUNTED_IN_SIZE else material.size


def _key(material: Material) -> Key:
    return material.group, material.item, _size(material), material.colour, material.unit


def _sums(materials: Sequence[Material]) -> dict[Key, Goods]:
    found: dict[Key, Goods] = {}
    for each in materials:
        before = found.get(_key(each), Goods(each.item, _size(each), each.colour, 0.0, each.unit))
        found[_key(each)] = replace(before, amount=before.amount + each.with_waste)
    return found


def goods(old: Sequence[Material], new: Sequence[Material]) -> tuple[tuple[Goods, ...], tuple[Goods, ...]]:
    """What the new design needs more than the old, and what it needs less."""
    before, after = _sums(old), _sums(new)
    buy, back = [], []
    for key in sorted({*before, *after}, key=lambda key: (ORDER.index(key[0]), key)):
        known = after.get(key) or before[key]
        had = before[key].amount if key in before else 0.0
        needs = after[key].amount if key in after else 0.0
        least = LEAST_M if known.unit == "m" else 1e-6
        if needs - had > least:
            buy.append(replace(known, amount=round(needs - had, 2)))
        elif had - needs > least:
            back.append(replace(known, amount=round(had - needs, 2)))
    return tuple(buy), tuple(back)
