"""How hot the wires of a loom get with the currents they really carry, in their covering.

The loom is one cylinder: its surface gives off the heat of all its wires (balance of :mod:`heat`), and inside
it heat goes out through a mixture of wires and air. Each wire is looked at in the worst spot, the middle: its
own heat comes out of it alone, that of the others evenly from everywhere.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import log, pi, sqrt

from harness.electric.conductor import resistance_at
from harness.electric.covers import sleeve, thinner_mm
from harness.electric.heat import (
    SUTHERLAND_CONDUCTIVITY_K,
    Cable,
    Curve,
    between,
    constants,
    curve,
    figure,
    layer_k_m_per_w,
    sutherland,
)
from harness.tables import load, remembered

LOOM_DIAMETER = 1.2  # round of a loom over the root of its wires' squared diameters, table bundle_formula


@dataclass(frozen=True, slots=True)
class Place:
    """Where a stretch of loom lies and what goes round it."""

    ambient_c: float
    form: str = ""  # "corrugated", "braid", "tape", "" when bare
    sizes: str = "AWG"  # series of tube that is stocked: "AWG" or "mm2"
    altitude_m: float = 0.0
    sun_w_per_m2: float = 0.0


@dataclass(frozen=True, slots=True)
class Filling:
    """What fills a loom, summed over its wires, so that one wire can be exchanged without looking at all."""

    squares_mm2: float  # sum of squared outside diameters
    copper_mm2: float  # sum of squared conductor diameters
    rho_k_m_per_w: float  # of the worst insulation in it

    def exchanged(self, old: Cable, new: Cable) -> Filling:
        """The same loom with one wire replaced."""
        return Filling(
            self.squares_mm2 - old.outside_mm**2 + new.outside_mm**2,
            self.copper_mm2 - old.conductor_mm**2 + new.conductor_mm**2,
            self.rho_k_m_per_w,
        )

    @property
    def across_mm(self) -> float:
        """Diameter of the round that the wires lie in [mm]: 1.2 times the root of the squares."""
        return LOOM_DIAMETER * sqrt(self.squares_mm2)

    def across_k_m_per_w(self, film_c: float) -> float:
        """Thermal resistivity across wires that touch nowhere [K m/W]: air between coated cylinders.

        The lower bound on conductivity (Maxwell's and Rayleigh's mixture, Hashin and Shtrikman's bound,
        textbook, memory); wires in a loom do touch, so a true loom carries its heat out more easily.
        """
        air = constants()[0] * sutherland(film_c, SUTHERLAND_CONDUCTIVITY_K)
        copper = self.copper_mm2 / self.squares_mm2
        wire = (1 + copper) / (1 - copper) / self.rho_k_m_per_w
        mixed = (wire - air) / (wire + air) / LOOM_DIAMETER**2
        return (1 - mixed) / (1 + mixed) / air


@dataclass(frozen=True, slots=True)
class Warmth:
    """A loom at rest: its core and every conductor [°C]."""

    core_c: float
    wire_c: tuple[float, ...]

    @property
    def hottest_c(self) -> float:
        return max(self.wire_c)


def filling(cables: Sequence[Cable]) -> Filling:
    """The sums over the wires of a loom. Raises ValueError without wires."""
    if not cables:
        raise ValueError("a loom needs wires")
    return Filling(
        sum(cable.outside_mm**2 for cable in cables),
        sum(cable.conductor_mm**2 for cable in cables),
        max(cable.rho_k_m_per_w for cable in cables),
    )


@remembered
def _skin_k_m_per_w(cable: Cable) -> float:
    return layer_k_m_per_w(
        inside_mm=cable.conductor_mm, outside_mm=cable.outside_mm, rho_k_m_per_w=cable.rho_k_m_per_w
    )


def _own_k_m_per_w(cable: Cable, *, across_mm: float, rho: float) -> float:
    """What a wire in the middle is hotter by for its own heat than if that came evenly from everywhere.

    Out of one wire: rho ln(D/d) / (2 pi) and the insulation; from everywhere: rho / (4 pi) (conduction in a
    cylinder, textbook).
    """
    return _skin_k_m_per_w(cable) + rho * (log(across_mm / cable.outside_mm) - 0.5) / (2 * pi)


def _alone_c(cable: Cable, amps: float, place: Place) -> float:
    """A wire with the stretch for itself [°C]; a covering that would cool it is not counted on."""
    return max(_under(cable, form, place).at_current_c(amps) for form in dict.fromkeys(("", place.form)))


def warmth(cables: Sequence[Cable], amps: Sequence[float], place: Place) -> Warmth:
    """How warm every wire of a loom gets with its steady current. Raises ValueError without wires.

    All copper is taken to resist as at the hottest conductor.
    """
    if len(cables) == 1:
        alone = _alone_c(cables[0], amps[0], place)
        return Warmth(alone, (alone,))
    held = filling(cables)
    watts = [cable.r20_ohm_per_m * amp * amp for cable, amp in zip(cables, amps, strict=True)]
    total = sum(watts)
    surface = _round(held.across_mm, place)
    if not total:
        idle = between(surface.loss_w_per_m, surface.conductor_c, 0.0)
        return Warmth(idle, (idle,) * len(cables))
    rho = held.across_k_m_per_w(place.ambient_c)
    mine = [
        each * _own_k_m_per_w(cable, across_mm=held.across_mm, rho=rho) / total if each else 0.0
        for each, cable in zip(watts, cables, strict=True)
    ]
    hottest = max(mine)
    hot_c, lost = _meet(surface, rho / (4 * pi) + hottest, total)
    core_c = hot_c - lost * hottest
    return Warmth(core_c, tuple(core_c + lost * one for one in mine))


def exchanged_c(
    held: Filling, r20_w_per_m: float, old: Cable, new: Cable, amps: float, place: Place
) -> float:
    """A wire's temperature [°C] after it alone was exchanged in a loom of several wires.

    ``r20_w_per_m``: heat of the whole loom before, with all copper at 20 °C [W/m].
    """
    after = held.exchanged(old, new)
    own = new.r20_ohm_per_m * amps * amps
    total = max(0.0, r20_w_per_m - old.r20_ohm_per_m * amps * amps) + own
    surface = _round(after.across_mm, place)
    if not total:
        return between(surface.loss_w_per_m, surface.conductor_c, 0.0)
    rho = after.across_k_m_per_w(place.ambient_c)
    mine = own * _own_k_m_per_w(new, across_mm=after.across_mm, rho=rho) / total
    return _meet(surface, rho / (4 * pi) + mine, total)[0]


def _meet(surface: Curve, inside_k_m_per_w: float, r20_w_per_m: float) -> tuple[float, float]:
    """Where heat made at the hottest conductor's temperature and heat lost meet: that temperature, the heat.

    The curve's top where they meet above it.
    """

    def at(point: int) -> tuple[float, float, float]:
        lost = surface.loss_w_per_m[point]
        hot_c = surface.conductor_c[point] + lost * inside_k_m_per_w
        return lost / resistance_at(r20_w_per_m, conductor_c=hot_c), hot_c, lost

    low, high = 0, len(surface.conductor_c) - 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if at(middle)[0] < 1.0 else (low, middle)
    (before, cool_c, less), (after, hot_c, more) = at(low), at(high)
    share = min(1.0, (1.0 - before) / (after - before))
    return cool_c + share * (hot_c - cool_c), less + share * (more - less)


def _round(across_mm: float, place: Place) -> Curve:
    """Temperature of a bundle's skin under its covering by the heat it loses."""
    across_mm = thinner_mm(across_mm)
    return _under(Cable(across_mm**2 / 2, across_mm, 1.0, 0.0, 0.0), place.form, place)


