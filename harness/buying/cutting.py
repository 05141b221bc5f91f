"""Cuts pieces from rolls, sticks and offcuts with the least bought, proven by an integer program.

The one-dimensional cutting stock problem with stock of several lengths, by arc flow: a node for every mark
along the stock, an arc for every piece laid from one mark to another, and whole rolls as flow from end to
end (Valério de Carvalho, "LP models for bin packing and cutting stock problems", 2002; memory). A first-fit
cut that reaches the bound by length alone needs no program.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, gcd

import numpy as np

MOST_MARKS = 4000  # of the covering knapsack; beyond, the bound is by rate
MOST_PIECES = 500  # in one program; beyond, a plan is made without and not called proven
MOST_FILLED = 100  # filled roll by roll in every try; many are laid as well by best fit
MOST_ARCS = 600  # likewise; a count and no clock, so that the plan is the same on every computer
MOST_BRANCHES = 30  # that the program may look into; what is then unproven is told by its bound


class TooLong(Exception):
    """A piece is longer than anything there is to cut it from."""

    def __init__(self, length: int, longest: int) -> None:
        super().__init__(f"a piece of {length} from stock of {longest}")
        self.length = length
        self.longest = longest


@dataclass(frozen=True, slots=True)
class Stock:
    """A length something is sold in, or an offcut on the shelf."""

    name: str
    length: int
    cost: int  # in any one unit; the least total is sought
    most: int | None = None  # how many there are; None: as many as wanted


@dataclass(frozen=True, slots=True)
class Cut:
    """One roll, stick or offcut with the pieces that come off it, longest first."""

    stock: Stock
    pieces: tuple[int, ...]

    @property
    def left(self) -> int:
        """What remains after the last cut [same unit]."""
        return self.stock.length - sum(self.pieces)


@dataclass(frozen=True, slots=True)
class CuttingPlan:
    """Every cut, what it costs, and what no plan can go below."""

    cuts: tuple[Cut, ...]
    cost: int
    bound: int

    @property
    def proven(self) -> bool:
        """Whether no other plan costs less."""
        return self.cost <= self.bound


def cutting_plan(pieces: Sequence[int], stocks: Sequence[Stock]) -> CuttingPlan:
    """The cheapest way to cut every piece whole from the stock; raises TooLong, ValueError on bad lengths.

    Among plans of the same cost the one that opens fewer; offcuts still on the shelf then take over what fits
    them, so that the bought stock keeps its length. Lengths are whole numbers of any one unit.
    """
    if any(length <= 0 for length in pieces) or any(one.length <= 0 for one in stocks):
        raise ValueError("lengths must be above 0")
    if any(one.cost < 0 for one in stocks):
        raise ValueError("a stock may not cost less than nothing")
    if not pieces:
        return CuttingPlan((), 0, 0)
    useful = [one for one in stocks if one.most != 0]
    longest = max((one.length for one in useful), default=0)
    if max(pieces) > longest:
        raise TooLong(max(pieces), longest)
    pieces = sorted(pieces, reverse=True)
    bound, cheapest = _by_length(sum(pieces), useful)
    cuts = _quick(pieces, cheapest) if cheapest else None
    if cuts is None:
        cuts, bound = _program(pieces, useful, bound)
    cuts = _shelf_first(cuts, useful)
    return CuttingPlan(_tidy(cuts), sum(cut.stock.cost for cut in cuts), bound)


def _shelf_first(cuts: Sequence[Cut], stocks: Sequence[Stock]) -> list[Cut]:
    """The same plan with pieces moved from bought stock into offcuts that would stay on the shelf."""
    opened = Counter(cut.stock for cut in cuts)
    held = list(cuts)
    for offcut in sorted(stocks, key=lambda each: each.length):
        idle = 0 if offcut.cost else (offcut.most or 0) - opened[offcut]
        for _ in range(idle):
            moved = fullest([one for cut in held if cut.stock.cost for one in cut.pieces], offcut.length)
            held = _without(held, moved)
            if moved:
                held.append(Cut(offcut, tuple(sorted(moved, reverse=True))))
    return held


def _without(cuts: Sequence[Cut], moved: Sequence[int]) -> list[Cut]:
    """The cuts with these pieces taken out of bought stock, the last cut first; emptied ones are gone."""
    left = Counter(moved)
    found = []
    for cut in reversed(cuts):
        rest = list(cut.pieces)
        for piece in cut.pieces if cut.stock.cost else ():
            if left[piece]:
                left[piece] -= 1
                rest.remove(piece)
        if rest:
            found.append(Cut(cut.stock, tuple(rest)))
    return found[::-1]


# --- the bound by length, and quick cuts that may reach it --------------------------------------------------


def _by_length(total: int, stocks: Sequence[Stock]) -> tuple[int, list[Stock]]:
    """Least cost of stock that is long enough taken together, and which stock that is; empty when not known.

    What lies on the shelf for nothing is all used; the rest is a covering knapsack of whole rolls.
    """
    free = [one for one in stocks if not one.cost and one.most is not None]
    bought = [one for one in stocks if one not in free]
    missing = total - sum(one.length * (one.most or 0) for one in free)
    shelf = [one for one in free for _ in range(one.most or 0)]
    if missing <= 0:
        return 0, shelf
    if not bought or any(one.most is not None for one in bought):
        return _bound_by_rate(total, stocks), []
    step = gcd(*(one.length for one in bought))
    need = -(-missing // step)
    if need > MOST_MARKS:
        return _bound_by_rate(total, stocks), []
    lengths = np.array([one.length // step for one in bought])
    costs = np.array([one.cost * (need + 1) + 1 for one in bought])  # of equal cost the fewer
    best, last = np.zeros(need + 1, dtype=np.int64), np.zeros(need + 1, dtype=np.int64)
    for mark in range(1, need + 1):
        ways = best[np.maximum(mark - lengths, 0)] + costs
        last[mark] = ways.argmin()
        best[mark] = ways[last[mark]]
    chosen, mark = [], need
    while mark > 0:
        chosen.append(bought[last[mark]])
        mark = max(0, mark - int(lengths[last[mark]]))
    return int(best[need]) // (need + 1), shelf + chosen


def _bound_by_rate(total: int, stocks: Sequence[Stock]) -> int:
    """Cost no plan can go below: the whole length at the best rates there are."""
    left, cost = total, 0.0
    for one in sorted(stocks, key=lambda each: each.cost / each.length):
        used = left if one.most is None else min(left, one.most * one.length)
        cost += used * one.cost / one.length
        left -= used
    return ceil(cost - 1e-6)


def _quick(pieces: Sequence[int], stocks: Sequence[Stock]) -> list[Cut] | None:
    """Lay the pieces into this stock, by best fit or filling one after the other; None if neither can."""
    found = best_fit(pieces, stocks)
    if found is not None or len(pieces) > MOST_PIECES:
        return found
    for order in (1, -1):
        found = _fill_each(pieces, sorted(stocks, key=lambda one: order * one.length))
        if found is not None:
            return found
    return None


def best_fit(pieces: Sequence[int], stocks: Sequence[Stock], more: Stock | None = None) -> list[Cut] | None:
    """Longest piece first, each where it leaves least over; None when some piece finds no room.

    Of ``more`` a new one is opened whenever nothing else has room.
    """
    stocks = list(stocks)
    left = sorted((one.length, at) for at, one in enumerate(stocks))
    inside: list[list[int]] = [[] for _ in stocks]
    for piece in pieces:
        tightest = bisect_left(left, (piece, -1))
        if tightest < len(left):
            rest, at = left.pop(tightest)
        elif more is None:
            return None
        else:
            rest, at = more.length, len(stocks)
            stocks.append(more)
            inside.append([])
        insort(left, (rest - piece, at))
        inside[at].append(piece)
    return [Cut(one, tuple(held)) for one, held in zip(stocks, inside, strict=True) if held]


def _fill_each(pieces: Sequence[int], stocks: Sequence[Stock]) -> list[Cut] | None:
    """Fill one stock after the other as full as it goes, the long pieces first; None when pieces are left."""
    left = list(pieces)
    cuts = []
    for one in stocks:
        took = fullest(left, one.length)
        if took:
            cuts.append(Cut(one, tuple(took)))
        for piece in took:
            left.remove(piece)
    return None if left else cuts


def fullest(pieces: Sequence[int], room: int) -> list[int]:
    """The pieces that together come nearest to ``room`` without going over; earlier ones are preferred."""
    step = gcd(*pieces) or 1
    sums = [1]  # bit n set: a length of n steps can be laid with the pieces so far
    mask = (1 << (room // step + 1)) - 1
    for piece in pieces:
        sums.append((sums[-1] | sums[-1] << piece // step) & mask)
    laid = sums[-1].bit_length() - 1
    took = []
    for at in range(len(pieces), 0, -1):
        if not sums[at - 1] >> laid & 1:
            took.append(pieces[at - 1])
            laid -= pieces[at - 1] // step
    return took[::-1]


def _tidy(cuts: Iterable[Cut]) -> tuple[Cut, ...]:
    return tuple(
        sorted(cuts, key=lambda cut: (-cut.stock.length, cut.stock.name, [-one for one in cut.pieces]))
    )


# --- the integer program ------------------------------------------------------------------------------------

Arc = tuple[int, int, int]  # from mark, to mark, piece length (0: nothing laid, runs to the end of the stock)


def _arcs(pieces: Mapping[int, int], ends: Sequence[int]) -> list[Arc]:
    """Arcs by falling piece length, so that every set of pieces is one way through the graph."""
    longest = max(ends)
    reached: dict[int, None] = {0: None}
    found: list[Arc] = []
    for piece in sorted(pieces, reverse=True):
        fresh = dict.fromkeys(reached)
        for start in list(reached):
            mark = start
            for _ in range(pieces[piece]):
                if mark + piece > longest:
                    break
                found.append((mark, mark + piece, piece))
                mark += piece
                fresh[mark] = None
        reached = fresh
    marks = sorted({*reached, *ends})
    found = list(dict.fromkeys(found))
    found += [(a, b, 0) for a, b in pairwise(marks)]
    return found


def _program(pieces: Sequence[int], stocks: Sequence[Stock], bound: int) -> tuple[list[Cut], int]:
    """The cuts of the arc-flow program and the cost it proves no plan goes below."""
    rough = _roughly(pieces, stocks)
    if len(pieces) > MOST_PIECES and rough is not None:
        return rough, bound
    step = gcd(*pieces)
    wanted = Counter(piece // step for piece in pieces)
    usable = [(one, one.length // step) for one in stocks if one.length >= step]
    ends = sorted({end for _, end in usable})
    arcs = _arcs(wanted, ends)
    if len(arcs) > MOST_ARCS and rough is not None:
        return rough, bound
    from scipy.optimize import Bounds, LinearConstraint, milp  # slow to import, and most plans need none
    from scipy.sparse import csr_matrix

    rows: list[int] = []
    columns: list[int] = []
    values: list[float] = []

    def put(row: int, column: int, value: float) -> None:
        rows.append(row)
        columns.append(column)
        values.append(value)

    node = {mark: at for at, mark in enumerate(sorted({mark for a, b, _ in arcs for mark in (a, b)}))}
    demand = {piece: len(node) + at for at, piece in enumerate(sorted(wanted))}
    for column, (a, b, piece) in enumerate(arcs):
        put(node[a], column, -1.0)
        put(node[b], column, 1.0)
        if piece:
            put(demand[piece], column, 1.0)
    for at, (_, end) in enumerate(usable):
        put(node[0], len(arcs) + at, 1.0)
        put(node[end], len(arcs) + at, -1.0)
    lower = np.array([0.0] * len(node) + [float(wanted[piece]) for piece in demand])
    upper = np.array([0.0] * len(node) + [np.inf] * len(demand))
    many = len(pieces)
    scale = many + 1  # one of cost outweighs any number of cuts, so that ties go to fewer
    cost = [0.0] * len(arcs) + [float(one.cost * scale + 1) for one, _ in usable]
    most = [float(many)] * len(arcs) + [
        float(many if one.most is None else min(many, one.most)) for one, _ in usable
    ]
    found = milp(
        np.array(cost),
        constraints=LinearConstraint(
            csr_matrix((values, (rows, columns)), shape=(len(lower), len(cost))), lower, upper
        ),
        integrality=np.ones(len(cost), dtype=np.int64),
        bounds=Bounds(0, np.array(most)),
        options={"mip_rel_gap": 0.0, "node_limit": MOST_BRANCHES},
    )
    if found.x is None and found.status == 2:  # scarce stock: the pieces do not all find room
        raise TooLong(max(pieces), max(one.length for one in stocks))
    proved = found.mip_dual_bound
    if proved is not None:
        bound = max(bound, ceil((proved - 1e-6 - many) / scale))
    if found.x is None:
        if rough is None:
            raise TooLong(max(pieces), max(one.length for one in stocks))
        return rough, bound
    flow = [round(one) for one in found.x]
    cuts = _walk(arcs, flow[: len(arcs)], usable, flow[len(arcs) :], Counter(pieces), step)
    if rough is not None and _cost(rough) < _cost(cuts):  # the program ran out of time
        return rough, bound
    return cuts, bound


def _cost(cuts: Iterable[Cut]) -> int:
    return sum(cut.stock.cost for cut in cuts)


def _roughly(pieces: Sequence[int], stocks: Sequence[Stock]) -> list[Cut] | None:
    """A plan that is not proven: the shelf first, then whole rolls of the kind that comes out cheapest."""
    shelf = [one for one in stocks if one.most is not None for _ in range(one.most)]
    plans = []
    for one in stocks:
        if one.most is None and one.length >= max(pieces):
            if len(pieces) > MOST_FILLED:  # best fit opens no roll before it must
                plans.append(best_fit(pieces, shelf, more=one) or [])
                continue
            few = -(-max(0, sum(pieces) - sum(each.length for each in shelf)) // one.length)
            tries = (_quick(pieces, shelf + [one] * count) for count in range(few, len(pieces) + few + 1))
            plans.append(next(plan for plan in tries if plan is not None))
    return min(plans, key=_cost, default=None) or _quick(pieces, shelf)


def _walk(
    arcs: Sequence[Arc], flow: Sequence[int], usable: Sequence[tuple[Stock, int]], taken: Sequence[int],
    wanted: Counter[int], step: int,
) -> list[Cut]:  # fmt: skip
    """One way through the graph for each roll; pieces that were laid too often are left off."""
    out: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for (a, b, piece), units in zip(arcs, flow, strict=True):
        out[a] += [(b, piece)] * units
    for ways in out.values():
        ways.sort(key=lambda way: (-way[1], way[0]))
    left = Counter(wanted)
    ends = sorted(
        ((end, one) for (one, end), count in zip(usable, taken, strict=True) for _ in range(count)),
        key=lambda pair: (-pair[0], pair[1].name),
    )
    cuts = []
    for end, one in ends:
        here, held = 0, []
        while here != end:
            way = _onward(out, here, end)
            out[here].remove(way)
            here, piece = way
            if piece and left[piece * step] > 0:
                left[piece * step] -= 1
                held.append(piece * step)
        if held:
            cuts.append(Cut(one, tuple(sorted(held, reverse=True))))
    return cuts


def _onward(out: Mapping[int, Sequence[tuple[int, int]]], here: int, end: int) -> tuple[int, int]:
    """The next arc of a way that reaches ``end``: ways are walked longest stock first, so most go on."""
    seen: set[int] = set()

    def reaches(start: int) -> bool:
        todo = [start]
        while todo:
            mark = todo.pop()
            if mark == end:
                return True
            if mark < end and mark not in seen:
                seen.add(mark)
                todo += [other for other, _ in out.get(mark, ())]
        return False

    for way in out[here]:
        if reaches(way[0]):
            return way
    raise ArithmeticError("a cutting plan that does not come apart")
