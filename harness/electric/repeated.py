"""Loads that go on and off again and again, as the steady current that keeps a wire as warm.

First order, by the wire's thermal time constant: of what a current that stays on would heat a wire by, one
that is on for a time in every cycle reaches the share (1 - exp(-on/tau)) / (1 - exp(-cycle/tau)) at its
hottest moment. Source: first order response to a periodic duty (textbook; the pattern of duty type S3 of
IEC 60034-1). A slow wire feels the root mean square; one that is on for long against its time constant, all.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import exp, sqrt

from harness.electric.currents import ModeSolution

LEAST_A = 1e-6  # a wire that a load moves by less is not on its way


@dataclass(frozen=True, slots=True)
class Cycle:
    """What a load adds to a wire's current while it is on, and its rhythm."""

    amps: float
    on_s: float
    off_s: float

    def share(self, tau_s: float | None) -> float:
        """Share of its settled heat at the hottest moment; in a slow wire (None) the share of time on."""
        if tau_s is None:
            return self.on_s / (self.on_s + self.off_s)
        return (1 - exp(-self.on_s / tau_s)) / (1 - exp(-(self.on_s + self.off_s) / tau_s))


Repeated = tuple[float, tuple[Cycle, ...]]  # what lasts [A], and what comes again and again


def together_a(base_a: float, cycles: Sequence[Cycle], tau_s: float | None) -> float:
    """Steady current that warms a wire as far as a lasting one and several repeated ones do at most [A].

    Where two overlap, their overlap lasts no longer than the rarer of them: heat goes with the square of
    the sum, and each further load is counted with its own share, the rarest last (safe side, calculated).

    >>> together_a(3.0, [Cycle(4.0, 60, 0)], 100.0)
    7.0
    """
    squared, sum_a = base_a * base_a, base_a
    for share, amps in sorted(((cycle.share(tau_s), cycle.amps) for cycle in cycles), reverse=True):
        squared += share * ((sum_a + amps) ** 2 - sum_a**2)
        sum_a += amps
    return sqrt(squared)


def repeated_loads(solution: ModeSolution) -> dict[int, Repeated]:
    """Wire -> what lasts in a mode, and the repeated loads whose current flows in it."""
    found: dict[int, list[Cycle]] = {}
    usual = solution.case("continuous").wire_a if solution.cases else {}
    for load in solution.activity.loads:
        on_s, off_s = load.load.steady_s, load.load.off_s
        if on_s is None or off_s is None:
            continue
        spell = f"spell {load.part} {load.link}"
        moved = [each for case in solution.cases if case.what == spell for each in case.moved_a().items()]
        for wire, amps in moved:
            more = round(abs(amps) - abs(usual[wire]), 6)
            if more > LEAST_A:
                found.setdefault(wire, []).append(Cycle(more, on_s, off_s))
    lasting = [case.wire_a for case in solution.cases if case.what in ("continuous", "charging")]
    return {
        wire: (round(max(abs(amps[wire]) for amps in lasting), 6), tuple(again))
        for wire, again in found.items()
    }


def continuous_currents(solutions: Iterable[ModeSolution]) -> dict[str, dict[int, float]]:
    """Mode -> wire -> what it carries for as long as the mode lasts [A], charging counted on its own."""
    found: dict[str, dict[int, float]] = {}
    for solution in solutions:
        mode = found.setdefault(solution.activity.mode.name, {})
        for case in solution.cases:
            if case.what in ("continuous", "charging"):
                for wire, amps in case.wire_a.items():
                    mode[wire] = max(mode.get(wire, 0.0), abs(amps))
    return found


def carried_currents(solutions: Sequence[ModeSolution]) -> dict[str, dict[int, float]]:
    """Mode -> wire -> what a bundle counts [A]: what lasts, with repeated loads by root mean square."""
    found = continuous_currents(solutions)
    for solution in solutions:
        mode = found[solution.activity.mode.name]
        for wire, (base_a, again) in repeated_loads(solution).items():
            mode[wire] = together_a(base_a, again, None)
    return found
