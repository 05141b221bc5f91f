"""The crimp barrel a wire, or several wires together, goes into: its range in words, its size, its strip."""

from __future__ import annotations

import math
from dataclasses import dataclass

from harness.tables import NO_WORD, OWN_WORD, load, own_source, remembered

SMALL_MM2 = 6.638  # top of the 12-10 AWG closed barrel; above it copper tube lugs begin
CIRCULAR_MILS_PER_MM2 = 1973.525  # (1 / 0.0254)^2 * 4 / pi
STRIP_OVER_BARREL_MM = 0.5  # "barrel length + 0 to 1 mm", crimp_prep_rules
LUG_GROWTH = 1.10  # a lug grows about 10 % in a hex press, battery_lugs
COLOURS = ("red", "blue", "yellow")
DIMS = {"red": "22-18", "blue": "16-14", "yellow": "12-10"}  # row of ring_terminal_dims by insulation colour
RANGES = {"22-16": "red", "16-14": "blue", "12-10": "yellow"}  # closed_barrel_ranges by insulation colour
SMALL_TABLES = ("terminal_insulated_ranges", "ring_terminal_dims", "crimp_prep_rules")
LUG_TABLES = ("battery_lugs", "lug_barrels")


@dataclass(frozen=True, slots=True)
class Barrel:
    """One closed crimp barrel."""

    range: str  # "16-14 AWG", "1.5-2.5 mm2", "2/0 AWG"
    colour: str  # of the insulated form, "" for lugs
    studs: tuple[str, ...]  # threads it is stocked for
    length_mm: float
    outside_mm: float
    strip_mm: float  # for the bare form
    insulated_strip_mm: float  # for the insulated form, the same as strip_mm for lugs
    tables: tuple[str, ...]
    notes: tuple[str, ...] = ()
    own_studs: tuple[tuple[str, str], ...] = ()  # threads out of the user's own catalogue, with their source
    no_studs: tuple[str, ...] = ()  # threads that the user's own catalogue says are not stocked

    @property
    def heavy(self) -> bool:
        """Whether it is a copper tube lug."""
        return self.colour == ""


def gauge(size: str) -> int | None:
    """AWG number of a size, 0 for 1/0 and -1 for 2/0; None when the size is not in AWG.

    >>> gauge("14 AWG"), gauge("2/0 AWG"), gauge("2.5 mm2")
    (14, -1, None)
    """
    number, _, unit = size.partition(" ")
    if unit != "AWG":
        return None
    oughts = number.removesuffix("/0")
    return int(number) if oughts == number else 1 - int(oughts)


def circular_mils(area_mm2: float) -> float:
    """Area of a conductor in circular mils."""
    return area_mm2 * CIRCULAR_MILS_PER_MM2


def _insulated_row(colour: str) -> dict[str, str]:
    return next(row for row in load("terminal_insulated_ranges").rows if row["colour"] == colour)


def _colour_by_gauge(number: int) -> str | None:
    """16 AWG is in the red and the blue range; blue is taken, as the uninsulated ranges have it."""
    for colour in reversed(COLOURS):
        row = _insulated_row(colour)
        if int(row["wire_awg_to"]) <= number <= int(row["wire_awg_from"]):
            return colour
    return None


def _colour_by_area(area_mm2: float) -> str | None:
    for colour in COLOURS:
        row = _insulated_row(colour)
        if float(row["wire_mm2_from"]) <= area_mm2 <= float(row["wire_mm2_to"]):
            return colour
    row_found = closed_range(area_mm2)
    return RANGES.get(row_found["splice_or_terminal_range_awg"]) if row_found else None


def closed_range(area_mm2: float) -> dict[str, str] | None:
    """The row of ``closed_barrel_ranges`` for so much copper in one barrel, by circular mils."""
    mils = circular_mils(area_mm2)
    for row in load("closed_barrel_ranges").rows:
        if float(row["cma_min_circular_mil"]) <= mils <= float(row["cma_max_circular_mil"]):
            return row
    return None


def _insulated_strip_mm(colour: str) -> float:
    return next(
        float(row["value"])
        for row in load("crimp_prep_rules").rows
        if row["item"] == "strip length" and f"{colour} " in row["applies_to"]
    )


