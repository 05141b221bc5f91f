"""How hot a wire gets: steady heat balance in air and in a sleeve, and its warming over time.

``I2 R(Tc) = pi D (h (Ts - Ta) + eps sigma (Ts4 - Ta4))``, ``Tc - Ts = q ln(D/d) rho / (2 pi)``: natural
convection on a horizontal cylinder by Churchill and Chu 1975 plus radiation, table physics_single_wire_model.
All temperatures in °C, all heat per metre of wire. Altitude thins the air, sun adds heat.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from dataclasses import dataclass
from functools import cache
from math import exp, log, pi, sqrt
from typing import NamedTuple

from harness.electric.ampacity import pressure_share
from harness.electric.conductor import COPPER_HEAT_J_PER_K_MM3, resistance_at
from harness.electric.ruleset import COPPER_FILL, RuleSet, Size
from harness.tables import load

ZERO_K = 273.15
GRAVITY = 9.80665
FILM_C = 40.0  # film temperature of the air's figures in the table
SUTHERLAND_VISCOSITY_K = 110.4  # Sutherland's law of air (textbook, memory)
SUTHERLAND_CONDUCTIVITY_K = 194.0
GAP_EMISSIVITY = 1 / (2 / 0.9 - 1)  # two facing surfaces of plastic, 0.9 each (textbook)
TOP_K = 330.0  # hottest rise of a surface that a curve reaches
STEPS = 40


@dataclass(frozen=True, slots=True)
class Sleeve:
    """A tube round a wire, with still air between."""

    inside_mm: float
    outside_mm: float
    rho_k_m_per_w: float  # thermal resistivity of the tube


class Cable(NamedTuple):
    """What of a wire matters to heat. A tuple, for its quick hash: every curve is looked up by it."""

    area_mm2: float
    outside_mm: float
    r20_ohm_per_m: float
    rho_k_m_per_w: float  # thermal resistivity of the insulation
    insulation_j_per_k_mm3: float  # heat it stores

    @property
    def conductor_mm(self) -> float:
        """Diameter of the stranded conductor, never above nine tenths of the outside."""
        return min(sqrt(4 * self.area_mm2 / pi / COPPER_FILL), 0.9 * self.outside_mm)


@dataclass(frozen=True, slots=True)
class Curve:
    """A wire in one place: heat it loses, and current that makes that heat, by conductor temperature."""

    ambient_c: float
    conductor_c: tuple[float, ...]  # rising
    loss_w_per_m: tuple[float, ...]
    squared_a2: tuple[float, ...]  # current squared

    def at_current_c(self, current_a: float) -> float:
        """Conductor temperature at a steady current [°C]; the curve's top where it ends below that."""
        return between(self.squared_a2, self.conductor_c, current_a * current_a)

    def current_at_a(self, conductor_c: float) -> float:
        """Steady current that holds a conductor at a temperature [A]; 0 at or below the ambient."""
        if conductor_c <= self.ambient_c:
            return 0.0
        return sqrt(max(0.0, between(self.conductor_c, self.squared_a2, conductor_c)))

    def tangent(self, conductor_c: float) -> tuple[float, float]:
        """Heat lost at a temperature [W/m], and its growth by kelvin [W/(m K)]."""
        at = min(max(bisect_left(self.conductor_c, conductor_c), 1), len(self.conductor_c) - 1)
        rise = self.conductor_c[at] - self.conductor_c[at - 1]
        slope = (self.loss_w_per_m[at] - self.loss_w_per_m[at - 1]) / rise
        return self.loss_w_per_m[at - 1] + slope * (conductor_c - self.conductor_c[at - 1]), slope


def between(xs: tuple[float, ...], ys: tuple[float, ...], x: float) -> float:
    """Linear between the points of a rising curve, flat beyond its ends."""
    at = bisect_left(xs, x)
    if at == 0:
        return ys[0]
    if at == len(xs):
        return ys[-1]
    return ys[at - 1] + (ys[at] - ys[at - 1]) * (x - xs[at - 1]) / (xs[at] - xs[at - 1])


@cache
def figure(name: str) -> float:
    """One constant of table physics_single_wire_model; the upper end where it gives a range."""
    text = load("physics_single_wire_model").row("symbol_or_equation", name)["value_or_range"]
    return float(re.split(r"(?<=\d)-", text)[-1])


