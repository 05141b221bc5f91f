"""A quote as it is worked out: orders, taxes, what is open, comparisons, alternates; whole cents."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from typing import get_args, get_type_hints

from harness.model.accepted import Choice
from harness.model.design import Material

OTHER = "other"
CLASSES: tuple[str, ...] = get_args(get_type_hints(Material)["group"])


@dataclass(frozen=True, slots=True)
class Line:
    """One line of an order: so many sold units of one part number."""

    supplier: str
    part_number: str
    description: str
    sold_as: str
    shelf: str
    stock: int | None
    lead_days: int | None
    tax_class: str
    count: int
    price: Decimal  # of one sold unit at this count
    cents: int  # count times price, a half cent rounded up
    serves: tuple[str, ...]  # materials it is for
    cuts: tuple[str, ...] = ()  # what to cut from which length
    surplus: str = ""  # what is left over
    by_machine: Mapping[str, int] = field(default_factory=dict)  # cents
    group: str = ""  # class of goods: "wire", "terminals"


@dataclass(frozen=True, slots=True)
class Order:
    """One order with one supplier."""

    supplier: str
    lines: tuple[Line, ...]
    charge_cents: int
    least_cents: int

    @property
    def goods_cents(self) -> int:
        """All lines of the order."""
        return sum(line.cents for line in self.lines)


@dataclass(frozen=True, slots=True)
class Tax:
    """Tax of one class, on the sum of all that falls under it."""

    tax_class: str
    percent: Decimal
    base_cents: int
    cents: int
    usual: bool = False  # order charges fall under it, and lines without a class


@dataclass(frozen=True, slots=True)
class Open:
    """A material the counter cannot supply, and the lines that come nearest."""

    key: str
    words: str
    amount: str
    why: str
    nearest: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Compared:
    """Another way to buy the same, and what it comes to."""

    way: str
    cents: int  # goods and order charges, without tax
    missing: int  # materials it cannot supply
    note: str = ""


@dataclass(frozen=True, slots=True)
class Alternate:
    """A substitution the trade allows, with what it changes."""

    name: str  # "ALT-3"
    what: str
    difference_cents: int  # of goods and charges; below nought: cheaper
    consequences: tuple[str, ...]
    choice: Choice = field(default_factory=Choice)  # what a file of choices says of it


@dataclass(frozen=True, slots=True)
class Heading:
    """What stands at the head of a quote, all of it given by whoever writes it."""

    number: str = ""
    valid_until: str = ""
    customer: tuple[str, ...] = ()
    terms: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Quote:
    """The whole quote."""

    heading: Heading
    program: str
    machines: tuple[tuple[str, str], ...]  # name, and where its design came from
    letter: bool  # paper
    currency: str
    orders: tuple[Order, ...]
    taxes: tuple[Tax, ...]
    taxed: bool  # rates were given
    open: tuple[Open, ...]
    compared: tuple[Compared, ...]
    by_machine: Mapping[str, int]  # goods and charges in cents
    alternates: tuple[Alternate, ...]
    proven: bool
    bound_cents: int
    notes: tuple[str, ...] = ()
    freight_cents: int = 0  # as whoever writes the quote gives it

    @property
    def lines(self) -> tuple[Line, ...]:
        """All lines of all orders."""
        return tuple(line for order in self.orders for line in order.lines)

    @property
    def goods_cents(self) -> int:
        """All goods."""
        return sum(order.goods_cents for order in self.orders)

    @property
    def charge_cents(self) -> int:
        """All order charges."""
        return sum(order.charge_cents for order in self.orders)

    @property
    def basket_cents(self) -> int:
        """Goods and order charges, without freight and tax: what ways to buy are compared by."""
        return self.goods_cents + self.charge_cents

    @property
    def net_cents(self) -> int:
        """Goods, order charges and freight, without tax."""
        return self.basket_cents + self.freight_cents

    @property
    def by_class(self) -> dict[str, int]:
        """What the goods of each class come to, in the order of the list of materials."""
        found = {
            name: sum(line.cents for line in self.lines if (line.group or OTHER) == name) for name in CLASSES
        }
        return {name: cents for name, cents in found.items() if cents}

    @property
    def total_cents(self) -> int:
        """Everything, with tax where rates were given."""
        return self.net_cents + sum(tax.cents for tax in self.taxes)


def price_words(price: Decimal) -> str:
    """A price of one as an amount: cents always, more places where the list has them.

    >>> price_words(Decimal("1")), price_words(Decimal("0.097")), price_words(Decimal("1E+1"))
    ('1.00', '0.097', '10.00')
    """
    cents = price.quantize(Decimal("0.01"), ROUND_HALF_UP)
    return f"{cents:f}" if cents == price else f"{price.normalize():f}"


def money(cents: int) -> str:
    """Whole cents as an amount.

    >>> money(-5), money(123456)
    ('-0.05', '1234.56')
    """
    sign = "-" if cents < 0 else ""
    return f"{sign}{abs(cents) // 100}.{abs(cents) % 100:02d}"
