"""The nodal solve: volts at every node and current in every branch of a linear DC network."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import splu

LEAST_OHM = 1e-7  # a branch without resistance is a bolt; this keeps the matrix regular


class NoReference(Exception):
    """The reference node is not in the network."""


@dataclass(frozen=True, slots=True)
class Branch:
    """A resistance between two nodes, with an EMF in series that lifts ``a`` above ``b`` [ohm, V]."""

    a: Hashable
    b: Hashable
    ohm: float
    emf_v: float = 0.0


def _siemens(branch: Branch) -> float:
    """Conductance [S]; below zero where a branch stands for the falling line of a load of constant power."""
    return 1 / (branch.ohm if branch.ohm < 0 else max(branch.ohm, LEAST_OHM))


def _reached(branches: Sequence[Branch], start: Hashable) -> list[Hashable]:
    """Nodes tied to ``start``, in the order they are met."""
    around: dict[Hashable, list[Hashable]] = {}
    for branch in branches:
        around.setdefault(branch.a, []).append(branch.b)
        around.setdefault(branch.b, []).append(branch.a)
    order, seen = [start], {start}
    for node in order:
        fresh = [other for other in around.get(node, ()) if other not in seen]
        fresh = list(dict.fromkeys(fresh))
        seen.update(fresh)
        order.extend(fresh)
    return order


class Network:
    """A network factorised once and solved for as many sets of load currents as wanted.

    Nodes that no branch ties to the reference float: they have no volts and take no current.
    """

    def __init__(self, branches: Sequence[Branch], reference: Hashable) -> None:
        self.branches = tuple(branches)
        order = _reached(branches, reference)
        self._index: dict[Hashable, int] = {node: at - 1 for at, node in enumerate(order)}
        self._size = len(order) - 1
        self._lu: Any = splu(self._matrix()) if self._size else None

    def _matrix(self) -> Any:
        rows: list[int] = []
        columns: list[int] = []
        values: list[float] = []
        for branch in self.branches:
            a, b = self._index.get(branch.a), self._index.get(branch.b)
            if a is None or b is None or a == b:
                continue
            siemens = _siemens(branch)
            for row, column, sign in ((a, a, 1), (b, b, 1), (a, b, -1), (b, a, -1)):
                if row >= 0 and column >= 0:
                    rows.append(row)
                    columns.append(column)
                    values.append(sign * siemens)
        return csc_matrix((values, (rows, columns)), shape=(self._size, self._size))

    def holds(self, node: Hashable) -> bool:
        """Whether the node is tied to the reference."""
        return node in self._index

    def _sources(self) -> NDArray[np.float64]:
        found = np.zeros(self._size + 1)
        for branch in self.branches:
            if branch.emf_v and self.holds(branch.a) and self.holds(branch.b):
                amps = branch.emf_v * _siemens(branch)
                found[self._index[branch.a]] += amps
                found[self._index[branch.b]] -= amps
        return found  # the last entry gathers what enters the reference, index -1

    def volts(self, drawn_a: Mapping[tuple[Hashable, Hashable], float]) -> dict[Hashable, float]:
        """Volts of every node against the reference [V] when currents are drawn.

        ``drawn_a``: (from node, to node) -> current taken out at the first and put back at the second [A].
        """
        inputs = self._sources()
        for (start, end), amps in drawn_a.items():
            if self.holds(start) and self.holds(end):
                inputs[self._index[start]] -= amps
                inputs[self._index[end]] += amps
        solved = self._lu.solve(inputs[:-1]) if self._size else np.zeros(0)
        return {node: float(solved[at]) if at >= 0 else 0.0 for node, at in self._index.items()}

    def current_a(self, branch: Branch, volts: Mapping[Hashable, float]) -> float:
        """Current of a branch from a to b [A]; 0 when it floats."""
        if branch.a not in volts or branch.b not in volts:
            return 0.0
        return (volts[branch.a] - volts[branch.b] - branch.emf_v) * _siemens(branch)