def _small(colour: str, range_text: str, notes: tuple[str, ...] = ()) -> Barrel:
    dims = next(row for row in load("ring_terminal_dims").rows if row["wire_awg"] == DIMS[colour])
    wall_mm = float(dims["thickness_in"]) * 25.4
    length_mm = float(dims["barrel_length_mm"])
    row = _insulated_row(colour)
    return Barrel(
        range=range_text,
        colour=colour,
        studs=tuple(word for word in row["studs_usually_stocked"].split() if word != "/"),
        length_mm=length_mm,
        outside_mm=round(float(dims["barrel_id_mm"]) + 2 * wall_mm, 2),
        strip_mm=round(length_mm + STRIP_OVER_BARREL_MM, 1),
        insulated_strip_mm=_insulated_strip_mm(colour),
        tables=SMALL_TABLES,
        notes=notes,
        own_studs=tuple(
            (key.removeprefix(OWN_WORD), cell) for key, cell in row.items() if key.startswith(OWN_WORD)
        ),
        no_studs=tuple(key.removeprefix(NO_WORD) for key in row if key.startswith(NO_WORD)),
    )


def _small_in_mm2(colour: str, area_mm2: float) -> Barrel:
    row = _insulated_row(colour)
    low, high = float(row["wire_mm2_from"]), float(row["wire_mm2_to"])
    text = f"{low:g}-{high:g} mm2"
    if low <= area_mm2 <= high:
        return _small(colour, text)
    return _small(
        colour, text,
        (f"{area_mm2:g} mm2 lies outside the range printed on it, but inside that of its closed barrel",),
    )  # fmt: skip


def _lug(area_mm2: float, awg_text: str) -> Barrel | None:
    for row in load("battery_lugs").rows:
        lug_mm2 = float(row["wire_mm2"])
        if lug_mm2 >= area_mm2:
            break
    else:
        return None
    size = next(row for row in load("lug_barrels").rows if float(row["wire_mm2"]) == lug_mm2)
    length_mm = float(size["barrel_length_mm"])
    strip_mm = math.ceil(length_mm * LUG_GROWTH)
    loose = not awg_text and lug_mm2 > area_mm2
    return Barrel(
        range=awg_text or f"{lug_mm2:g} mm2",
        colour="",
        studs=tuple(row["stud_choice_metric"].split()),
        length_mm=length_mm,
        outside_mm=float(size["barrel_outside_mm"]),
        strip_mm=strip_mm,
        insulated_strip_mm=strip_mm,
        tables=(*LUG_TABLES, *own_source(row)),
        notes=(f"next lug up for {area_mm2:g} mm2: check die and crimp with a pull",) if loose else (),
    )


@remembered
def barrel_for(*, size: str, area_mm2: float) -> Barrel | None:
    """The barrel for one wire; None when the tables have none for its size.

    ``size``: as printed on the wire list ("14 AWG", "2.5 mm2"). ``area_mm2``: conductor area [mm2].
    Source: terminal_insulated_ranges and ring_terminal_dims to 10 AWG or 6 mm2, battery_lugs above.
    """
    number = gauge(size)
    if area_mm2 > SMALL_MM2:
        return _lug(area_mm2, "" if number is None else size)
    if number is not None:
        colour = _colour_by_gauge(number)
        return _small(colour, f"{DIMS[colour]} AWG") if colour else None
    colour = _colour_by_area(area_mm2)
    return _small_in_mm2(colour, area_mm2) if colour else None


@remembered
def barrel_for_several(*, areas_mm2: tuple[float, ...], awg: bool) -> Barrel | None:
    """The barrel that takes several wires together; None when their copper is beyond the table.

    Two wires in one barrel: add the circular mils and take the range they fall in (NASA-STD-8739.4, in
    crimp_prep_rules). ``awg``: name the range in AWG, else in mm2. Source: closed_barrel_ranges.
    """
    row = closed_range(sum(areas_mm2))
    if row is None:
        return None
    name = row["splice_or_terminal_range_awg"]
    text = f"{name} AWG" if awg else f"{float(row['mm2_min']):.2f}-{float(row['mm2_max']):.2f} mm2"
    if name in RANGES:
        return _small(RANGES[name], text)
    return _lug(sum(areas_mm2), text)
