"""The sizes with least copper at which every load keeps its volts: an integer program, solved to the end."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_matrix

STARVED_KG_PER_V = 1e4  # price of a volt too few; any copper that helps is cheaper
MARGIN_V = 1e-7  # solver tolerance kept away from the allowance
LONGEST_S = 60.0  # for one program; what is then still unproven is told as its gap


class TooFewKinds(Exception):
    """No pick of so few kinds of cable gives every wire one it may take."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One size a wire may take: what it weighs, resists, and as what it is bought (None: not counted)."""

    copper_kg: float
    ohm: float
    kind: Hashable | None = None


@dataclass(frozen=True, slots=True)
class DropLimit:
    """Sum of share_a x ohm over the wires of a load's way must stay within ``left_v`` [A, V]."""

    share_a: Mapping[int, float]
    left_v: float


@dataclass(frozen=True, slots=True)
class Picked:
    """The size of every wire by its place among the wire's choices, and what is proven of the pick."""

    at: Mapping[int, int]
    cost_kg: float  # what the program minimised: copper, and the price of volts too few
    bound_kg: float  # no pick can cost less than this

    @property
    def gap(self) -> float:
        """Share of the cost that a better pick could save at most; 0 is proven best."""
        gap = (self.cost_kg - self.bound_kg) / self.cost_kg if self.cost_kg > 0 else 0.0
        return gap if gap > 1e-9 else 0.0


def _binding(limit: DropLimit, choices: Mapping[int, Sequence[Choice]]) -> bool:
    """Whether some pick of sizes breaks it; with the smallest wires everywhere, or the largest where current
    runs backwards through a mesh and a thicker wire costs volts."""
    worst = sum(
        amps * (max if amps > 0 else min)(choice.ohm for choice in choices[wire])
        for wire, amps in limit.share_a.items()
    )
    return worst > limit.left_v - MARGIN_V


def _free(limit: DropLimit, choices: Mapping[int, Sequence[Choice]]) -> DropLimit:
    """The limit on the wires that have a choice; what the others lose is gone beforehand."""
    share = {wire: amps for wire, amps in limit.share_a.items() if len(choices[wire]) > 1}
    gone = sum(amps * choices[wire][0].ohm for wire, amps in limit.share_a.items() if len(choices[wire]) == 1)
    return DropLimit(share, limit.left_v - gone)


def _groups(limits: Sequence[DropLimit]) -> list[list[DropLimit]]:
    """Limits that share wires belong together; the others can be solved on their own."""
    above: dict[int, int] = {}

    def top(wire: int) -> int:
        while above.setdefault(wire, wire) != wire:
            above[wire] = wire = above[above[wire]]
        return wire

    for limit in limits:
        first, *rest = limit.share_a
        for wire in rest:
            above[top(wire)] = top(first)
    groups: dict[int, list[DropLimit]] = defaultdict(list)
    for limit in limits:
        groups[top(next(iter(limit.share_a)))].append(limit)
    return list(groups.values())


class _Rows:
    """The constraints of a program as they are written down, row by row."""

    def __init__(self) -> None:
        self._rows: list[int] = []
        self._columns: list[int] = []
        self._values: list[float] = []
        self.lower: list[float] = []
        self.upper: list[float] = []

    def add(self, terms: Sequence[tuple[int, float]], lower: float, upper: float) -> None:
        row = len(self.upper)
        for column, value in terms:
            self._rows.append(row)
            self._columns.append(column)
            self._values.append(value)
        self.lower.append(lower)
        self.upper.append(upper)

    def constraint(self, columns: int) -> LinearConstraint:
        matrix = csr_matrix((self._values, (self._rows, self._columns)), shape=(len(self.upper), columns))
        return LinearConstraint(matrix, np.array(self.lower), np.array(self.upper))


