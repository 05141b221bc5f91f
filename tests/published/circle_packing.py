"""The smallest circle round some circles, by search: the outside check on bundle diameters."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import Any

import numpy as np
from scipy.optimize import minimize

Floats = Any  # arrays of scipy's own making


def packing_mm(diameters_mm: Sequence[float], *, starts: int) -> float:
    """Diameter of the smallest circle found round circles of these diameters [mm].

    From so many random places each the circle round them is made as small as it goes with none lying in
    another (sequential quadratic programming of scipy); the best is an upper bound of the true least.
    """
    radii = np.array(sorted(diameters_mm, reverse=True)) / 2
    count = len(radii)
    one, other = np.triu_indices(count, 1)
    pair, each = np.arange(len(one)), np.arange(count)
    apart = (radii[one] + radii[other]) ** 2

    def room(at: Floats) -> Floats:
        x, y = at[:count], at[count:-1]
        between = (x[one] - x[other]) ** 2 + (y[one] - y[other]) ** 2 - apart
        return np.concatenate([between, (at[-1] - radii) ** 2 - x * x - y * y])

    def slopes(at: Floats) -> Floats:
        x, y = at[:count], at[count:-1]
        found = np.zeros((len(pair) + count, 2 * count + 1))
        for first, values in ((0, x), (count, y)):
            found[pair, first + one] = 2 * (values[one] - values[other])
            found[pair, first + other] = -found[pair, first + one]
            found[len(pair) + each, first + each] = -2 * values
        found[len(pair) + each, -1] = 2 * (at[-1] - radii)
        return found

    upwards = np.zeros(2 * count + 1)
    upwards[-1] = 1.0
    wide = radii.sum()
    random = np.random.default_rng(1)
    best = inf
    for _ in range(starts):
        found = minimize(
            lambda at: at[-1],
            np.append(random.normal(0, wide / 2, 2 * count), 2 * wide),
            jac=lambda _: upwards,
            constraints={"type": "ineq", "fun": room, "jac": slopes},
            bounds=[(None, None)] * (2 * count) + [(radii[0], None)],
            method="SLSQP",
            options={"maxiter": 300, "ftol": 1e-10},
        )
        if room(found.x).min() > -1e-6 * wide * wide:
            best = min(best, float(found.x[-1]))
    return 2 * best
