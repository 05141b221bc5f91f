"""The cheapest basket: one integer program over suppliers, packs, price breaks and lengths to cut.

Counts are whole sale units, money is whole cents. A price break holds for the whole quantity. A line whose
price has parts of a cent is rounded half up inside the program, so that what is proven is what is paid.
Pieces of wire are not joined: the program knows lengths only in sum and by how many pieces a roll can hold at
most; where its rolls do not hold the pieces, that choice and every smaller one is ruled out and it is
solved again (logic-based Benders cuts; Hooker and Ottosson 2003, memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import combinations
from math import ceil, floor, inf

import numpy as np

from harness.quote.fits import fits
from harness.quote.single import NotDecided, bought_alone
from harness.quote.wares import Basket, Supplier, Ware, Wish, cents_each, line_cents

MOST_ROUNDS = 60  # of ruling out rolls that do not hold the pieces
MOST_BRANCHES = 200_000  # a count and no clock, so that every computer finds the same
MOST_BRANCHES_TOGETHER = 20  # where all wishes are one program, each branch takes long
MOST_SUPPLIERS = 6  # every set of them is looked at: 63
TOLERANCE = 1e-6


class TooManySuppliers(Exception):
    """More suppliers than sets of them can be looked at."""


@dataclass
class _Rows:
    """Columns and rows of a program as they grow."""

    cost: list[float] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    rows: list[tuple[dict[int, float], float, float]] = field(default_factory=list)

    def column(self, *, high: float, cost: float = 0.0, low: float = 0.0, whole: bool = True) -> int:
        self.cost.append(cost)
        self.low.append(low)
        self.high.append(high)
        self.whole.append(int(whole))
        return len(self.cost) - 1

    def row(self, values: Mapping[int, float], *, low: float = -inf, high: float = inf) -> None:
        self.rows.append((dict(values), low, high))


@dataclass
class _Model:
    """A program with the columns that mean something."""

    grid: _Rows
    taken: dict[str, dict[int, float]]  # ware -> its sale units, as a sum of columns
    cut: dict[tuple[str, str], int]  # wish and ware, of lengths -> column of sale units
    given: dict[tuple[str, str], int]  # wish and ware, of pieces -> column of pieces
    missed: dict[str, int]  # wish -> column: cannot be had


def _most(ware: Ware, wishes: Sequence[Wish], supplier: Supplier) -> int:
    """More sale units than any cheapest basket takes of a ware."""
    need = sum(sum(wish.pieces) or wish.quantity for wish in wishes)
    pieces = sum(len(wish.pieces) for wish in wishes)
    most = ceil(need / ware.amount) + sum(ware.tiers[0].least for _ in wishes)
    if pieces and not ware.to_length:
        most = max(most, pieces)
    most = max(most, *(tier.least for tier in ware.tiers))
    if supplier.least_cents:
        cheapest = min(cents_each(tier.price) for tier in ware.tiers)
        most += ceil(supplier.least_cents / cheapest) if cheapest else 0
    return most if ware.most is None else min(most, ware.most)


def _priced(grid: _Rows, ware: Ware, most: int, ordered: int) -> tuple[dict[int, float], dict[int, float]]:
    """Columns of a ware's count, and of its cents; the objective holds the cents already."""
    counted: dict[int, float] = {}
    money: dict[int, float] = {}
    chosen: dict[int, float] = {}
    tiers = [tier for tier in ware.tiers if tier.least <= most]
    for at, tier in enumerate(tiers):
        top = min(most, tiers[at + 1].least - 1) if at + 1 < len(tiers) else most
        if top < tier.least:
            continue
        each = cents_each(tier.price)
        exact = each.denominator == 1
        column = grid.column(high=top, cost=float(each) if exact else 0.0)
        counted[column] = 1.0
        if len(tiers) > 1 or tier.least > 1:
            on = grid.column(high=1)
            chosen[on] = 1.0
            grid.row({column: 1.0, on: -float(tier.least)}, low=0.0)
            grid.row({column: 1.0, on: -float(top)}, high=0.0)
        if exact:
            money[column] = float(each)
        else:  # the nearest whole cent, a half upward: r - 1/2 <= p x < r + 1/2
            cents = grid.column(high=ceil(each * top) + 1, cost=1.0)
            step = 1 / (2 * each.denominator)
            grid.row({cents: 1.0, column: -float(each)}, low=-0.5 + step, high=0.5)
            money[cents] = 1.0
    if chosen:
        grid.row({**chosen, ordered: -1.0}, high=0.0)
    else:
        grid.row({**counted, ordered: -float(most)}, high=0.0)
    return counted, money


