"""Colour codes of wires in words: "RD/BK" is red with a black tracer."""

from __future__ import annotations

from harness.tables import load, remembered

BRITISH = "BS AU 7a"


@remembered
def _names(column: str) -> dict[str, str]:
    """Letters -> name; the first row that has them counts."""
    found: dict[str, str] = {}
    for row in load("colour_codes").rows:
        if row[column]:
            found.setdefault(row[column], row["colour"].partition(" (")[0].partition(" /")[0])
    return found


def colour_words(code: str, scheme: str) -> str:
    """Write a colour code in words; letters that the scheme does not have stay as they are.

    >>> colour_words("RD/BK", "by function"), colour_words("N", "BS AU 7a")
    ('red, black tracer', 'brown')
    """
    names = _names("bs_au7" if scheme == BRITISH else "iec60757")
    base, _, tracer = code.partition("/")
    words = names.get(base, base)
    return f"{words}, {names.get(tracer, tracer)} tracer" if tracer else words
