"""What sources do, against the trade's charts and sums by hand."""

from __future__ import annotations

import pytest

from harness.electric.supply import (
    battery_ohm,
    charge_at,
    cranking_power,
    rest_v,
    self_discharge,
    take_ohm,
    takes_a,
)


def test_rest_volts_by_charge() -> None:
    """A club's battery page: 12.6 V full, 12.4 at 75 %, 12.2 at 50 %, 12.0 at 25 %, 11.8 dead; 6 V half."""
    printed = {1.0: 12.6, 0.75: 12.4, 0.5: 12.2, 0.25: 12.0, 0.0: 11.8}
    for charge, volts in printed.items():
        assert rest_v(volts_v=12, charge=charge) == pytest.approx(volts, abs=0.005)
        assert rest_v(volts_v=6, charge=charge) == pytest.approx(volts / 2, abs=0.005)
    assert rest_v(volts_v=12, charge=0.8) == pytest.approx(12.44, abs=0.005)  # 12.4 + 0.2 x 5 / 25
    for charge in (0.1, 0.3, 0.8, 1.0):
        back = charge_at(volts_v=24, at_rest_v=rest_v(volts_v=24, charge=charge))
        assert back == pytest.approx(charge, abs=1e-9)


def test_cranking_power_in_the_cold() -> None:
    """The trade's chart as a workshop prints it: 100 % at 80 °F, 65 % at 32 °F, 40 % at 0 °F."""
    assert [cranking_power(celsius) for celsius in (-40, -18, 0, 27, 50)] == [0.4, 0.4, 0.65, 1.0, 1.0]
    assert cranking_power(-10) == pytest.approx(0.40 + 0.25 * 8 / 18)  # between -18 and 0 °C
    assert battery_ohm(rated_ohm=0.010, celsius=-18) == pytest.approx(0.010)
    assert battery_ohm(rated_ohm=0.010, celsius=27) == pytest.approx(0.004)


def test_a_half_empty_battery_takes_a_quarter_of_its_ampere_hours() -> None:
    """Charging practice: 25 A into 100 Ah at first; 13.8 - 12.2 V over 25 A are 64 mohm."""
    assert takes_a(capacity_ah=100, charge=0.5) == pytest.approx(25)
    assert take_ohm(volts_v=12, capacity_ah=100, charge=0.5) == pytest.approx(0.064, abs=0.0005)
    assert takes_a(capacity_ah=100, charge=1.0) < 2.0  # a full one takes 1 to 2 A


def test_a_standing_battery_loses_charge_by_the_army_page() -> None:
    """TM 9-6140-200-14 p. 4-14: 0.0003 a day at 50 °F, 0.001 at 80 °F, of about 0.15 from full to empty."""
    assert self_discharge(10.0) == (pytest.approx(0.002, abs=1e-6), 10.0)
    assert self_discharge(-20.0) == (pytest.approx(0.002, abs=1e-6), 10.0)
    assert self_discharge(20.0) == (pytest.approx(0.00667, abs=1e-5), 27.0)
    assert self_discharge(60.0)[1] == 38.0
