"""The cheapest sizes at which every load keeps its volts, proven to be so."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil

from harness.electric.branching import Option, Row, TooHard, cheapest, front
from harness.electric.program import DropLimit, Entry, Strap, solve
from harness.joined import Joined

MARGIN_V = 1e-7  # solver tolerance kept away from the allowance
EVEN_MM2 = 1e-9
REACH_V = 1e-9  # room for rounding where a limit is held to the least its wires can lose
SHORT_PRICE = 1e3  # of a volt too few, in costs of all wires at their dearest: volts come before copper
SHORT_V = 1e-6  # volts too few below this are the solver's rounding


class TooFewKinds(Exception):
    """No pick of so few kinds of cable gives every wire one it may take and every load its volts."""

    def __init__(self, most: int, least: int | None) -> None:
        super().__init__(f"{most} kinds of cable")
        self.most, self.least = most, least  # least: so few would do, None where it is not known


@dataclass(frozen=True, slots=True)
class Choice:
    """One size a wire may take: what it costs (copper or money), resists, and as what it is bought.

    ``kind``: None is not counted. ``unfit``: does not go onto its terminal, so taken only where a load would
    starve or a starter's way home be thinner than its way there.
    """

    cost: float
    ohm: float
    kind: Hashable | None = None
    unfit: bool = False
    area_mm2: float = 0.0


@dataclass(frozen=True, slots=True)
class Picked:
    """The size of every wire by its place among the wire's choices, and what is proven of the pick."""

    at: Mapping[int, int]
    cost: float  # of all wires
    bound: float  # no pick that meets as much can cost less than this

    @property
    def gap(self) -> float:
        """Share of the cost that a better pick could save at most; 0 is proven best."""
        gap = (self.cost - self.bound) / self.cost if self.cost > 0 else 0.0
        return gap if gap > 1e-9 else 0.0


Options = Mapping[int, Sequence[Option]]


@dataclass(frozen=True, slots=True)
class _Found:
    """Places of the sizes of all wires, their cost with penalties, and what no pick can beat."""

    at: dict[int, int]
    cost: float
    bound: float


def _volts(limit: DropLimit, choices: Mapping[int, Sequence[Choice]], *, least: bool) -> float:
    """What the wires of a limit lose with the sizes that lose least, or most.

    Where current runs backwards through a mesh, a thicker wire costs volts.
    """
    return sum(
        amps * (min if (amps > 0) == least else max)(choice.ohm for choice in choices[wire])
        for wire, amps in limit.share_a.items()
    )


def _fitting(choices: Mapping[int, Sequence[Choice]]) -> dict[int, list[Choice]]:
    """Of every wire the sizes that go onto its terminals; all where none does."""
    return {
        wire: [one for one in own if not one.unfit] or [replace(one, unfit=False) for one in own]
        for wire, own in choices.items()
    }


def _within_reach(
    limits: Sequence[DropLimit], choices: Mapping[int, Sequence[Choice]], straps: Sequence[Strap]
) -> tuple[list[DropLimit], set[int], set[int]]:
    """Limits that can all be met, wires that may take a size unfit for their terminals, eased limits.

    A limit that no fitting size meets opens the unfit ones of its wires, where they help; one that no size
    at all meets is eased to the least its fitting sizes can lose, or to what it names instead.
    """
    fitting = _fitting(choices)
    unfit = {wire for strap in straps for wire in strap.back}
    found, eased = [], set()
    for at, limit in enumerate(limits):
        left = limit.left_v - MARGIN_V
        need = _volts(limit, fitting, least=True)
        if need > left and _volts(limit, choices, least=True) <= left:
            unfit |= set(limit.share_a)
        elif need > left:
            left = max(need + REACH_V, limit.instead_v - MARGIN_V)
            eased.add(at)
        found.append(DropLimit(limit.share_a, left))
    return found, unfit, eased


