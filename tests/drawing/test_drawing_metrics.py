"""Text widths against the fonts they come from, and breaking of lines."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harness.drawing import metrics
from harness.drawing.svg import clean
from harness.signs import spelled

# advance widths of DejaVu Sans 2.37 and its bold, hmtx table, units of 2048 to the em (read with a font tool)
DEJAVU = {"A": 1401, "M": 1767, "W": 2025, "i": 569, "0": 1303, "m": 1995, " ": 651, "/": 690, "Ä": 1401}
DEJAVU_BOLD = {"A": 1585, "M": 2038, "W": 2259, "i": 702, "0": 1425, "m": 2134, " ": 713, "/": 748}


@pytest.mark.parametrize("letter", DEJAVU)
def test_no_letter_is_taken_for_narrower_than_in_the_font(letter: str) -> None:
    assert metrics.width(letter, 2048) >= DEJAVU[letter]
    assert metrics.width(letter, 1) <= DEJAVU[letter] / 2048 * 1.08


@pytest.mark.parametrize("letter", DEJAVU_BOLD)
def test_nor_in_bold(letter: str) -> None:
    assert metrics.width(letter, 2048, bold=True) >= DEJAVU_BOLD[letter]
    assert metrics.width(letter, 1, bold=True) <= DEJAVU_BOLD[letter] / 2048 * 1.08


def test_width_grows_with_size_and_text() -> None:
    assert metrics.width("lamp", 4) == pytest.approx(2 * metrics.width("lamp", 2))
    assert metrics.width("lamp lamp", 2) > metrics.width("lamp", 2)
    assert metrics.width("", 2) == 0


def test_marks_over_letters_take_no_room_of_their_own() -> None:
    assert metrics.width("e\u0301", 2) == metrics.width("e", 2)


@given(st.text(max_size=80), st.floats(4, 60))
def test_breaking_loses_nothing_and_fits(text: str, room_mm: float) -> None:
    lines = metrics.wrap(text, 2.0, room_mm)
    assert spelled("".join("".join(lines).split())) == spelled("".join(clean(text).split()))
    assert all(metrics.width(line, 2.0) <= room_mm for line in lines)


def test_breaks_between_words_where_it_can() -> None:
    assert metrics.wrap("left front work lamp", 2.0, 14.0) == ["left front", "work lamp"]


def test_a_word_too_long_is_cut() -> None:
    assert len(metrics.wrap("W" * 40, 2.0, 20.0)) > 1
