"""The thickest wire that goes onto what it lands on, so that copper is spent where it can be fastened."""

from __future__ import annotations

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


def _takes_mm2(machine: Machine, point: Point) -> float:
    if point.kind == "splice":
        return NO_LIMIT_MM2
    terminals = {term.name: term for term in machine.parts[point.part].terminals}
    found = terminals.get(point.terminal)
    if found is None or found.fitting != "blade":
        return NO_LIMIT_MM2
    return _blade_mm2(found.size, machine.sizes)


def thickest_mm2(machine: Machine, wire: RoutedWire) -> float:
    """Largest copper area that both ends of a wire take [mm2]; infinite at studs, posts and splices."""
    return min(_takes_mm2(machine, wire.a), _takes_mm2(machine, wire.b))
