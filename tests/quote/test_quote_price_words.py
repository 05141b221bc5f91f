"""A price of one is written as money is: with its cents, and with all places the list has."""

from __future__ import annotations

from decimal import Decimal

import pytest

from harness.quote.result import price_words


@pytest.mark.parametrize(
    ("price", "words"),
    [
        ("1", "1.00"),
        ("0.40", "0.40"),
        ("0.4", "0.40"),
        ("0.097", "0.097"),
        ("0.0970", "0.097"),
        ("1E+1", "10.00"),
    ],
)
def test_cents_are_always_there_and_no_place_is_lost(price: str, words: str) -> None:
    assert price_words(Decimal(price)) == words
