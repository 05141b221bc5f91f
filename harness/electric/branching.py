"""The cheapest pick for wires that share drop limits, found by branch and bound over merged wires.

Wires that count in the same limits in the same proportion are one merged wire: of all picks of theirs only
those matter that no other pick beats in both cost and volts. The dual of the linear relaxation gives every
limit a price a volt (Lagrange), and with it every pick a bound and every size what it costs above that
bound; a size that costs more than the best pick found can save is left out. What is left branches on the
merged wire that counts in the most limits; below it, limits that share nothing more stand on their own
(and/or search). A merged wire that counts in one limit only needs no branching: the cheapest of its picks
that fits into what is left is looked up. Sources: Fisher, The Lagrangian relaxation method (Management
Science 27, 1981), for bound and reduced costs; Dechter and Mateescu, AND/OR search spaces (Artificial
Intelligence 171, 2007); both from memory.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array, diags_array

from harness.joined import Joined

MOST_STEPS = 150_000  # about a second; what takes longer goes to the general solver
MOST_FRONT = 20_000  # picks of one merged wire
LEAST_BARRIER = 1e-9  # of the dual, in shares of the dearest piece
NEWTON_STEPS = 30  # at one barrier; a few are enough
FIRST_SLACK = (
    0.01  # the first look keeps within this share of the bound, each later one within four times more
)
MOST_DENSE = 50_000  # entries of limits by wires; from there on sums without the noughts are quicker
EVEN = 1e-9  # proportions that agree as closely are the same


class TooHard(Exception):
    """The search takes longer than the general solver is likely to."""


@dataclass(frozen=True, slots=True)
class Option:
    """One size a wire may take: its place among the wire's choices, its cost, resistance and area."""

    at: int
    cost: float
    ohm: float
    area_mm2: float = 0.0


@dataclass(frozen=True, slots=True)
class Row:
    """Sum of share x ohm over some wires, all shares above zero, must stay within ``left_v`` [A, V]."""

    share_a: Mapping[int, float]
    left_v: float


def front(options: Iterable[Option]) -> list[Option]:
    """Only those that no other beats in both, cheapest first."""
    found: list[Option] = []
    for option in sorted(options, key=lambda one: (one.cost, one.ohm, one.at)):
        if not found or option.ohm < found[-1].ohm:
            found.append(option)
    return found


def _hull(options: Sequence[Option]) -> list[Option]:
    """The corners of the lower convex hull of a front."""
    found: list[Option] = []
    for new in options:
        while len(found) > 1:
            a, b = found[-2], found[-1]
            if (b.cost - a.cost) * (b.ohm - new.ohm) < (new.cost - b.cost) * (a.ohm - b.ohm):
                break
            found.pop()
        found.append(new)
    return found


def prices(rows: Sequence[Row], fronts: Mapping[int, Sequence[Option]]) -> list[float]:
    """Price of a volt in every limit: the dual of the linear relaxation. Any price gives a valid bound.

    The relaxation buys pieces of the hulls, each from the thinner corner to the next, at its cost a volt.
    """
    counts: dict[int, list[tuple[int, float]]] = defaultdict(list)
    over = np.array([-row.left_v for row in rows])
    for at, row in enumerate(rows):
        for wire, amps in row.share_a.items():
            counts[wire].append((at, amps))
            over[at] += amps * fronts[wire][0].ohm
    cost: list[float] = []
    pieces: list[tuple[int, float]] = []  # column of the wire, and ohms
    for column, wire in enumerate(counts):
        corners = _hull(fronts[wire])
        for a, b in pairwise(corners):
            cost.append(b.cost - a.cost)
            pieces.append((column, a.ohm - b.ohm))
    if not cost:
        return [0.0] * len(rows)
    share = np.zeros((len(rows), len(counts)))
    for column, own in enumerate(counts.values()):
        for at, amps in own:
            share[at, column] = amps
    of, ohm = np.array([column for column, _ in pieces]), np.array([each for _, each in pieces])
    binding = np.flatnonzero(over > 0)
    whole = np.bincount(of, ohm, len(counts))
    if not len(binding) or np.any(share[binding] @ whole < over[binding]):
        return [0.0] * len(rows)  # nothing to buy, or all of it is not enough
    scale = max(cost)
    unit = share[binding] / over[binding, None]
    found = [0.0] * len(rows)
    bought = Pieces(of, ohm, np.array(cost) / scale)
    for at, price in zip(map(int, binding), dual_prices(unit, bought), strict=True):
        found[at] = float(price) * scale / float(over[at])
    return found


