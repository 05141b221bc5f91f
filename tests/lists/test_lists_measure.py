"""Lengths in both systems, rounding that never falls short, and the order of numbers in names."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harness.lists.measure import feet_inches, natural, round_down, round_up
from harness.lists.tally import with_spares
from harness.model.spares import USUAL, Extra

LENGTHS = st.floats(min_value=0.001, max_value=500, allow_nan=False)


@pytest.mark.parametrize(
    ("length_m", "text"),
    [
        (0.3048, "1' 0\""),  # the foot, exact by definition (international agreement of 1959)
        (0.0254, '1"'),  # the inch, exact by the same
        (0.9144, "3' 0\""),  # the yard
        (0.0127, '1/2"'),
        (1.0, "3' 3 1/2\""),  # 39.370 in: the next quarter is 39.50
        (0.3049, "1' 1/4\""),  # a hair over a foot is never called a foot
    ],
)
def test_feet_and_inches_are_rounded_up_to_a_quarter(length_m: float, text: str) -> None:
    assert feet_inches(length_m) == text


@pytest.mark.parametrize(
    ("length_m", "text"),
    [(0.3048, "1' 0\""), (1.0, "3' 3 1/4\""), (0.3047, '11 3/4"'), (0.0, '0"')],  # 39.370 in; 11.996 in
)
def test_what_is_left_over_is_rounded_down_to_a_quarter(length_m: float, text: str) -> None:
    assert feet_inches(length_m, up=False) == text


@given(LENGTHS)
def test_what_is_left_over_is_never_said_to_be_more(length_m: float) -> None:
    assert _as_metres(feet_inches(length_m, up=False)) <= length_m + 1e-9 * length_m + 1e-10
    assert length_m - _as_metres(feet_inches(length_m, up=False)) < 0.0254 / 4 + 1e-9
    assert 0 <= length_m - round_down(length_m, step=0.01) + 1e-9 < 0.01 + 2e-9


def _as_metres(text: str) -> float:
    """Read feet, inches and quarters back, by another way than they were written."""
    inches = 0.0
    for word in text.split():
        if word.endswith("'"):
            inches += 12 * int(word[:-1])
        elif "/" in word:
            above, below = word.rstrip('"').split("/")
            inches += int(above) / int(below)
        else:
            inches += int(word.rstrip('"'))
    return inches * 0.0254


@given(LENGTHS)
def test_feet_and_inches_never_fall_short_and_waste_less_than_a_quarter_inch(length_m: float) -> None:
    written_m = _as_metres(feet_inches(length_m))
    assert length_m - 1e-9 <= written_m < length_m + 0.25 * 0.0254 + 1e-9


@given(LENGTHS, st.sampled_from([0.001, 0.01, 0.1, 1.0]))
def test_rounding_up_gives_the_next_step(value: float, step: float) -> None:
    rounded = round_up(value, step=step)
    assert value - 1e-9 <= rounded < value + step
    assert math.isclose(rounded / step, round(rounded / step))


def test_a_sum_that_misses_by_float_noise_is_not_rounded_up_a_whole_step() -> None:
    assert sum([0.1] * 3) > 0.3
    assert round_up(sum([0.1] * 3), step=0.1) == 0.3


def test_numbers_in_names_stand_in_counting_order() -> None:
    assert sorted(["W10", "W9a", "M8", "W9"], key=natural) == ["M8", "W9", "W9a", "W10"]


@given(st.lists(st.text(max_size=6)))
def test_any_names_can_be_put_in_order(names: list[str]) -> None:
    assert sorted(sorted(names, key=natural, reverse=True), key=natural) == sorted(names, key=natural)


@given(st.integers(min_value=1, max_value=10_000))
def test_spares_are_a_tenth_and_at_least_two(count: int) -> None:
    spares = with_spares(count, USUAL.terminals) - count
    assert spares >= 2
    assert spares >= count / 10
    assert spares < count / 10 + 2 or spares == 2


@given(st.integers(1, 10_000), st.integers(0, 100), st.integers(0, 20))
def test_a_share_is_rounded_up_in_whole_numbers(count: int, per_cent: int, least: int) -> None:
    """Against whole-number arithmetic, which knows no float noise: 70 and a tenth are 77."""
    exact = -(-count * per_cent // 100)
    assert with_spares(count, Extra(per_cent / 100, least)) == count + max(least, exact)
