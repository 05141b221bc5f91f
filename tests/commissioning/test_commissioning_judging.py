"""Readings judged, figures and tests read from somebody's own words, drift since the first reading."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harness.commissioning.asked import NotAsked, meant_test, value_read
from harness.commissioning.judging import drift, judged
from harness.commissioning.trial import Test

VOLTS = Test(
    "load:lamp +/-:night:V", "lamp +/-: volts", "V", 12.0, 11.0, 13.0, mode="night", too_low="a joint"
)
INSULATION = Test("dead:live", "live to chassis", "Mohm", None, 1.0, None)
BALANCE = Test("balance:night", "battery current", "A", -2.0, -4.0, None)


@given(st.floats(-50, 50))
def test_a_reading_is_good_in_its_band_and_only_there(value: float) -> None:
    assert judged(VOLTS, value).good == (11.0 <= abs(value) <= 13.0)
    assert judged(BALANCE, value).good == (value >= -4.0)


def test_what_is_outside_says_by_how_much_and_what_it_points_to() -> None:
    low = judged(VOLTS, 9.1)
    assert low.words == "below its band of 11.00 to 13.00 V by 1.90 V" and low.points_to == "a joint"
    assert judged(VOLTS, 13.5).words.startswith("above") and judged(VOLTS, 13.5).points_to == ""
    assert judged(VOLTS, -12.0).good  # probes the other way round, or plus on the chassis


@pytest.mark.parametrize(
    ("text", "test", "value"),
    [
        ("12.1 V", VOLTS, 12.1), ("12,1", VOLTS, 12.1), ("350 mV", VOLTS, 0.35), ("-0.4 V", VOLTS, -0.4),
        ("\u22120.4", VOLTS, -0.4), ("2 Mohm", INSULATION, 2.0), ("500 kΩ", INSULATION, 0.5),
        ("800 mA", BALANCE, 0.8), (".5", BALANCE, 0.5),
    ],
)  # fmt: skip
def test_a_figure_is_read_as_a_meter_shows_it(text: str, test: Test, value: float) -> None:
    assert value_read(text, test) == pytest.approx(value)


@pytest.mark.parametrize(
    "text", ["", "V", "12 A", "1.2.3 V", "twelve", "1e5", "nan", "inf", "12 V 3", "9" * 50, "\x1b[1m"]
)
def test_what_is_no_figure_of_this_test_is_refused(text: str) -> None:
    with pytest.raises(NotAsked):
        value_read(text, VOLTS)


def test_a_test_is_found_by_key_by_words_or_by_the_nearest() -> None:
    tests = {test.key: test for test in (VOLTS, INSULATION, BALANCE)}
    assert meant_test("dead:live", tests) is INSULATION
    assert meant_test("Lamp night", tests) is VOLTS
    with pytest.raises(NotAsked, match="fits 2 tests"):
        meant_test("night", tests)
    with pytest.raises(NotAsked, match="did you mean 'dead:live'"):
        meant_test("dead:lvie", tests)
    with pytest.raises(NotAsked, match="lists them"):
        meant_test(" ", tests)


def test_a_letter_is_a_word_of_its_own_and_none_in_others() -> None:
    left, right = (
        Test(
            f"load:work lamp {side} +/-:night work:lost", f"work lamp {side} +/-: volts lost", "V", 0.3, 0, 1
        )
        for side in "LR"
    )
    tests = {test.key: test for test in (left, right)}
    assert meant_test("work lamp L lost night", tests) is left
    assert meant_test("work lamp r lost", tests) is right


def test_drift_is_told_from_a_fifth_of_the_band_on() -> None:
    assert drift(12.0, 12.3, VOLTS) == ""  # the band is 2 V wide
    assert drift(12.0, 11.2, VOLTS) == "down 0.800 V since it was first measured"
    assert drift(-12.0, 12.1, VOLTS) == ""  # probes turned round
    assert drift(2.0, 1.0, INSULATION).startswith("down")
