"""Solves a network whose loads follow their volts: one factorised matrix, laid anew where it helps.

Each round replaces every load's law by a straight line at the volts last seen. The slopes of the lines stay
as long as the volts still come to rest by them; then a round costs no more than a substitution.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from copy import copy
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import splu

from harness.electric.laws import DROP_OUT, LAMP_EXPONENT, LAMP_LINEAR, STALLS, Draw, Giver, State
from harness.electric.network import LEAST_OHM, Branch, reached

MOST_ROUNDS = 60
CLOSE_V = 1e-9
FAR = 0.01  # of the highest rated volts
SLOW = 0.25  # a round that moves the volts by more than this share of the last one asks for new slopes
TIE_S = 1e-9  # siemens of a source at its limit, so that a node that hangs on it alone is not lost

Volts = Mapping[Hashable, float]
Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


class Grid:
    """The nodes of a network and the conductances that never change."""

    def __init__(self, branches: Sequence[Branch], givers: Sequence[Giver], reference: Hashable) -> None:
        ties = [(each.a, each.b) for each in branches] + [(each.a, each.b) for each in givers]
        self.index = {node: at - 1 for node, at in reached(ties, reference).items()}  # the reference is -1
        self.size = len(self.index) - 1
        held = [each for each in branches if each.a in self.index and each.a != each.b]
        siemens = np.array([1 / max(each.ohm, LEAST_OHM) for each in held])
        a, b = self.ends(held)
        self._base = self._stamps(a, b, siemens)

    def having(self, branches: Sequence[tuple[Branch, float]]) -> Grid:
        """The same nodes with conductances more or less between some of them [S]."""
        changed = copy(self)
        a, b = self.ends([branch for branch, _ in branches])
        more = self._stamps(a, b, np.array([siemens for _, siemens in branches], dtype=float))
        rows, columns, values = (np.concatenate(pair) for pair in zip(self._base, more, strict=True))
        changed._base = rows, columns, values
        return changed

    def holds(self, node: Hashable) -> bool:
        """Whether the node is tied to the reference."""
        return node in self.index

    def ends(self, held: Sequence[Branch | Draw | Giver]) -> tuple[Ints, Ints]:
        """Numbers of the nodes at both ends of each; -1 is the reference."""
        a = np.array([self.index[each.a] for each in held], dtype=np.int64)
        return a, np.array([self.index[each.b] for each in held], dtype=np.int64)

    @staticmethod
    def _stamps(a: Ints, b: Ints, siemens: Floats) -> tuple[Ints, Ints, Floats]:
        rows, columns = np.concatenate([a, b, a, b]), np.concatenate([a, b, b, a])
        values = np.concatenate([siemens, siemens, -siemens, -siemens])
        kept = (rows >= 0) & (columns >= 0)
        return rows[kept], columns[kept], values[kept]

    def matrix(self, a: Ints, b: Ints, siemens: Floats) -> csc_matrix:
        """The conductances with these added [S]."""
        rows, columns, values = (
            np.concatenate(pair) for pair in zip(self._base, self._stamps(a, b, siemens), strict=True)
        )
        return csc_matrix((values, (rows, columns)), shape=(self.size, self.size))

    def factorised(self, a: Ints, b: Ints, siemens: Floats) -> Any:
        """The same, ready to be solved."""
        return splu(self.matrix(a, b, siemens), permc_spec="MMD_AT_PLUS_A")

    def settler(self, givers: Sequence[Giver], draws: Sequence[Draw]) -> Settler:
        """The same with these sources and loads."""
        return Settler(self, givers, draws)


class Settler:
    """Sources and loads on a grid; keeps the volts last found."""

    def __init__(self, grid: Grid, givers: Sequence[Giver], draws: Sequence[Draw]) -> None:
        self.grid = grid
        self.givers = tuple(givers)
        self.draws = tuple(draws)
        self._giver_ends = grid.ends(self.givers)
        self._draw_ends = grid.ends(self.draws)
        self._rated_a = np.array([each.rated_a for each in draws], dtype=float)
        self._rated_v = np.array([each.rated_v for each in draws], dtype=float)
        self._is = {
            law: np.array([each.law == law for each in draws], dtype=bool)
            for law in ("lamp", "resistance", "power", "motor")
        }
        self._solved: Floats = np.zeros(grid.size + 1)  # the last entry is the reference
        self._seen: Floats = self._rated_v.copy()

    def _amps_and_slopes(self, volts: Floats) -> tuple[Floats, Floats]:
        """What every load draws at these volts and how that changes with them; the laws of ``Draw``."""
        share = volts / self._rated_v
        rated_s = self._rated_a / self._rated_v
        lamp, ohmic, power, motor = self._is.values()
        size = np.maximum(np.abs(share), LAMP_LINEAR)
        bright = self._rated_a * share * size ** (LAMP_EXPONENT - 1)
        bright_s = rated_s * size ** (LAMP_EXPONENT - 1)
        bright_s = np.where(np.abs(share) > LAMP_LINEAR, LAMP_EXPONENT * bright_s, bright_s)
        steady = np.maximum(share, DROP_OUT)
        asked = self._rated_a * share / steady**2
        asked_s = np.where(share > DROP_OUT, -rated_s / steady**2, rated_s / DROP_OUT**2)
        turning = np.tanh(STALLS * share)
        turned = self._rated_a * turning / np.tanh(STALLS)
        turned_s = rated_s * STALLS * (1 - turning**2) / np.tanh(STALLS)
        laws = [lamp, power, ohmic, motor]
        amps = np.select(laws, [bright, asked, self._rated_a * share, turned], self._rated_a)
        return amps, np.select(laws, [bright_s, asked_s, rated_s, turned_s], 0.0)

    def _sources(self, states: Sequence[State]) -> tuple[Floats, Floats]:
        """Conductance and driven current of every source on its straight piece [S, A]."""
        siemens, driven = np.zeros(len(states)), np.zeros(len(states))
        for at, (one, state) in enumerate(zip(self.givers, states, strict=True)):
            if state == "limit":
                siemens[at], driven[at] = TIE_S, one.most_a or 0.0
            else:
                siemens[at] = 1 / (one.ohm if state == "holds" else one.back_ohm)
                driven[at] = one.emf_v * siemens[at]
        return siemens, driven

    def _inputs(self, giver_a: Floats, drawn_a: Floats) -> Floats:
        inputs = np.zeros(self.grid.size + 1)
        for (a, b), amps in ((self._giver_ends, giver_a), (self._draw_ends, -drawn_a)):
            np.add.at(inputs, a, amps)
            np.add.at(inputs, b, -amps)
        return inputs[:-1]

    def _chords(self, volts: Floats, amps: Floats, slopes: Floats) -> Floats:
        """Conductance of every load as it stands, through no volts and no current; its slope when at rest."""
        still = np.abs(volts) < LAMP_LINEAR * self._rated_v
        return np.where(still, slopes, amps / np.where(still, 1.0, volts))

    def settle(
        self,
        states: Sequence[State],
        close_v: float = CLOSE_V,
        *,
        from_rest: bool = False,
        start_v: Sequence[float] | None = None,
    ) -> bool:
        """Solve again and again until no load's volts move by ``close_v``, the sources on their pieces.

        ``from_rest``: some loads may find no volts, where the slope at their rated ones leads astray; as long
        as the volts move far each load then stands as the conductance it has at the volts last seen.
        ``start_v``: volts of the loads to begin at, in place of their rated ones.
        """
        if not self.grid.size:
            return True
        siemens, driven = self._sources(states)
        ends = tuple(np.concatenate(pair) for pair in zip(self._giver_ends, self._draw_ends, strict=True))
        self._seen = self._rated_v.copy() if start_v is None else np.array(start_v, dtype=float)
        solve, slopes, last = None, np.zeros(len(self.draws)), np.inf
        for _ in range(MOST_ROUNDS):
            amps, fresh = self._amps_and_slopes(self._seen)
            if from_rest and last > FAR * float(np.max(self._rated_v, initial=0.0)):
                fresh, solve = self._chords(self._seen, amps, fresh), None
            if solve is None:
                slopes = fresh
                try:
                    solve = self.grid.factorised(ends[0], ends[1], np.concatenate([siemens, slopes])).solve
                except RuntimeError:  # a falling line that just cancels the wires' conductance
                    return False
            self._solved[:-1] = solve(self._inputs(driven, amps - slopes * self._seen))
            if not np.isfinite(self._solved).all():
                self._solved[:] = 0.0
                return False
            now = self._solved[self._draw_ends[0]] - self._solved[self._draw_ends[1]]
            moved = float(np.max(np.abs(now - self._seen), initial=0.0))
            self._seen = now
            if moved < close_v:
                return True
            if moved > SLOW * last:
                solve = None
            last = moved
        return False

    def transfer(self, giver_v: Sequence[float], a: Hashable, b: Hashable) -> Floats:
        """Volts lost from ``a`` to ``b`` for each ampere that each load draws [ohm], in their order.

        The sources stay on the piece of their line where they stand at ``giver_v`` [V].
        """
        states = [one.state(volts) for one, volts in zip(self.givers, giver_v, strict=True)]
        ends = self._giver_ends
        lu = self.grid.factorised(ends[0], ends[1], self._sources(states)[0])
        inputs = np.zeros(self.grid.size + 1)
        inputs[self.grid.index[a]] += 1.0
        inputs[self.grid.index[b]] -= 1.0
        solved = np.append(lu.solve(inputs[:-1]), 0.0)
        found: Floats = solved[self._draw_ends[0]] - solved[self._draw_ends[1]]
        return found

    def impedances(self, giver_v: Sequence[float], draw_v: Sequence[float]) -> Floats:
        """Volts of every node for each ampere into any [ohm], with all laws straight at these volts.

        The last row and column are the reference's, all zero.
        """
        states = [one.state(volts) for one, volts in zip(self.givers, giver_v, strict=True)]
        slopes = self._amps_and_slopes(np.array(draw_v, dtype=float))[1]
        ends = tuple(np.concatenate(pair) for pair in zip(self._giver_ends, self._draw_ends, strict=True))
        siemens = np.concatenate([self._sources(states)[0], slopes])
        matrix = self.grid.matrix(ends[0], ends[1], siemens)
        found: Floats = np.zeros((self.grid.size + 1, self.grid.size + 1))
        found[:-1, :-1] = np.linalg.inv(matrix.toarray())
        return found

    def states_now(self) -> list[State]:
        """Which piece of its line every source is on at the volts last found."""
        a, b = self._giver_ends
        across = self._solved[a] - self._solved[b]
        return [one.state(float(volts)) for one, volts in zip(self.givers, across, strict=True)]

    def volts(self) -> dict[Hashable, float]:
        """Volts of every node against the reference [V]."""
        solved = self._solved.tolist()
        return {node: solved[at] for node, at in self.grid.index.items()}