def _model(wishes: Sequence[Wish], wares: Mapping[str, Ware], suppliers: Sequence[Supplier]) -> _Model:
    grid = _Rows()
    ordered = {one.name: grid.column(high=1, cost=float(one.charge_cents)) for one in suppliers}
    terms = {one.name: one for one in suppliers}
    serving: dict[str, list[Wish]] = {}
    for wish in wishes:
        for name in wish.wares:
            if wares[name].supplier in ordered:
                serving.setdefault(name, []).append(wish)
    model = _Model(grid, {}, {}, {}, {wish.key: grid.column(high=1) for wish in wishes})
    spent: dict[str, dict[int, float]] = {one.name: {} for one in suppliers}
    for name, served in serving.items():
        ware = wares[name]
        most = _most(ware, served, terms[ware.supplier])
        if most < ware.tiers[0].least:
            continue
        counted, money = _priced(grid, ware, most, ordered[ware.supplier])
        model.taken[name] = counted
        spent[ware.supplier].update(money)
        held = {column: -float(ware.amount) * share for column, share in counted.items()}
        for wish in served:
            if wish.pieces:
                model.cut[wish.key, name] = grid.column(high=most)
                held[model.cut[wish.key, name]] = float(ware.amount)
            else:
                model.given[wish.key, name] = grid.column(high=wish.quantity, whole=len(served) > 1)
                held[model.given[wish.key, name]] = 1.0
        grid.row(held, high=0.0)
    for one in suppliers:
        if one.least_cents:
            grid.row({**spent[one.name], ordered[one.name]: -float(one.least_cents)}, low=0.0)
    for wish in wishes:
        _served(model, wish, wares)
    return model