def sutherland(film_c: float, constant_k: float) -> float:
    """A property of air at a film temperature over the same at 40 °C."""
    now, then = film_c + ZERO_K, FILM_C + ZERO_K
    return float((now / then) ** 1.5 * (then + constant_k) / (now + constant_k))


@cache
def constants() -> tuple[float, float, float, float, float, float]:
    conductivity, viscosity, prandtl = (
        figure(f"air {name} at 40 C film") for name in ("conductivity", "kinematic viscosity", "Prandtl")
    )
    below = (1 + (0.559 / prandtl) ** (9 / 16)) ** (8 / 27)
    emissivity, stefan = figure("emissivity of plastic insulation"), figure("Stefan-Boltzmann constant")
    return conductivity, viscosity, prandtl, below, emissivity, stefan


def convection_w_per_m2_k(
    *, surface_c: float, ambient_c: float, outside_m: float, altitude_m: float = 0.0
) -> float:
    """Heat transfer coefficient of a horizontal cylinder in still air [W/(m2 K)]. Churchill and Chu 1975."""
    k40, nu40, prandtl, below, _, _ = constants()
    film_c = (surface_c + ambient_c) / 2
    conductivity = k40 * sutherland(film_c, SUTHERLAND_CONDUCTIVITY_K)
    thinner = (film_c + ZERO_K) / (FILM_C + ZERO_K) / pressure_share(altitude_m)
    viscosity = nu40 * sutherland(film_c, SUTHERLAND_VISCOSITY_K) * thinner
    rise = max(surface_c - ambient_c, 0.0)
    rayleigh = GRAVITY / (film_c + ZERO_K) * rise * outside_m**3 * prandtl / viscosity**2
    nusselt = (0.60 + 0.387 * rayleigh ** (1 / 6) / below) ** 2
    return float(nusselt * conductivity / outside_m)


def surface_loss_w_per_m(
    *,
    surface_c: float,
    ambient_c: float,
    outside_m: float,
    altitude_m: float = 0.0,
    sun_w_per_m2: float = 0.0,
) -> float:
    """Heat a metre of cylinder gives to still air and walls at ambient, less the sun it takes [W/m]."""
    film = convection_w_per_m2_k(
        surface_c=surface_c, ambient_c=ambient_c, outside_m=outside_m, altitude_m=altitude_m
    )
    _, _, _, _, emissivity, stefan = constants()
    radiated = emissivity * stefan * ((surface_c + ZERO_K) ** 4 - (ambient_c + ZERO_K) ** 4)
    sun = figure("share of the sun that a surface takes") * sun_w_per_m2 * outside_m if sun_w_per_m2 else 0.0
    return pi * outside_m * (film * (surface_c - ambient_c) + radiated) - sun


def layer_k_m_per_w(*, inside_mm: float, outside_mm: float, rho_k_m_per_w: float) -> float:
    """Thermal resistance of a round layer [K m/W]: rho ln(D/d) / (2 pi). Source: IEC 60287-2-1 2.1.1."""
    return rho_k_m_per_w * log(outside_mm / inside_mm) / (2 * pi)


def gap_k_m_per_w(*, wire_mm: float, sleeve: Sleeve, sleeve_c: float) -> float:
    """Still air between wire and tube [K m/W]: conduction and radiation, no stirring (safe side, textbook).

    Radiation is taken at the tube's temperature, the cooler of the two, so never too high.
    """
    conductivity = constants()[0] * sutherland(sleeve_c, SUTHERLAND_CONDUCTIVITY_K)
    conducted = 2 * pi * conductivity / log(max(sleeve.inside_mm, 1.01 * wire_mm) / wire_mm)
    radiated = pi * wire_mm / 1000 * GAP_EMISSIVITY * constants()[5] * 4 * (sleeve_c + ZERO_K) ** 3
    return 1 / (conducted + radiated)


