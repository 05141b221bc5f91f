"""What a wire may carry: corrections of a base table for ambient, for the bundle, and for a short spell."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from math import log, sqrt

from harness.electric.conductor import COPPER_ZERO_C, short_time_constant
from harness.tables import NotInTable, load

LOADING_STEPS = (20, 40, 60, 80, 100)


def ambient_factor(
    *, limit_c: float, ambient_c: float, base_c: float, insulation_c: float | None = None
) -> float:
    """Share of the base ampacity left at an ambient: sqrt((Tlimit - Ta) / (Tlimit - Tbase)).

    ``limit_c`` is the temperature of the table's column. Insulation that stands another one
    (``insulation_c``) leaves (Tinsulation - Ta) of room instead; hotter copper resists more, by
    (234.5 + Tinsulation) / (234.5 + Tlimit), and that is taken off. Never above 1, so that a cool zone does
    not raise a table's figure; 0 at or above the limit.
    Source: square-root law, as in the ship-cable factors (read) and 33 CFR 183.425 note 1; the part for
    another insulation is the heat balance of the same rise (calculated).

    >>> round(ambient_factor(limit_c=105, ambient_c=50, base_c=30), 3)
    0.856
    """
    stands_c = limit_c if insulation_c is None else insulation_c
    if ambient_c >= stands_c:
        return 0.0
    copper = (COPPER_ZERO_C + limit_c) / (COPPER_ZERO_C + stands_c)
    return min(1.0, sqrt((stands_c - ambient_c) / (limit_c - base_c) * copper))


@cache
def general_bundle_factor(*, loaded: int) -> float:
    """Share of single-wire ampacity left among ``loaded`` current-carrying wires.

    Source: NEC 2014 table 310.15(B)(3)(a) (read; first row memory).
    """
    for row in load("nec_bundle_adjustment").rows:
        last = row["current_carrying_conductors_to"]
        if int(row["current_carrying_conductors_from"]) <= loaded and (not last or loaded <= int(last)):
            return float(row["percent_of_table_ampacity"]) / 100
    return 1.0


@cache
def curve_bundle_factor(*, loaded: int, loading: float) -> float:
    """Share of single-wire ampacity left in a bundle whose wires use ``loading`` (0..1) of what they could.

    The loading is taken at the next higher column of the curve. The curve ends at 19 wires; above that the
    smaller of its last row and the general table counts, since no figure beyond the end was read.
    Source: MIL-W-5088L bundle curve, forerunner of SAE AS50881 (read-from-secondary).
    """
    step = next((step for step in LOADING_STEPS if loading * 100 <= step), 100)
    rows = {int(row["wires_in_bundle"]): row for row in load("mil_w_5088l_bundle_derating").rows}
    count = max(1, loaded)
    key = f"factor_{step}pct_loading"
    last = max(n for n, row in rows.items() if row[key])
    if count <= last:
        return float(rows[count][key])
    return min(float(rows[last][key]), general_bundle_factor(loaded=loaded))


def insulation_limit_c(cable: str) -> float:
    """What the insulation of an SAE type or an ISO 6722-1 class stands for good [°C].

    The ampacity column of a rule set may be a cooler one. Source: SAE J1128/J1127 types (read), ISO 6722-1
    classes A to H (read-from-secondary). Raises NotInTable for another cable, and for a type whose limit
    was not read.
    """
    if cable.startswith("class "):
        row = load("cable_temperature_class_iso").row("class", cable.removeprefix("class "))
    else:
        row = load("sae_j1128_types").row("type", cable)
        if not row["temp_max_C"]:
            raise NotInTable(load("sae_j1128_types"), "temp_max_C", cable)
    return float(row["temp_max_C"])


@cache
def engine_space_factor(*, limit_c: float) -> float:
    """Share of a 30 °C ampacity left in an engine space of 50 °C, by the printed row at or below a limit.

    Source: 33 CFR 183.425 table 5 note 1 (105 °C read, other rows memory). Raises ValueError below 60 °C.
    """
    rows = load("cfr33_183_425_note1_engine_space_factor").column(
        "insulation_rating_C", "factor_50C_ambient_over_30C_ambient"
    )
    cooler = [rating for rating in rows if float(rating) <= limit_c]
    if not cooler:
        raise ValueError(f"no engine-space factor for insulation of {limit_c:g} °C")
    return rows[max(cooler, key=float)]


@cache
def altitude_factor(*, altitude_m: float) -> float:
    """Share of the sea-level ampacity left in thin air: air pressure to a power that meets 0.91 at 20,000 ft.

    Convection falls with a power of the air's density (heat balance), so the printed point fixes the whole
    curve. Read up to the next printed point instead, 100 m would cost as much as 6000 m. 1 below sea level.
    Source: FAA AC 43.13-1B figure 11-5, 20,000 ft (read); ISO 2533 pressure (memory). Raises ValueError above
    that point, where nothing was read.

    >>> altitude_factor(altitude_m=0), round(altitude_factor(altitude_m=6096), 3)
    (1.0, 0.91)
    """
    top_m, printed = _altitude_point()
    if altitude_m > top_m:
        raise ValueError(f"no altitude factor at {altitude_m:g} m; the curve was read up to {top_m:g} m")
    power = log(printed) / log(pressure_share(top_m))
    return min(1.0, float(pressure_share(altitude_m) ** power))


def pressure_share(altitude_m: float) -> float:
    """Air pressure over that at sea level. Source: ISO 2533 standard atmosphere, to 11 km (memory)."""
    return float((1 - 2.25577e-5 * altitude_m) ** 5.25588)


@cache
def _altitude_point() -> tuple[float, float]:
    """The printed point of the altitude curve that was read: height [m] and factor."""
    rows = load("aircraft_derating_points").rows
    row = next(row for row in rows if row["quantity"] == "altitude_factor" and row["certainty"] == "read")
    return float(row["x"]) * 0.3048, float(row["value"])


def short_time_a(*, area_mm2: float, seconds_s: float, from_c: float, to_c: float) -> float:
    """Current a conductor stands for a short spell from ambient to its insulation's limit [A].

    No heat is taken to leave it, so the figure is on the safe side. Source: IEC 60949 form, see
    :func:`harness.electric.conductor.short_time_constant`.
    """
    return short_time_constant(from_c=from_c, to_c=to_c) * area_mm2 / sqrt(seconds_s)


BundleRule = Callable[[int, float], float]


def loom_factor(bundle: BundleRule, *, loaded: int, carried_a: float, able_a: float) -> float:
    """Bundle factor that ``loaded`` wires of a loom earn by what they carry together.

    ``able_a``: what they could carry together, each alone. The load is counted against what they may carry
    once bundled, so the factor of the first column that stands its own load is the answer.
    Source: FAA AC 43.13-1B paragraph 11-69 and the note of table 11-9 (read).
    """
    for step in LOADING_STEPS:
        factor = bundle(loaded, step / 100)
        if carried_a <= step / 100 * able_a * factor:
            return factor
    return bundle(loaded, 1.0)


def by_curve(loaded: int, loading: float) -> float:
    """Bundle rule of the SAE set."""
    return curve_bundle_factor(loaded=loaded, loading=loading)


def by_count(loaded: int, loading: float) -> float:
    """Bundle rule of the ISO set; the count alone matters."""
    return general_bundle_factor(loaded=loaded)
