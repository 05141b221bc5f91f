"""Writes a figure with the digits that count, never in powers of ten: nobody at a bench reads 1.5e+03 A."""

from __future__ import annotations

from decimal import Decimal


def digits(value: float, count: int = 3) -> str:
    """The figure rounded to so many digits that count, in plain writing.

    >>> digits(0.12345), digits(1543.2), digits(1514800.0), digits(12.0), digits(0.0)
    ('0.123', '1540', '1510000', '12', '0')
    """
    text = f"{value:.{count}g}"
    return format(Decimal(text), "f") if "e" in text else text


def plain(value: float, count: int = 3) -> str:
    """The same, with all its digits before the point: for a current that may be thousands of amperes.

    >>> plain(0.12345), plain(1543.2), plain(300.0)
    ('0.123', '1543', '300')
    """
    return digits(value, count) if abs(value) < 10**count else f"{value:.0f}"
