"""The quote as a workbook: the only formulas are ours, over our own cells; text of lists stays text."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.properties import PageSetupProperties

from harness.book.sheet import TICK, Column, Row, Sheet, Value, number, tick
from harness.book.text import one_line
from harness.book.workbook import (
    A4,
    LETTER,
    Wardrobe,
    header_text,
    margin_text,
    with_our_font,
    write_sheet,
)
from harness.lists.measure import natural
from harness.packing import packed
from harness.quote.quoting import tax_class_of, usual_class
from harness.quote.request import OR_EQUAL, RULES, Request
from harness.quote.result import OTHER, Line, Order, Quote, Tax, money

MONEY = "#,##0.00"
PRICE = "#,##0.00####"
LONGEST_NAME = 31  # of a worksheet
_NOT_IN_NAMES = re.compile(r"[\[\]:*?/\\']")

Formulas = dict[tuple[int, int], str | float]  # row and column -> what the cell holds


def _amount(cents: int) -> float:
    """An amount of money as a cell holds it; for the eye, sums are made in whole cents."""
    return float(Decimal(cents) / 100)


class _Table:
    """A sheet while its rows are written, and the cells that hold formulas or exact money."""

    def __init__(self, name: str, columns: Sequence[Column]) -> None:
        self.name, self.columns = name, tuple(columns)
        self.rows: list[Row] = []
        self.cells: Formulas = {}

    @property
    def next_row(self) -> int:
        return len(self.rows) + 2

    def add(self, *values: Value, heading: bool = False, exact: dict[int, str | float] | None = None) -> int:
        """Write a row; ``exact``: column from 1 -> formula or money, in place of what is measured."""
        at = self.next_row
        self.rows.append(Row(values, "heading" if heading else "line"))
        for column, value in (exact or {}).items():
            self.cells[at, column] = value
        return at

    def sheet(self) -> Sheet:
        return Sheet(self.name, self.columns, tuple(self.rows), frozen_columns=0, filters=False)


def _heading(table: _Table, found: Quote) -> None:
    head = found.heading
    facts = [
        ("Quote", head.number), ("Valid until", head.valid_until), ("Customer", "\n".join(head.customer)),
        ("Machines", "\n".join(name for name, _ in found.machines)), ("Currency", found.currency),
    ]  # fmt: skip
    for name, text in facts:
        if text:
            table.add("", name, text, heading=True)


def _order_lines(table: _Table, order: Order, taxes: Sequence[Tax]) -> tuple[int, int]:
    """The lines of one order with live totals; first and last row."""
    first = table.next_row
    for at, line in enumerate(order.lines, start=1):
        row = table.next_row
        table.add(
            at, line.part_number, line.description, "\n".join(line.serves), line.sold_as, line.count,
            float(line.price), _amount(line.cents), tax_class_of(line, taxes),
            line.stock, line.lead_days, line.group or OTHER,
            exact={7: float(line.price), 8: f"=ROUND(F{row}*G{row},2)"},
        )  # fmt: skip
    return first, table.next_row - 1


def _quote_sheet(found: Quote) -> _Table:
    table = _Table(
        "Quote",
        (
            number("Line", "0", 5), Column("Part number", 18), Column("Description", 44), Column("For", 40),
            Column("Sold as", 16), number("Count", "0", 7), number("Price each", PRICE, 11),
            number("Total", MONEY, 12), Column("Tax class", 11), number("In stock", "0", 8),
            number("Days to come", "0", 8), Column("Class", 11),
        ),
    )  # fmt: skip
    _heading(table, found)
    top = table.next_row
    parts = []
    for order in found.orders:
        table.add("", order.supplier, heading=True)
        first, last = _order_lines(table, order, found.taxes)
        parts.append(table.add(
            "", "", f"Goods from {order.supplier}", "", "", "", "", _amount(order.goods_cents), heading=True,
            exact={8: f"=SUM(H{first}:H{last})"},
        ))  # fmt: skip
        if order.charge_cents:
            parts.append(table.add(
                "", "", "Order charge", "", "", "", "", _amount(order.charge_cents), usual_class(found.taxes),
                exact={8: _amount(order.charge_cents)},
            ))  # fmt: skip
    if found.freight_cents:
        parts.append(table.add(
            "", "", "Freight", "", "", "", "", _amount(found.freight_cents), usual_class(found.taxes),
            exact={8: _amount(found.freight_cents)},
        ))  # fmt: skip
    bottom = table.next_row - 1
    sums = [table.add(
        "", "", "Total without tax", "", "", "", "", _amount(found.net_cents), heading=True,
        exact={8: "=" + ("+".join(f"H{at}" for at in parts) or "0")},
    )]  # fmt: skip
    for tax in found.taxes:
        row = table.next_row
        share = float(tax.percent / 100)
        base = f"SUMPRODUCT(--(I{top}:I{bottom}=I{row}),H{top}:H{bottom})"
        sums.append(table.add(
            "", "", f"Tax at {tax.percent.normalize():f} % on {money(tax.base_cents)}", "", "", "", share,
            _amount(tax.cents), tax.tax_class, exact={7: share, 8: f"=ROUND({base}*G{row},2)"},
        ))  # fmt: skip
    if found.taxed:
        table.add(
            "", "", "Total with tax", "", "", "", "", _amount(found.total_cents), heading=True,
            exact={8: "=" + "+".join(f"H{at}" for at in sums)},
        )  # fmt: skip
    _by_class(table, found, top, bottom)
    for text in (*found.heading.terms, *found.notes):
        table.add("", "", text)
    return table


def _by_class(table: _Table, found: Quote, top: int, bottom: int) -> None:
    """What the goods of each class come to, over the lines from ``top`` to ``bottom``."""
    table.add("", "", "Goods by class, without tax", heading=True)
    for name, cents in found.by_class.items():
        row = table.next_row
        table.add(
            "", "", name.capitalize(), "", "", "", "", _amount(cents), "", "", "", name,
            exact={8: f"=SUMPRODUCT(--(L{top}:L{bottom}=L{row}),H{top}:H{bottom})"},
        )  # fmt: skip


def _order_sheet(order: Order, found: Quote, name: str) -> _Table:
    """What one supplier gets."""
    table = _Table(
        name,
        (
            number("Line", "0", 5), Column("Part number", 18), Column("Description", 48),
            Column("Sold as", 18), number("Count", "0", 7), number("Price each", PRICE, 11),
            number("Total", MONEY, 12), tick("Here"),
        ),
    )  # fmt: skip
    head = found.heading
    for title, text in (
        ("To", order.supplier), ("For quote", head.number), ("From", "\n".join(head.customer)),
        ("Machines", "\n".join(each for each, _ in found.machines)), ("Currency", found.currency),
    ):  # fmt: skip
        if text:
            table.add("", title, text, heading=True)
    first = table.next_row
    for at, line in enumerate(order.lines, start=1):
        row = table.next_row
        table.add(
            at, line.part_number, line.description, line.sold_as, line.count, float(line.price),
            _amount(line.cents), TICK, exact={6: float(line.price), 7: f"=ROUND(E{row}*F{row},2)"},
        )  # fmt: skip
    last = table.next_row - 1
    goods = table.add(
        "", "", "Goods", "", "", "", _amount(order.goods_cents), heading=True,
        exact={7: f"=SUM(G{first}:G{last})"},
    )  # fmt: skip
    charge = table.add(
        "",
        "",
        "Order charge",
        "",
        "",
        "",
        _amount(order.charge_cents),
        exact={7: _amount(order.charge_cents)},
    )
    whole = _amount(order.goods_cents + order.charge_cents)
    table.add("", "", "Total without tax", "", "", "", whole, heading=True, exact={7: f"=G{goods}+G{charge}"})
    return table


def wait_words(line: Line) -> str:
    """What has to be waited for: "5 in stock, the rest in 3 days"; "" where all is there or nobody says."""
    if line.stock is None or line.stock >= line.count:
        return ""
    when = "the list does not say when more comes" if line.lead_days is None else f"in {line.lead_days} days"
    have = f"{line.stock} in stock, the rest" if line.stock else "none in stock:"
    return f"{have} {when}" if line.lead_days is not None else f"{line.stock} in stock; {when}"


def picking(lines: Sequence[Line]) -> list[Line]:
    """Lines in the order of shelves; what has no shelf at the end."""
    return sorted(
        lines,
        key=lambda line: (not line.shelf, natural(line.shelf), line.supplier, natural(line.part_number)),
    )


def _picking_sheet(found: Quote) -> _Table:
    table = _Table(
        "Picking",
        (
            Column("Shelf", 12), Column("Supplier", 18), Column("Part number", 18), Column("Description", 40),
            Column("Sold as", 16), number("Count", "0", 7), tick("Got"), Column("Cut", 60),
            Column("Left over", 10),
        ),
    )  # fmt: skip
    for line in picking(found.lines):
        table.add(
            line.shelf, line.supplier, line.part_number, line.description, line.sold_as, line.count, TICK,
            "\n".join(line.cuts), line.surplus,
        )  # fmt: skip
    return table


def _machine_sheet(found: Quote) -> _Table:
    names = [name for name, _ in found.machines]
    table = _Table(
        "By machine",
        (
            Column("Part number", 18), Column("Description", 40),
            *(number(name, MONEY, 14) for name in names), number("All", MONEY, 12),
        ),
    )  # fmt: skip
    for line in found.lines:
        shares = [_amount(line.by_machine.get(name, 0)) for name in names]
        table.add(
            line.part_number, line.description, *shares, _amount(line.cents),
            exact=dict(enumerate((*shares, _amount(line.cents)), start=3)),
        )  # fmt: skip
    totals = [_amount(found.by_machine[name]) for name in names]
    table.add(
        "", "With its part of order charges and freight", *totals, _amount(found.net_cents), heading=True,
        exact=dict(enumerate((*totals, _amount(found.net_cents)), start=3)),
    )  # fmt: skip
    return table


def _other_sheets(found: Quote) -> list[_Table]:
    open_ = _Table(
        "Cannot supply",
        (Column("Material", 50), Column("Needed", 16), Column("Why", 30), Column("Nearest lines", 70)),
    )
    for one in found.open:
        open_.add(one.words, one.amount, one.why, "\n".join(one.nearest))
    alternates = _Table(
        "Alternates",
        (Column("Name", 8), Column("What", 50), number("Difference", MONEY, 12), Column("It means", 80)),
    )
    for each in found.alternates:
        difference = _amount(each.difference_cents)
        alternates.add(each.name, each.what, difference, "\n".join(each.consequences), exact={3: difference})
    compared = _Table(
        "Compared",
        (
            Column("Way to buy", 50), number("Without tax", MONEY, 12),
            number("More than this quote", MONEY, 12),
            number("Materials missing", "0", 10), Column("Note", 50),
        ),
    )  # fmt: skip
    for way in found.compared:
        alike = way.missing == len(found.open)
        more = _amount(way.cents - found.basket_cents) if alike else "not the same goods"
        compared.add(
            way.way, _amount(way.cents), more, way.missing, way.note, exact={2: _amount(way.cents), 3: more}
        )
    return [table for table in (open_, alternates, compared) if table.rows]


def _sheet_name(text: str, taken: set[str]) -> str:
    """A name a worksheet may have, unlike those there are."""
    plain = _NOT_IN_NAMES.sub(" ", one_line(text)).strip() or "Order"
    at, name = 1, plain[:LONGEST_NAME]
    while name.casefold() in taken:
        at += 1
        tail = f" {at}"
        name = plain[: LONGEST_NAME - len(tail)] + tail
    taken.add(name.casefold())
    return name


def _tables(found: Quote) -> list[_Table]:
    tables = [_quote_sheet(found)]
    rest = [_picking_sheet(found), _machine_sheet(found), *_other_sheets(found)]
    taken = {table.name.casefold() for table in (*tables, *rest)}
    tables += [_order_sheet(one, found, _sheet_name(f"Order {one.supplier}", taken)) for one in found.orders]
    return [*tables, *rest]


def workbook_bytes(found: Quote) -> bytes:
    """The quote as XLSX; the same quote gives the same bytes."""
    title = f"Quote {found.heading.number}".strip()
    return _book(_tables(found), title, found.program, letter=found.letter)


def order_workbook(order: Order, found: Quote) -> bytes:
    """The order for one supplier as XLSX."""
    title = f"Order to {order.supplier}"
    return _book([_order_sheet(order, found, "Order")], title, found.program, letter=found.letter)


def request_workbook(asked: Request) -> bytes:
    """A request for a quote as XLSX; totals work themselves out when prices are typed in."""
    table = _Table(
        "Request",
        (
            number("Line", "0", 5), Column("What", 52), Column("Needed", 18), Column("Longest piece", 12),
            Column("For", 20), Column("Or equal", 44), Column("Your part number", 18),
            number("Count", "0", 8), number("Price each", PRICE, 12), number("Total", MONEY, 12),
            Column("Stock, days to come", 14),
        ),
    )  # fmt: skip
    head = asked.heading
    for name, text in (
        ("Request", head.number), ("Answer by", head.valid_until), ("From", "\n".join(head.customer)),
        ("Machines", "\n".join(asked.machines)),
    ):  # fmt: skip
        if text:
            table.add("", f"{name}: {text}", heading=True)
    first = table.next_row
    for line in asked.lines:
        row = table.next_row
        table.add(
            line.at, line.what, line.needed, line.longest, line.used_on, OR_EQUAL.get(line.group, ""),
            "", "", "", "", "", exact={10: f'=IF(OR(H{row}="",I{row}=""),"",ROUND(H{row}*I{row},2))'},
        )  # fmt: skip
    last = table.next_row - 1
    table.add("", "Total without tax", heading=True, exact={10: f"=SUM(J{first}:J{last})"})
    for text in (*RULES, *head.terms):
        table.add("", text)
    title = f"Request for a quote {head.number}".strip()
    return _book([table], title, asked.program, letter=asked.letter)


def _book(tables: Sequence[_Table], title: str, program: str, *, letter: bool) -> bytes:
    book = Workbook()
    book.remove(book.worksheets[0])
    book.properties.creator = one_line(program)
    book.properties.title = one_line(title)
    wardrobe = Wardrobe()
    for table in tables:
        worksheet = book.create_sheet(table.name)
        write_sheet(worksheet, wardrobe, table.sheet())
        for (row, column), value in table.cells.items():
            cell = worksheet.cell(row, column)
            cell.value = value
        last = f"{get_column_letter(len(table.columns))}{len(table.rows) + 1}"
        worksheet.print_title_rows = "1:1"
        worksheet.print_area = f"A1:{last}"
        worksheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
        worksheet.page_setup.orientation = "landscape"
        worksheet.page_setup.paperSize = LETTER if letter else A4
        worksheet.page_setup.fitToWidth, worksheet.page_setup.fitToHeight = 1, 0
        worksheet.oddHeader = margin_text(header_text(title), header_text(table.name))
        worksheet.oddFooter = margin_text(header_text(program), "Page &P of &N")
    return packed(book, with_our_font)
