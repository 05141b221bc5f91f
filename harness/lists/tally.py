"""Counting like things and asking for a few more than the count, as every list of materials has to."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TypeVar

from harness.model.spares import Extra

K = TypeVar("K")

FLOAT_NOISE_DIGITS = 9  # 70 times a tenth is 7, whatever floats make of it


def by_key(pairs: Iterable[tuple[K, str]]) -> dict[K, list[str]]:
    """Group names under their key, in the order met, so that the number of names is the count."""
    found: dict[K, list[str]] = {}
    for key, name in pairs:
        found.setdefault(key, []).append(name)
    return found


def once(names: Iterable[str]) -> list[str]:
    """Return the names without repeats, in the order met."""
    return list(dict.fromkeys(names))


def with_spares(count: int, extra: Extra) -> int:
    """Return ``count`` and the spares by a rule: some are lost or crimped badly.

    >>> with_spares(5, Extra(0.1, 2)), with_spares(41, Extra(0.1, 2))
    (7, 46)
    """
    return count + max(extra.least, math.ceil(round(count * extra.share, FLOAT_NOISE_DIGITS)))


def spare_words(extra: Extra) -> str:
    """Write a rule for spares and whose it is.

    >>> spare_words(Extra(0.1, 2)), spare_words(Extra(0.0, 3, assumed=False))
    ('10 % spare, at least 2: common practice (memory), assumed', '3 spare: as surveyed')
    """
    whose = "common practice (memory), assumed" if extra.assumed else "as surveyed"
    if not extra.share:
        return f"{extra.least or 'none'} spare: {whose}"
    least = f", at least {extra.least}" if extra.least else ""
    return f"{extra.share * 100:g} % spare{least}: {whose}"


def told(source: str, extra: Extra) -> str:
    """Write where a count comes from, and its spares unless custom has none of them."""
    silent = extra.assumed and not extra.share and not extra.least
    return source if silent else "; ".join(filter(None, (source, spare_words(extra))))


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
