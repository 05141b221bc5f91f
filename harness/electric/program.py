"""The choice of sizes as one integer program for the general solver, where the own search does not reach.

That is where few kinds of cable may be bought, where current runs backwards through a mesh of straps, and
where the search of :mod:`harness.electric.branching` would take too long.
"""

from __future__ import annotations

from collections.abc import Container, Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.sparse import csr_matrix

if TYPE_CHECKING:  # slow to import, and most machines need none of it
    from scipy.optimize import LinearConstraint

LONGEST_S = 60.0  # for one program; what is then still unproven is told as its gap
LARGEST_COST = 1e5  # in the program; larger ones, such as money in small units, are scaled to it
INFEASIBLE = 2  # status of the solver


@dataclass(frozen=True, slots=True)
class Strap:
    """Every wire of ``back`` is at least as thick as the thinnest of ``there``."""

    there: tuple[int, ...]
    back: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Entry:
    """One size a wire may take: cost, resistance, area, and as what it is bought (None: not counted)."""

    cost: float
    ohm: float
    area_mm2: float = 0.0
    kind: Hashable | None = None


@dataclass(frozen=True, slots=True)
class DropLimit:
    """Sum of share_a x ohm over the wires of a load's way must stay within ``left_v`` [A, V].

    Shares may be negative: current runs backwards through a mesh of straps. ``instead_v``: what the wires are
    held to where no size meets it, unless they lose more anyway; without one they lose as little as they can.
    """

    share_a: Mapping[int, float]
    left_v: float
    instead_v: float = 0.0


@dataclass(frozen=True, slots=True)
class Solved:
    """Place of every wire's size, the cost, what no pick can beat, and the volts too few in each limit."""

    at: dict[int, int]
    cost: float
    bound: float
    short_v: dict[int, float]  # by the place of the limit


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
        from scipy.optimize import LinearConstraint

        matrix = csr_matrix((self._values, (self._rows, self._columns)), shape=(len(self.upper), columns))
        return LinearConstraint(matrix, np.array(self.lower), np.array(self.upper))


class _Columns:
    """The variables: one for each size of each wire, then volts too few, kinds bought, thinnest wires."""

    def __init__(self) -> None:
        self.cost: list[float] = []
        self.whole: list[int] = []
        self.most: list[float] = []

    def add(self, cost: float, *, whole: bool = True, most: float = 1.0) -> int:
        self.cost.append(cost)
        self.whole.append(int(whole))
        self.most.append(most)
        return len(self.cost) - 1


def _kinds(
    columns: _Columns, rows: _Rows, first: Mapping[int, int], entries: Mapping[int, Sequence[Entry]],
    most_kinds: int, price: float,
) -> None:  # fmt: skip
    """A size is taken only of a kind that is bought, at a price, and no more than so many are."""
    kinds: dict[Hashable, int] = {}
    for wire, own in entries.items():
        for at, entry in enumerate(own):
            if entry.kind is not None:
                if entry.kind not in kinds:
                    kinds[entry.kind] = columns.add(price)
                rows.add([(first[wire] + at, 1.0), (kinds[entry.kind], -1.0)], -np.inf, 0.0)
    rows.add([(column, 1.0) for column in kinds.values()], 0.0, float(most_kinds))


def _strap(
    strap: Strap, columns: _Columns, rows: _Rows, first: Mapping[int, int],
    entries: Mapping[int, Sequence[Entry]],
) -> None:  # fmt: skip
    """One of the wires there is named the thinnest; a wire back is no thinner than it, or its thickest."""
    thickest = max(entry.area_mm2 for wire in strap.there for entry in entries[wire])
    named = [columns.add(0.0) for _ in strap.there]
    rows.add([(column, 1.0) for column in named], 1.0, 1.0)
    for back in strap.back:
        reach = max(entry.area_mm2 for entry in entries[back])
        thick = [(first[back] + at, -entry.area_mm2) for at, entry in enumerate(entries[back])]
        for column, wire in zip(named, strap.there, strict=True):
            thin = [(first[wire] + at, min(entry.area_mm2, reach)) for at, entry in enumerate(entries[wire])]
            rows.add([*thin, *thick, (column, thickest)], -np.inf, thickest)


def solve(
    limits: Sequence[DropLimit], entries: Mapping[int, Sequence[Entry]], *, most_kinds: int | None = None,
    kind_price: float = 0.0, straps: Sequence[Strap] = (), volt_price: float = 0.0,
    soft: Container[int] = (),
) -> Solved | None:  # fmt: skip
    """The cheapest pick of one entry for each wire; None where the limits leave none.

    ``most_kinds``: kinds that are bought, each at ``kind_price``. ``soft``: places of limits that may be
    broken at ``volt_price`` a volt. Raises ArithmeticError where the solver gives up without an answer.
    """
    columns, rows = _Columns(), _Rows()
    first: dict[int, int] = {}
    for wire, own in entries.items():
        first[wire] = len(columns.cost)
        for entry in own:
            columns.add(entry.cost)
        rows.add([(first[wire] + at, 1.0) for at in range(len(own))], 1.0, 1.0)
    short: dict[int, int] = {}
    for place, limit in enumerate(limits):
        terms = [
            (first[wire] + at, amps * entry.ohm)
            for wire, amps in limit.share_a.items()
            for at, entry in enumerate(entries[wire])
        ]
        if place in soft:
            short[place] = columns.add(volt_price, whole=False, most=np.inf)
            terms.append((short[place], -1.0))
        rows.add(terms, -np.inf, limit.left_v)
    for strap in straps:
        _strap(strap, columns, rows, first, entries)
    if most_kinds is not None:
        _kinds(columns, rows, first, entries, most_kinds, kind_price)
    unit = max(1.0, max(columns.cost) / LARGEST_COST)
    from scipy.optimize import Bounds, milp

    found = milp(
        np.array(columns.cost) / unit,
        constraints=rows.constraint(len(columns.cost)),
        integrality=np.array(columns.whole),
        bounds=Bounds(0, np.array(columns.most)),
        options={"mip_rel_gap": 0.0, "time_limit": LONGEST_S},
    )
    if found.x is None and found.status == INFEASIBLE:
        return None
    if found.x is None:
        raise ArithmeticError(f"the size program of {len(entries)} wires did not solve: {found.message}")
    took = {
        wire: int(np.argmax(found.x[first[wire] : first[wire] + len(own)])) for wire, own in entries.items()
    }
    bound = found.mip_dual_bound if found.mip_dual_bound is not None else found.fun
    short_v = {place: float(found.x[column]) for place, column in short.items()}
    return Solved(took, float(found.fun) * unit, float(bound) * unit, short_v)