def _without_twins(limits: Sequence[DropLimit]) -> list[DropLimit]:
    """Without those that another limit on the same wires implies."""
    same: dict[frozenset[int], list[DropLimit]] = defaultdict(list)
    for limit in limits:
        same[frozenset(limit.share_a)].append(limit)

    def implied(one: DropLimit, by: DropLimit) -> bool:
        if by.left_v <= 0 or min(by.share_a.values()) < 0:
            return False
        scale = one.left_v / by.left_v
        return all(amps <= scale * by.share_a[wire] + 1e-12 for wire, amps in one.share_a.items())

    found = []
    for group in same.values():
        for at, one in enumerate(group):
            others = [(other, place) for place, other in enumerate(group) if place != at]
            if not any(implied(one, by) and (place < at or not implied(by, one)) for by, place in others):
                found.append(one)
    return found


def _groups(limits: Sequence[DropLimit]) -> list[list[DropLimit]]:
    """Limits that share wires belong together; the others can be solved on their own."""
    joined = Joined[int]()
    for limit in limits:
        first, *rest = limit.share_a
        for wire in rest:
            joined.join(first, wire)
    groups: dict[int, list[DropLimit]] = defaultdict(list)
    for limit in limits:
        groups[joined.top(next(iter(limit.share_a)))].append(limit)
    return list(groups.values())


def _free(limit: DropLimit, options: Options) -> DropLimit:
    """The limit on the wires that have a choice; what the others lose is gone beforehand."""
    share = {
        wire: amps for wire, amps in limit.share_a.items() if len(options[wire]) > 1 and abs(amps) > 1e-12
    }
    gone = sum(amps * options[wire][0].ohm for wire, amps in limit.share_a.items() if wire not in share)
    return DropLimit(share, limit.left_v - gone)


def _binding(limit: DropLimit, options: Options) -> bool:
    """Whether some pick of sizes breaks it."""
    worst = sum(
        amps * (max if amps > 0 else min)(one.ohm for one in options[wire])
        for wire, amps in limit.share_a.items()
    )
    return worst > limit.left_v


def _general(limits: Sequence[DropLimit], options: Options) -> _Found | None:
    """The cheapest pick for limits that share wires, by the general solver."""
    wires = sorted({wire for limit in limits for wire in limit.share_a})
    entries = {wire: [Entry(one.cost, one.ohm) for one in options[wire]] for wire in wires}
    found = solve(limits, entries)
    if found is None:
        return None
    return _Found({wire: options[wire][at].at for wire, at in found.at.items()}, found.cost, found.bound)


def _group(limits: Sequence[DropLimit], options: Options) -> _Found | None:
    """The cheapest pick for limits that share wires; None where there is none."""
    if _backwards(limits):
        return _general(limits, options)
    wires = sorted({wire for limit in limits for wire in limit.share_a})
    rows = [Row(limit.share_a, limit.left_v) for limit in limits]
    try:
        found = cheapest(rows, {wire: options[wire] for wire in wires})
    except TooHard:
        return _general(limits, options)
    return None if found is None else _Found(found[1], found[0], found[0])


def _solve(limits: Sequence[DropLimit], options: Options) -> _Found | None:
    """The cheapest pick of ``options`` that meets every limit; None where there is none."""
    if not all(options.values()):
        return None
    free = [_free(limit, options) for limit in limits]
    if any(limit.left_v < -REACH_V for limit in free if not limit.share_a):
        return None
    binding = [limit for limit in free if limit.share_a and _binding(limit, options)]
    first = {wire: min(own, key=lambda one: one.cost) for wire, own in options.items()}
    at = {wire: one.at for wire, one in first.items()}
    coupled = {wire for limit in binding for wire in limit.share_a}
    cost = bound = sum(one.cost for wire, one in first.items() if wire not in coupled)
    for group in _groups(_without_twins(binding)):
        found = _group(group, options)
        if found is None:
            return None
        cost, bound = cost + found.cost, bound + found.bound
        at.update(found.at)
    return _Found(at, cost, bound)


def _backwards(limits: Sequence[DropLimit]) -> set[int]:
    """Wires in which some limit counts current backwards, so that a thicker one costs it volts."""
    return {wire for limit in limits for wire, amps in limit.share_a.items() if amps < 0}


