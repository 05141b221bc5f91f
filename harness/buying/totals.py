"""What buying by plan wastes, spool by spool and in all, beside naive buying."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import fsum

from harness.model.buying import BuyingTotal, Purchase

BY_LENGTH = ("wire", "heat-shrink", "covering")
ALL = "all"


def share(part: float, whole: float) -> float:
    """A part as a share of the whole, nothing of nothing."""
    return part / whole if whole else 0.0


def with_waste(line: Purchase) -> Purchase:
    """The same with its shares of waste, where it is cut to length and planned."""
    if line.group not in BY_LENGTH or line.note:
        return line
    naive_left = max(0.0, line.naive - line.need)
    return replace(line, waste=share(line.left, line.bought), naive_waste=share(naive_left, line.naive))


def _total(group: str, lines: Sequence[Purchase]) -> BuyingTotal:
    planned = [line for line in lines if not line.note]
    bought_m, naive_m = fsum(line.bought for line in planned), fsum(line.naive for line in planned)
    left_m = fsum(line.left for line in planned)
    naive_left_m = fsum(max(0.0, line.naive - line.need) for line in planned)
    return BuyingTotal(
        group, len(lines), len(lines) - len(planned), fsum(line.need for line in planned),
        fsum(line.from_shelf for line in planned), bought_m, left_m, share(left_m, bought_m),
        naive_m, naive_left_m, share(naive_left_m, naive_m),
    )  # fmt: skip


def buying_totals(plan: Sequence[Purchase]) -> list[BuyingTotal]:
    """One total for every group that is cut to length, then one of all; none where nothing is."""
    found = [
        _total(group, lines)
        for group in BY_LENGTH
        if (lines := [line for line in plan if line.group == group])
    ]
    every = [line for line in plan if line.group in BY_LENGTH]
    return [*found, _total(ALL, every)] if every else []