@dataclass(frozen=True, slots=True)
class Pieces:
    """What can be bought: each is of a wire, gives so many ohms of that wire's share, and has a cost."""

    of: NDArray[np.int_]
    ohm: NDArray[np.float64]
    cost: NDArray[np.float64]


def dual_prices(share: NDArray[np.float64], pieces: Pieces) -> NDArray[np.float64]:
    """Prices of the rows of: least cost of x with what x gives 1 or more in every row, x from 0 to 1.

    The dual with logarithmic barriers, by Newton's method along a falling barrier (textbook interior point
    method, memory): a general solver finds the same, but takes longer to import than this to run. ``share``,
    of rows and wires, has no negative entry, and all pieces together must do; the prices are at most a
    millionth off the best bound. Pieces of one wire differ by a factor alone, so what they bend is added up
    before it is multiplied out; where hundreds of wires count in a few limits each, noughts are left out.
    """
    price = np.full(len(share), 1.0 / len(share))
    of, ohm, wires = pieces.of, pieces.ohm, share.shape[1]
    sparse = csr_array(share) if share.size > MOST_DENSE else None
    barrier = 1.0
    while barrier > LEAST_BARRIER:
        for _ in range(NEWTON_STEPS):
            take, bend = _taken((price @ share)[of] * ohm - pieces.cost, barrier)
            slope = share @ np.bincount(of, take * ohm, wires) - 1 - barrier / price
            bends = np.bincount(of, bend * ohm**2, wires)
            if sparse is None:
                curve = (share * bends) @ share.T
            else:
                curve = (sparse @ diags_array(bends) @ sparse.T).toarray()
            curve.flat[:: len(curve) + 1] += barrier / price**2
            step = np.linalg.solve(curve, -slope)
            decrease = -float(slope @ step)
            if decrease <= 1e-9 * barrier:
                break
            falling = step < 0
            length = min(1.0, 0.95 * float(np.min(-price[falling] / step[falling], initial=np.inf)))
            far = (decrease / barrier) ** 0.5  # Newton's decrement: short steps while it is large
            price = price + (length if far < 0.25 else min(length, 1 / (1 + far))) * step
        barrier *= 0.2
    return price


