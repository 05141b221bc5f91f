"""Price lists of suppliers, what is needed of them, and which line serves which need."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

Unit = Literal["m", "each"]


@dataclass(frozen=True, slots=True)
class Break:
    """From so many sold units on, all of them cost this each."""

    least: int  # sold units
    price: Decimal  # of one sold unit, without tax


@dataclass(frozen=True, slots=True)
class Offer:
    """One line of a price list, in the units it is sold in."""

    supplier: str
    part_number: str
    description: str
    unit: Unit  # what the content counts
    content: Decimal  # metres or pieces in one sold unit
    sold_as: str  # "roll of 30 m", "by the metre", "pack of 10"
    cut: bool  # sold by length: any number of sold units comes as one piece
    breaks: tuple[Break, ...]  # by rising count; the first says the least that is sold
    stock: int | None  # sold units; None: the list does not say
    lead_days: int | None  # until what is not in stock comes; None: the list does not say
    currency: str  # "EUR"; "" where the list does not say
    tax_class: str  # as the list writes it, "" where it does not
    shelf: str  # where it lies, "" where the list does not say
    where: str  # "list.csv:12:1" or "list.xlsx:Sheet1!A12"
    traits: Mapping[str, tuple[str, ...]] = field(default_factory=dict)  # read out of the description: "size"

    @property
    def id(self) -> str:
        """Unlike every other offer's of all lists."""
        return f"{self.supplier}: {self.part_number}"

    @property
    def least(self) -> int:
        """The fewest sold units that are sold."""
        return self.breaks[0].least


@dataclass(frozen=True, slots=True)
class PriceList:
    """One supplier's list as it was read."""

    supplier: str
    file: str
    currency: str  # "" where the list does not say
    offers: tuple[Offer, ...]
    least_order: Decimal = Decimal(0)  # goods of one order, without tax
    order_charge: Decimal = Decimal(0)  # for each order
    columns: tuple[tuple[str, str], ...] = ()  # what was understood: column of the list, and as what
    notes: tuple[str, ...] = ()  # what was left out or taken as something, with its place


@dataclass(frozen=True, slots=True)
class Need:
    """One material, whatever machines it is for."""

    key: str  # the same for the same thing in every design
    group: str
    item: str
    size: str
    colour: str
    unit: Unit
    amount: Decimal  # metres or pieces, spares and waste included where nothing is cut
    pieces: tuple[tuple[str, Decimal], ...] = ()  # of what is cut: wire, splice or run, and its length [m]
    by_machine: Mapping[str, Decimal] = field(default_factory=dict)  # the amount of each


@dataclass(frozen=True, slots=True)
class Candidate:
    """A line that might serve a need, and what speaks against it."""

    offer: Offer
    why: tuple[str, ...]  # "size 16 AWG, wanted 14 AWG", "colour not stated"; none: nothing does
    score: float  # nought: agrees in everything; more is farther away


@dataclass(frozen=True, slots=True)
class Match:
    """The lines of all lists that serve one need."""

    key: str
    offers: tuple[Offer, ...]
    how: Literal["exact", "by person"]


@dataclass(frozen=True, slots=True)
class Unmatched:
    """A need that no line serves for certain."""

    key: str
    why: str  # "no line says this", "2 lines may be meant", "none, by hand"
    candidates: tuple[Candidate, ...] = ()  # the nearest, best first


@dataclass(frozen=True, slots=True)
class Matching:
    """What serves what, for all needs."""

    matches: tuple[Match, ...]
    unmatched: tuple[Unmatched, ...]
    notes: tuple[str, ...] = ()

    def offers(self, key: str) -> tuple[Offer, ...]:
        """The lines that serve a need, none where it is unmatched."""
        return next((one.offers for one in self.matches if one.key == key), ())
