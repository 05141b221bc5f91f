"""What the columns of a price list mean, by the words usual in their headings."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from importlib.resources import files

from harness.counter.grid import Cell, Row, Sheet
from harness.counter.numbers import MONEY_SIGNS, amount
from harness.model.problem import Problem, Where
from harness.survey.csvtext import shown
from harness.survey.words import hint

HEADINGS: Mapping[str, list[str]] = tomllib.loads(
    files("harness.counter").joinpath("headings.toml").read_text(encoding="utf-8")
)
MEANINGS = {word: meaning for meaning, words in HEADINGS.items() for word in words}
DETAILS = ("size", "colour", "stud")  # read together with the description
TITLES: Mapping[str, tuple[str, ...]] = {
    "supplier": ("supplier", "counter", "sold by", "from"),
    "currency": ("currency", "all prices in", "prices in"),
    "least order": ("minimum order", "min order", "least order", "minimum order value"),
    "order charge": (
        "order charge",
        "carriage",
        "delivery charge",
        "handling",
        "order handling",
        "postage",
        "freight",
    ),
}
_SIZE_UNITS = {"awg": " AWG", "mm2": " mm2", "csa": " mm2", "sq": " mm2"}
_BREAK = re.compile(
    r"^(?:from |price |qty |price from )?(\d{1,6}) ?(?:\+|off|up|or more|and up|pcs|pieces|units)?$"
)
_PAIR = re.compile(
    r"^(qty|quantity|from|break|price|break qty|break price|qty break|price break) ?(\d{1,2})$"
)
_PER = re.compile(r"\b(?:per|/) ?(100|1000)\b")
_TAX = r"(?:sales tax|tax|vat|gst|hst|duty)"
_WITH_TAX = re.compile(
    rf"\b(?:(?:incl|inclusive|including|inc|gross) ?(?:\.|of)? ?{_TAX}?"
    rf"|with {_TAX}|{_TAX} (?:incl|inc|included))\b"
)
_WITHOUT_TAX = re.compile(
    rf"(?:\b(?:excl|exclusive|excluding|exc|ex|without|before|less|plus|net of)|\+)[ .-]*{_TAX}\b"
    rf"|\b{_TAX} (?:excl|excluded|exc|ex|extra)\b"
)
_LISTED = re.compile(r"\b(?:list|rrp|srp|catalogue)\b")
_NET = re.compile(r"\b(?:nett?|your|discounted|after disc(?:ount)?)\b")
_COST = re.compile(r"\bcosts?\b")  # what goods cost the shop itself, where a price is there too


@dataclass(slots=True)
class Columns:
    """What a heading row says: meaning -> column of the sheet, counted from nought."""

    row: Row  # the headings; where they stand in two rows, both in one
    first: Row  # of the sheet, and the last: the same where the headings stand in one row
    last: Row
    at: dict[str, int] = field(default_factory=dict)
    quantities: dict[int, int] = field(default_factory=dict)  # number of the break -> column
    prices: dict[int, int] = field(default_factory=dict)
    fixed: dict[int, int] = field(default_factory=dict)  # column -> count, of headings such as "10+"
    start: int = 1  # so many are the fewest at the price, by the heading
    per: int = 1  # so many cost the price, by the heading
    currency: str = ""  # by the heading
    unknown: list[Cell] = field(default_factory=list)
    passed: list[tuple[Cell, str]] = field(default_factory=list)  # prices not read, and why

    @property
    def size_unit(self) -> str:
        """The unit of bare sizes by their heading, with a blank before it: " AWG", " mm2", or nothing."""
        word = plain(self.row.cells[self.at["size"]].text) if "size" in self.at else ""
        return next((unit for sign, unit in _SIZE_UNITS.items() if sign in word.split()), "")

    def understood(self) -> list[tuple[str, str]]:
        """Each heading and what it was taken for."""
        said = {column: meaning for meaning, column in self.at.items()}
        said |= {column: f"count of break {number}" for number, column in self.quantities.items()}
        said |= {column: f"price of break {number}" for number, column in self.prices.items()}
        said |= {column: f"price from {count} on" for column, count in self.fixed.items()}
        return [(self.row.cells[column].text, meaning) for column, meaning in sorted(said.items())]


def plain(heading: str) -> str:
    """A heading in small letters, signs that say nothing taken away."""
    word = heading.casefold().replace("²", "2").replace("#", " no ")
    word = re.sub(r"\([^)]*\)", " ", word)
    for sign in MONEY_SIGNS:
        word = word.replace(sign, " ")
    word = re.sub(r"(?<![a-z])(eur|gbp|usd|cad|aud|nzd|chf|sek|nok|dkk|pln|czk)(?![a-z])", " ", word)
    return " ".join(re.sub(r"[^a-z0-9+/%]+", " ", word).split())


def meaning_of(heading: str) -> str | None:
    """What a heading means, None where it is none that is known; breaks as "break"."""
    word = plain(heading)
    if not word or len(word) > 40:
        return None
    letters = re.sub(r"\b(\w) (?=\w\b)", r"\1", word.replace("/", " "))  # "M.O.Q." and "P/N" in one word
    for whole in (word, word.replace("/", " "), letters):
        if whole in MEANINGS:
            return MEANINGS[whole]
    untaxed = _WITH_TAX.sub(" ", _WITHOUT_TAX.sub(" ", word))
    bare = " ".join(_PER.sub(" ", untaxed).split())
    if not bare and untaxed != word:
        return "price"  # "Ex VAT" alone
    if bare in MEANINGS and (untaxed == word or MEANINGS[bare] in ("price", "unit")):
        return "price" if untaxed != word else MEANINGS[bare]  # "Unit ex VAT" is the price of a unit
    if _PAIR.match(word) or (_BREAK.match(word) and not word.isdigit()):
        return "break"
    return None


def headings_in(cells: Sequence[str]) -> int:
    """How many different meanings the cells of a row have as headings."""
    return len({meaning_of(cell) for cell in cells} - {None, "break"})


def columns_of(row: Row, last: Row, *, first: Row | None = None) -> Columns:
    """What the cells of a heading say; ``first``, ``last``: the rows of the sheet it stands in."""
    found = Columns(row, first or last, last)
    for column, cell in enumerate(row.cells):
        _place(found, column, cell)
    if "price" not in found.at and found.fixed:  # "1+", "10+" and no price beside them
        found.start, column = min((count, column) for column, count in found.fixed.items())
        found.at["price"] = column
        del found.fixed[column]
    _after_discount(found)
    return found


def _place(found: Columns, column: int, cell: Cell) -> None:
    meaning, word = meaning_of(cell.text), plain(cell.text)
    if meaning is None:
        if cell.text:
            found.unknown.append(cell)
    elif meaning == "break":
        pair, fixed = _PAIR.match(word), _BREAK.match(word)
        if pair:
            side = found.prices if "price" in pair.group(1) else found.quantities
            side.setdefault(int(pair.group(2)), column)
        elif fixed:
            found.fixed[column] = int(fixed.group(1))
    elif meaning == "price" and meaning in found.at:
        _second_price(found, column, cell)
    elif meaning in found.at:
        if meaning not in ("remarks", "part number"):
            found.unknown.append(cell)
    else:
        found.at[meaning] = column
    if found.at.get("price") == column:
        per = _PER.search(word) or _PER.search(cell.text.casefold())
        found.per = int(per.group(1)) if per else 1
        found.currency = found.currency or amount(re.sub(r"[()\[\]]", " ", cell.text)).currency


def _second_price(found: Columns, column: int, cell: Cell) -> None:
    """Of two prices the one without tax is read, not the shop's own cost, and the one after discount.

    Else both are told.
    """
    first = found.row.cells[found.at["price"]]
    for less, why in (
        (with_tax, "prices with tax in them"),
        (_is_cost, "what the goods cost you"),
    ):
        if less(cell.text) != less(first.text):
            _leave(found, column, cell if less(cell.text) else first, why)
            return
    for listed, net in ((cell, first), (first, cell)):
        if _LISTED.search(plain(listed.text)) and after_discount(net.text):
            _leave(found, column, listed, "prices before discount")
            return
    found.unknown.append(cell)


def _leave(found: Columns, column: int, left: Cell, why: str) -> None:
    """Pass over one of two columns of prices: that in ``column``, or the one before it."""
    first = found.row.cells[found.at["price"]]
    if left is first:
        found.at["price"] = column
    kept = found.row.cells[found.at["price"]]
    found.passed.append((left, f"{why}; {shown(kept.text)} is read"))


def _after_discount(found: Columns) -> None:
    """A discount beside a price that it is taken off already is not read."""
    if "discount" in found.at and "price" in found.at:
        price = found.row.cells[found.at["price"]]
        if after_discount(price.text):
            left = found.row.cells[found.at.pop("discount")]
            found.passed.append((left, f"{shown(price.text)} is the price after it"))


def after_discount(heading: str) -> bool:
    """Whether a heading says that the prices below it are those after discount."""
    return bool(_NET.search(_WITHOUT_TAX.sub(" ", plain(heading))))


def with_tax(heading: str) -> bool:
    """Whether a heading says that tax is in the prices below it."""
    return bool(_WITH_TAX.search(_WITHOUT_TAX.sub(" ", heading.casefold())))


def _is_cost(heading: str) -> bool:
    return bool(_COST.search(plain(heading)))


def heading_problems(found: Columns) -> list[Problem]:
    """What is wrong with a heading row."""
    problems = []
    for cell in found.unknown:
        meaning = meaning_of(cell.text)
        if meaning and meaning != "break":
            what = f"{shown(cell.text)} is a second column of {meaning}"
            problems.append(Problem(cell.where, what, "keep one of them, or give the other another heading"))
    for meaning in ("part number", "description", "price"):
        if meaning not in found.at:
            strange = [cell.text for cell in found.unknown if not meaning_of(cell.text)]
            near = next(
                (word for word in strange if "did you mean" in hint(plain(word), HEADINGS[meaning])), ""
            )
            fix = f"head a column {meaning!r}" + (f"; is {shown(near)} meant for it?" if near else "")
            problems.append(Problem(found.row.where, f"no column of {meaning} among the headings", fix))
    price = found.at.get("price")
    if price is not None:
        cell = found.row.cells[price]
        if with_tax(cell.text):
            what = f"{shown(cell.text)}: prices with tax in them"
            problems.append(Problem(cell.where, what, "list prices without tax; a quote adds it"))
    for number in sorted(found.quantities.keys() ^ found.prices.keys()):
        if number == 1 and number in found.quantities:
            continue  # the first price is the price
        other = "count" if number in found.prices else "price"
        what = f"break {number} has no column for its {other}"
        problems.append(
            Problem(found.row.where, what, "give each break 'qty 2' and 'price 2', or head it '10+'")
        )
    return problems


def titles(sheet: Sheet, until: Row) -> dict[str, tuple[str, Where]]:
    """What the rows above the heading say of the whole list: "Currency: EUR", or in two cells."""
    found: dict[str, tuple[str, Where]] = {}
    for row in sheet.rows:
        if row is until:
            return found
        filled = row.filled
        for at, cell in enumerate(filled):
            word, colon, behind = cell.text.partition(":")
            value = behind.strip()
            if not value and at + 1 < len(filled):
                value = filled[at + 1].text
            elif not colon:
                continue
            for meaning, words in TITLES.items():
                if plain(word) in words and value:
                    found.setdefault(meaning, (value, cell.where))
    return found
