"""A heat balance of one wire in still air, independent of the program: what the ampacity tables are held to.

A single horizontal wire far from others loses heat by natural convection and radiation:
``I2 R(Tc) = pi D (h (Ts - Ta) + eps sigma (Ts4 - Ta4))`` with ``Tc - Ts = q ln(D/d) / (2 pi k)`` through the
insulation. Convection by Churchill and Chu (1975); resistance by 1 + 0.00393 (T - 20).

Air at a film temperature of 40 °C: k 0.02662 W/(m K), nu 1.702e-5 m2/s, Pr 0.7255 (a heat transfer textbook's
table A-15 in a worked solution, read-from-secondary); elsewhere by power laws of absolute temperature through
that row, 0.85 for k and 1.75 for nu (memory). Emissivity 0.9 (the same textbook). Thermal resistivity of
insulation by IEC 60287-2-1 table 1: PVC 5 to 6 K m/W, cross-linked polyethylene 3.5 K m/W (memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import log, pi, sqrt

STEFAN = 5.670e-8
EMISSIVITY = 0.9
PVC_K_M_PER_W = 5.5
XLPE_K_M_PER_W = 3.5
ALPHA_20 = 0.00393
ZERO_C = 273.15
GRAVITY = 9.81


def air(film_c: float) -> tuple[float, float, float]:
    """Conductivity [W/(m K)], kinematic viscosity [m2/s] and Prandtl number of air."""
    ratio = (film_c + ZERO_C) / (40.0 + ZERO_C)
    return 0.02662 * ratio**0.85, 1.702e-5 * ratio**1.75, 0.7255


def convection_w_per_m2_k(*, surface_c: float, ambient_c: float, outside_m: float) -> float:
    """Heat transfer coefficient of a horizontal cylinder in still air, Churchill and Chu 1975."""
    film_c = (surface_c + ambient_c) / 2
    conductivity, viscosity, prandtl = air(film_c)
    beta = 1 / (film_c + ZERO_C)
    rayleigh = GRAVITY * beta * (surface_c - ambient_c) * outside_m**3 * prandtl / viscosity**2
    below = (1 + (0.559 / prandtl) ** (9 / 16)) ** (8 / 27)
    nusselt = (0.60 + 0.387 * rayleigh ** (1 / 6) / below) ** 2
    return nusselt * conductivity / outside_m


def heat_w_per_m(*, surface_c: float, ambient_c: float, outside_m: float) -> float:
    """Heat leaving a metre of wire [W/m]."""
    film = convection_w_per_m2_k(surface_c=surface_c, ambient_c=ambient_c, outside_m=outside_m)
    radiated = EMISSIVITY * STEFAN * ((surface_c + ZERO_C) ** 4 - (ambient_c + ZERO_C) ** 4)
    return pi * outside_m * (film * (surface_c - ambient_c) + radiated)


def through_insulation_k(q_w_per_m: float, *, conductor_m: float, outside_m: float, rho: float) -> float:
    """Temperature drop from conductor to surface [K]."""
    return q_w_per_m * rho * log(outside_m / conductor_m) / (2 * pi)


def root(f: Callable[[float], float], low: float, high: float) -> float:
    """Where a rising function crosses zero."""
    for _ in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if f(middle) < 0 else (low, middle)
    return (low + high) / 2


@dataclass(frozen=True)
class Wire:
    """One insulated wire."""

    conductor_m: float
    outside_m: float
    r20_ohm_per_m: float
    rho: float  # thermal resistivity of the insulation [K m/W]


def ampacity_a(wire: Wire, *, conductor_c: float, ambient_c: float) -> float:
    """Current that holds the conductor at a temperature [A]."""

    def excess_c(surface_c: float) -> float:
        q = heat_w_per_m(surface_c=surface_c, ambient_c=ambient_c, outside_m=wire.outside_m)
        inside = through_insulation_k(q, conductor_m=wire.conductor_m, outside_m=wire.outside_m, rho=wire.rho)
        return surface_c + inside - conductor_c

    surface_c = root(excess_c, ambient_c + 1e-6, conductor_c)
    q = heat_w_per_m(surface_c=surface_c, ambient_c=ambient_c, outside_m=wire.outside_m)
    return sqrt(q / (wire.r20_ohm_per_m * (1 + ALPHA_20 * (conductor_c - 20))))


def conductor_c(wire: Wire, *, current_a: float, ambient_c: float) -> float:
    """Temperature a conductor settles at [°C]."""

    def excess_a(temperature_c: float) -> float:
        return ampacity_a(wire, conductor_c=temperature_c, ambient_c=ambient_c) - current_a

    return root(excess_a, ambient_c + 0.01, 400.0)


def loom_conductors_c(wires: list[tuple[Wire, float]], *, ambient_c: float) -> list[float]:
    """Where the conductors of a bare loom settle, each in its middle: the balance of one round surface.

    Inside, wires that touch nowhere in air (Maxwell's mixture for cylinders in a row, fill 1/1.2^2); a wire's
    own heat spreads out of it, that of the others comes evenly (conduction in a cylinder). All copper as at
    the hottest.
    """
    across_m = 1.2 * sqrt(sum(wire.outside_m**2 for wire, _ in wires))
    still = 0.02662 * ((ambient_c + ZERO_C) / (40.0 + ZERO_C)) ** 0.85
    copper = sum(wire.conductor_m**2 for wire, _ in wires) / sum(wire.outside_m**2 for wire, _ in wires)
    solid = (1 + copper) / (1 - copper) / wires[0][0].rho
    share = (solid - still) / (solid + still) / 1.44
    mixture = still * (1 + share) / (1 - share)
    even = 1 / (4 * pi * mixture)
    out = [
        log(across_m / wire.outside_m) / (2 * pi * mixture)
        + through_insulation_k(1.0, conductor_m=wire.conductor_m, outside_m=wire.outside_m, rho=wire.rho)
        for wire, _ in wires
    ]

    def conductors_c(hot_c: float) -> list[float]:
        heats = [wire.r20_ohm_per_m * (1 + ALPHA_20 * (hot_c - 20)) * amps**2 for wire, amps in wires]
        total = sum(heats)
        surface_c = root(
            lambda at: heat_w_per_m(surface_c=at, ambient_c=ambient_c, outside_m=across_m) - total,
            ambient_c, 500.0,
        )  # fmt: skip
        return [surface_c + own * way + (total - own) * even for own, way in zip(heats, out, strict=True)]

    return conductors_c(root(lambda hot_c: hot_c - max(conductors_c(hot_c)), ambient_c, 500.0))
