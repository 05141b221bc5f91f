"""What sources do: a battery by its charge and temperature, an alternator by its speed, from the tables.

Between the rows of a chart values lie on a straight line; past its ends the end counts.
"""

from __future__ import annotations

from functools import cache
from itertools import pairwise

from harness.tables import Source, load

FIGURES = "source_figures"
BY_CHARGE = "battery_by_charge"
BY_COLD = "battery_by_temperature"
SELF_DISCHARGE = "battery_self_discharge"
TEST_C = -18.0  # temperature of the cold-cranking test, SAE J537 (memory)


@cache
def figure(item: str) -> float:
    """One figure of ``source_figures``; raises NotInTable for an item that is not there."""
    return float(load(FIGURES).row("item", item)["value"])


@cache
def figure_source(item: str) -> Source:
    """Where that figure comes from."""
    table = load(FIGURES)
    return table.cite(table.row("item", item))


CHARGE_V_PER_CELL = figure("regulated volts of a cell")  # 13.8 V on six cells


@cache
def _chart(name: str, across: str, up: str) -> tuple[tuple[float, float], ...]:
    return tuple((float(row[across]), float(row[up])) for row in load(name).rows)


def _read(points: tuple[tuple[float, float], ...], at: float) -> float:
    if at <= points[0][0]:
        return points[0][1]
    for (left, low), (right, high) in pairwise(points):
        if at <= right:
            return low + (high - low) * (at - left) / (right - left)
    return points[-1][1]


def cranking_power(celsius: float) -> float:
    """Share of a battery's cranking power left at a temperature [°C]. Source: battery_by_temperature."""
    return _read(_chart(BY_COLD, "temperature_c", "cranking_power_share"), celsius)


def battery_ohm(*, rated_ohm: float, celsius: float) -> float:
    """Inner resistance at a temperature [ohm], from the one at the cold-cranking test (-18 °C)."""
    return rated_ohm * cranking_power(TEST_C) / cranking_power(celsius)


def rest_v(*, volts_v: float, charge: float) -> float:
    """Rest volts of a battery of nominal ``volts_v`` by its state of charge from 0 to 1 [V]."""
    return volts_v / 2 * _read(_chart(BY_CHARGE, "charge_percent", "rest_v_per_cell"), 100 * charge)


def charge_at(*, volts_v: float, at_rest_v: float) -> float:
    """The reverse: state of charge from 0 to 1 of a battery that stands at so many volts at rest."""
    points = _chart(BY_CHARGE, "charge_percent", "rest_v_per_cell")
    turned = tuple((volts, percent) for percent, volts in points)
    return _read(turned, at_rest_v / (volts_v / 2)) / 100


def takes_a(*, capacity_ah: float, charge: float) -> float:
    """Current a warm battery takes at the regulated volts, right after a start [A]."""
    return capacity_ah * _read(_chart(BY_CHARGE, "charge_percent", "takes_a_per_ah"), 100 * charge)


def take_ohm(*, volts_v: float, capacity_ah: float, charge: float) -> float:
    """Resistance against being charged, behind the rest volts [ohm]."""
    above = CHARGE_V_PER_CELL * volts_v / 2 - rest_v(volts_v=volts_v, charge=charge)
    return above / takes_a(capacity_ah=capacity_ah, charge=charge)


def self_discharge(celsius: float) -> tuple[float, float]:
    """Share of its charge that a standing battery loses in a day, and the row's temperature [1/d, °C].

    The row at or above the temperature counts: no reading between rows, and warmer loses more.
    """
    span = figure("specific gravity from full to empty")
    points = _chart(SELF_DISCHARGE, "temperature_c", "specific_gravity_per_day")
    row_c, per_day = next((point for point in points if point[0] >= celsius), points[-1])
    return per_day / span, row_c
