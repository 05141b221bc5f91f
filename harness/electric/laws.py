"""How a load's current follows its volts, and how a source's volts follow its current.

With I0 the rated current at the rated volts V0 and u = V / V0:

- lamp: I0 x u^0.55, a hot filament; below u = 0.01 a resistance
- heater, coil: I0 x u
- electronics: I0 / u, constant power; below half its volts a resistance, and then it counts as collapsed
- motor, signal: I0
- the same where a fault is looked for: I0 x tanh(2 u) / tanh(2), a choice of ours: next to I0 as long as the
  load runs, and nothing without volts, where a constant current would find no rest

Sources of the exponent and the half: table source_figures.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from math import tanh
from typing import Literal

from harness.electric.supply import figure

LAMP_EXPONENT = figure("lamp current exponent")
LAMP_LINEAR = 0.01  # share of rated volts below which a filament is a resistance; keeps the slope finite
DROP_OUT = figure("electronics drop out")
REGULATOR_OHM = 1e-3  # slope of a regulator taken as flat; lets the solve find its limit
LEAK_S = 1e-3  # siemens of a source that takes no current; keeps the network tied

STALLS = 2.0  # of a motor's curve: 95 % of its current at 73 % of its volts
Law = Literal["lamp", "resistance", "power", "current", "motor"]
State = Literal["holds", "limit", "idle"]
LAWS: Mapping[str, Law] = {
    "lamp": "lamp",
    "heater": "resistance",
    "coil": "resistance",
    "electronics": "power",
}


@dataclass(frozen=True, slots=True)
class Draw:
    """A load that takes current from ``a`` to ``b`` by a law of the volts between them [A, V]."""

    name: str
    a: Hashable
    b: Hashable
    law: Law
    rated_a: float
    rated_v: float

    def amps(self, volts_v: float) -> float:
        """Current at these volts [A]."""
        share = volts_v / self.rated_v
        if self.law == "lamp":
            return self.rated_a * share * float(max(abs(share), LAMP_LINEAR) ** (LAMP_EXPONENT - 1))
        if self.law == "power":
            return self.rated_a * share / max(share, DROP_OUT) ** 2
        if self.law == "motor":
            return self.rated_a * tanh(STALLS * share) / tanh(STALLS)
        return self.rated_a * share if self.law == "resistance" else self.rated_a

    def siemens(self, volts_v: float) -> float:
        """Slope of the law at these volts [S]; falling for constant power."""
        rated_s = self.rated_a / self.rated_v
        if self.law == "lamp":
            share = abs(volts_v) / self.rated_v
            slope = LAMP_EXPONENT if share > LAMP_LINEAR else 1.0
            return slope * rated_s * float(max(share, LAMP_LINEAR) ** (LAMP_EXPONENT - 1))
        if self.law == "power":
            share = volts_v / self.rated_v
            return -rated_s / share**2 if share > DROP_OUT else rated_s / DROP_OUT**2
        if self.law == "motor":
            bend = 1 - tanh(STALLS * volts_v / self.rated_v) ** 2
            return rated_s * STALLS * bend / tanh(STALLS)
        return rated_s if self.law == "resistance" else 0.0


NOTHING_A = 1e-6  # a source with nothing on it stands at its own volts, give or take the rounding of a solve


@dataclass(frozen=True, slots=True)
class Giver:
    """A source between two nodes: volts behind a resistance, with a most current where it has one.

    ``one_way``: standing below the network it takes next to nothing, or by ``take_ohm`` what a battery takes
    that is being charged.
    """

    name: str
    a: Hashable
    b: Hashable
    emf_v: float
    ohm: float
    most_a: float | None
    one_way: bool
    take_ohm: float | None = None

    @property
    def back_ohm(self) -> float:
        """Resistance against current that goes into it [ohm]."""
        if self.take_ohm is not None:
            return self.take_ohm
        return 1 / LEAK_S if self.one_way else self.ohm

    def amps(self, volts_v: float) -> float:
        """What it gives at these volts [A]; negative when it takes."""
        free = (self.emf_v - volts_v) / self.ohm
        if free < 0:
            return (self.emf_v - volts_v) / self.back_ohm
        return free if self.most_a is None else min(free, self.most_a)

    def state(self, volts_v: float) -> State:
        """Which straight piece of its line it is on."""
        free = (self.emf_v - volts_v) / self.ohm
        if free < -NOTHING_A and self.back_ohm != self.ohm:
            return "idle"
        return "limit" if self.most_a is not None and free > self.most_a else "holds"