@cache
def curve(
    cable: Cable, *, ambient_c: float, sleeve: Sleeve | None = None, altitude_m: float = 0.0,
    sun_w_per_m2: float = 0.0,
) -> Curve:  # fmt: skip
    """The whole curve of a wire alone in still air at an ambient, or in a sleeve.

    Walked from the surface inward, so no equation has to be solved: surface -> heat -> conductor -> current.
    """
    inside = layer_k_m_per_w(
        inside_mm=cable.conductor_mm, outside_mm=cable.outside_mm, rho_k_m_per_w=cable.rho_k_m_per_w
    )
    tube = (
        layer_k_m_per_w(
            inside_mm=sleeve.inside_mm, outside_mm=sleeve.outside_mm, rho_k_m_per_w=sleeve.rho_k_m_per_w
        )
        if sleeve
        else 0.0
    )
    outside_m = (sleeve.outside_mm if sleeve else cable.outside_mm) / 1000
    points = [] if sun_w_per_m2 else [(ambient_c, 0.0, 0.0)]
    for step in range(1, STEPS + 1):
        surface_c = ambient_c + TOP_K * (step / STEPS) ** 2
        q = surface_loss_w_per_m(
            surface_c=surface_c, ambient_c=ambient_c, outside_m=outside_m, altitude_m=altitude_m,
            sun_w_per_m2=sun_w_per_m2,
        )  # fmt: skip
        gap = (
            gap_k_m_per_w(wire_mm=cable.outside_mm, sleeve=sleeve, sleeve_c=surface_c + q * tube)
            if sleeve
            else 0.0
        )
        conductor_c = surface_c + q * (tube + gap + inside)
        points.append((conductor_c, q, q / resistance_at(cable.r20_ohm_per_m, conductor_c=conductor_c)))
    warm, loss, squared = zip(*points, strict=True)
    return Curve(ambient_c, warm, loss, squared)


def cable_of(rules: RuleSet, size: Size) -> Cable:
    """The heat side of a size; insulation that is not known to be cross-linked counts as the worst PVC."""
    return _cable(rules.cable, size)


@cache
def _cable(kind: str, size: Size) -> Cable:
    kinds = {row["type"]: row["insulation"] for row in load("sae_j1128_types").rows}
    stuff = "XLPE" if kinds.get(kind) == "XLPE" else "PVC"
    return Cable(
        size.area_mm2,
        size.outside_mm,
        size.r20_ohm_per_m,
        figure(f"{stuff} thermal resistivity"),
        figure(f"{stuff} volumetric heat capacity"),
    )


def heat_capacity_j_per_k_m(cable: Cable) -> float:
    """Heat a metre of wire stores by kelvin: copper, and the insulation's share that follows the copper.

    Source: IEC 60853-2, Van Wormer's share p = 1/(2 ln(D/d)) - 1/((D/d)2 - 1) (memory).
    """
    ratio = cable.outside_mm / cable.conductor_mm
    share = 1 / (2 * log(ratio)) - 1 / (ratio**2 - 1)
    skin_mm2 = pi / 4 * (cable.outside_mm**2 - cable.conductor_mm**2)
    copper = COPPER_HEAT_J_PER_K_MM3 * cable.area_mm2
    return 1000 * (copper + share * cable.insulation_j_per_k_mm3 * skin_mm2)


def time_constant_s(cable: Cable, *, ambient_c: float, limit_c: float, bundle_factor: float = 1.0) -> float:
    """Thermal time constant round the middle between ambient and limit [s]: heat stored over heat lost.

    In a loom a wire loses the square of its bundle factor of what it loses alone. Source: lumped heat
    capacity (textbook).
    """
    _, slope = curve(cable, ambient_c=ambient_c).tangent((ambient_c + limit_c) / 2)
    return heat_capacity_j_per_k_m(cable) / (slope * bundle_factor**2)


def spell_a(
    cable: Cable,
    *,
    seconds_s: float,
    from_c: float,
    ambient_c: float,
    limit_c: float,
    bundle_factor: float = 1.0,
    altitude_m: float = 0.0,
) -> float:
    """Current that warms a wire from a temperature to its limit in a spell [A], heat lost on the way counted.

    First order: ``C dT/dt = I2 R - q(T)``, with R at the limit (the most it gets) and q on its tangent
    halfway between ambient and limit (the loss grows faster, so it is never too high). The answer is
    never above what reaches the limit. Source: lumped heat capacity (textbook); 0 with no room to warm up.
    """
    if limit_c <= max(from_c, ambient_c) or bundle_factor <= 0:
        return 0.0
    middle_c = (ambient_c + limit_c) / 2
    lost = curve(cable, ambient_c=ambient_c, altitude_m=altitude_m).tangent(middle_c)
    loss, slope = (one * bundle_factor**2 for one in lost)
    left = exp(-seconds_s * slope / heat_capacity_j_per_k_m(cable))
    settles_c = (limit_c - from_c * left) / (1 - left)
    watts = loss + slope * (settles_c - middle_c)
    return sqrt(max(0.0, watts) / resistance_at(cable.r20_ohm_per_m, conductor_c=limit_c))
