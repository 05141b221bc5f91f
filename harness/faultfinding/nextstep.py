"""Where to hold the meter next: the point whose volts tell the explanations apart best."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from math import exp, log

from harness.electric.graph import Node
from harness.faultfinding.diagnose import Explanation, posts_v
from harness.faultfinding.patient import Patient
from harness.faultfinding.readings import Volts

LEAST_SHARE = 0.002  # of the likelihood: explanations below that are not told apart
MOST = 80  # explanations that are looked at
TELLS = 0.05  # nats: a reading that tells less is not worth a walk


@dataclass(frozen=True)
class NextReading:
    """A point to measure, what it would tell, and what to expect there."""

    node: Node
    tells: float  # nats that the reading takes from what is not known
    expected: tuple[tuple[float, float], ...]  # (volts, share of the likelihood), the likeliest first


def next_readings(
    patient: Patient, found: Sequence[Explanation], points: Collection[Node], most: int = 3
) -> list[NextReading]:
    """The points that tell most, best first, among those a probe can reach."""
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
    return sorted(asked, key=lambda one: -round(one.tells, 6))[:most]


def _tells(told: Sequence[tuple[float, float]], sigmas: Sequence[float]) -> float:
    """Entropy of the reading by the distances of what the explanations expect [nats].

    Kolchinsky and Tracey, 2017: a bound for mixtures from the pairwise distances of their parts.
    """
    sum_ = 0.0
    for at, (volts, share) in enumerate(told):
        like = sum(
            other_share * exp(-(((volts - other) / (sigmas[at] + sigmas[to])) ** 2))
            for to, (other, other_share) in enumerate(told)
        )
        sum_ -= share * log(like)
    return sum_


def _grouped(told: Sequence[tuple[float, float]], sigmas: Sequence[float]) -> tuple[tuple[float, float], ...]:
    """What to expect, readings that no meter tells apart taken together."""
    groups: list[tuple[float, float]] = []
    for (volts, share), sigma in sorted(zip(told, sigmas, strict=True), key=lambda each: -each[0][1]):
        for at, (centre, sum_) in enumerate(groups):
            if abs(volts - centre) <= max(2 * sigma, 0.1):
                groups[at] = (centre, sum_ + share)
                break
        else:
            groups.append((volts, share))
    return tuple(sorted(groups, key=lambda each: -each[1]))
