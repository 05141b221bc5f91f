"""What one reading means: inside its band, or outside and by how much, and what that points to."""

from __future__ import annotations

from dataclasses import dataclass

from harness.commissioning.trial import Test


@dataclass(frozen=True, slots=True)
class Verdict:
    """A reading judged."""

    test: Test
    value: float
    good: bool
    words: str
    points_to: str = ""


def figure(value: float, unit: str) -> str:
    """A figure with its unit, as a meter would show it: three digits and no more."""
    digits = 3 if abs(value) < 1 else 2 if abs(value) < 100 else 1
    return f"{value:.{digits}f} {unit}"


def band_words(test: Test) -> str:
    """The band in words: "11.9 to 12.6 V", "at most 0.1 ohm"; "" without one."""
    if test.low is not None and test.high is not None:
        return f"{figure(test.low, test.unit).split()[0]} to {figure(test.high, test.unit)}"
    if test.low is not None:
        return f"at least {figure(test.low, test.unit)}"
    return f"at most {figure(test.high, test.unit)}" if test.high is not None else ""


def judged(test: Test, value: float) -> Verdict:
    """Judge one reading. Its sign counts only where a band reaches below nought (``Test.signed``)."""
    amount = value if test.signed else abs(value)
    if test.low is not None and amount < test.low:
        words = f"below its band of {band_words(test)} by {figure(test.low - amount, test.unit)}"
        return Verdict(test, value, False, words, test.too_low)
    if test.high is not None and amount > test.high:
        words = f"above its band of {band_words(test)} by {figure(amount - test.high, test.unit)}"
        return Verdict(test, value, False, words, test.too_high)
    return Verdict(
        test, value, True, f"good, its band is {band_words(test)}" if band_words(test) else "noted"
    )


def drift(first: float, latest: float, test: Test) -> str:
    """How far a reading has moved since it was first taken, "" where it has not to speak of.

    A fifth of the band, or 5 % of the reading where the band is open to one side (choice of ours).
    """
    width = test.high - test.low if test.low is not None and test.high is not None else 0.25 * abs(first)
    moved = abs(latest) - abs(first) if not test.signed else latest - first
    if abs(moved) <= max(0.2 * width, 1e-9):
        return ""
    return f"{'up' if moved > 0 else 'down'} {figure(abs(moved), test.unit)} since it was first measured"