def _solve(
    limits: Sequence[DropLimit], wires: Sequence[int], choices: Mapping[int, Sequence[Choice]],
    most_kinds: int | None,
) -> Picked:  # fmt: skip
    """One program over ``wires``. Raises TooFewKinds, and ArithmeticError where the solver gives up."""
    first: dict[int, int] = {}
    count = 0
    for wire in wires:
        first[wire] = count
        count += len(choices[wire])
    kinds: dict[Hashable, int] = {}
    rows = _Rows()
    for wire in wires:  # every wire takes one size
        rows.add([(first[wire] + at, 1.0) for at in range(len(choices[wire]))], 1.0, 1.0)
    starved = count
    for limit in limits:
        terms = [
            (first[wire] + at, amps * choice.ohm)
            for wire, amps in limit.share_a.items()
            for at, choice in enumerate(choices[wire])
        ]
        rows.add([*terms, (starved, -1.0)], -np.inf, limit.left_v - MARGIN_V)
        starved += 1
    if most_kinds is not None:  # a size is taken only of a kind that is bought
        for wire in wires:
            for at, choice in enumerate(choices[wire]):
                if choice.kind is not None:
                    column = kinds.setdefault(choice.kind, starved + len(kinds))
                    rows.add([(first[wire] + at, 1.0), (column, -1.0)], -np.inf, 0.0)
        rows.add([(column, 1.0) for column in kinds.values()], 0.0, float(most_kinds))
    cost = [choice.copper_kg for wire in wires for choice in choices[wire]]
    cost += [STARVED_KG_PER_V] * len(limits) + [0.0] * len(kinds)
    found = milp(
        np.array(cost),
        constraints=rows.constraint(len(cost)),
        integrality=np.array([1] * count + [0] * len(limits) + [1] * len(kinds)),
        bounds=Bounds(0, np.array([1.0] * count + [np.inf] * len(limits) + [1.0] * len(kinds))),
        options={"mip_rel_gap": 0.0, "time_limit": LONGEST_S},
    )
    if found.x is None and most_kinds is not None and found.status == 2:
        raise TooFewKinds(f"{most_kinds} kinds of cable")
    if found.x is None:
        raise ArithmeticError(f"the size program of {len(wires)} wires did not solve: {found.message}")
    took = {wire: int(np.argmax(found.x[first[wire] : first[wire] + len(choices[wire])])) for wire in wires}
    bound = found.mip_dual_bound if found.mip_dual_bound is not None else found.fun
    return Picked(took, float(found.fun), float(bound))


def pick_sizes(
    limits: Sequence[DropLimit], choices: Mapping[int, Sequence[Choice]], *, most_kinds: int | None = None
) -> Picked:
    """The size of every wire with the least copper in all that meets every limit, and the proven bound.

    ``choices``: for every wire its sizes, smallest first. Where no pick meets a limit, the shortfall in
    volts is made as small as it can be. ``most_kinds`` couples all wires: together they take no more than
    so many different kinds. Raises TooFewKinds.
    """
    binding = [_free(limit, choices) for limit in limits if _binding(limit, choices)]
    binding = [limit for limit in binding if limit.share_a]
    if most_kinds is not None:
        return _solve(binding, sorted(choices), choices, most_kinds)
    at = {wire: min(range(len(own)), key=lambda one: own[one].copper_kg) for wire, own in choices.items()}
    cost = bound = 0.0
    for group in _groups(binding):
        wires = sorted({wire for limit in group for wire in limit.share_a})
        found = _solve(group, wires, choices, None)
        at.update(found.at)
        cost, bound = cost + found.cost_kg, bound + found.bound_kg
    coupled = {wire for limit in binding for wire in limit.share_a}
    alone = sum(choices[wire][one].copper_kg for wire, one in at.items() if wire not in coupled)
    return Picked(at, cost + alone, bound + alone)


def least_copper(limits: Sequence[DropLimit], choices: Mapping[int, Sequence[Choice]]) -> dict[int, int]:
    """Index of the size of every wire with the least copper in all that meets every limit."""
    return dict(pick_sizes(limits, choices).at)