@remembered
def _under(cable: Cable, form: str, place: Place) -> Curve:
    return curve(
        cable, ambient_c=place.ambient_c, sleeve=sleeve(form, cable.outside_mm, place.sizes),
        altitude_m=place.altitude_m, sun_w_per_m2=place.sun_w_per_m2,
    )  # fmt: skip


WIDEST_MM = 60.0  # of published tube, where the user's own catalogue has none at all


@remembered
def sun_rise_k(ambient_c: float, altitude_m: float) -> float:
    """How much warmer than the air the sun makes a loom that carries nothing, as thick as tube is sold [K].

    A thinner one gets less warm. Source: balance of its surface with the sun of IEC 60287-1-1 (memory).
    """
    tubes_mm = (float(row["outside_dia_mm"]) for row in load("loom_sizes").rows)
    widest_mm = max(tubes_mm, default=WIDEST_MM)
    place = Place(ambient_c, altitude_m=altitude_m, sun_w_per_m2=figure("sun on a surface"))
    bare = _round(widest_mm, place)
    return between(bare.loss_w_per_m, bare.conductor_c, 0.0) - ambient_c


def loom_c(wires: Iterable[tuple[Cable, float]], place: Place) -> float:
    """Hottest conductor of a loom of wires with their steady currents [°C].

    Models of this kind were off by up to 19 K against tests (NLR TP-2011-469, table
    physics_single_wire_model). Raises ValueError without wires.
    """
    held = list(wires)
    return warmth([cable for cable, _ in held], [amps for _, amps in held], place).hottest_c
