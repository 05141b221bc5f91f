"""ABYC E-11 table IX (12 V, 3 %) against its own formula with SAE areas: 88 of 89 cells, and one apart."""

from __future__ import annotations

from math import pi

import pytest

from harness.electric.ruleset import area_of
from harness.tables import load
from tests.published.recorder import Cells, published

MM2_PER_CMIL = pi / 4 * 0.0254**2
K = 10.75  # ohm circular mil/ft, as printed with the table
FEET = (10, 15, 20, 25, 30, 40, 50, 60, 70, 80, 90, 100, 110, 120, 130, 140, 150, 160, 170)
# Gauge by current and round trip, as printed (read from marine suppliers' reprints, in part).
PRINTED = {
    5: "18 16 14 12 12 10 10 10 8 8 8 6 6 6 6 6 6 6 6",
    10: "14 12 10 10 10 8 6 6 6 6 4 4 4 4 2 2 2 2 2",
    15: "12 10 10 8 8 6 6 6 4 4 2 2 2 2 2 1 1 1 1",
    20: "10 10 8 6 6 6 4 4 2 2 2 2 1 1 1 0 0 0 2/0",
    25: "10 8 6 6 6 4 4 2 2 2 1 1 0",
}
# SAE least areas in circular mils as printed with 33 CFR 183 (18 to 12 read-from-secondary, rest memory).
SAE_CMIL = {
    "18": 1537, "16": 2336, "14": 3702, "12": 5833, "10": 9343, "8": 14810, "6": 25910, "4": 37360,
    "2": 62450, "1": 77790, "0": 98980, "2/0": 125100,
}  # fmt: skip
ORDER = list(SAE_CMIL)
CELLS = [
    (amps, feet, gauge)
    for amps, row in PRINTED.items()
    for feet, gauge in zip(FEET, row.split(), strict=False)
]


def number(gauge: str) -> int:
    """A gauge as the number that its definition gives it: 1/0 is 0, 2/0 is -1."""
    return 1 - int(gauge[0]) if "/" in gauge else int(gauge)


def by_formula(amps: float, feet: float, areas: dict[str, float]) -> str:
    need = K * amps * feet / (12 * 0.03)
    return next(gauge for gauge in ORDER if areas[gauge] >= need)


def test_the_formula_rebuilds_all_cells_but_one() -> None:
    """15 A over 60 ft: 10.75 x 15 x 60 / 0.36 = 26 875 circular mils, more than the printed SAE 6 holds."""
    assert len(CELLS) == 89
    apart = [cell for cell in CELLS if by_formula(cell[0], cell[1], SAE_CMIL) != cell[2]]
    assert apart == [(15, 60, "6")]


def test_the_programs_areas_never_give_a_thinner_wire_than_the_table() -> None:
    """Where two figures for one SAE gauge differ the program keeps the smaller area, so it may only go up."""
    ours = {gauge: area_of(f"{gauge} AWG") / MM2_PER_CMIL for gauge in ORDER}
    steps = [ORDER.index(by_formula(a, f, ours)) - ORDER.index(g) for a, f, g in CELLS]
    assert min(steps) >= 0
    assert max(steps) <= 1


@published("ABYC E-11", "table IX, 12 V, 3 %, gauge by current and length", "read")
def test_the_table_is_kept_as_printed(cells: Cells) -> None:
    """A gauge is a size and not an amount: 1/0 stands as 0 and 2/0 as -1 here, as the gauge is defined."""
    kept = {
        (float(row["current_A"]), float(row["round_trip_ft"])): row["awg_printed"]
        for row in load("abyc_e11_table9_12v_3pct").rows
    }
    assert len(kept) == len(CELLS)
    for amps, feet, gauge in CELLS:
        cells.kept(f"{amps} A over {feet} ft", number(kept[amps, feet]), number(gauge))


@published("a marine supplier's handbook", "10 A at two drops, by circular mils", "read", example=True)
@pytest.mark.parametrize(("percent", "printed"), [(3, "10"), (10, "16")])
def test_a_handbook_look_up_at_two_drops(percent: float, printed: str, cells: Cells) -> None:
    """10 A, 25 ft column (read): 3 % needs 7465 circular mils, No. 10; 10 % needs 1881 at 21 ft, No. 16."""
    need = 10.75 * 10 * (25 if percent == 3 else 21) / (12 * percent / 100)
    fits = next(gauge for gauge in ORDER if area_of(f"{gauge} AWG") / MM2_PER_CMIL >= need)
    cells.near(f"gauge for {percent} %", float(fits), float(printed), rel=1e-9)
