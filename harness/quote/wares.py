"""What a basket is made from: things suppliers sell, things that are wanted, and what was chosen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Tier:
    """One price break: bought so many or more, every one of them costs this."""

    least: int  # sale units
    price: Decimal  # of one sale unit, without tax


@dataclass(frozen=True, slots=True)
class Ware:
    """One line of a price list that may be bought, in sale units."""

    id: str  # unlike every other ware's
    supplier: str
    amount: int  # what one sale unit holds: pieces, or marks of length
    tiers: tuple[Tier, ...]  # by rising count; the first says the least that is sold
    to_length: bool = False  # so many units come as one length
    most: int | None = None  # in stock; None: as many as wanted


@dataclass(frozen=True, slots=True)
class Wish:
    """One thing that is wanted: a number of pieces, or lengths each of which must come whole."""

    key: str
    wares: tuple[str, ...]  # ids of what serves it
    quantity: int = 0  # pieces, or marks that may be joined
    pieces: tuple[int, ...] = ()  # marks; when there are any, ``quantity`` is not read


@dataclass(frozen=True, slots=True)
class Supplier:
    """What an order with one supplier takes, whatever is in it."""

    name: str
    charge_cents: int = 0  # for each order
    least_cents: int = 0  # the goods of an order come to this or more


@dataclass(frozen=True, slots=True)
class Basket:
    """What to buy: sale units by ware and wish, whole cents, and what no basket can go below."""

    counts: Mapping[str, int]  # ware -> sale units
    shares: Mapping[tuple[str, str], int]  # wish, ware -> sale units (lengths), pieces taken (counted)
    line_cents: Mapping[str, int]  # ware -> its line, rounded half up
    charges: Mapping[str, int]  # supplier -> order charge, of those that are ordered from
    missing: tuple[str, ...]  # wishes that cannot be had
    bound_cents: int
    checked: bool = True  # every way to cut was decided
    rounds: int = field(default=1, compare=False)

    @property
    def goods_cents(self) -> int:
        """All lines together."""
        return sum(self.line_cents.values())

    @property
    def cents(self) -> int:
        """Lines and order charges together, without tax."""
        return self.goods_cents + sum(self.charges.values())

    @property
    def proven(self) -> bool:
        """Whether no other basket out of the same lists costs less."""
        return self.checked and self.cents <= self.bound_cents


def tier_of(ware: Ware, count: int) -> Tier:
    """The price break a count falls under. Raises ValueError below the least that is sold."""
    fitting = [tier for tier in ware.tiers if tier.least <= count]
    if not fitting:
        raise ValueError(f"{count} of {ware.id}, which is not sold below {ware.tiers[0].least}")
    return fitting[-1]


def line_cents(ware: Ware, count: int) -> int:
    """What so many cost in whole cents, a half rounded up; all of them at the price of their break.

    >>> line_cents(Ware("tie", "A", 1, (Tier(1, Decimal("0.045")),)), 3)
    14
    """
    return to_cents(tier_of(ware, count).price * count) if count else 0


def to_cents(amount: Decimal) -> int:
    """An amount of money in whole cents, a half rounded up (away from nought).

    >>> to_cents(Decimal("0.125")), to_cents(Decimal("0.1249"))
    (13, 12)
    """
    return int((amount / CENT).quantize(Decimal(1), rounding=ROUND_HALF_UP))


def cents_each(price: Decimal) -> Fraction:
    """A price in cents, exactly."""
    return Fraction(price) * 100


def shared_out(total: int, weights: Mapping[str, int | Fraction]) -> dict[str, int]:
    """Whole cents in proportion to weights, their sum the total: the largest remainders get what is over.

    >>> shared_out(100, {"a": 1, "b": 1, "c": 1})
    {'a': 34, 'b': 33, 'c': 33}
    """
    whole = sum(Fraction(weight) for weight in weights.values())
    if not whole:
        return {name: total if at == 0 else 0 for at, name in enumerate(weights)}
    exact = {name: Fraction(total) * Fraction(weight) / whole for name, weight in weights.items()}
    found = {name: part.numerator // part.denominator for name, part in exact.items()}
    over = total - sum(found.values())
    order = sorted(
        found, key=lambda name: exact[name] - found[name], reverse=True
    )  # stable: first named first
    for name in order[:over]:
        found[name] += 1
    return found
