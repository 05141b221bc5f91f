"""Cutting stock: against every possible plan on small cases, a textbook case, and the laws of cutting."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harness.buying.cutting import CuttingPlan, Stock, TooLong, cutting_plan
from tests.published.recorder import Cells, beside, published


def least_cost(pieces: list[int], stocks: list[Stock]) -> int | None:
    """By trying every way: each piece into every opened roll, or into a new one of any kind."""
    best: list[int | None] = [None]
    pieces = sorted(pieces, reverse=True)

    def lay(at: int, room: list[int], used: Counter[str], cost: int) -> None:
        if best[0] is not None and cost >= best[0]:
            return
        if at == len(pieces):
            best[0] = cost
            return
        for index, left in enumerate(room):
            if left >= pieces[at] and left not in room[:index]:
                lay(at + 1, [*room[:index], left - pieces[at], *room[index + 1 :]], used, cost)
        for one in stocks:
            if one.length >= pieces[at] and (one.most is None or used[one.name] < one.most):
                lay(
                    at + 1, [*room, one.length - pieces[at]], used + Counter([one.name]), cost + one.cost
                )  # fmt: skip

    lay(0, [], Counter(), 0)
    return best[0]


def check_laws(plan: CuttingPlan, pieces: list[int]) -> None:
    cut = Counter(piece for each in plan.cuts for piece in each.pieces)
    assert cut == Counter(pieces)
    assert all(each.left >= 0 and each.pieces for each in plan.cuts)
    assert plan.cost == sum(each.stock.cost for each in plan.cuts)
    opened = Counter(each.stock.name for each in plan.cuts)
    for each in plan.cuts:
        assert each.stock.most is None or opened[each.stock.name] <= each.stock.most


@published(
    "a widely reprinted example of cutting", "13 widths, 219 pieces of 5600 mm", "memory", example=True
)
def test_a_textbook_case(cells: Cells) -> None:
    """The bound by length alone is 72.95, so 73 is also proven by arithmetic."""
    widths = (1380, 1520, 1560, 1710, 1820, 1880, 1930, 2000, 2050, 2100, 2140, 2150, 2200)
    counts = (22, 25, 12, 14, 18, 18, 20, 10, 12, 14, 16, 18, 20)
    pieces = [width for width, count in zip(widths, counts, strict=True) for _ in range(count)]
    assert -(-sum(pieces) // 5600) == 73
    plan = cutting_plan(pieces, [Stock("roll", 5600, 1)])
    check_laws(plan, pieces)
    cells.near("rolls", plan.cost, 73)
    assert plan.proven


def test_length_alone_would_do_but_the_pieces_do_not_fit() -> None:
    """Three of 600 need three rolls of 1000, although 1800 mm would fit in two."""
    plan = cutting_plan([600, 600, 600], [Stock("roll", 1000, 1)])
    assert plan.cost == 3
    assert plan.proven


def test_first_fit_is_beaten() -> None:
    """Longest first gives 7 | 6 3 | 5 4 | 2 of 10 (four rolls, worked by hand); 7 3 | 6 4 | 5 2 are three."""
    plan = cutting_plan([700, 600, 500, 400, 300, 200], [Stock("roll", 1000, 1)])
    assert plan.cost == 3
    assert plan.proven


def test_offcuts_are_used_before_a_roll_is_opened() -> None:
    plan = cutting_plan([900, 400], [Stock("offcut", 950, 0, 1), Stock("roll", 10_000, 10_000)])
    assert [each.stock.name for each in plan.cuts] == ["roll", "offcut"]
    assert plan.cost == 10_000
    short = cutting_plan([900], [Stock("offcut", 950, 0, 1), Stock("roll", 10_000, 10_000)])
    assert [each.stock.name for each in short.cuts] == ["offcut"]
    assert short.cost == 0


def test_a_piece_no_roll_holds() -> None:
    with pytest.raises(TooLong) as caught:
        cutting_plan([1200, 300], [Stock("stick", 1000, 1)])
    assert (caught.value.length, caught.value.longest) == (1200, 1000)


def test_too_few_offcuts() -> None:
    with pytest.raises(TooLong):
        cutting_plan([800, 800], [Stock("offcut", 1000, 1, 1)])


@pytest.mark.parametrize(
    ("pieces", "stocks"),
    [
        ([0], [Stock("a", 10, 1)]),
        ([-5], [Stock("a", 10, 1)]),
        ([5], [Stock("a", 0, 1)]),
        ([5], [Stock("a", 9, -1)]),
    ],
)
def test_lengths_and_costs_that_make_no_sense(pieces: list[int], stocks: list[Stock]) -> None:
    with pytest.raises(ValueError, match=r"must be above|may not cost"):
        cutting_plan(pieces, stocks)


@beside("every case", "pieces cut from rolls")
@given(
    pieces=st.lists(st.integers(1, 12).map(lambda one: one * 50), min_size=1, max_size=7),
    lengths=st.lists(st.integers(12, 24).map(lambda one: one * 50), min_size=1, max_size=2, unique=True),
    offcuts=st.lists(st.integers(2, 16).map(lambda one: one * 50), max_size=2),
    rate=st.integers(0, 3),
)
@settings(max_examples=120)
def test_no_plan_is_cheaper(pieces: list[int], lengths: list[int], offcuts: list[int], rate: int) -> None:
    stocks = [Stock(f"roll {length}", length, length + 100 * rate) for length in lengths]
    stocks += [Stock(f"offcut {at}", length, 0, 1) for at, length in enumerate(offcuts)]
    plan = cutting_plan(pieces, stocks)
    check_laws(plan, pieces)
    assert plan.cost == least_cost(pieces, stocks)
    assert plan.proven
