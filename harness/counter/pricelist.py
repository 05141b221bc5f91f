"""A price list as a counter keeps it: what every line is, how it is sold, and what it costs.

Prices are of one sold unit (a metre, a roll, a pack) and without tax. "Per 100" counts metres, feet or
pieces, whatever the line is sold in. Counts of price breaks are sold units.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from itertools import pairwise
from pathlib import PurePath

from harness.counter.basis import after_discount_share, price_of, settle_discount, sold_share
from harness.counter.columns import (
    DETAILS,
    MEANINGS,
    Columns,
    heading_problems,
    headings_in,
    plain,
    titles,
)
from harness.counter.grammar import stated
from harness.counter.grid import Cell, Grid, Row, read_grid
from harness.counter.headrows import find_columns
from harness.counter.numbers import NoNumber, amount, decimal_sign, is_number, parsed
from harness.counter.sold import NotSaid, Sold, sold
from harness.model.limits import LIMITS
from harness.model.pricing import Break, Offer, PriceList
from harness.model.problem import Problem, SurveyWrong, Where, stop_when_many
from harness.signs import alike, difference
from harness.survey.csvtext import shown

MOST_PRICE = Decimal(LIMITS["price"].most)
NO_PRICE = (
    "",
    "-",
    "--",
    "poa",
    "p.o.a.",
    "on request",
    "on application",
    "call",
    "ask",
    "tba",
    "n/a",
    "na",
    "?",
)
_TOTAL = re.compile(r"\b(sub)?-?\s?total\b|\bcarried forward\b|\bbrought forward\b|^sum\b|^page \d", re.I)
_LEAD = re.compile(
    r"^(?:(\d{1,3})\s*(?:-|to|\.\.)\s*)?(\d{1,3})\s*(?:working|work|business|calendar)?\s*"
    r"(d|days?|w|wks?|weeks?|m|mths?|months?)?\.?$"
)
_DAYS = {"d": 1, "w": 7, "m": 30}
_HAVE = ("yes", "y", "in stock", "available", "ok", "x")
_NONE = ("no", "n", "out", "out of stock", "none", "nil", "sold out", "-")
SIGN_OF = {"point": ".", "comma": ","}


@dataclass(slots=True)
class _Reading:
    """A list while it is read."""

    file: str
    supplier: str
    problems: list[Problem] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    titles: list[Where] = field(default_factory=list)  # rows between the lines
    offers: dict[str, Offer] = field(default_factory=dict)
    looks: dict[str, str] = field(default_factory=dict)  # what a part number looks like -> the first such
    sign: str = "."
    currency: str = ""
    currency_at: Where | None = None

    def problem(self, where: Where, what: str, fix: str) -> None:
        self.problems.append(Problem(where, what, fix))
        stop_when_many(self.file, self.problems)


def read_price_list(content: bytes, file: str, *, supplier: str = "", decimal: str = "") -> PriceList:
    """The price list in a CSV or XLSX file. Raises SurveyWrong with every mistake in it, by line or cell.

    supplier: what to call who sells it; else what the list says above its headings, else the file's name.
    decimal: "point" or "comma", where the list leaves it open.
    """
    grid = read_grid(content, file, headings_in)
    reading = _Reading(file, supplier, notes=list(grid.notes))
    tables = _tables(grid, reading)
    said: dict[str, tuple[str, Where]] = {}
    for _, _, above in tables:
        for meaning, value in above.items():
            said.setdefault(meaning, value)
    reading.supplier = supplier or said.get("supplier", ("",))[0] or PurePath(file).stem
    reading.sign = SIGN_OF.get(decimal) or _sign(tables, reading)
    if "currency" in said:
        _one_currency(
            reading, amount(said["currency"][0]).currency or said["currency"][0], said["currency"][1]
        )
    for columns, rows, _ in tables:
        for row in rows:
            _line(reading, columns, row)
    if reading.titles:
        some = ", ".join(where.cell or str(where.line) for where in reading.titles[:5])
        more = ", ..." if len(reading.titles) > 5 else ""
        reading.notes.append(f"{file}: {len(reading.titles)} rows of titles were left out ({some}{more})")
    least, charge = (_sum(reading, said, name) for name in ("least order", "order charge"))
    if not reading.offers and not reading.problems:
        reading.problem(
            Where(file), "no line that has a part number and a price", "see `harness guide prices`"
        )
    if reading.problems:
        raise SurveyWrong(reading.problems)
    understood = tuple(dict.fromkeys(one for columns, _, _ in tables for one in columns.understood()))
    offers = tuple(
        replace(offer, currency=reading.currency, traits=stated(offer.description))
        for offer in reading.offers.values()
    )
    return PriceList(
        reading.supplier, file, reading.currency, offers, least, charge, understood,
        tuple(reading.notes),
    )  # fmt: skip


Tables = list[tuple[Columns, list[Row], dict[str, tuple[str, Where]]]]


def _tables(grid: Grid, reading: _Reading) -> Tables:
    """Heading, rows below it and words above it, for every sheet that has a heading."""
    found: Tables = []
    for sheet in grid.sheets:
        columns = find_columns(sheet)
        if columns is None:
            if sheet.rows and len(grid.sheets) > 1:
                reading.notes.append(
                    f"{reading.file}: sheet {sheet.name!r} has no headings of a price list: left out"
                )
            continue
        problems = heading_problems(columns)
        reading.problems += problems
        below = list(sheet.rows[sheet.rows.index(columns.last) + 1 :])
        settle_discount(columns, below)
        for cell, why in columns.passed:
            reading.notes.append(f"{cell.where}: column {shown(cell.text)} is left out: {why}")
        for cell in columns.unknown:
            if not problems:
                reading.notes.append(f"{cell.where}: column {shown(cell.text)} is not understood: left out")
        if not problems:
            found.append((columns, below, titles(sheet, columns.first)))
    if not found and not reading.problems:
        what = "no row of headings such as part number, description, unit, price"
        fix = "head the columns; `harness guide prices` has the words that are known"
        first = next((row for sheet in grid.sheets for row in sheet.rows if len(row.filled) > 2), None)
        if first is not None:
            some = ", ".join(shown(cell.text) for cell in first.filled[:6])
            fix = f"{some} at {first.where} say too little; `harness guide prices` has the known words"
        reading.problem(Where(reading.file), what, fix)
    return found


def _cell(columns: Columns, row: Row, meaning: str) -> Cell:
    at = columns.at.get(meaning)
    if at is None or at >= len(row.cells):
        return Cell("", row.where)
    return row.cells[at]


def _money_cells(columns: Columns, row: Row) -> Iterator[Cell]:
    wanted = [columns.at["price"], *columns.prices.values(), *columns.fixed]
    for at in wanted:
        if at < len(row.cells):
            yield row.cells[at]


def _sign(tables: Tables, reading: _Reading) -> str:
    """Decimal comma or point, by what the prices of all sheets show; both, or neither, is a mistake."""
    seen: dict[str, Cell] = {}
    either: Cell | None = None
    for columns, rows, _ in tables:
        for row in rows:
            for cell in _money_cells(columns, row):
                if cell.number is not None or not any(map(str.isdigit, cell.text)):
                    continue
                digits = amount(cell.text).digits
                sign = decimal_sign(digits)
                if sign and is_number(digits, sign):
                    seen.setdefault(sign, cell)
                elif sign is None and ("." in digits or "," in digits):
                    either = either or cell
    if len(seen) > 1:
        point, comma = seen["."], seen[","]
        other = f"{shown(point.text)} at {point.where} a decimal point"
        what = f"{shown(comma.text)} has a decimal comma, but {other}"
        reading.problem(comma.where, what, "write all prices one way")
    elif not seen and either is not None:
        what = f"{shown(either.text)} may be a decimal or thousands, and no other price tells which"
        reading.problem(either.where, what, "say so: --decimal point or --decimal comma")
    return next(iter(seen), ".")


def _one_currency(reading: _Reading, currency: str, where: Where) -> None:
    currency = currency.strip().upper()
    if not currency:
        return
    if not reading.currency or (reading.currency == "$" and currency in ("USD", "CAD", "AUD", "NZD")):
        reading.currency, reading.currency_at = currency, reading.currency_at or where
    elif currency not in (reading.currency, "$" if reading.currency.endswith("D") else ""):
        what = f"a price in {shown(currency)}, but {reading.currency} at {reading.currency_at}"
        reading.problem(where, what, "one list, one currency: make two lists of it")


def _sum(reading: _Reading, said: Mapping[str, tuple[str, Where]], name: str) -> Decimal:
    if name not in said:
        return Decimal(0)
    text, where = said[name]
    try:
        value = parsed(amount(text).digits, reading.sign)
    except NoNumber:
        value = Decimal(-1)
    if value < 0:
        reading.problem(where, f"{shown(text)} is no {name}", "write an amount of money such as 25.00")
    return value


def _price(reading: _Reading, cell: Cell) -> tuple[Decimal, int] | None:
    """A price above nought and what it is per, None with a problem said."""
    if cell.number is not None:
        taken, value = amount(""), cell.number
    else:
        taken = amount(cell.text)
        try:
            value = parsed(taken.digits, reading.sign)
        except NoNumber:
            written = "a decimal comma" if reading.sign == "," else "a decimal point"
            fix = f"write a price such as 1{reading.sign}25; this list is read with {written}"
            reading.problem(cell.where, f"{shown(cell.text)} is no price", fix)
            return None
        _one_currency(reading, taken.currency, cell.where)
    if value <= 0:
        kind = "nought" if value == 0 else "negative"
        fix = "write what it costs, or leave the cell empty if it is not for sale"
        reading.problem(cell.where, f"the price {shown(cell.text)} is {kind}", fix)
        return None
    if value > MOST_PRICE:
        reading.problem(
            cell.where, f"the price {shown(cell.text)} is too large", "check where its comma stands"
        )
        return None
    return value, taken.per


def _count(reading: _Reading, cell: Cell, what: str) -> int | None:
    """A whole number of sold units from one up, None with a problem said."""
    value = cell.number
    if value is None:
        digits = cell.text.rstrip("+").strip()
        try:
            value = parsed(digits, reading.sign)
        except NoNumber:
            value = Decimal(0)
    if value < 1 or value != value.to_integral_value() or value > 1_000_000:
        reading.problem(cell.where, f"{shown(cell.text)} is no {what}", "write a whole number, 1 or more")
        return None
    return int(value)


def _strange(reading: _Reading, columns: Columns, row: Row) -> bool:
    """Whether cells of this row hold errors or dates, each with a problem said."""
    meant = {**{at: meaning for meaning, at in columns.at.items()}, **dict.fromkeys(columns.fixed, "price")}
    meant |= dict.fromkeys(columns.prices.values(), "price")
    found = False
    for at, meaning in sorted(meant.items()):
        cell = row.cells[at] if at < len(row.cells) else None
        if cell is None or cell.strange is None or meaning == "remarks":
            continue
        found = True
        reading.problem(cell.where, f"{meaning}: {cell.strange.what}", cell.strange.fix)
    return found


def _line(reading: _Reading, columns: Columns, row: Row) -> None:
    """One row below the headings: an offer, or a note or problem why it is none."""
    number, words = _cell(columns, row, "part number"), _cell(columns, row, "description")
    price = _cell(columns, row, "price")
    filled = row.filled
    if _strange(reading, columns, row):
        return
    again = plain(price.text) in MEANINGS and headings_in([cell.text for cell in row.cells]) >= 3
    if not filled or again:
        return  # the headings once more, as on the next page of a print
    lone = filled[:2] if not number.text else [number] if not words.text else []
    if any(_TOTAL.search(cell.text) for cell in (*lone, *([] if number.text else [words]))):
        reading.notes.append(f"{row.where}: a total, left out: {shown(filled[0].text)}")
        return
    if len(filled) == 1 or (not price.text and not number.text):
        reading.titles.append(row.where)
        return
    if price.text.casefold() in NO_PRICE:
        if price.merged or number.merged:
            where = price.merged or number.merged
            reading.problem(
                row.where, f"a cell of this row is merged into {where}", "unmerge it, and fill each row"
            )
            return
        reading.notes.append(
            f"{row.where}: {shown(number.text or words.text)} has no price and cannot be quoted"
        )
        return
    heading = columns.row.cells[columns.at["part number"]].where.cell.partition("!")[2]
    if not number.text and heading and number.merged == heading:
        what = "the headings stand in two rows, merged from above"
        reading.problem(row.where, what, "unmerge them and head every column in one row")
        return
    if not number.text:
        fix = "write its part number" + (f"; it is merged into {number.merged}" if number.merged else "")
        reading.problem(row.where, f"no part number for {shown(words.text)}", fix)
        return
    if not words.text:
        reading.problem(row.where, f"no description for {shown(number.text)}", "write what it is")
        return
    how, left = _sold(reading, columns, row), _left(reading, columns, row)
    found = _price(reading, price)
    if how is None or found is None or left is None:
        return
    breaks = _breaks(reading, columns, row, how, found, left)
    if breaks:
        _keep(reading, columns, row, how, breaks)


def _sold(reading: _Reading, columns: Columns, row: Row) -> Sold | None:
    unit, content = _cell(columns, row, "unit"), _cell(columns, row, "content")
    try:
        return sold(unit.text, content.text, _cell(columns, row, "description").text)
    except NotSaid as not_said:
        reading.problem((unit if unit.text else content).where, str(not_said), not_said.fix)
        return None


def _left(reading: _Reading, columns: Columns, row: Row) -> Decimal | None:
    """What share of its prices a row leaves after discount, None with a problem said."""
    cell = _cell(columns, row, "discount")
    try:
        return after_discount_share(cell.text, "." if cell.number is not None else reading.sign)
    except NoNumber:
        fix = "write how much comes off, such as 10 %, or leave the cell empty"
        reading.problem(cell.where, f"{shown(cell.text)} is no discount in per cent", fix)
        return None


def _breaks(
    reading: _Reading, columns: Columns, row: Row, how: Sold, first: tuple[Decimal, int], left: Decimal
) -> tuple[Break, ...]:
    """The price breaks of a row by rising count, none with a problem said."""
    basis = _cell(columns, row, "price unit")
    least = _cell(columns, row, "least")
    start = _count(reading, least, "least count") if least.text else columns.start
    try:
        usual = sold_share(basis.text, columns.per, how)
    except NotSaid as not_said:
        reading.problem(basis.where, str(not_said), not_said.fix)
        return ()
    if start is None:
        return ()

    def each(price: Decimal, own: int) -> Decimal:
        return price_of(price, left, (how.own, Decimal(own)) if own > 1 else usual)

    alone = 1 in columns.quantities and 1 not in columns.prices  # then it is the count of the plain price
    if alone and columns.quantities[1] < len(row.cells):
        cell = row.cells[columns.quantities[1]]
        start = (_count(reading, cell, "count of a price break") or start) if cell.text else start
    found = {start: each(*first)}
    pairs = [
        (columns.quantities[at], columns.prices[at])
        for at in sorted(columns.prices)
        if at in columns.quantities
    ]
    steps = [(row.cells[a], row.cells[b]) for a, b in pairs if max(a, b) < len(row.cells)]
    wanted: list[tuple[int | None, Cell]] = []
    for count, money in steps:
        if count.text and money.text:
            wanted.append((_count(reading, count, "count of a price break"), money))
        elif count.text or money.text:
            lone = count if count.text else money
            reading.problem(lone.where, "a price break with only half of it", "write both count and price")
    wanted += [
        (count, row.cells[at])
        for at, count in columns.fixed.items()
        if at < len(row.cells) and row.cells[at].text.casefold() not in NO_PRICE
    ]
    for at_count, money in wanted:
        price = _price(reading, money)
        if at_count is None or price is None:
            continue
        if at_count in found and found[at_count] != each(*price) and at_count != start:
            reading.problem(money.where, f"two prices from {at_count} on", "keep one of them")
        if at_count < start:
            continue
        found[at_count] = each(*price)
    breaks = tuple(Break(count, found[count]) for count in sorted(found))
    for lower, upper in pairwise(breaks):
        if upper.price > lower.price:
            reading.notes.append(
                f"{row.where}: from {upper.least} on the price is higher than from {lower.least} on"
            )
    return breaks


def _stock(reading: _Reading, cell: Cell) -> int | None:
    """Whole sold units in stock, None where it is not said."""
    word = cell.text.casefold()
    if not word or word in _HAVE:
        return None
    if word in _NONE:
        return 0
    value = cell.number
    if value is None:
        found = re.match(r"^[<>~]?\s*(-?[\d.,\s']+?)\s*\+?\s*(?:[a-z]+\.?)?$", word)
        try:
            value = parsed(found.group(1).strip(), reading.sign) if found else None
        except NoNumber:
            value = None
    if value is None:
        reading.notes.append(f"{cell.where}: stock {shown(cell.text)} is not understood: taken as not said")
        return None
    if value < 0:
        reading.notes.append(f"{cell.where}: stock {shown(cell.text)} is below nought: taken as none")
    return max(0, int(value))


def _lead_days(reading: _Reading, columns: Columns, cell: Cell) -> int | None:
    word = cell.text.casefold()
    if not word or word in ("-", "?"):
        return None
    if word in ("ex stock", "stock", "in stock", "now", "same day", "today"):
        return 0
    found = _LEAD.match(word)
    if not found:
        reading.notes.append(
            f"{cell.where}: lead time {shown(cell.text)} is not understood: taken as not said"
        )
        return None
    heading = columns.row.cells[columns.at["lead"]].text.casefold()
    unit = found[3] or ("w" if "week" in heading else "d")
    return int(found[2]) * _DAYS[unit[0]]


def _keep(reading: _Reading, columns: Columns, row: Row, how: Sold, breaks: tuple[Break, ...]) -> None:
    """Take the offer into the list, unless its part number is there already."""
    number = _cell(columns, row, "part number").text
    words = _cell(columns, row, "description").text
    extra = [_cell(columns, row, detail).text for detail in DETAILS]
    if extra[0] and extra[0].replace(".", "", 1).replace(",", "", 1).isdigit():
        extra[0] += columns.size_unit  # a bare 2.5 below "mm2"
    words = ", ".join([words, *(word for word in extra if word and word.casefold() not in words.casefold())])
    _one_currency(reading, columns.currency, columns.row.where)
    money = _cell(columns, row, "currency")
    _one_currency(reading, amount(money.text).currency or money.text, money.where)
    offer = Offer(
        reading.supplier, number, words, how.unit, how.content, how.sold_as, how.cut, breaks,
        _stock(reading, _cell(columns, row, "stock")),
        _lead_days(reading, columns, _cell(columns, row, "lead")),
        reading.currency, _cell(columns, row, "tax").text, _cell(columns, row, "shelf").text, str(row.where),
    )  # fmt: skip
    before = reading.offers.get(number)
    if before is None:
        twin = reading.looks.setdefault(alike(number), number)
        if twin != number and not (twin + number).isascii():  # capitals may tell goods of a supplier apart
            what = f"part number {shown(number)} looks like {shown(twin)} at {reading.offers[twin].where}"
            fix = f"write the one that is right: they differ in {difference(number, twin)}"
            reading.problem(_cell(columns, row, "part number").where, what, fix)
        reading.offers[number] = offer
        return
    if (before.breaks, before.content, before.unit, before.cut) == (breaks, how.content, how.unit, how.cut):
        reading.notes.append(
            f"{row.where}: part number {shown(number)} stands at {before.where} too: left out"
        )
        return
    what = f"part number {shown(number)} stands at {before.where} with another price or content"
    reading.problem(_cell(columns, row, "part number").where, what, "keep the one that is right")
