"""Numbers as price lists write them: decimal comma or point, groups of three, signs of money."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from harness.model.limits import LIMITS

SPACES = " \u00a0\u2009\u202f"  # plain, no-break, thin, narrow no-break
APOSTROPHES = "'’"
MONEY_SIGNS = {"€": "EUR", "£": "GBP", "$": "$", "¥": "¥", "zł": "PLN", "kč": "CZK"}
_CODE = re.compile(
    r"(?<![A-Za-z])(EUR|GBP|USD|CAD|AUD|NZD|CHF|SEK|NOK|DKK|PLN|CZK|HUF|JPY|ZAR)(?![A-Za-z])", re.I
)
_PER = re.compile(r"(?:/|\bper\b)\s*(100|1\s?000|1)\s*(?:m|ft|pcs?|pieces?|ea(?:ch)?)?\s*$", re.I)
_DIGITS = re.compile(rf"^-?[0-9][0-9.,'\u2019{SPACES}]*$|^-?[.,][0-9]+$")
MOST_DIGITS = LIMITS["price digits"].most


class NoNumber(ValueError):
    """A text that is no number, or not one in the way its list writes numbers."""


@dataclass(frozen=True, slots=True)
class Amount:
    """A price cell taken apart."""

    digits: str  # the number alone, as it was written
    currency: str  # "" where the cell does not say
    per: int  # so many cost that


def amount(text: str) -> Amount:
    """Take the sign of money and "per 100" off a price.

    >>> amount("€ 1.234,56 / 100")
    Amount(digits='1.234,56', currency='EUR', per=100)
    """
    rest, currency, per = text.strip(), "", 1
    found = _PER.search(rest)
    if found:
        per, rest = int(re.sub(r"\s", "", found.group(1))), rest[: found.start()].strip()
    code = _CODE.search(rest)
    if code:
        currency, rest = code.group(1).upper(), (rest[: code.start()] + rest[code.end() :]).strip()
    for sign, name in MONEY_SIGNS.items():
        at = rest.casefold().find(sign)
        if at >= 0:
            currency, rest = currency or name, (rest[:at] + rest[at + len(sign) :]).strip()
            break
    if rest.endswith("-") and rest[:-1].rstrip(".,").isdigit():  # 12,- as some write whole amounts
        rest = rest[:-1].rstrip(".,")
    if rest.startswith("-"):
        rest = "-" + rest[1:].strip()
    return Amount(rest, currency, per)


def decimal_sign(digits: str) -> str | None:
    """The decimal sign a number shows for certain: "." or ","; None where it may be either.

    >>> decimal_sign("1.234,5"), decimal_sign("0.045"), decimal_sign("1,234"), decimal_sign("1.234.567")
    (',', '.', None, ',')
    """
    bare = digits.lstrip("-")
    point, comma = bare.rfind("."), bare.rfind(",")
    if point >= 0 and comma >= 0:
        return "." if point > comma else ","
    for sign, other in ((".", ","), (",", ".")):
        if bare.count(sign) > 1:
            return other
        if sign in bare:
            before, _, behind = bare.partition(sign)
            grouped = any(space in before for space in SPACES + APOSTROPHES)
            thousands = len(behind) == 3 and 1 <= len(before) <= 3 and not before.startswith("0")
            return None if thousands and not grouped else sign
    return None


def parsed(digits: str, sign: str) -> Decimal:
    """A number as an exact decimal, with ``sign`` before its parts of one; groups are of three.

    Raises NoNumber.

    >>> parsed("1 234,56", ","), parsed("1'234.5", ".")
    (Decimal('1234.56'), Decimal('1234.5'))
    """
    text = digits.strip()
    if not _DIGITS.match(text) or sum(map(str.isdigit, text)) > MOST_DIGITS:
        raise NoNumber(text)
    minus, bare = text.startswith("-"), text.lstrip("-")
    whole, point, part = bare.partition(sign)
    other = "," if sign == "." else "."
    if (point and not (part.isascii() and part.isdigit())) or sign in part:
        raise NoNumber(text)
    marks = {letter for letter in whole if not letter.isdigit()}
    if len(marks) > 1 or not marks <= {other, *SPACES, *APOSTROPHES}:
        raise NoNumber(text)
    if marks:
        first, *groups = whole.split(marks.pop())
        if not 1 <= len(first) <= 3 or first.startswith("0") or any(len(group) != 3 for group in groups):
            raise NoNumber(text)
        whole = first + "".join(groups)
    value = Decimal(f"{whole or '0'}.{part or '0'}")
    value = value.quantize(Decimal(1)) if value == value.to_integral_value() else value
    return -value if minus else value


def is_number(digits: str, sign: str) -> bool:
    """Whether a text is a number with this decimal sign."""
    try:
        parsed(digits, sign)
    except NoNumber:
        return False
    return True
