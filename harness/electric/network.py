"""The nodal solve: volts at every node and current in every branch of a linear DC network."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import splu

COLUMNS_AT_ONCE = 64
LEAST_OHM = 1e-7  # a branch without resistance is a bolt; this keeps the matrix regular
NO_SHARE = 1e-9  # of a current: less than this does not flow there

Floats = NDArray[np.float64]
Drawn = Mapping[
    tuple[Hashable, Hashable], float
]  # (from node, to node) -> current taken out and put back [A]


@dataclass(frozen=True, slots=True)
class Branch:
    """A resistance between two nodes, with an EMF in series that lifts ``a`` above ``b`` [ohm, V]."""

    a: Hashable
    b: Hashable
    ohm: float
    emf_v: float = 0.0


def siemens(ohms: Iterable[float]) -> Floats:
    """Conductances [S]; below zero where a branch stands for the falling line of a load of constant power."""
    given = np.fromiter(ohms, dtype=np.float64)
    return np.asarray(1 / np.where(given < 0, given, np.maximum(given, LEAST_OHM)))


def reached(ends: Iterable[tuple[Hashable, Hashable]], start: Hashable) -> dict[Hashable, int]:
    """Nodes tied to ``start``, numbered in the order they are met."""
    around: dict[Hashable, list[Hashable]] = {}
    for a, b in ends:
        around.setdefault(a, []).append(b)
        around.setdefault(b, []).append(a)
    found = {start: 0}
    todo = [start]
    for node in todo:
        for other in around.get(node, ()):
            if other not in found:
                found[other] = len(todo)
                todo.append(other)
    return found


class Web:
    """How branches hang together, whatever their resistance: worked out once, solved as often as wanted.

    Nodes that no branch ties to the reference float: they have no volts and take no current. The reference
    is node 0.
    """

    def __init__(self, ends: Sequence[tuple[Hashable, Hashable]], reference: Hashable) -> None:
        self.index = reached(ends, reference)
        self.size = len(self.index)
        index = self.index
        self.a = np.array([index.get(a, -1) for a, _ in ends], dtype=np.intp)
        self.b = np.array([index.get(b, -1) for _, b in ends], dtype=np.intp)
        self.tied = (self.a >= 0) & (self.b >= 0)
        self._enter = np.flatnonzero(self.tied & (self.a != self.b))
        a, b = self.a[self._enter], self.b[self._enter]
        rows, columns = np.stack([a, b, a, b], 1).ravel(), np.stack([a, b, b, a], 1).ravel()
        self._inside = (rows > 0) & (columns > 0)
        self._at = (rows[self._inside] - 1, columns[self._inside] - 1)

    def factor(self, conductance_s: Floats) -> Any:
        """The factorised matrix of these conductances of the branches, None without unknown nodes."""
        if self.size == 1:
            return None
        each = conductance_s[self._enter]
        values = np.stack([each, each, -each, -each], 1).ravel()[self._inside]
        return splu(csc_matrix((values, self._at), shape=(self.size - 1, self.size - 1)))

    @cached_property
    def _twigs(self) -> dict[int, tuple[int, int, int]]:
        """Nodes outside every mesh: node -> branch one step nearer to the meshes, its sense, next node.

        Cut off one after the other from the tips, the reference never; +1 where the branch leads away from
        the node.
        """
        around: list[dict[int, int]] = [{} for _ in range(self.size)]  # branch -> node at its other end
        starts, ends = self.a.tolist(), self.b.tolist()
        for branch in self._enter.tolist():
            around[starts[branch]][branch] = ends[branch]
            around[ends[branch]][branch] = starts[branch]
        tips = [node for node in range(1, self.size) if len(around[node]) == 1]
        found = {}
        for node in tips:
            if not around[node]:
                continue
            ((branch, other),) = around[node].items()
            found[node] = (branch, 1 if starts[branch] == node else -1, other)
            del around[other][branch]
            if other and len(around[other]) == 1:
                tips.append(other)
        return found

    @cached_property
    def meshed(self) -> NDArray[np.intp]:
        """Branches that lie in the meshes, or between them."""
        outside = {branch for branch, _, _ in self._twigs.values()}
        return np.array([one for one in self._enter.tolist() if one not in outside], dtype=np.intp)

    def way_home(self, node: int) -> tuple[dict[int, int], int]:
        """The only way from a node to the meshes: branch -> sense along it, and the node where they begin."""
        found = {}
        while (step := self._twigs.get(node)) is not None:
            branch, sense, node = step
            found[branch] = sense
        return found, node


class Network:
    """A network factorised once and solved for as many sets of load currents as wanted."""

    def __init__(self, branches: Sequence[Branch], reference: Hashable) -> None:
        web = Web([(branch.a, branch.b) for branch in branches], reference)
        self._set(web, [branch.ohm for branch in branches], [branch.emf_v for branch in branches])

    @classmethod
    def on(cls, web: Web, ohms: Iterable[float], emfs_v: Sequence[float]) -> Network:
        """A network on a web that is known: resistance and EMF of every branch [ohm, V]."""
        made = cls.__new__(cls)
        made._set(web, ohms, emfs_v)
        return made

    def _set(self, web: Web, ohms: Iterable[float], emfs_v: Sequence[float]) -> None:
        self.web = web
        self._siemens = siemens(ohms)
        self._emf_v = np.asarray(emfs_v, dtype=np.float64)
        self._lu = web.factor(self._siemens)
        self._shares: dict[tuple[int, int], dict[int, float]] = {}

    def holds(self, node: Hashable) -> bool:
        """Whether the node is tied to the reference."""
        return node in self.web.index

    def _sources(self) -> Floats:
        found = np.zeros(self.web.size)
        for branch in np.flatnonzero((self._emf_v != 0) & self.web.tied):
            amps = self._emf_v[branch] * self._siemens[branch]
            found[self.web.a[branch]] += amps
            found[self.web.b[branch]] -= amps
        return found  # the first entry gathers what enters the reference

    def _solved(self, inputs: Floats) -> Floats:
        found = np.zeros(self.web.size)
        if self._lu is not None:
            found[1:] = self._lu.solve(inputs[1:])
        return found

    def solve(self, drawn_a: Drawn) -> Floats:
        """Volts of every node by its number when currents are drawn [V]."""
        inputs = self._sources()
        index = self.web.index
        for (start, end), amps in drawn_a.items():
            a, b = index.get(start), index.get(end)
            if a is not None and b is not None:
                inputs[a] -= amps
                inputs[b] += amps
        return self._solved(inputs)

    def volts(self, drawn_a: Drawn) -> dict[Hashable, float]:
        """Volts of every node against the reference [V] when currents are drawn."""
        return self.named(self.solve(drawn_a))

    def named(self, volts: Floats) -> dict[Hashable, float]:
        """Volts by node."""
        return dict(zip(self.web.index, volts.tolist(), strict=True))

    def currents_a(self, volts: Floats) -> list[float]:
        """Current of every branch from a to b [A], in their order; 0 where it floats."""
        found: list[float] = self._currents(volts, self._emf_v).tolist()
        return found

    def _currents(self, volts: Floats, emf_v: Floats) -> Floats:
        web = self.web
        return np.where(web.tied, (volts[web.a] - volts[web.b] - emf_v) * self._siemens, 0.0)

    def shares(self, start: Hashable, end: Hashable) -> dict[int, float]:
        """How a current drawn at one node and put back at another finds its way: branch -> its share, signed.

        Up to the meshes there is one way only; in the meshes it is solved for, once for each pair of nodes
        where such ways begin.
        """
        there, a = self.web.way_home(self.web.index[start])
        back, b = self.web.way_home(self.web.index[end])
        found: dict[int, float] = {branch: -sense for branch, sense in there.items()}
        for branch, sense in back.items():
            found[branch] = found.get(branch, 0) + sense
        if a != b:
            if (a, b) not in self._shares:
                self._shares[a, b] = self._in_meshes(a, b)
            found |= self._shares[a, b]
        return {branch: share for branch, share in found.items() if share}

    def _in_meshes(self, a: int, b: int) -> dict[int, float]:
        inputs = np.zeros(self.web.size)
        inputs[a], inputs[b] = -1.0, 1.0
        shares = self._currents(self._solved(inputs), np.zeros_like(self._emf_v))
        meshed = self.web.meshed
        kept = meshed[np.abs(shares[meshed]) > NO_SHARE]
        return dict(zip(kept.tolist(), shares[kept].tolist(), strict=True))

    def index(self, node: Hashable) -> int:
        """Where a node stands in a column of :meth:`columns`."""
        return self.web.index[node]

    def columns(self, inputs: Sequence[Hashable]) -> Iterator[tuple[Hashable, Floats]]:
        """For each node the volts that 1 A put in there lifts every node by, EMFs dead [V]; by :meth:`index`.

        Solved some at a time, so that a large network does not fill the memory.
        """
        for start in range(0, len(inputs), COLUMNS_AT_ONCE):
            nodes = inputs[start : start + COLUMNS_AT_ONCE]
            unit = np.zeros((self.web.size, len(nodes)))
            for at, node in enumerate(nodes):
                unit[self.web.index[node], at] = 1.0
            unit[0, :] = 0.0  # what goes into the reference lifts nothing
            if self._lu is not None:
                unit[1:, :] = self._lu.solve(unit[1:, :])
            for at, node in enumerate(nodes):
                yield node, unit[:, at]

    def current_a(self, branch: Branch, volts: Mapping[Hashable, float]) -> float:
        """Current of a branch from a to b [A]; 0 when it floats."""
        if branch.a not in volts or branch.b not in volts:
            return 0.0
        return float((volts[branch.a] - volts[branch.b] - branch.emf_v) * siemens([branch.ohm])[0])
