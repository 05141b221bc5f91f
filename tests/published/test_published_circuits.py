"""Textbook circuits with printed answers, solved by the nodal solver; currents at every node sum to zero."""

from __future__ import annotations

import pytest

from harness.electric.network import Branch, Network
from tests.published.recorder import Cells, published


# A cell of 10 V and 0.5 ohm on 10, 50 and 100 ohm (course page, read): current and terminal volts.
@published("a course page on direct current", "cell of 10 V and 0.5 ohm on three loads", "read", example=True)
@pytest.mark.parametrize(
    ("load_ohm", "printed_a", "printed_v"), [(10, 0.952, 9.52), (50, 0.198, 9.9), (100, 0.0995, 9.95)]
)
def test_cell_with_inner_resistance(
    load_ohm: float, printed_a: float, printed_v: float, cells: Cells
) -> None:
    load = Branch("plus", "minus", load_ohm)
    network = Network([Branch("plus", "minus", 0.5, 10.0), load], "minus")
    volts = network.volts({})
    cells.near(f"A on {load_ohm} ohm", network.current_a(load, volts), printed_a, rel=0.001)
    cells.near(f"V on {load_ohm} ohm", volts["plus"], printed_v, abs=0.005)


@published("a course page on direct current", "6 V open, 60 mA into 98 ohm", "read", example=True)
def test_inner_resistance_from_an_open_and_a_loaded_reading(cells: Cells) -> None:
    """6 V open, 60 mA into 98 ohm: 2 ohm inside, 5.88 V at the terminals (read)."""
    load = Branch("plus", "minus", 98.0)
    network = Network([Branch("plus", "minus", 2.0, 6.0), load], "minus")
    volts = network.volts({})
    cells.near("A", network.current_a(load, volts), 0.060, abs=1e-6)
    cells.near("V", volts["plus"], 5.88, abs=1e-6)


@published("an exam question", "two batteries in parallel on 80 ohm", "read", example=True)
def test_two_batteries_in_parallel_on_one_load(cells: Cells) -> None:
    """Exam question (read): 100 V 5 ohm and 95 V 3 ohm on 80 ohm: 1.069 A, 0.115 A, 94.66 V.
    By hand: (100/5 + 95/3) / (1/5 + 1/3 + 1/80) = 51.66667 / 0.5458333 = 94.6565 V."""
    a, b, load = Branch("n", "g", 5.0, 100.0), Branch("n", "g", 3.0, 95.0), Branch("n", "g", 80.0)
    network = Network([a, b, load], "g")
    volts = network.volts({})
    assert volts["n"] == pytest.approx(94.6565, abs=1e-4)
    assert -network.current_a(a, volts) == pytest.approx(1.0687, abs=1e-4)
    assert -network.current_a(b, volts) == pytest.approx(0.1145, abs=1e-4)
    cells.near("V", volts["n"], 94.66, abs=0.005)
    cells.near("A of the first", -network.current_a(a, volts), 1.069, abs=0.0005)
    cells.near("A of the second", -network.current_a(b, volts), 0.115, abs=0.00051)
    assert sum(network.current_a(one, volts) for one in (a, b, load)) == pytest.approx(0, abs=1e-9)


def test_one_of_two_batteries_carries_nothing() -> None:
    """12 V 2 ohm and 10 V 1 ohm on 10 ohm (inputs read): (6 + 10)/(0.5 + 1 + 0.1) = 10 V, B gives 0 A."""
    a, b, load = Branch("n", "g", 2.0, 12.0), Branch("n", "g", 1.0, 10.0), Branch("n", "g", 10.0)
    network = Network([a, b, load], "g")
    volts = network.volts({})
    assert volts["n"] == pytest.approx(10.0, abs=1e-9)
    assert network.current_a(b, volts) == pytest.approx(0.0, abs=1e-9)
    assert network.current_a(load, volts) == pytest.approx(1.0, abs=1e-9)


@published("US Army IT0334", "p. 18, three resistors on 100 V", "read", example=True)
def test_series_string(cells: Cells) -> None:
    """US Army IT0334 p. 18 (read): 10 + 10 + 5 ohm on 100 V is 25 ohm and 4 A."""
    string = [Branch("a", "b", 10.0), Branch("b", "c", 10.0), Branch("c", "g", 5.0)]
    network = Network([Branch("a", "g", 1e-7, 100.0), *string], "g")
    volts = network.volts({})
    assert [network.current_a(one, volts) for one in string] == pytest.approx([4.0] * 3, rel=1e-6)
    cells.near("A", network.current_a(string[0], volts), 4.0, rel=1e-6)
    cells.near("ohm", 100.0 / network.current_a(string[0], volts), 25.0, rel=1e-6)


def test_what_hangs_on_nothing_has_no_volts_and_takes_no_current() -> None:
    network = Network([Branch("plus", "g", 0.1, 12.0), Branch("x", "y", 1.0)], "g")
    volts = network.volts({("x", "y"): 5.0})
    assert set(volts) == {"plus", "g"}
    assert volts["plus"] == pytest.approx(12.0)
