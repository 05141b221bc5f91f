"""Rounding that never falls short, feet and inches, and an order in which 2 stands before 10."""

from __future__ import annotations

import math
import re

M_PER_INCH = 0.0254  # exact by definition
M_PER_FOOT = 12 * M_PER_INCH
CENTIMETRE = 0.01  # lengths are shown to the next one up
FLOAT_NOISE = 1e-9  # sums of exact decimals miss by far less than this, real lengths by far more

_QUARTERS = ("", " 1/4", " 1/2", " 3/4")
_DIGITS = re.compile(r"(\d+)")


def round_up(value: float, *, step: float) -> float:
    """Return the least multiple of ``step`` that is not below ``value`` (both in the same unit).

    A value that misses a multiple by floating-point noise alone counts as that multiple.

    >>> round_up(7.01, step=0.1)
    7.1
    >>> round_up(0.1 + 0.2, step=0.1)
    0.3
    """
    steps = math.ceil(value / step - FLOAT_NOISE)
    places = max(0, -math.floor(math.log10(step)))
    return round(steps * step, places)


def round_down(value: float, *, step: float) -> float:
    """Return the greatest multiple of ``step`` that is not above ``value``, float noise set aside.

    >>> round_down(7.09, step=0.1)
    7.0
    """
    steps = math.floor(value / step + FLOAT_NOISE)
    return round(steps * step, max(0, -math.floor(math.log10(step))))


def feet_inches(length_m: float, *, up: bool = True) -> str:
    """Write a length [m] in feet and inches, rounded up to the next quarter inch, or down.

    >>> print(feet_inches(1.0), feet_inches(1.0, up=False))
    3' 3 1/2" 3' 3 1/4"
    """
    quarters_in = length_m / M_PER_INCH * 4
    quarters = math.ceil(quarters_in - FLOAT_NOISE) if up else math.floor(quarters_in + FLOAT_NOISE)
    feet, rest = divmod(quarters, 48)
    inches, quarter = divmod(rest, 4)
    inch_text = f"{inches}{_QUARTERS[quarter]}" if inches or not quarter else _QUARTERS[quarter].strip()
    return f"{feet}' {inch_text}\"" if feet else f'{inch_text}"'


def natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """Return a sort key that reads the numbers in a text as numbers: W2 before W10, M6 before M10."""
    return tuple(
        (0, int(piece), "") if piece.isdecimal() and piece.isascii() else (1, 0, piece)
        for piece in _DIGITS.split(text)
        if piece
    )