def _taken(gain: NDArray[np.float64], barrier: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """How much of every piece is bought at its gain, kept off 0 and 1 by the barrier, and how it bends."""
    less = 2 * barrier / (2 * barrier + np.abs(gain) + np.hypot(gain, 2 * barrier))
    take = np.clip(np.where(gain > 0, 1 - less, less), 1e-12, 1 - 1e-12)
    return take, 1 / (barrier / take**2 + barrier / (1 - take) ** 2)


@dataclass(slots=True)
class _Merged:
    """Wires that count in the same limits in the same proportion: their picks, and where they count."""

    rows: list[tuple[int, float]]  # limit and volts in it for a volt in the first of them
    volts: list[float]
    costs: list[float]
    picks: list[tuple[tuple[int, int], ...]]  # for every pick the wires and the places of their sizes
    above: list[float]  # what each pick costs above the cheapest at the prices
    base: float  # that cheapest: cost and priced volts


class _Search:
    """One look for a pick that costs less than ``slack`` above the bound."""

    def __init__(
        self, rows: Sequence[Row], fronts: Mapping[int, Sequence[Option]], price: Sequence[float]
    ) -> None:
        self.rows, self.fronts, self.price = rows, fronts, price
        self.steps = 0
        counts: dict[int, list[tuple[int, float]]] = defaultdict(list)
        for at, row in enumerate(rows):
            for wire, amps in row.share_a.items():
                counts[wire].append((at, amps))
        self.counts = counts
        self.sets = self._alike(counts)
        self.priced = {wire: sum(price[at] * amps for at, amps in own) for wire, own in counts.items()}
        self.cheapest = {
            wire: min(one.cost + self.priced[wire] * one.ohm for one in fronts[wire]) for wire in counts
        }
        paid = sum(price[at] * row.left_v for at, row in enumerate(rows))
        self.bound = sum(self.cheapest.values()) - paid

    @staticmethod
    def _alike(counts: Mapping[int, Sequence[tuple[int, float]]]) -> list[list[int]]:
        """Wires put together that count in the same limits in the same proportion."""
        found: dict[tuple[int, ...], list[tuple[list[float], list[int]]]] = defaultdict(list)
        for wire in sorted(counts):
            own = counts[wire]
            ratio = [amps / own[0][1] for _, amps in own]
            for known, wires in found[tuple(at for at, _ in own)]:
                if all(abs(a - b) <= EVEN * b for a, b in zip(ratio, known, strict=True)):
                    wires.append(wire)
                    break
            else:
                found[tuple(at for at, _ in own)].append((ratio, [wire]))
        return [wires for group in found.values() for _, wires in group]

    def _merge(self, wires: Sequence[int], slack: float) -> _Merged:
        """The picks of some wires that matter and cost no more than ``slack`` above the cheapest."""
        own = self.counts[wires[0]]
        found: list[tuple[float, float, float, tuple[tuple[int, int], ...]]] = [(0.0, 0.0, 0.0, ())]
        for wire in wires:
            amps = self.counts[wire][0][1]
            options = [
                (one.cost, one.ohm * amps, above, (wire, one.at))
                for one in self.fronts[wire]
                if (above := one.cost + self.priced[wire] * one.ohm - self.cheapest[wire]) <= slack
            ]
            every = sorted(
                (cost + more, volts + lost, over + above, (*picks, pick))
                for cost, volts, over, picks in found
                for more, lost, above, pick in options
                if over + above <= slack
            )
            found, least = [], float("inf")
            for one in every:
                if one[1] < least:
                    found.append(one)
                    least = one[1]
            if len(found) > MOST_FRONT:
                raise TooHard
        first = own[0][1]
        return _Merged(
            [(at, amps / first) for at, amps in own],
            [one[1] for one in found], [one[0] for one in found], [one[3] for one in found],
            [one[2] for one in found], sum(self.cheapest[wire] for wire in wires),
        )  # fmt: skip

    def look(self, slack: float) -> tuple[float, dict[int, int]] | None:
        """The cheapest pick below bound and ``slack``; None where there is none. Raises TooHard."""
        merged = [self._merge(wires, slack) for wires in self.sets]
        left = [row.left_v for row in self.rows]
        shared = [one for one in merged if len(one.rows) > 1]
        private = {one.rows[0][0]: _Leaf(one) for one in merged if len(one.rows) == 1}
        parts = _parts(list(range(len(left))), shared, private, self.price)
        found = self._all(parts, left, self.bound + slack)
        if found is None:
            return None
        cost, took = found
        return cost, dict(pick for picks in took for pick in picks)

    def _all(
        self, parts: _Parts, left: list[float], most: float
    ) -> tuple[float, list[tuple[tuple[int, int], ...]]] | None:
        """The cheapest picks of parts that share nothing, below ``most`` together."""
        total, took = 0.0, []
        for leaf, row in parts.leaves:
            at = leaf.fit(left[row])
            if at is None:
                return None
            total += leaf.costs[at]
            took.append(leaf.picks[at])
        least = [part.bound(left) for part in parts.branches]
        open_ = sum(least)
        for part, bound in zip(parts.branches, least, strict=True):
            if total + open_ >= most:
                return None
            open_ -= bound
            found = self._branch(part, left, most - total - open_, bound)
            if found is None:
                return None
            total += found[0]
            took += found[1]
        return (total, took) if total < most else None

    def _branch(
        self, part: _Branch, left: list[float], most: float, bound: float
    ) -> tuple[float, list[tuple[tuple[int, int], ...]]] | None:
        """The cheapest pick of one part below ``most``, trying the picks of its merged wire in turn."""
        best: tuple[float, list[tuple[tuple[int, int], ...]]] | None = None
        wire = part.wire
        for at in part.order:
            if bound + wire.above[at] >= most:
                break
            self.steps += 1
            if self.steps > MOST_STEPS:
                raise TooHard
            volts, cost = wire.volts[at], wire.costs[at]
            for row, ratio in wire.rows:
                left[row] -= volts * ratio
            if all(left[row] >= part.below.need[row] for row, _ in wire.rows):
                found = self._all(part.below, left, most - cost)
                if found is not None:
                    most = cost + found[0]
                    best = most, [wire.picks[at], *found[1]]
            for row, ratio in wire.rows:
                left[row] += volts * ratio
        return best


class _Leaf:
    """What counts in one limit only: the cheapest pick for the volts that are left is looked up."""

    def __init__(self, merged: _Merged | None) -> None:
        self.volts = [-volts for volts in merged.volts] if merged else [0.0]
        self.costs = merged.costs if merged else [0.0]
        self.picks: list[tuple[tuple[int, int], ...]] = merged.picks if merged else [()]
        self.base = merged.base if merged else 0.0
        self.need = -self.volts[-1]

    def fit(self, left_v: float) -> int | None:
        at = bisect_left(self.volts, -left_v)
        return at if at < len(self.volts) else None


@dataclass(slots=True)
class _Parts:
    """Limits that share nothing with each other: single ones, and those a merged wire still ties together."""

    leaves: list[tuple[_Leaf, int]]
    branches: list[_Branch]
    need: dict[int, float]  # least volts that each limit takes below here


@dataclass(slots=True)
class _Branch:
    """A merged wire that ties limits together, and what is left of them once it is picked."""

    wire: _Merged
    order: list[int]  # its picks, those nearest to the bound first
    below: _Parts
    base: float  # cheapest cost and priced volts of all wires in it
    priced: list[tuple[int, float]]  # its limits and their prices

    def bound(self, left: Sequence[float]) -> float:
        return self.base - sum(price * left[row] for row, price in self.priced)


def _parts(
    rows: Sequence[int], shared: Sequence[_Merged], private: Mapping[int, _Leaf], price: Sequence[float]
) -> _Parts:
    """Limits fall apart into those that some merged wire ties together."""
    joined = Joined[int]()
    for wire in shared:
        first, *rest = (row for row, _ in wire.rows)
        for row in rest:
            joined.join(first, row)
    tied: dict[int, list[int]] = defaultdict(list)
    for row in rows:
        tied[joined.top(row)].append(row)
    wires: dict[int, list[_Merged]] = defaultdict(list)
    for wire in shared:
        wires[joined.top(wire.rows[0][0])].append(wire)
    found = _Parts([], [], {})
    for root, mine in tied.items():
        if root not in wires:
            leaf = private.get(root) or _Leaf(None)
            found.leaves.append((leaf, root))
            found.need[root] = leaf.need
            continue
        own = wires[root]
        wide = max(own, key=lambda one: (len(one.rows), -len(one.volts)))
        below = _parts(mine, [one for one in own if one is not wide], private, price)
        order = sorted(range(len(wide.volts)), key=lambda at: wide.above[at])
        base = sum(one.base for one in own) + sum(private[row].base for row in mine if row in private)
        found.branches.append(_Branch(wide, order, below, base, [(row, price[row]) for row in mine]))
        thinnest = min(wide.volts)
        ratio = dict(wide.rows)
        found.need.update({row: below.need[row] + thinnest * ratio.get(row, 0.0) for row in mine})
    return found


def cheapest(
    rows: Sequence[Row], fronts: Mapping[int, Sequence[Option]], *, most: float = float("inf")
) -> tuple[float, dict[int, int]] | None:
    """Cost and pick (wire -> place of its size) of the cheapest that meets every limit, below ``most``.

    ``fronts``: of every wire that some limit counts, as :func:`front` leaves it. None where there is no such
    pick. Raises TooHard.
    """
    search = _Search(rows, fronts, prices(rows, fronts))
    room = most - search.bound
    if room <= 0:
        return None
    widest = sum(own[-1].cost for own in fronts.values()) - search.bound + 1.0
    slack = min(room, max(abs(search.bound), 1e-6) * FIRST_SLACK)
    while True:
        found = search.look(slack)
        if found is not None or slack >= min(room, widest):
            return found
        slack = min(room, slack * 4)
