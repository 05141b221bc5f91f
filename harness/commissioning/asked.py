"""Which test somebody means, and what figure he read, out of his own words."""

from __future__ import annotations

import re
from collections.abc import Mapping
from difflib import get_close_matches

from harness.commissioning.trial import Test
from harness.model.limits import LIMITS

MOST_SHOWN = 6
LONGEST = LIMITS["reading letters"].most
_VALUE = re.compile(r"\s*([+\-\u2212]?)\s*(\d+(?:[.,]\d*)?|[.,]\d+)\s*([a-zA-Zµμ\u2126\u03a9]*)\s*")
_PREFIX = {"": 1.0, "m": 1e-3, "u": 1e-6, "µ": 1e-6, "μ": 1e-6, "k": 1e3, "M": 1e6}
_BASES = {"v": "V", "a": "A", "ohm": "ohm", "ohms": "ohm", "\u2126": "ohm", "\u03c9": "ohm"}


class NotAsked(ValueError):
    """No test, or no figure, can be made out; says what would do."""


def meant_test(words: str, tests: Mapping[str, Test]) -> Test:
    """The test of that key, or the only one whose words hold all of these. Raises NotAsked."""
    if words in tests:
        return tests[words]
    wanted = words.casefold().split()
    if not wanted:
        raise NotAsked("no test was named; `harness tests SURVEY` lists them")
    fits = [test for test in tests.values() if all(word in _all_words(test) for word in wanted)]
    whole = [test for test in fits if set(wanted) <= _word_set(test) | _key_set(test)]
    fits = whole or fits  # the L of "work lamp L" is no letter of "lost"
    if len(fits) > 1:  # "lamp volts" is no "lamp volts lost", though its words stand in there too
        fewest = min((_word_set(test) for test in fits), key=len)
        if all(fewest <= _word_set(test) for test in fits):
            fits = [test for test in fits if _word_set(test) == fewest]
    if len(fits) == 1:
        return fits[0]
    if fits:
        some = ", ".join(repr(test.key) for test in fits[:MOST_SHOWN])
        more = f" and {len(fits) - MOST_SHOWN} more" if len(fits) > MOST_SHOWN else ""
        raise NotAsked(f"{words!r} fits {len(fits)} tests: {some}{more}; name one of them")
    near = get_close_matches(words, tests, n=1, cutoff=0.5)
    hint = f"did you mean {near[0]!r}?" if near else "`harness tests SURVEY` lists them"
    raise NotAsked(f"there is no test {words!r}; {hint}")


def _word_set(test: Test) -> frozenset[str]:
    return frozenset(re.findall(r"[^\s:,]+", f"{test.what} in {test.mode}".casefold()))


def _key_set(test: Test) -> frozenset[str]:
    return frozenset(re.findall(r"[^\s:,]+", test.key.casefold()))


def _all_words(test: Test) -> str:
    return f"{test.key} {test.what} in {test.mode}".casefold()


def value_read(text: str, test: Test) -> float:
    """A figure in the unit of a test: "12.1 V", "300 mV", "0,4". Raises NotAsked."""
    found = _VALUE.fullmatch(text) if len(text) <= LONGEST else None
    if found is None:
        raise NotAsked(f"{text[:LONGEST]!r} is no figure; write it as the meter shows it, '12.1 {test.unit}'")
    sign = -1.0 if found[1] in ("-", "\u2212") else 1.0
    number = sign * float(found[2].replace(",", "."))
    unit = found[3]
    if not unit:
        return number
    base, scale = _unit(unit)
    wanted, own = _unit(test.unit)
    if base != wanted:
        raise NotAsked(f"{text!r} is not in {test.unit}, which this test is measured in")
    return number * scale / own


def _unit(text: str) -> tuple[str, float]:
    """Base unit and factor of a unit; ("", 1) where it is none that a meter shows."""
    for prefix in ("", *(_PREFIX.keys() - {""})):
        rest = text.removeprefix(prefix)
        if text.startswith(prefix) and rest.casefold() in _BASES:
            return _BASES[rest.casefold()], _PREFIX[prefix]
    return "", 1.0
