"""The copper itself: gauge geometry, resistance at temperature, heating by short currents."""

from __future__ import annotations

from math import log, pi, sqrt

COPPER_ZERO_C = 234.5  # inferred temperature of zero resistance, AC 43.13-1B p. 11-22 (read)
COPPER_OHM_MM2_PER_M = 17.241e-3  # annealed copper at 20 °C, IEC 60028 (read-from-secondary)
COPPER_HEAT_J_PER_K_MM3 = 3.45e-3  # volumetric heat capacity, IEC 60949 (memory)
COPPER_KG_PER_M_MM2 = 8.89e-3  # density 8890 kg/m3, IEC 60028 (memory)
STRANDING = 1.02  # lay of the strands makes them longer than the wire, IEC 60228 practice (memory)


def resistance_at(r20_ohm_per_m: float, *, conductor_c: float) -> float:
    """Resistance of copper at a temperature [ohm/m] from its value at 20 °C.

    Source: AC 43.13-1B paragraph 11-66d, R2 = R20 (234.5 + T) / 254.5 (read).

    >>> round(resistance_at(1.0, conductor_c=20.0), 6)
    1.0
    """
    return r20_ohm_per_m * (COPPER_ZERO_C + conductor_c) / (COPPER_ZERO_C + 20.0)


def awg_number(awg: str) -> int:
    """Gauge number that continues below zero: 2/0 is -1, 4/0 is -3."""
    text = awg.removesuffix("AWG").strip()
    return 1 - int(text.split("/")[0]) if text.endswith("/0") else int(text)


def awg_diameter_mm(awg: str) -> float:
    """Diameter of the solid wire of a gauge [mm]. Source: definition of AWG, ASTM B258.

    Raises ValueError when ``awg`` is no gauge.

    >>> round(awg_diameter_mm("36"), 4), round(awg_diameter_mm("4/0"), 3)
    (0.127, 11.684)
    """
    return 0.127 * float(92.0 ** ((36 - awg_number(awg)) / 39))


def awg_area_mm2(awg: str) -> float:
    """Area of the solid wire of a gauge [mm2]. Source: definition of AWG, ASTM B258."""
    return pi / 4 * awg_diameter_mm(awg) ** 2


def stranded_r20_ohm_per_m(area_mm2: float) -> float:
    """Resistance of a stranded copper conductor of a true area at 20 °C [ohm/m] (calculated)."""
    return COPPER_OHM_MM2_PER_M * STRANDING / area_mm2


def short_time_constant(*, from_c: float, to_c: float) -> float:
    """Constant k [A s^0.5 / mm2] of the short-time rule I = k S / sqrt(t).

    Source: IEC 60364-5-54 annex A, k = 226 sqrt(ln((234.5 + Tf) / (234.5 + Ti))) for copper (memory;
    its printed values 115 and 143 are read-from-secondary). Zero when there is no room to heat up.

    >>> round(short_time_constant(from_c=70, to_c=160))
    115
    """
    if to_c <= from_c:
        return 0.0
    return 226.0 * sqrt(log((COPPER_ZERO_C + to_c) / (COPPER_ZERO_C + from_c)))


def adiabatic_rise_k(*, current_a: float, seconds_s: float, area_mm2: float) -> float:
    """Rise of a conductor that keeps all its heat for a short spell [K]. Source: IEC 60949 (textbook)."""
    return (current_a / area_mm2) ** 2 * COPPER_OHM_MM2_PER_M * 1e-3 / COPPER_HEAT_J_PER_K_MM3 * seconds_s
