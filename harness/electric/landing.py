"""The thickest wire that goes onto what it lands on, so that copper is spent where it can be fastened."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from harness.electric.ruleset import area_of
from harness.model.design import Point
from harness.model.machine import Machine
from harness.model.stages import RoutedWire
from harness.tables import OWN_WORD, load, remembered

NO_LIMIT_MM2 = float("inf")


def _blade_mm2(width: str, sizes: str) -> float:
    """Largest wire of a push-on for a blade. Source: blade_tabs (IEC 61210 and UL 310 sizes)."""
    rows = [row for row in load("blade_tabs").rows if row["tab_width_mm"] == width.split(" ")[0]]
    column = "wire_awg_to" if sizes == "AWG" else "wire_mm2_to"
    areas = [area_of(f"{row[column]} {sizes}") for row in rows if row[column]]
    return max(areas, default=NO_LIMIT_MM2)


def _stud_dia_mm(size: str) -> float | None:
    wanted = size.strip().removesuffix("in").strip().upper()
    rows = load("stud_holes").rows
    return next((float(row["stud_dia_mm"]) for row in rows if row["stud_size"].upper() == wanted), None)


def _diameters_mm(words: Iterable[str]) -> list[float]:
    """Diameters of studs, of metric ones by their name."""
    found = [float(word[1:]) if word.startswith("M") else _stud_dia_mm(word) for word in words]
    return [each for each in found if each is not None]


def _ring_studs(row: Mapping[str, str]) -> list[str]:
    """The metric studs a ring is stocked for, and those of the user's own catalogue."""
    own = [key.removeprefix(OWN_WORD) for key in row if key.startswith(OWN_WORD)]
    return [word for word in row["studs_usually_stocked"].split() if word.startswith("M") or word in own]


@remembered
def _lug_spans(sizes: str) -> tuple[tuple[float, float, float], ...]:
    """Area [mm2], smallest and largest stud [mm] of every ring and lug that is usually stocked."""
    awg = sizes == "AWG"
    rings = [
        (
            f"{row['wire_awg_to' if awg else 'wire_mm2_to']} {sizes}",
            _ring_studs(row),
        )
        for row in load("terminal_insulated_ranges").rows
    ]
    lugs = [
        (
            f"{row['wire_awg_nearest'].split(' ')[0] if awg else row['wire_mm2']} {sizes}",
            row["stud_choice_metric"].split(),
        )
        for row in load("battery_lugs").rows
    ]
    found = []
    for label, studs in (*rings, *lugs):
        across_mm = _diameters_mm(studs)
        if across_mm:
            found.append((area_of(label), min(across_mm), max(across_mm)))
    return tuple(found)


def _stud_mm2(size: str, sizes: str) -> float:
    """Largest wire with a ring or lug for a stud or screw; infinite where its size is no thread.

    Source: terminal_insulated_ranges, battery_lugs.
    """
    stud = _stud_dia_mm(size)
    if stud is None:
        return NO_LIMIT_MM2
    return max(
        (area for area, least, most in _lug_spans(sizes) if least - 0.1 <= stud <= most + 0.1),
        default=NO_LIMIT_MM2,
    )


def _takes_mm2(machine: Machine, point: Point) -> float:
    if point.kind == "splice":
        return NO_LIMIT_MM2
    if machine.parts[point.part].way_a is not None:
        contacts = (float(row["wire_to_mm2"]) for row in load("coupler_contacts").rows)
        return max(contacts, default=NO_LIMIT_MM2)
    terminals = {term.name: term for term in machine.parts[point.part].terminals}
    found = terminals.get(point.terminal)
    if found is not None and found.fitting == "blade":
        return _blade_mm2(found.size, machine.sizes)
    if found is not None and found.fitting in ("stud", "screw"):
        return _stud_mm2(found.size, machine.sizes)
    return NO_LIMIT_MM2


def thickest_mm2(machine: Machine, wire: RoutedWire) -> float:
    """Largest copper area that both ends of a wire take [mm2]; infinite at posts and splices."""
    return min(_takes_mm2(machine, wire.a), _takes_mm2(machine, wire.b))
