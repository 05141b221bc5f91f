"""The thickest wire that goes onto what it lands on, so that copper is spent where it can be fastened."""

from __future__ import annotations

from functools import cache

from harness.electric.ruleset import area_of
from harness.model.design import Point
from harness.model.machine import Machine
from harness.model.stages import RoutedWire
from harness.tables import load

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


@cache
def _lug_spans(sizes: str) -> tuple[tuple[float, float, float], ...]:
    """Area [mm2], smallest and largest stud [mm] of every ring and lug that is usually stocked."""
    awg = sizes == "AWG"
    rings = [
        (
            f"{row['wire_awg_to' if awg else 'wire_mm2_to']} {sizes}",
            row["studs_usually_stocked"].split("/ M")[-1],
        )
        for row in load("terminal_insulated_ranges").rows
    ]
    lugs = [
        (
            f"{row['wire_awg_nearest'].split(' ')[0] if awg else row['wire_mm2']} {sizes}",
            row["stud_choice_metric"],
        )
        for row in load("battery_lugs").rows
    ]
    found = []
    for label, studs in (*rings, *lugs):
        threads = [float(thread.lstrip("M")) for thread in studs.split()]
        found.append((area_of(label), min(threads), max(threads)))
    return tuple(found)


def _stud_mm2(size: str, sizes: str) -> float:
    """Largest wire with a ring or lug for a stud. Source: terminal_insulated_ranges, battery_lugs."""
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
        return max(float(row["wire_to_mm2"]) for row in load("coupler_contacts").rows)
    terminals = {term.name: term for term in machine.parts[point.part].terminals}
    found = terminals.get(point.terminal)
    if found is not None and found.fitting == "blade":
        return _blade_mm2(found.size, machine.sizes)
    if found is not None and found.fitting == "stud":
        return _stud_mm2(found.size, machine.sizes)
    return NO_LIMIT_MM2


def thickest_mm2(machine: Machine, wire: RoutedWire) -> float:
    """Largest copper area that both ends of a wire take [mm2]; infinite at posts and splices."""
    return min(_takes_mm2(machine, wire.a), _takes_mm2(machine, wire.b))