def _served(model: _Model, wish: Wish, wares: Mapping[str, Ware]) -> None:
    """A wish is served whole, or marked as missing."""
    missed = model.missed[wish.key]
    if not wish.pieces:
        given = {model.given[wish.key, name]: 1.0 for name in wish.wares if (wish.key, name) in model.given}
        model.grid.row({**given, missed: float(wish.quantity)}, low=float(wish.quantity))
        return
    mine = {name: model.cut[wish.key, name] for name in wish.wares if (wish.key, name) in model.cut}
    total = sum(wish.pieces)
    lengths = {column: wares[name].amount / total for name, column in mine.items()}
    model.grid.row({**lengths, missed: 1.0}, low=1.0)
    for piece in sorted(set(wish.pieces)):
        # Every piece at least this long takes a place of its own in what it is cut from.
        count = sum(other >= piece for other in wish.pieces)
        places = {
            column: (wares[name].amount / piece if wares[name].to_length else wares[name].amount // piece)
            / count
            for name, column in mine.items()
        }
        model.grid.row({**places, missed: 1.0}, low=1.0)


@dataclass(frozen=True, slots=True)
class _Answer:
    values: tuple[float, ...]
    bound: float


def _solved(grid: _Rows, cost: Sequence[float], branches: int) -> _Answer | None:
    from scipy.optimize import Bounds, LinearConstraint, milp  # slow to import
    from scipy.sparse import csr_matrix

    at, columns, values = [], [], []
    for index, (entries, _, _) in enumerate(grid.rows):
        for column, value in entries.items():
            at.append(index)
            columns.append(column)
            values.append(value)
    matrix = csr_matrix((values, (at, columns)), shape=(len(grid.rows), len(grid.cost)))
    found = milp(
        np.array(cost),
        constraints=LinearConstraint(
            matrix, np.array([row[1] for row in grid.rows]), np.array([row[2] for row in grid.rows])
        ),
        integrality=np.array(grid.whole),
        bounds=Bounds(np.array(grid.low), np.array(grid.high)),
        options={"mip_rel_gap": 0.0, "node_limit": branches},
    )
    if found.x is None:
        return None
    proved = found.mip_dual_bound
    return _Answer(tuple(float(one) for one in found.x), -inf if proved is None else float(proved))


def _lengths(wares: Mapping[str, Ware], counts: Mapping[str, int]) -> list[int]:
    """What there is to cut from, when so many of each ware are taken."""
    found = []
    for name, count in counts.items():
        ware = wares[name]
        found += [ware.amount * count] if ware.to_length and count else [ware.amount] * count
    return found


def _rule_out(model: _Model, wish: Wish, wares: Mapping[str, Ware], counts: Mapping[str, int]) -> None:
    """More of something than in this choice, which does not hold the pieces; as much more as still fails."""
    tops = {name: int(model.grid.high[model.cut[wish.key, name]]) for name in counts}
    fullest = dict(counts)
    for name in fullest:
        step = max(1, tops[name] // 4)
        while step:
            more = min(tops[name], fullest[name] + step)
            if more > fullest[name] and (
                fits(wish.pieces, _lengths(wares, {**fullest, name: more})) is False
            ):
                fullest[name] = more
            else:
                step //= 2
    grid = model.grid
    ways = {}
    for name, count in fullest.items():
        if count >= tops[name]:
            continue
        more_of = grid.column(high=1)
        grid.row({model.cut[wish.key, name]: 1.0, more_of: -float(count + 1)}, low=0.0)
        ways[more_of] = 1.0
    grid.row({**ways, model.missed[wish.key]: 1.0}, low=1.0)


def _together(
    wishes: Sequence[Wish], wares: Mapping[str, Ware], suppliers: Sequence[Supplier], branches: int
) -> Basket:
    """The cheapest basket by one program over everything given."""
    model = _model(wishes, wares, suppliers)
    grid = model.grid
    checked = True
    for rounds in range(1, MOST_ROUNDS + 1):
        answer = _least_missing(model, branches)
        undecided = _ruled(model, wishes, wares, answer)
        if undecided is None:
            return _basket(model, wishes, wares, suppliers, answer, checked=checked, rounds=rounds)
        checked = checked and not undecided
    for wish in wishes:  # never yet met: what still does not hold its pieces is said to be missing
        if wish.pieces:
            grid.low[model.missed[wish.key]] = 1.0
    answer = _least_missing(model, branches)
    return _basket(model, wishes, wares, suppliers, answer, checked=False, rounds=MOST_ROUNDS)


@lru_cache(maxsize=50_000)  # one quote asks for the same few wishes again and again, from other suppliers
def _alone(wishes: tuple[Wish, ...], wares: tuple[Ware, ...], suppliers: tuple[str, ...]) -> Basket:
    """The cheapest basket of a few wishes once it is settled whom to order from: no charges, no least."""
    by_id = {ware.id: ware for ware in wares}
    asked = [replace(one, wares=tuple(name for name in one.wares if name in by_id)) for one in wishes]
    if len(asked) == 1:
        try:
            return bought_alone(asked[0], wares)
        except NotDecided:
            pass
    return _together(asked, by_id, [Supplier(name) for name in suppliers], MOST_BRANCHES)


def _groups(wishes: Sequence[Wish], wares: Mapping[str, Ware]) -> list[list[Wish]]:
    """Wishes that share a ware, directly or through others, stay together."""
    head: dict[str, str] = {}

    def root(name: str) -> str:
        while head.get(name, name) != name:
            name = head[name]
        return name

    for wish in wishes:
        own = f"wish {wish.key}"
        head.setdefault(own, own)
        for name in wish.wares:
            if name in wares:
                head.setdefault(f"ware {name}", f"ware {name}")
                head[root(f"ware {name}")] = root(own)
    found: dict[str, list[Wish]] = {}
    for wish in wishes:
        found.setdefault(root(f"wish {wish.key}"), []).append(wish)
    return list(found.values())


def _joined(parts: Sequence[Basket], suppliers: Sequence[Supplier], wares: Mapping[str, Ware]) -> Basket:
    """One basket of several that share nothing, with the charges of the orders it takes."""
    lines = {name: cents for part in parts for name, cents in part.line_cents.items()}
    used = {wares[name].supplier for name in lines}
    charges = {one.name: one.charge_cents for one in suppliers if one.name in used}
    return Basket(
        {name: count for part in parts for name, count in part.counts.items()},
        {pair: count for part in parts for pair, count in part.shares.items()},
        lines,
        charges,
        tuple(key for part in parts for key in part.missing),
        sum(part.bound_cents for part in parts) + sum(one.charge_cents for one in suppliers),
        all(part.checked for part in parts),
        max((part.rounds for part in parts), default=1),
    )


def _reaches_least(basket: Basket, suppliers: Sequence[Supplier], wares: Mapping[str, Ware]) -> bool:
    goods = dict.fromkeys((one.name for one in suppliers), 0)
    for name, cents in basket.line_cents.items():
        goods[wares[name].supplier] += cents
    return all(goods[one.name] >= one.least_cents or one.name not in basket.charges for one in suppliers)


def cheapest(wishes: Sequence[Wish], wares: Sequence[Ware], suppliers: Sequence[Supplier]) -> Basket:
    """The basket of least cents, order charges counted, without tax, from these suppliers.

    As few wishes as possible are missing; among such baskets the cheapest. ``wares`` of other suppliers are
    not looked at. Once it is settled whom to order from, wishes that share no ware have nothing to do with
    each other, so that every set of suppliers is many small programs, put in order of what it cannot go
    below; only where an order does not reach its least amount they are solved together. Raises
    TooManySuppliers.
    """
    if len(suppliers) > MOST_SUPPLIERS:
        raise TooManySuppliers(f"{len(suppliers)} suppliers at once; at most {MOST_SUPPLIERS}")
    names = {one.name for one in suppliers}
    by_id = {ware.id: ware for ware in wares if ware.supplier in names}
    wishes = [replace(wish, wares=tuple(name for name in wish.wares if name in by_id)) for wish in wishes]
    groups = _groups(wishes, by_id)
    solved: dict[tuple[int, frozenset[str]], Basket] = {}

    def part(at: int, chosen: frozenset[str]) -> Basket:
        theirs = frozenset(by_id[name].supplier for wish in groups[at] for name in wish.wares)
        key = (at, theirs & chosen)
        if key not in solved:
            served = dict.fromkeys(name for wish in groups[at] for name in wish.wares)
            mine = tuple(by_id[name] for name in served if by_id[name].supplier in key[1])
            names = tuple(one.name for one in suppliers if one.name in key[1])
            solved[key] = _alone(tuple(groups[at]), mine, names)
        return solved[key]

    plain = []
    for size in range(1, len(suppliers) + 1):
        for some in combinations(suppliers, size):
            chosen = frozenset(one.name for one in some)
            plain.append((_joined([part(at, chosen) for at in range(len(groups))], some, by_id), some))
    plain.sort(key=lambda pair: (len(pair[0].missing), pair[0].bound_cents))
    best: Basket | None = None
    floors: list[tuple[int, int]] = []  # what each set of suppliers cannot go below: missing, cents
    for basket, some in plain:
        found = basket
        if best is None or _floor(basket) < (len(best.missing), best.cents):
            if not _reaches_least(basket, some, by_id):
                found = _together(wishes, by_id, some, MOST_BRANCHES_TOGETHER)
            if best is None or (len(found.missing), found.cents) < (len(best.missing), best.cents):
                best = found
        floors.append(_floor(found))
    if best is None:
        return Basket({}, {}, {}, {}, tuple(wish.key for wish in wishes), 0)
    return replace(best, bound_cents=min(floors)[1])


def _floor(basket: Basket) -> tuple[int, int]:
    return len(basket.missing), basket.bound_cents


def _least_missing(model: _Model, branches: int) -> _Answer:
    """The cheapest answer among those that miss least; the bound holds for those."""
    grid = model.grid
    most = dict.fromkeys(model.missed.values(), 1.0)
    grid.row(most, high=sum(grid.low[column] for column in most))
    answer = _solved(grid, grid.cost, branches)
    grid.rows.pop()
    if answer is None:
        fewest = _solved(grid, [most.get(at, 0.0) for at in range(len(grid.cost))], branches)
        assert fewest is not None  # missing all of them is always an answer
        grid.row(most, high=float(round(sum(fewest.values[column] for column in most))))
        answer = _solved(grid, grid.cost, branches)
        grid.rows.pop()
        assert answer is not None
    return answer


def _counts(model: _Model, wish: Wish, answer: _Answer) -> dict[str, int]:
    return {
        name: round(answer.values[model.cut[wish.key, name]])
        for name in wish.wares
        if (wish.key, name) in model.cut
    }


def _ruled(model: _Model, wishes: Sequence[Wish], wares: Mapping[str, Ware], answer: _Answer) -> bool | None:
    """None when every wish can be cut; else what cannot is ruled out, and whether that was a guess."""
    again, guessed = False, False
    for wish in wishes:
        if not wish.pieces or answer.values[model.missed[wish.key]] > 0.5:
            continue
        counts = _counts(model, wish, answer)
        held = fits(wish.pieces, _lengths(wares, counts))
        if not held:
            again, guessed = True, guessed or held is None
            _rule_out(model, wish, wares, counts)
    return guessed if again else None


def _basket(
    model: _Model, wishes: Sequence[Wish], wares: Mapping[str, Ware], suppliers: Sequence[Supplier],
    answer: _Answer, *, checked: bool, rounds: int,
) -> Basket:  # fmt: skip
    """The answer in whole units and cents, worked out anew from the counts."""
    values = answer.values
    counts = {}
    for name, columns in model.taken.items():
        count = round(sum(values[column] for column in columns))
        if count:
            counts[name] = count
    shares = {pair: count for pair, column in model.cut.items() if (count := round(values[column]))}
    shares |= _pieces_given(wishes, wares, model, counts, values)
    used = {wares[name].supplier for name in counts}
    charges = {one.name: one.charge_cents for one in suppliers if one.name in used}
    lines = {name: line_cents(wares[name], count) for name, count in counts.items()}
    bound = -(10**15) if answer.bound == -inf else ceil(answer.bound - 1e-4)
    missing = tuple(wish.key for wish in wishes if values[model.missed[wish.key]] > 0.5)
    return Basket(counts, shares, lines, charges, missing, bound, checked, rounds)


def _pieces_given(
    wishes: Sequence[Wish], wares: Mapping[str, Ware], model: _Model, counts: Mapping[str, int],
    values: Sequence[float],
) -> dict[tuple[str, str], int]:  # fmt: skip
    """Whole pieces each wish takes of each ware: as the program says, kept within the packs bought."""
    room = {name: count * wares[name].amount for name, count in counts.items()}
    for (_, name), column in model.cut.items():
        if name in room:
            room[name] -= round(values[column]) * wares[name].amount
    found: dict[tuple[str, str], int] = {}
    for wish in wishes:
        if wish.pieces or values[model.missed[wish.key]] > 0.5:
            continue
        left = wish.quantity
        mine = [name for name in wish.wares if (wish.key, name) in model.given and name in room]
        for name in mine:
            part = min(left, room[name], floor(values[model.given[wish.key, name]] + TOLERANCE))
            found[wish.key, name] = part
            left -= part
            room[name] -= part
        for name in mine:  # what rounding down left over
            part = min(left, room[name])
            found[wish.key, name] += part
            left -= part
            room[name] -= part
    return {pair: count for pair, count in found.items() if count}
