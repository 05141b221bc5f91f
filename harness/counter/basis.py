"""What one price of a list is for, so many metres or pieces, and the discount that comes off it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal

from harness.counter.columns import Columns
from harness.counter.grid import Row
from harness.counter.numbers import NoNumber, parsed
from harness.counter.sold import COILS, EACH, LENGTHS, METRES, PACKS, NotSaid, Sold
from harness.survey.units import whole

MOST_PER = 10_000
PLACES = 10  # of a price that does not come out even
_BASIS = re.compile(r"(?:per|/)?\s*(\d[\d ]*)?\s*([a-z']*)\.?")
_PIECES = ("piece", "pieces", "pc", "pcs")
_HUNDRED, _THOUSAND = ("c", "hundred"), ("k", "thousand")
_PER_CENT = re.compile(r"%|\bper ?cent\b|\bpct\b", re.IGNORECASE)


Share = tuple[Decimal, Decimal]  # so much of so much; not divided before it is multiplied, to stay exact


def sold_share(word: str, usual: int, how: Sold) -> Share:
    """What one sold unit holds, of what the price of a line is for; raises NotSaid.

    word: the line's cell of "price unit", "100" or "m", blank for what the heading says, ``usual``: so many.
    """
    if not word.strip():
        return _of(usual, how)
    found = _BASIS.fullmatch(word.strip().casefold())
    count, unit = (found[1] or "", found[2]) if found else ("", word)
    number = whole(count.replace(" ", "") or "1", 1, MOST_PER)
    if found is None or number is None:
        raise _unknown(word)
    if unit in _HUNDRED or unit in _THOUSAND or (unit == "m" and how.unit == "each"):  # M: a thousand
        return _of(number * (100 if unit in _HUNDRED else 1000), how)
    if unit in LENGTHS:
        if how.unit != "m":
            raise NotSaid(f"a price per {word}, of what is sold by the piece", "write 100, or leave it empty")
        return how.content, METRES[LENGTHS[unit]] * number
    if unit in _PIECES:
        return how.own, Decimal(number)
    if count or unit == "":
        return _of(number, how)
    if unit in EACH:
        if how.unit == "each" and how.own > 1:
            told = f"a price per {word} of a {how.sold_as}: of all of it, or of one?"
            raise NotSaid(told, "write pack, or piece")
        return _of(1, how)
    if unit in COILS or unit in PACKS:
        return _of(1, how)
    raise _unknown(word)


def _of(number: int, how: Sold) -> Share:
    """Per so many of what the list counts in; one is one sold unit."""
    return (Decimal(1), Decimal(1)) if number == 1 else (how.own, Decimal(number))


def _unknown(word: str) -> NotSaid:
    return NotSaid(f"price unit {word!r} is not understood", "write for example 100, m, ft or piece")


def price_of(price: Decimal, left: Decimal, share: Share) -> Decimal:
    """What one sold unit costs, ``left`` of the price after discount; beyond ten places it is rounded."""
    found = price * left * share[0] / share[1]
    return found if -int(found.as_tuple().exponent) <= PLACES else round(found, PLACES).normalize()


def settle_discount(columns: Columns, rows: Iterable[Row]) -> None:
    """Read a column of discounts where it is one of per cent for certain; else it is passed over."""
    at = columns.at.get("discount")
    if at is None:
        return
    heading = columns.row.cells[at]
    said = [row.cells[at].text for row in rows if at < len(row.cells)]
    filled = [text for text in said if any(map(str.isdigit, text))]
    if not _PER_CENT.search(heading.text) and not all(map(_PER_CENT.search, filled)):
        del columns.at["discount"]
        why = "it does not say that it is per cent: head it 'Discount %' if it is"
        columns.passed.append((heading, why))


def after_discount_share(text: str, sign: str) -> Decimal:
    """What share of a price is left after the discount of a cell, 0.9 after "10 %"; raises NoNumber.

    >>> after_discount_share("12,5 %", ",")
    Decimal('0.875')
    """
    bare = _PER_CENT.sub("", text).strip()
    if bare in ("", "-"):
        return Decimal(1)
    per_cent = parsed(bare, sign)
    if not 0 <= per_cent < 100:
        raise NoNumber(text)
    return 1 - per_cent / 100
