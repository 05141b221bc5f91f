"""The sizes with least copper at which every load keeps its volts: an integer program, solved to the end."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_matrix

STARVED_KG_PER_V = 1e4  # price of a volt too few; any copper that helps is cheaper
MARGIN_V = 1e-7  # solver tolerance kept away from the allowance


@dataclass(frozen=True, slots=True)
class Choice:
    """One size a wire may take: what it weighs and resists."""

    copper_kg: float
    ohm: float


@dataclass(frozen=True, slots=True)
class DropLimit:
    """Sum of share_a x ohm over the wires of a load's way must stay within ``left_v`` [A, V]."""

    share_a: Mapping[int, float]
    left_v: float


def _binding(limit: DropLimit, choices: Mapping[int, Sequence[Choice]]) -> bool:
    """Whether some pick of sizes breaks it; with the smallest wires everywhere, or the largest where current
    runs backwards through a mesh and a thicker wire costs volts."""
    worst = sum(
        amps * (max if amps > 0 else min)(choice.ohm for choice in choices[wire])
        for wire, amps in limit.share_a.items()
    )
    return worst > limit.left_v - MARGIN_V


def _groups(limits: Sequence[DropLimit]) -> list[list[DropLimit]]:
    """Limits that share wires belong together; the others can be solved on their own."""
    groups: list[tuple[set[int], list[DropLimit]]] = []
    for limit in limits:
        wires, members = set(limit.share_a), [limit]
        for group in [group for group in groups if group[0] & wires]:
            groups.remove(group)
            wires |= group[0]
            members = group[1] + members
        groups.append((wires, members))
    return [members for _, members in groups]


def _solve(limits: Sequence[DropLimit], choices: Mapping[int, Sequence[Choice]]) -> dict[int, int]:
    wires = sorted({wire for limit in limits for wire in limit.share_a})
    first: dict[int, int] = {}
    for wire in wires:
        first[wire] = sum(len(choices[other]) for other in wires if other < wire)
    count = sum(len(choices[wire]) for wire in wires)
    cost = [choice.copper_kg for wire in wires for choice in choices[wire]] + [STARVED_KG_PER_V] * len(limits)
    rows, columns, values = [], [], []
    for row, wire in enumerate(wires):  # every wire takes one size
        for at in range(len(choices[wire])):
            rows.append(row)
            columns.append(first[wire] + at)
            values.append(1.0)
    for row, limit in enumerate(limits, len(wires)):
        for wire, amps in limit.share_a.items():
            for at, choice in enumerate(choices[wire]):
                rows.append(row)
                columns.append(first[wire] + at)
                values.append(amps * choice.ohm)
        rows.append(row)
        columns.append(count + row - len(wires))
        values.append(-1.0)
    matrix = csr_matrix((values, (rows, columns)), shape=(len(wires) + len(limits), count + len(limits)))
    upper = np.array([1.0] * len(wires) + [limit.left_v - MARGIN_V for limit in limits])
    lower = np.array([1.0] * len(wires) + [-np.inf] * len(limits))
    found = milp(
        np.array(cost),
        constraints=LinearConstraint(matrix, lower, upper),
        integrality=np.array([1] * count + [0] * len(limits)),
        bounds=Bounds(0, np.array([1.0] * count + [np.inf] * len(limits))),
        options={"mip_rel_gap": 0.0},
    )
    if found.x is None:
        raise ArithmeticError(f"the size program of {len(wires)} wires did not solve: {found.message}")
    return {wire: int(np.argmax(found.x[first[wire] : first[wire] + len(choices[wire])])) for wire in wires}


def least_copper(limits: Sequence[DropLimit], choices: Mapping[int, Sequence[Choice]]) -> dict[int, int]:
    """Index of the size of every wire with the least copper in all that meets every limit.

    ``choices``: for every wire its sizes, smallest first. Where no pick meets a limit, the shortfall in
    volts is made as small as it can be. Proven optimal by HiGHS (gap 0) for the given currents.
    """
    picked = dict.fromkeys(choices, 0)
    binding = [limit for limit in limits if _binding(limit, choices)]
    for group in _groups(binding):
        picked.update(_solve(group, choices))
    return picked