@dataclass(frozen=True, slots=True)
class _Problem:
    """Limits that can all be met, and what each wire may take for them."""

    limits: Sequence[DropLimit]
    choices: Mapping[int, Sequence[Choice]]
    unfit: set[int]  # wires that may take a size unfit for their terminals, at the penalty
    penalty: float

    def every(self, wire: int) -> list[Option]:
        """All sizes a wire may take."""
        own = self.choices[wire]
        fits = any(not one.unfit for one in own)
        return [
            Option(at, one.cost + (self.penalty if one.unfit and fits else 0.0), one.ohm, one.area_mm2)
            for at, one in enumerate(own)
            if wire in self.unfit or not one.unfit or not fits
        ]

    def options(
        self, floor: Mapping[int, float] | None = None, cap: Mapping[int, float] | None = None,
        thickest: Mapping[int, float] | None = None,
    ) -> dict[int, Sequence[Option]]:  # fmt: skip
        """The sizes of every wire that matter, from a floor and below a cap of its area [mm2].

        A wire whose ``thickest`` lies below its floor takes that.
        """
        backwards = _backwards(self.limits)
        found: dict[int, Sequence[Option]] = {}
        for wire in self.choices:
            least = min((floor or {}).get(wire, 0.0), (thickest or {}).get(wire, float("inf")))
            most = (cap or {}).get(wire, float("inf"))
            every = [one for one in self.every(wire) if least - EVEN_MM2 <= one.area_mm2 < most - EVEN_MM2]
            found[wire] = every if wire in backwards else front(every)
        return found


def _strapped(problem: _Problem, straps: Sequence[Strap], root: _Found) -> _Found:
    """The cheapest pick that keeps every strap's rule, by branching on the thinnest wire of the way there.

    Either all of the way there is at least as thick as it came out, and then so is the way back; or one of
    its wires is thinner. Each case is solved anew, and is done with once it costs more than the best found.
    """
    areas = {wire: [one.area_mm2 for one in own] for wire, own in problem.choices.items()}
    thickest = {
        wire: max(one.area_mm2 for one in problem.every(wire)) for strap in straps for wire in strap.back
    }
    best: _Found | None = None
    bound = float("inf")
    open_: list[tuple[dict[int, float], dict[int, float]]] = [({}, {})]
    while open_:
        floor, cap = open_.pop()
        found = root if not floor and not cap else _solve(
            problem.limits, problem.options(floor, cap, thickest)
        )  # fmt: skip
        if found is None:
            continue
        if best is not None and found.cost >= best.cost:
            bound = min(bound, found.bound)
            continue
        thinnest, broken = next(_broken(straps, found.at, areas, thickest), (0.0, None))
        if broken is None:
            best, bound = found, min(bound, found.bound)
            continue
        for wire in broken.there:
            if cap.get(wire, float("inf")) > thinnest:
                open_.append((floor, {**cap, wire: thinnest}))
        raised = {wire: max(floor.get(wire, 0.0), thinnest) for wire in (*broken.there, *broken.back)}
        open_.append(({**floor, **raised}, cap))  # looked at first: it seldom costs much
    return root if best is None else replace(best, bound=min(bound, best.cost))


def _broken(
    straps: Sequence[Strap], at: Mapping[int, int], areas: Mapping[int, Sequence[float]],
    thickest: Mapping[int, float],
) -> Iterator[tuple[float, Strap]]:  # fmt: skip
    """Straps with a wire back thinner than the thinnest there, and that area [mm2]."""
    for strap in straps:
        thinnest = min(areas[wire][at[wire]] for wire in strap.there)
        if any(areas[wire][at[wire]] < min(thinnest, thickest[wire]) - EVEN_MM2 for wire in strap.back):
            yield thinnest, strap


def _penalty(choices: Mapping[int, Sequence[Choice]]) -> float:
    """More than any pick costs, so that what it is laid on is taken only where it must be."""
    return 1.0 + sum(max(one.cost for one in own) for own in choices.values())


