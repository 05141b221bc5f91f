"""Quantities as people write them; conversions against their definitions and against pint."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from harness.survey.measures import BASE_UNITS, CELSIUS_WORDS, FAHRENHEIT_WORDS, MEASURES, UNITS
from harness.survey.units import (
    Spell,
    WrongQuantity,
    drop_v,
    nearest_size,
    quantity,
    spell,
    stud_size,
    wire_size,
)
from tests.published.recorder import beside

PINT = pint.UnitRegistry()

# Spellings of ours that pint writes otherwise.
IN_PINT = {"mm2": "mm**2", "mm²": "mm**2", "mm^2": "mm**2", "sq mm": "mm**2", "amp hours": "ampere_hour"}
IN_PINT |= {"mohm": "milliohm", "kohm": "kiloohm", "per cent": "percent", "amp": "ampere", "amps": "ampere"}
IN_PINT |= {
    "milliamp": "milliampere",
    "milliamps": "milliampere",
    "milliohms": "milliohm",
    "Ah": "ampere_hour",
}


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        # 1 in = 25.4 mm, 1 ft = 0.3048 m and 1 yd = 0.9144 m by definition (international yard of 1959)
        ("run length", "12 ft 6 in", 3.81),
        ("run length", "2 ft 3 in", 0.6858),
        ("run length", "1 yd", 0.9144),
        ("run length", "2 1/2 ft", 0.762),
        ("run length", "1-1/2 in", 0.0381),
        ("run length", "2' 3\"", 0.6858),
        ("hole", "3/8 in", 0.009525),
        ("run length", "1 m 20 cm", 1.2),
        ("run length", "1 150 mm", 1.15),
        ("run length", "1\u2009150\u202fmm", 1.15),
        ("run length", "2,4 m", 2.4),
        ("run length", "0,750 m", 0.75),
        ("run length", "1.2e1 m", 12.0),
        ("ambient", "85 °C", 85.0),
        ("ambient", "185 °F", 85.0),  # (185 - 32) * 5/9
        ("ambient", "-40 °F", -40.0),
        ("ambient", "−20 °C", -20.0),
        ("ambient", "358.15 K", 85.0),
        ("area", "16 mm2", 16.0),
        ("area", "16 mm²", 16.0),
        ("area", "2,5mm2", 2.5),
        ("capacity", "100 Ah", 100.0),
        ("share", "5 %", 5.0),
        ("current", "4.5A", 4.5),
        ("current", "200 mA", 0.2),
        ("rating", "15 Amps", 15.0),
        ("power", "0.1 kW", 100.0),
        ("power", "1 horsepower", 745.6998715822702),  # 550 ft lbf/s
        ("resistance", "10 Ω", 10.0),
        ("spell", "2 min", 120.0),
    ],
)
def test_quantity(name: str, text: str, value: float) -> None:
    assert quantity(name, text) == pytest.approx(value, rel=1e-12, abs=1e-12)


@beside("pint", "units and their factors")
@pytest.mark.parametrize("unit", sorted(UNITS))
def test_quick_units_agree_with_pint(unit: str) -> None:
    dimension, factor = UNITS[unit]
    assert PINT.Quantity(1.0, IN_PINT.get(unit, unit)).to(
        BASE_UNITS[dimension][1]
    ).magnitude == pytest.approx(factor, rel=1e-12)


@beside("pint", "units and their factors")
@given(st.floats(-60, 200))
def test_temperatures_agree_with_pint(value: float) -> None:
    shown = f"{value:.3f}"
    for word in sorted(CELSIUS_WORDS):
        assert quantity("ambient", f"{shown} {word}") == pytest.approx(float(shown), abs=1e-9)
    fahrenheit = PINT.Quantity(float(shown), "degC").to("degF").magnitude
    for word in sorted(FAHRENHEIT_WORDS):
        assert quantity("ambient", f"{fahrenheit:.9f} {word}") == pytest.approx(float(shown), abs=1e-6)


@given(st.integers(1, 600), st.integers(0, 11), st.integers(0, 15))
def test_feet_inches_and_sixteenths(feet: int, inches: int, sixteenths: int) -> None:
    text = f"{feet} ft {inches} {sixteenths}/16 in"
    exact = feet * 0.3048 + inches * 0.0254 + sixteenths * 0.0254 / 16
    assert quantity("run length", text) == pytest.approx(exact, rel=1e-12)


@pytest.mark.parametrize(
    ("name", "text", "what", "fix"),
    [
        ("current", "4 m", "'4 m' is a length where a current belongs", "4.5 A"),
        ("run length", "5 V", "'5 V' is a voltage where a run length belongs", "1.15 m"),
        ("power", "4.5 A", "'4.5 A' is a current where a power belongs", "55 W"),
        ("current", "85 °C", "'85 °C' is a temperature where a current belongs", "4.5 A"),
        ("current", "16 mm2", "'16 mm2' is a cross-section where a current belongs", "4.5 A"),
        ("ambient", "85 m", "'85 m' is a length where an ambient temperature belongs", "°C or °F"),
        ("current", "3 hp", "'3 hp' is a power where a current belongs", "4.5 A"),
        ("current", "4", "'4' has no unit", "write the current in A"),
        ("ambient", "85", "'85' has no unit", "°C or °F"),
        ("run length", "12 ft 6", "'12 ft 6' has no unit", "1.15 m"),
        ("current", "-4 A", "current '-4 A' is negative", "4.5 A"),
        ("current", "0 A", "current '0 A' is zero", "4.5 A"),
        ("run length", "10 km", "run length '10 km' is more than 200 m", "check the figure and its unit"),
        ("current", "5000 A", "current '5000 A' is more than 2000 A", "check the figure and its unit"),
        ("ambient", "900 °C", "'900 °C' is more than 200 °C", "check the figure and its unit"),
        ("ambient", "-200 °C", "'-200 °C' is less than -60 °C", "check the figure and its unit"),
        ("current", "nan A", "'nan A' is not a current", "4.5 A"),
        ("current", "inf A", "'inf A' is not a current", "4.5 A"),
        ("current", "1e999 A", "is more than 2000 A", "check the figure"),
        ("current", "", "the current is missing", "4.5 A"),
        ("current", "  ", "the current is missing", "4.5 A"),
        ("current", "9" * 5000 + " A", "is too long for a current", "4.5 A"),
        ("current", "4 ampp", "'ampp' in '4 ampp' is not a unit known here", "did you mean 'amp'?"),
        ("voltage", "6v", "'v' in '6v' is not a unit known here", "did you mean 'V'?"),
        ("current", "4 A 5 A", "holds more than one figure", "4.5 A"),
        ("power", "60/55 W", "holds more than one figure", "55 W"),
        ("hole", "1/0 in", "divides by zero", "3/8"),
        ("run length", "1,150 m", "'1,150 m' can be read two ways", "1150 if the comma parts thousands"),
        ("run length", "2 ft -3 in", "is not a run length", "1.15 m"),
        ("run length", "about 2 m", "is not a run length", "1.15 m"),
        ("current", "٤ A", "is not a current", "4.5 A"),  # digits of other scripts are not guessed at
    ],
)
def test_wrong_quantity(name: str, text: str, what: str, fix: str) -> None:
    with pytest.raises(WrongQuantity) as caught:
        quantity(name, text)
    assert what in caught.value.what
    assert fix in caught.value.fix


@pytest.mark.parametrize("name", sorted(MEASURES))
def test_examples_and_limits_are_accepted(name: str) -> None:
    measure = MEASURES[name]
    unit = BASE_UNITS[measure.dimension][0]
    assert measure.least < measure.most
    assert measure.least <= spell(name, measure.example).value <= measure.most
    for limit in (measure.least, measure.most):
        assert quantity(name, f"{limit:f} {unit}") == pytest.approx(limit)


@pytest.mark.parametrize("name", sorted(MEASURES))
def test_just_beyond_a_limit_is_refused(name: str) -> None:
    measure = MEASURES[name]
    unit = BASE_UNITS[measure.dimension][0]
    with pytest.raises(WrongQuantity):
        quantity(name, f"{measure.most * 1.01:f} {unit}")
    with pytest.raises(WrongQuantity):
        quantity(name, f"{measure.least - 0.001 - abs(measure.least) * 0.01:f} {unit}")


@given(st.sampled_from(sorted(MEASURES)), st.text(max_size=40))
def test_any_text_gives_a_finite_value_within_limits_or_a_clear_refusal(name: str, text: str) -> None:
    measure = MEASURES[name]
    try:
        value = quantity(name, text)
    except WrongQuantity as wrong:
        assert wrong.what and wrong.fix
    else:
        assert math.isfinite(value)
        assert measure.least <= value <= measure.most


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("22 A for 0.5 s", Spell(22.0, 0.5)),
        ("320 A for 30 s", Spell(320.0, 30.0)),
        ("320 A for 2 min", Spell(320.0, 120.0)),
        ("0.8 A hold", Spell(0.8, None, lasting=True)),
        ("4.5 A", Spell(4.5, None)),
    ],
)
def test_spell(text: str, found: Spell) -> None:
    assert spell("current", text) == found


def test_spell_wants_a_time_after_for() -> None:
    with pytest.raises(WrongQuantity, match="'3 m' is a length where a time belongs"):
        spell("current", "5 A for 3 m")


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("14 AWG", "14 AWG"),
        ("14awg", "14 AWG"),
        ("AWG 14", "14 AWG"),
        ("AWG 1/0", "1/0 AWG"),
        ("awg00", "2/0 AWG"),
        ("#12 AWG", "12 AWG"),
        ("2/0 AWG", "2/0 AWG"),
        ("00 AWG", "2/0 AWG"),
        ("0 AWG", "1/0 AWG"),
        ("16 mm²", "16 mm2"),
        ("2,5 mm2", "2.5 mm2"),
    ],
)
def test_wire_size(text: str, size: str) -> None:
    assert wire_size(text) == size


@pytest.mark.parametrize("text", ["14.5 AWG", "31 AWG", "14", "5/0 AWG", "0 mm2", "-2 mm2", "2 m", "AWG", ""])
def test_wire_size_that_does_not_exist(text: str) -> None:
    with pytest.raises(WrongQuantity):
        wire_size(text)


@pytest.mark.parametrize(
    ("text", "size"),
    [("M8", "M8"), ("m8", "M8"), ("3/8 in", "3/8"), ("3/8 in stud", "3/8"), ("#10", "#10"), ("M3,5", "M3.5")],
)
def test_stud_size(text: str, size: str) -> None:
    assert stud_size(text) == size


@pytest.mark.parametrize("text", ["M7", "9/8", "8", "8 mm", "", "M8 M10"])
def test_stud_size_that_is_not_made(text: str) -> None:
    with pytest.raises(WrongQuantity, match="is not the thread of a stud"):
        stud_size(text)


def test_drop_in_percent_or_volts() -> None:
    assert drop_v("3 %", system_v=24.0) == pytest.approx(0.72)
    assert drop_v("0.4 V", system_v=24.0) == pytest.approx(0.4)
    with pytest.raises(WrongQuantity, match="is a current where a voltage drop belongs"):
        drop_v("3 A", system_v=24.0)


@pytest.mark.parametrize(
    ("label", "near"),
    [
        ("20 AWG", "18 AWG"),
        ("5/0 AWG", "2/0 AWG"),
        ("15 AWG", "16 AWG"),
        ("3 AWG", "4 AWG"),
        ("GXL 20 AWG", None),
        ("2 mm2", None),
        ("AWG", None),
    ],
)
def test_the_nearest_size_is_the_nearest_in_number_not_in_letters(label: str, near: str | None) -> None:
    assert nearest_size(label, ("18 AWG", "16 AWG", "10 AWG", "4 AWG", "2/0 AWG")) == near


def test_the_nearest_size_of_a_cable_is_of_that_cable_whatever_its_colour() -> None:
    known = ("SXL 20 AWG", "GXL 18 AWG", "GXL 2/0 AWG")
    assert nearest_size("GXL 20 AWG WH/OG", known) == "GXL 18 AWG"
