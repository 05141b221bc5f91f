"""Numbers of price lists: written by every custom, read back; the writer here is the oracle."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harness.counter.numbers import NoNumber, amount, decimal_sign, parsed

GROUPS = {
    ",": (".", " ", "\u00a0", "\u202f", "'", "’", ""),
    ".": (",", " ", "\u00a0", "\u202f", "'", "’", ""),
}


def written(cents: int, places: int, sign: str, group: str) -> str:
    """An amount in hundredths, thousandths, ... by hand: digits in threes from the right."""
    digits = f"{cents:0{places + 1}d}"
    whole, part = (digits[:-places], digits[-places:]) if places else (digits, "")
    threes = []
    while whole:
        threes.insert(0, whole[-3:])
        whole = whole[:-3]
    return group.join(threes) + (sign + part if places else "")


@given(
    st.integers(0, 999_999_999), st.integers(0, 4), st.sampled_from(".,"), st.integers(0, 6),
    st.sampled_from(["", "€ ", "£", "EUR ", "$", " EUR", " €", "zł"]),
)  # fmt: skip
def test_what_is_written_is_read_back(cents: int, places: int, sign: str, at: int, money: str) -> None:
    text = written(cents, places, sign, GROUPS[sign][at])
    text = text + money if money.startswith(" ") else money + text
    taken = amount(text)
    assert parsed(taken.digits, sign) == Decimal(cents) / Decimal(10) ** places
    shows = decimal_sign(taken.digits)
    assert shows in (sign, None), "a number never shows the wrong sign for certain"


@given(st.integers(1_000_000, 99_999_999_999), st.integers(1, 4), st.sampled_from(".,"))
def test_both_signs_or_two_groups_tell_for_certain(cents: int, places: int, sign: str) -> None:
    text = written(cents * 10**places, places, sign, GROUPS[sign][0])
    assert decimal_sign(text) == sign
    with pytest.raises(NoNumber):
        parsed(text, "," if sign == "." else ".")


@pytest.mark.parametrize(
    ("text", "digits", "currency", "per"),
    [
        ("1.234,56 €", "1.234,56", "EUR", 1), ("GBP 12.50 per 100", "12.50", "GBP", 100), ("$3", "3", "$", 1),
        ("12,50/100", "12,50", "", 100), ("12,-", "12", "", 1), ("-4.20", "-4.20", "", 1),
        ("- 4.20", "-4.20", "", 1), ("€-4,20", "-4,20", "EUR", 1), ("85.00 / 100 m", "85.00", "", 100),
    ],
)  # fmt: skip
def test_signs_of_money_and_per_hundred_come_off(text: str, digits: str, currency: str, per: int) -> None:
    taken = amount(text)
    assert (taken.digits, taken.currency, taken.per) == (digits, currency, per)


@pytest.mark.parametrize(
    "text",
    ["", "abc", "1.2.3", "1,23,456", "1..2", "12.34.567", "0x10", "1e5", "nan", "inf", "١٢", "1234,567.8",
     "=1+1", "1 2", "0.123.456", "9" * 40, "--1", "1-2"],
)  # fmt: skip
def test_what_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(NoNumber):
        parsed(text, ".")
