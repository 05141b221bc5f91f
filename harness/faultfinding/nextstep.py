"""Where to hold the meter next: the point whose volts tell the explanations apart best."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from harness.electric.graph import EdgeKey, Node
from harness.faultfinding.asked import amps_at
from harness.faultfinding.diagnose import Explanation, posts_v
from harness.faultfinding.patient import Patient
from harness.faultfinding.reach import ease
from harness.faultfinding.readings import Volts

LEAST_SHARE = 0.0005  # of the likelihood: explanations below that are not told apart
MOST = 300  # explanations that are looked at
LEAST_V, LEAST_A = 0.1, 0.02  # readings nearer than this are told as one
TELLS = 0.05  # nats: a reading that tells less is not worth a walk


@dataclass(frozen=True)
class NextReading:
    """A point to measure, or a fuse or cable whose current to measure; what it tells and what to expect."""

    node: Node | None
    tells: float  # nats that the reading takes from what is not known
    expected: tuple[tuple[float, float], ...]  # (volts or amperes, share), the likeliest first
    key: EdgeKey | None = None  # in place of a point


def next_readings(
    patient: Patient, found: Sequence[Explanation], points: Collection[Node], most: int = 3,
    keys: Collection[EdgeKey] = (),
) -> list[NextReading]:  # fmt: skip
    """The points, and the places for an ammeter, that tell most, best first."""
    live = [one for one in found if one.share > LEAST_SHARE][:MOST]
    total = sum(one.share for one in live)
    if len(live) < 2 or not total:
        return []
    posts = posts_v(patient)
    asked = []
    for node in points:
        told = [(one.volts(node), one.share / total) for one in live]
        sigmas = [Volts(node, None, 0.0).sigma(volts, posts) for volts, _ in told]
        tells = _tells(told, sigmas)
        if tells > TELLS:
            asked.append(NextReading(node, tells, _grouped(told, sigmas)))
    for key in keys:
        told = [(one.amps(key), one.share / total) for one in live]
        sigmas = [amps_at(key, 0.0, patient).sigma(amps, posts) for amps, _ in told]
        tells = _tells(told, sigmas)
        if tells > TELLS:
            asked.append(NextReading(None, tells, _grouped(told, sigmas, LEAST_A), key))
    return sorted(asked, key=lambda one: -round(_worth(one, patient), 6))[:most]


def _worth(one: NextReading, patient: Patient) -> float:
    return one.tells if one.node is None else one.tells * ease(one.node, patient)


def _tells(told: Sequence[tuple[float, float]], sigmas: Sequence[float]) -> float:
    """Entropy of the reading by the distances of what the explanations expect [nats].

    Kolchinsky and Tracey, 2017: a bound for mixtures from the pairwise distances of their parts.
    """
    volts, shares = np.array(told).T
    spread = np.array(sigmas)
    apart = (volts[:, None] - volts[None, :]) / (spread[:, None] + spread[None, :])
    return float(-(shares * np.log(np.exp(-(apart**2)) @ shares)).sum())


def _grouped(
    told: Sequence[tuple[float, float]], sigmas: Sequence[float], least: float = LEAST_V
) -> tuple[tuple[float, float], ...]:
    """What to expect, readings that no meter tells apart taken together."""
    groups: list[tuple[float, float]] = []
    for (volts, share), sigma in sorted(zip(told, sigmas, strict=True), key=lambda each: -each[0][1]):
        for at, (centre, sum_) in enumerate(groups):
            if abs(volts - centre) <= max(2 * sigma, least):
                groups[at] = (centre, sum_ + share)
                break
        else:
            groups.append((volts, share))
    return tuple(sorted(groups, key=lambda each: -each[1]))
