"""Voltage drop examples as printed, through the nodal solver; those printed wrong are held against it too."""

from __future__ import annotations

import pytest

from harness.electric.network import Branch, Network
from tests.published.recorder import Cells, published


def drop_v(*, ohm: float, current_a: float, source_v: float = 28.0) -> float:
    """Volts lost in one resistance that feeds a load of a given current, by the nodal solve."""
    source = Branch("plus", "ground", 1e-6, source_v)
    network = Network([source, Branch("plus", "load", ohm)], "ground")
    volts = network.volts({("load", "ground"): current_a})
    return volts["plus"] - volts["load"]


# FAA AC 43.13-1B CHG 1 table 11-7: run in ft, A, gauge, ohm/ft, printed V, allowance V (read, two copies).
@published("FAA AC 43.13-1B CHG 1", "table 11-7, 107 ft of No. 6", "read", example=True)
def test_faa_table_11_7_107_ft_of_no_6(cells: Cells) -> None:
    cells.near("V", drop_v(ohm=107 * 0.00044, current_a=20), 0.942, abs=0.0005)


def test_faa_table_11_7_no_8_would_not_do() -> None:
    """107 x 0.0007 x 20 = 1.498 V for an allowance of 1 V."""
    assert drop_v(ohm=107 * 0.0007, current_a=20) == pytest.approx(1.498, abs=0.0005)


def test_faa_table_11_7_misprint_at_88_ft() -> None:
    """88 ft, 20 A, No. 12, 0.00202 ohm/ft: printed 3.60 V; 88 x 0.00202 x 20 = 3.5552 V."""
    assert drop_v(ohm=88 * 0.00202, current_a=20) == pytest.approx(3.5552, abs=0.0005)
    assert drop_v(ohm=88 * 0.00202, current_a=20) != pytest.approx(3.60, abs=0.01)


# The same, table 11-8: longest run of No. 10 (0.00126 ohm/ft) at 20 A.
@published("FAA AC 43.13-1B CHG 1", "table 11-8, longest run of No. 10", "read", example=True)
@pytest.mark.parametrize(("ft", "printed_v"), [(39, 0.98), (156, 3.93)])
def test_faa_table_11_8_longest_run(ft: float, printed_v: float, cells: Cells) -> None:
    cells.near(f"V over {ft} ft", drop_v(ohm=ft * 0.00126, current_a=20), printed_v, abs=0.005)


def test_faa_table_11_8_misprint_at_19_5_ft() -> None:
    """Printed 0.366 V for 19.5 ft; 0.00126 x 19.5 x 20 = 0.4914 V."""
    assert drop_v(ohm=19.5 * 0.00126, current_a=20) == pytest.approx(0.4914, abs=0.0005)
    assert drop_v(ohm=19.5 * 0.00126, current_a=20) > 0.45


@published("FAA AC 43.13-1B CHG 1", "paragraph 11-68c example 1", "read", example=True)
@pytest.mark.parametrize(("ohm_per_ft", "printed_v"), [(0.00126, 1.26), (0.0007, 0.70)])
def test_faa_paragraph_11_68c_example_1(ohm_per_ft: float, printed_v: float, cells: Cells) -> None:
    """50 ft with the ground wire, 20 A, 28 V: No. 10 drops 1.26 V, No. 8 0.70 V, allowance 1 V."""
    cells.near(f"V at {ohm_per_ft} ohm/ft", drop_v(ohm=50 * ohm_per_ft, current_a=20), printed_v, abs=0.0005)


# A two-wire 12 V run, 100 A, 15 ft each way (read): ohm per 100 ft, printed V and share.
@published("a page on direct current wiring", "two-wire run of 15 ft at 100 A", "read", example=True)
@pytest.mark.parametrize(
    ("ohm_per_100_ft", "printed_v", "percent"), [(0.025, 0.75, 6.25), (0.016, 0.48, 4.0), (0.010, 0.30, 2.5)]
)
def test_two_wire_run_counts_both_ways(
    ohm_per_100_ft: float, printed_v: float, percent: float, cells: Cells
) -> None:
    one_way = 0.15 * ohm_per_100_ft
    feed, back = Branch("plus", "in", one_way), Branch("out", "ground", one_way)
    network = Network([Branch("plus", "ground", 1e-7, 12.0), feed, back], "ground")
    volts = network.volts({("in", "out"): 100.0})
    lost = (volts["plus"] - volts["in"]) + volts["out"]
    cells.near(f"V at {ohm_per_100_ft} ohm per 100 ft", lost, printed_v, abs=1e-6)
    cells.near(f"% at {ohm_per_100_ft} ohm per 100 ft", lost / 12 * 100, percent, abs=1e-4)


@published("an amateur radio page", "0.25 A over 4200 ft and back", "read", example=True)
def test_quarter_ampere_over_4200_ft_and_back(cells: Cells) -> None:
    """0.25 A, 4200 ft each way of 14 gauge at 2.525 ohm/kft: 5.3025 V (read)."""
    cells.near("V", drop_v(ohm=2 * 4.2 * 2.525, current_a=0.25), 5.3025, abs=1e-5)


@published("a pump seller's wiring page", "24 V, 5 A, 100 ft of No. 6 and No. 8", "read", example=True)
@pytest.mark.parametrize(("ohm_per_kft", "printed_v"), [(0.3951, 0.395), (0.6282, 0.628)])
def test_24_v_run_of_100_ft(ohm_per_kft: float, printed_v: float, cells: Cells) -> None:
    """5 A, 100 ft each way, 24 V, 2 % (0.48 V): No. 6 loses 0.395 V and passes, No. 8 0.628 V (read)."""
    ours = drop_v(ohm=0.2 * ohm_per_kft, current_a=5, source_v=24)
    cells.near(f"V at {ohm_per_kft} ohm/kft", ours, printed_v, abs=0.0005)


@published("an engine maker's service manual", "p. 12-4, starter lead of 3 ft", "read", example=True)
def test_engine_makers_starter_lead(cells: Cells) -> None:
    """Service manual p. 12-4 (read): 100 A, 3 ft of 4 gauge at 0.000270 ohm/ft: 0.08 V, limit 0.6 V."""
    assert drop_v(ohm=3 * 0.000270, current_a=100, source_v=12) == pytest.approx(0.081, abs=1e-5)
    cells.near("V", drop_v(ohm=3 * 0.000270, current_a=100, source_v=12), 0.08, abs=0.005)


def test_kuphaldt_long_feeder() -> None:
    """Kuphaldt, DC ch. 12 (read): 230 V, load needs 220 V at 25 A, 2300 ft each way, 10.09 ohm cmil/ft:
    116 035 circular mils, so 2/0 (133 100) and not 1/0 (105 500)."""
    cmil = 10.09 * 2 * 2300 * 25 / 10
    assert cmil == pytest.approx(116035, abs=0.5)
    for area, enough in [(133100, True), (105500, False)]:
        lost = drop_v(ohm=10.09 * 4600 / area, current_a=25, source_v=230)
        assert (lost <= 10) is enough


def test_digit_slip_is_not_reproduced() -> None:
    """Negative example (read): 7 A through 0.153 ohm printed as 1.113 V; it is 1.071 V."""
    assert drop_v(ohm=0.153, current_a=7) == pytest.approx(1.071, abs=1e-5)