def _given_way(problem: _Problem, options: Options) -> list[DropLimit]:
    """Limits that cannot be met together, each eased by as few volts as can be, so that they can."""
    entries = {wire: [Entry(one.cost, one.ohm) for one in own] for wire, own in options.items()}
    shape = problem.limits
    price = max(SHORT_PRICE, 10 * problem.penalty)
    found = solve(shape, entries, volt_price=price, soft=range(len(shape)))
    if found is None:
        raise ArithmeticError(f"the size program of {len(entries)} wires did not solve")
    eased = []
    for place, limit in enumerate(problem.limits):
        lost = sum(amps * options[wire][found.at[wire]].ohm for wire, amps in limit.share_a.items())
        short = found.short_v[place] > SHORT_V
        eased.append(DropLimit(limit.share_a, max(limit.left_v, lost + REACH_V) if short else limit.left_v))
    return eased


def _few_kinds(problem: _Problem, most_kinds: int, straps: Sequence[Strap], eased: Container[int]) -> _Found:
    """The cheapest pick of so few kinds of cable in all.

    Limits that nothing meets are not held to their least with so few kinds, but to as little as these can.
    Raises TooFewKinds with the least number that would do.
    """
    options = {wire: problem.every(wire) for wire in problem.choices}
    kept = [
        (place, limit)
        for place, limit in enumerate(problem.limits)
        if limit.share_a and _binding(limit, options)
    ]
    shape = [limit for _, limit in kept]
    soft = {at for at, (place, limit) in enumerate(kept) if place in eased or min(limit.share_a.values()) < 0}

    def entries(cost: float) -> dict[int, list[Entry]]:
        return {
            wire: [
                Entry(cost * one.cost, one.ohm, one.area_mm2, problem.choices[wire][one.at].kind)
                for one in own
            ]
            for wire, own in options.items()
        }

    price = max(SHORT_PRICE, 10 * problem.penalty)
    found = solve(shape, entries(1.0), most_kinds=most_kinds, straps=straps, volt_price=price, soft=soft)
    if found is None:
        every = len({one.kind for own in problem.choices.values() for one in own})
        least = solve(
            shape, entries(0.0), most_kinds=every, kind_price=1.0, straps=straps,
            soft=soft,
        )  # fmt: skip
        raise TooFewKinds(most_kinds, None if least is None else ceil(least.bound - 1e-6))
    return _Found({wire: options[wire][at].at for wire, at in found.at.items()}, found.cost, found.bound)


def pick_sizes(
    limits: Sequence[DropLimit], choices: Mapping[int, Sequence[Choice]], *, most_kinds: int | None = None,
    straps: Sequence[Strap] = (),
) -> Picked:  # fmt: skip
    """The size of every wire with the least cost in all that meets every limit, and the proven bound.

    ``choices``: for every wire its sizes, smallest first. A limit that no pick meets is held to the least
    its wires can lose. ``most_kinds`` couples all wires: together they take no more than so many different
    kinds. ``straps``: wires that are no thinner than others. Raises TooFewKinds, and
    ArithmeticError where the program does not solve.
    """
    reach, unfit, eased = _within_reach(limits, choices, straps)
    problem = _Problem(reach, choices, unfit, _penalty(choices))
    if most_kinds is not None:
        found: _Found | None = _few_kinds(problem, most_kinds, straps, eased)
    else:
        options = problem.options()
        found = _solve(reach, options)
        if found is None:  # in reach one by one, but not together: current runs backwards somewhere
            problem = replace(problem, limits=_given_way(problem, options))
            found = _solve(problem.limits, options)
        if found is not None and straps:
            found = _strapped(problem, straps, found)
    if found is None:
        raise ArithmeticError(f"the size program of {len(choices)} wires did not solve")
    cost = sum(choices[wire][at].cost for wire, at in found.at.items())
    return Picked(found.at, cost, cost - max(0.0, found.cost - found.bound))
