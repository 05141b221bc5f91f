"""Counting like things and asking for a few more than the count, as every list of materials has to."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TypeVar

K = TypeVar("K")

SPARE_SHARE = 0.10
SPARE_LEAST = 2
SPARE_SOURCE = "10 % spare, at least 2: common practice (memory)"


def by_key(pairs: Iterable[tuple[K, str]]) -> dict[K, list[str]]:
    """Group names under their key, in the order met, so that the number of names is the count."""
    found: dict[K, list[str]] = {}
    for key, name in pairs:
        found.setdefault(key, []).append(name)
    return found


def once(names: Iterable[str]) -> list[str]:
    """Return the names without repeats, in the order met."""
    return list(dict.fromkeys(names))


def with_spares(count: int) -> int:
    """Return ``count`` and a tenth more, at least two more: some are lost or crimped badly.

    >>> with_spares(5), with_spares(41)
    (7, 46)
    """
    return count + max(SPARE_LEAST, math.ceil(count * SPARE_SHARE))


def span(values: Sequence[float], unit: str) -> str:
    """Write the range of some values: "40 mm" or "30 to 55 mm".

    >>> span([30.0, 55.0, 40.0], "mm")
    '30 to 55 mm'
    """
    low, high = min(values), max(values)
    return f"{low:g} {unit}" if low == high else f"{low:g} to {high:g} {unit}"


def count_of(number: int, noun: str) -> str:
    """Write a count with its noun.

    >>> count_of(1, "piece"), count_of(3, "piece")
    ('1 piece', '3 pieces')
    """
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
