"""The cheapest way to buy one thing alone, found by counting: quicker than a program, and as exact.

What is counted is a table of the least cents for so many pieces, ware by ware. Of lengths every choice of
rolls is looked at in the order of what it cannot go below, with as much cut to length beside it as the pieces
need.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from math import ceil, inf, prod

from harness.quote.fits import fits
from harness.quote.wares import Basket, Ware, Wish, line_cents

MOST_PIECES = 400  # of counted goods; beyond, the table takes longer than a program
MOST_CHOICES = 4_000  # of rolls


class NotDecided(Exception):
    """Too much to count, or a way to cut that was not decided: a program has to find it."""


def bought_alone(wish: Wish, wares: Sequence[Ware]) -> Basket:
    """The cheapest basket for one wish from these wares, without charges. Raises NotDecided."""
    counts = _lengths(wish, wares) if wish.pieces else _counted(wish, wares)
    if counts is None:
        return Basket({}, {}, {}, {}, (wish.key,), 0)
    by_id = {ware.id: ware for ware in wares}
    lines = {name: line_cents(by_id[name], count) for name, count in counts.items()}
    shares, left = {}, wish.quantity
    for name, count in counts.items():
        part = count if wish.pieces else min(left, count * by_id[name].amount)
        left -= part
        if part:
            shares[wish.key, name] = part
    return Basket(counts, shares, lines, {}, (), sum(lines.values()))


def _counted(wish: Wish, wares: Sequence[Ware]) -> dict[str, int] | None:
    """Sale units of each ware for so many pieces; None where there are not so many."""
    need = wish.quantity
    if need > MOST_PIECES:
        raise NotDecided
    best: list[tuple[float, dict[str, int]]] = [(0, {})] + [(inf, {})] * need
    for ware in wares:
        fresh = list(best)
        for count, cents in _choices(ware, ceil(need / ware.amount)):
            pieces = count * ware.amount
            for had in range(need):
                cost = best[had][0] + cents
                now = min(need, had + pieces)
                if cost < fresh[now][0]:
                    fresh[now] = (cost, {**best[had][1], ware.id: count})
        best = fresh
    return None if best[need][0] == inf else best[need][1]


def _choices(ware: Ware, enough: int, below: float = inf) -> list[tuple[int, int]]:
    """Counts worth buying and their cents: up to what is enough, and price breaks beyond; least count first.

    ``below``: what costs as much or more is left out.
    """
    first = ware.tiers[0].least
    counts = {*range(first, max(first, enough) + 1), *(tier.least for tier in ware.tiers)}
    most = inf if ware.most is None else ware.most
    priced = [(count, line_cents(ware, count)) for count in sorted(counts) if count <= most]
    return [(count, cents) for count, cents in priced if cents < below]


def _lengths(wish: Wish, wares: Sequence[Ware]) -> dict[str, int] | None:
    """Sale units of each ware that hold every piece whole; None where no piece of it can be had."""
    total, longest = sum(wish.pieces), max(wish.pieces)
    if not any(ware.to_length or ware.amount >= longest for ware in wares):
        return None
    below, best = inf, dict[str, int]()
    for ware in wares:
        for count, cents in _choices(ware, ceil(total / ware.amount) + len(wish.pieces)):
            if cents < below and _holds(wish.pieces, [(ware, count)]):
                below, best = cents, {ware.id: count}
    if not best:
        raise NotDecided  # only together, if at all
    cut = max(
        (ware for ware in wares if ware.to_length), key=lambda ware: ceil(total / ware.amount), default=None
    )
    rolls = [ware for ware in wares if ware is not cut]
    options = [
        [
            (0, 0),
            *_choices(ware, max(ceil(total / ware.amount), 0 if ware.to_length else len(wish.pieces)), below),
        ]
        for ware in rolls
    ]
    if prod(map(len, options)) > MOST_CHOICES:
        raise NotDecided
    lengths = _choices(cut, ceil(total / cut.amount), below) if cut is not None else []
    ways = []
    for choice in product(*options):
        cost = sum(cents for _, cents in choice)
        left = total - sum(ware.amount * count for ware, (count, _) in zip(rolls, choice, strict=True))
        least = cost if left <= 0 else cost + _least(lengths, left, cut)
        if least < below:
            ways.append((least, cost, choice))
    ways.sort(key=lambda way: way[0])
    for least, cost, choice in ways:
        if least >= below:
            break
        held = [(ware, count) for ware, (count, _) in zip(rolls, choice, strict=True) if count]
        beside: list[tuple[int, int]] = [(0, 0), *lengths] if cut is not None else [(0, 0)]
        for count, cents in sorted(beside, key=lambda one: one[1]):
            if cost + cents >= below:
                break
            taken = [*held, (cut, count)] if cut is not None and count else held
            if sum(ware.amount * n for ware, n in taken) >= total and _holds(wish.pieces, taken):
                below, best = cost + cents, {ware.id: n for ware, n in taken}
                break
    return {ware.id: best[ware.id] for ware in wares if ware.id in best}


def _least(lengths: Sequence[tuple[int, int]], left: int, cut: Ware | None) -> float:
    """The least that so much more cut to length comes to."""
    if cut is None:
        return inf
    return min((cents for count, cents in lengths if count * cut.amount >= left), default=inf)


def _holds(pieces: Sequence[int], taken: Sequence[tuple[Ware, int]]) -> bool:
    rooms: list[int] = []
    for ware, count in taken:
        rooms += [ware.amount * count] if ware.to_length else [ware.amount] * count
    held = fits(pieces, rooms)
    if held is None:
        raise NotDecided
    return held
