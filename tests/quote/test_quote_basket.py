"""The cheapest basket against every basket there is, counted out one by one, and against sums by hand."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harness.quote.basket import cheapest
from harness.quote.fits import fits
from harness.quote.single import NotDecided, bought_alone
from harness.quote.wares import Supplier, Tier, Ware, Wish, line_cents, shared_out, to_cents
from tests.published.recorder import beside


def ware(id_: str, supplier: str, amount: int, *tiers: tuple[int, str], **more: object) -> Ware:
    return Ware(id_, supplier, amount, tuple(Tier(least, Decimal(price)) for least, price in tiers), **more)  # type: ignore[arg-type]


def plain_fits(pieces: tuple[int, ...], rooms: tuple[int, ...]) -> bool:
    """Try every room for every piece."""
    if not pieces:
        return True
    return any(
        room >= pieces[0] and plain_fits(pieces[1:], (*rooms[:at], room - pieces[0], *rooms[at + 1 :]))
        for at, room in enumerate(rooms)
    )


def _served(wishes: list[Wish], wares: dict[str, Ware], counts: dict[str, int]) -> bool:
    """Whether so many sale units serve every wish, by trying every way to share them out."""
    if not wishes:
        return True
    wish, rest = wishes[0], wishes[1:]
    mine = [name for name in wish.wares if counts.get(name)]
    if wish.pieces:
        for taken in product(*(range(counts[name] + 1) for name in mine)):
            rooms: list[int] = []
            for name, count in zip(mine, taken, strict=True):
                one = wares[name]
                rooms += [one.amount * count] if one.to_length else [one.amount] * count
            if plain_fits(wish.pieces, tuple(rooms)):
                left = {**counts, **{name: counts[name] - n for name, n in zip(mine, taken, strict=True)}}
                if _served(rest, wares, left):
                    return True
        return False
    # Counted goods: packs may be shared, so look at pieces of all counted wishes together (Hall's condition).
    counted = [one for one in wishes if not one.pieces]
    for picks in product((False, True), repeat=len(counted)):
        group = [one for one, pick in zip(counted, picks, strict=True) if pick]
        reach = {name for one in group for name in one.wares}
        if sum(one.quantity for one in group) > sum(wares[n].amount * counts.get(n, 0) for n in reach):
            return False
    return True


def every_basket(wishes: list[Wish], wares: list[Ware], suppliers: list[Supplier], most: int) -> int | None:
    """Least cents of all baskets with up to ``most`` of each ware, None where none serves."""
    named = {one.id: one for one in wares}
    ordered = sorted(wishes, key=lambda wish: not wish.pieces)
    best: int | None = None
    ranges = [range(min(most, most if one.most is None else one.most) + 1) for one in wares]
    for taken in product(*ranges):
        counts = {one.id: count for one, count in zip(wares, taken, strict=True) if count}
        if any(count < named[name].tiers[0].least for name, count in counts.items()):
            continue
        cents = 0
        fine = True
        for one in suppliers:
            goods = sum(line_cents(named[n], c) for n, c in counts.items() if named[n].supplier == one.name)
            used = any(named[name].supplier == one.name for name in counts)
            fine = fine and (not used or goods >= one.least_cents)
            cents += goods + (one.charge_cents if used else 0)
        if fine and (best is None or cents < best) and _served(ordered, named, counts):
            best = cents
    return best


def _paid(counts: dict[str, int], wares: list[Ware], suppliers: list[Supplier]) -> int:
    named = {one.id: one for one in wares}
    used = {named[name].supplier for name in counts}
    goods = sum(line_cents(named[name], count) for name, count in counts.items())
    return goods + sum(one.charge_cents for one in suppliers if one.name in used)


PRICES = st.sampled_from(["0.04", "0.125", "0.333", "1", "1.35", "2.5", "7", "0.0075"])


@st.composite
def shops(draw: st.DrawFn) -> tuple[list[Wish], list[Ware], list[Supplier]]:
    suppliers = [
        Supplier(
            name,
            draw(st.sampled_from([0, 45, 150, 800])),
            draw(st.sampled_from([0, 0, 0, 300])) if name == "A" else 0,
        )
        for name in "AB"
    ]
    wares = []
    for at in range(draw(st.integers(2, 4))):
        first = draw(st.sampled_from([1, 1, 1, 2]))
        tiers = [Tier(first, Decimal(draw(PRICES)))]
        if draw(st.booleans()):
            tiers.append(Tier(first + draw(st.integers(1, 3)), Decimal(draw(PRICES))))
        wares.append(
            Ware(
                f"w{at}", draw(st.sampled_from("AB")), draw(st.sampled_from([1, 2, 3, 5, 7])), tuple(tiers),
                to_length=draw(st.booleans()), most=draw(st.sampled_from([None, None, 1, 3])),
            )
        )  # fmt: skip
    wishes = []
    ids = [one.id for one in wares]
    for at in range(draw(st.integers(1, 2))):
        mine = tuple(draw(st.lists(st.sampled_from(ids), min_size=1, max_size=3, unique=True)))
        if draw(st.booleans()):
            wishes.append(
                Wish(f"n{at}", mine, pieces=tuple(draw(st.lists(st.integers(1, 5), min_size=1, max_size=4))))
            )
        else:
            wishes.append(Wish(f"n{at}", mine, quantity=draw(st.integers(1, 8))))
    return wishes, wares, suppliers


@beside("every case", "the cheapest basket")
@settings(max_examples=120)
@given(shops())
def test_no_basket_of_all_there_are_is_cheaper(shop: tuple[list[Wish], list[Ware], list[Supplier]]) -> None:
    wishes, wares, suppliers = shop
    # Money is limited to small baskets: beyond eight of each nothing can be the cheapest but to reach the
    # least an order must come to, which is compared only where the program stays within eight as well.
    found = cheapest(wishes, wares, suppliers)
    best = every_basket(wishes, wares, suppliers, 8)
    if found.missing:
        assert best is None
        return
    if max(found.counts.values()) <= 8:
        assert best == found.cents
    else:
        assert best is None or found.cents <= best
    assert found.cents == _paid(dict(found.counts), wares, suppliers)
    assert found.proven
    named = {one.id: one for one in wares}
    assert _served(sorted(wishes, key=lambda wish: not wish.pieces), named, dict(found.counts))


@beside("every case", "the cheapest basket")
@settings(max_examples=150)
@given(shops())
def test_one_wish_counted_out_is_the_cheapest_there_is(
    shop: tuple[list[Wish], list[Ware], list[Supplier]],
) -> None:
    wish, wares = shop[0][0], [one for one in shop[1] if one.id in shop[0][0].wares]
    free = [Supplier("A"), Supplier("B")]
    try:
        found = bought_alone(wish, wares)
    except NotDecided:
        assert wish.pieces  # only where no single ware holds the pieces
        return
    best = every_basket([wish], wares, free, 8)
    assert best == (None if found.missing else found.cents)
    if not found.missing:
        assert found.cents == _paid(dict(found.counts), wares, free)
        assert _served([wish], {one.id: one for one in wares}, dict(found.counts))


@beside("every case", "pieces cut from rolls")
@given(st.lists(st.integers(1, 9), max_size=6), st.lists(st.integers(1, 14), max_size=3))
def test_pieces_fit_where_trying_every_place_finds_one(pieces: list[int], rooms: list[int]) -> None:
    assert fits(pieces, rooms) is plain_fits(tuple(sorted(pieces, reverse=True)), tuple(rooms))


def test_a_price_break_holds_for_the_whole_quantity() -> None:
    """10 at 0.90 is 9.00; 9 at 1.10 would be 9.90, so the tenth comes for less than nothing."""
    found = cheapest(
        [Wish("lug", ("l",), 9)], [ware("l", "A", 1, (1, "1.10"), (10, "0.90"))], [Supplier("A")]
    )
    assert (found.counts, found.cents, found.proven) == ({"l": 10}, 900, True)


def test_an_order_charge_is_paid_only_where_the_second_counter_earns_it() -> None:
    wares = [ware("a1", "A", 1, (1, "5")), ware("a2", "A", 1, (1, "5")), ware("b2", "B", 1, (1, "1"))]
    wishes = [Wish("one", ("a1",), 1), Wish("two", ("a2", "b2"), 1)]
    near = cheapest(wishes, wares, [Supplier("A", 300), Supplier("B", 500)])
    assert (near.counts, near.cents) == ({"a1": 1, "a2": 1}, 1300)
    far = cheapest(wishes, wares, [Supplier("A", 300), Supplier("B", 399)])
    assert (far.counts, far.cents) == ({"a1": 1, "b2": 1}, 1299)


def test_two_pieces_of_six_do_not_come_out_of_one_roll_of_ten_and_one_of_two() -> None:
    """12 in all would be enough by length: nothing is joined."""
    wares = [ware("ten", "A", 10, (1, "1")), ware("two", "A", 2, (1, "0.10"))]
    found = cheapest([Wish("wire", ("ten", "two"), pieces=(6, 6))], wares, [Supplier("A")])
    assert (found.counts, found.cents) == ({"ten": 2}, 200)


def test_rolls_that_hold_the_length_but_not_the_pieces_are_ruled_out() -> None:
    """27 both times: 5+4 fills three rolls of 9; beside a 5 goes one 3, and the fourth 3 opens another."""
    wares = [ware("nine", "A", 9, (1, "1"))]
    three = cheapest([Wish("wire", ("nine",), pieces=(5, 5, 5, 4, 4, 4))], wares, [Supplier("A")])
    assert three.counts == {"nine": 3}
    four = cheapest([Wish("wire", ("nine",), pieces=(5, 5, 5, 3, 3, 3, 3))], wares, [Supplier("A")])
    assert (four.counts, four.proven) == ({"nine": 4}, True)


def test_what_is_not_in_stock_is_missing_and_the_rest_is_bought() -> None:
    wares = [ware("a", "A", 1, (1, "1"), most=2), ware("b", "A", 1, (1, "1"))]
    found = cheapest([Wish("x", ("a",), 3), Wish("y", ("b",), 1), Wish("z", (), 1)], wares, [Supplier("A")])
    assert (found.missing, found.counts, found.cents) == (("x", "z"), {"b": 1}, 100)


def test_a_small_order_is_filled_up_to_the_least_that_is_taken() -> None:
    wares = [ware("a", "A", 1, (1, "0.70"))]
    found = cheapest([Wish("x", ("a",), 1)], wares, [Supplier("A", 0, 200)])
    assert (found.counts, found.cents) == ({"a": 3}, 210)


def test_parts_of_a_cent_are_rounded_half_up_line_by_line() -> None:
    """3 x 0.125 = 0.375 -> 0.38; 0.005 -> 0.01 (by hand)."""
    one = ware("a", "A", 1, (1, "0.125"))
    assert [line_cents(one, count) for count in (1, 2, 3, 4)] == [13, 25, 38, 50]
    assert to_cents(Decimal("0.005")) == 1
    assert cheapest([Wish("x", ("a",), 3)], [one], [Supplier("A")]).cents == 38


def test_packs_are_shared_between_wishes() -> None:
    """7 and 3 are ten: one pack serves both."""
    found = cheapest(
        [Wish("x", ("p",), 7), Wish("y", ("p",), 3)], [ware("p", "A", 10, (1, "4"))], [Supplier("A")]
    )
    assert (found.counts, found.shares) == ({"p": 1}, {("x", "p"): 7, ("y", "p"): 3})


@given(st.integers(0, 10_000), st.dictionaries(st.sampled_from("abcdef"), st.integers(0, 50), min_size=1))
def test_shares_add_up_to_the_total_and_miss_their_part_by_less_than_a_cent(
    total: int, weights: dict[str, int]
) -> None:
    found = shared_out(total, weights)
    assert sum(found.values()) == total
    whole = sum(weights.values())
    if whole:
        assert all(abs(found[name] - total * weight / whole) < 1 for name, weight in weights.items())


def test_the_same_shop_gives_the_same_basket() -> None:
    wares = [ware(f"w{at}", "AB"[at % 2], 1 + at % 3, (1, "1.5"), (4, "1.2")) for at in range(12)]
    wishes = [Wish(f"n{at}", (f"w{at}", f"w{(at + 5) % 12}"), 3 + at) for at in range(12)]
    suppliers = [Supplier("A", 100), Supplier("B", 250)]
    assert cheapest(wishes, wares, suppliers) == cheapest(
        list(wishes), [replace(one) for one in wares], suppliers
    )


def test_a_ware_below_its_least_is_no_price() -> None:
    with pytest.raises(ValueError, match="not sold below 5"):
        line_cents(ware("a", "A", 1, (5, "1")), 4)
