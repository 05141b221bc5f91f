"""Quote, orders and request on paper, set by Typst; the quote as data and for a till. No text is markup."""

from __future__ import annotations

import csv
import io
import json
import re
from importlib.resources import files
from typing import Any

from harness.book.data import plain
from harness.book.text import clean, csv_cell
from harness.drawing.letters import printable
from harness.quote.quoting import tax_class_of
from harness.quote.request import OR_EQUAL, RULES, Request
from harness.quote.result import OTHER, Order, Quote, money, price_words
from harness.quote.workbook import picking, wait_words

WIDE, NARROW = 24, 10  # letters that always fit in a wide and in a narrow column
IN_NARROW = ("part_number", "shelf", "sold_as", "price", "total", "needed", "longest", "tax_class")
_BREAK = "\u200b"  # nothing to be seen


def quote_data(found: Quote) -> dict[str, Any]:
    """The quote for programs: money as decimal text, nothing rounded away."""
    return {
        "format": "harness quote 1",
        "program": found.program,
        "number": found.heading.number,
        "valid_until": found.heading.valid_until,
        "customer": list(found.heading.customer),
        "terms": list(found.heading.terms),
        "currency": found.currency,
        "machines": [{"name": name, "file": file} for name, file in found.machines],
        "orders": [
            {
                "supplier": order.supplier,
                "goods": money(order.goods_cents),
                "charge": money(order.charge_cents),
                "lines": [
                    {
                        "part_number": line.part_number,
                        "description": line.description,
                        "sold_as": line.sold_as,
                        "shelf": line.shelf,
                        "stock": line.stock,
                        "lead_days": line.lead_days,
                        "class": line.group or OTHER,
                        "tax_class": tax_class_of(line, found.taxes),
                        "count": line.count,
                        "price": price_words(line.price),
                        "total": money(line.cents),
                        "for": list(line.serves),
                        "cuts": list(line.cuts),
                        "left_over": line.surplus,
                        "by_machine": {name: money(cents) for name, cents in line.by_machine.items()},
                    }
                    for line in order.lines
                ],
            }
            for order in found.orders
        ],
        "by_class": {name: money(cents) for name, cents in found.by_class.items()},
        "freight": money(found.freight_cents),
        "without_tax": money(found.net_cents),
        "taxes": [
            {
                "tax_class": tax.tax_class,
                "percent": f"{tax.percent.normalize():f}",
                "on": money(tax.base_cents),
                "tax": money(tax.cents),
            }
            for tax in found.taxes
        ],
        "total": money(found.total_cents),
        "by_machine": {name: money(cents) for name, cents in found.by_machine.items()},
        "cannot_supply": [
            {
                "key": one.key, "material": one.words, "needed": one.amount, "why": one.why,
                "nearest": list(one.nearest),
            }
            for one in found.open
        ],
        "compared": [
            {
                "way": way.way, "without_tax": money(way.cents), "missing": way.missing, "note": way.note,
                "more_than_this_quote": money(way.cents - found.basket_cents)
                if way.missing == len(found.open)
                else None,
            }
            for way in found.compared
        ],
        "alternates": [
            {
                "name": one.name, "what": one.what, "difference": money(one.difference_cents),
                "it_means": list(one.consequences),
            }
            for one in found.alternates
        ],
        "proven_cheapest": found.proven,
        "notes": list(found.notes),
    }  # fmt: skip


def _breakable(text: str, longest: int) -> str:
    """The text with places to break in words that no cell is wide enough for."""
    if len(text) <= longest:
        return text
    return re.sub(
        rf"\S{{{longest + 1},}}", lambda word: _BREAK.join(re.findall(f".{{1,{longest}}}", word[0])), text
    )


def _clean(value: Any, longest: int = WIDE) -> Any:
    if isinstance(value, str):
        return _breakable(printable(clean(value)), longest)
    if isinstance(value, list):
        return [_clean(one, longest) for one in value]
    if isinstance(value, dict):
        return {
            printable(clean(key)): _clean(one, NARROW if key in IN_NARROW else WIDE)
            for key, one in value.items()
        }
    return value


def _pdf(name: str, data: dict[str, Any], *, letter: bool) -> bytes:
    """One paper by its file of markup, without a date unless one is given; raises typst.TypstError."""
    import typst

    folder = files(__package__)
    source = b"\n".join(folder.joinpath(each).read_bytes() for each in ("paper.typ", name))
    given = {**data, "paper": "us-letter" if letter else "a4"}
    text = json.dumps(_clean(plain(given)), ensure_ascii=False, allow_nan=False)
    made: bytes = typst.compile(source, sys_inputs={"data": text}, ignore_system_fonts=True, pdf_tags=False)
    return made


def paper_pdf(found: Quote) -> bytes:
    """The quote as PDF on A4 or letter paper; raises typst.TypstError."""
    head = found.heading
    data = {**quote_data(found), "title": f"Quote {head.number}".strip(), "taxed": found.taxed}
    data["facts"] = [
        ("Valid until", head.valid_until), ("Customer", "\n".join(head.customer)),
        ("Machines", "\n".join(name for name, _ in found.machines)), ("Currency", found.currency),
    ]  # fmt: skip
    data["picking"] = [
        {
            "shelf": line.shelf, "part_number": line.part_number, "description": line.description,
            "sold_as": line.sold_as, "count": line.count, "cuts": list(line.cuts),
        }
        for line in picking(found.lines)
    ]  # fmt: skip
    return _pdf("quote.typ", data, letter=found.letter)


def order_pdf(order: Order, found: Quote) -> bytes:
    """The order for one supplier as PDF; raises typst.TypstError."""
    head = found.heading
    data = {
        "title": f"Order to {order.supplier}",
        "program": found.program,
        "machines": [{"name": name} for name, _ in found.machines],
        "facts": [
            ("For quote", head.number), ("From", "\n".join(head.customer)),
            ("Machines", "\n".join(name for name, _ in found.machines)), ("Currency", found.currency),
        ],
        "lines": [
            {
                "part_number": line.part_number, "description": line.description, "sold_as": line.sold_as,
                "count": line.count, "price": price_words(line.price), "total": money(line.cents),
                "wait": wait_words(line),
            }
            for line in order.lines
        ],
        "goods": money(order.goods_cents),
        "charge": money(order.charge_cents),
        "total": money(order.goods_cents + order.charge_cents),
        "terms": list(head.terms),
    }  # fmt: skip
    return _pdf("order.typ", data, letter=found.letter)


def request_pdf(asked: Request) -> bytes:
    """A request for a quote as PDF, its price columns blank; raises typst.TypstError."""
    head = asked.heading
    data = {
        "title": f"Request for a quote {head.number}".strip(),
        "program": asked.program,
        "machines": [{"name": name} for name in asked.machines],
        "facts": [
            ("Answer by", head.valid_until), ("From", "\n".join(head.customer)),
            ("Machines", "\n".join(asked.machines)), ("Supplier", "_" * 40), ("Currency and tax", "_" * 40),
        ],
        "groups": [
            {
                "title": group.capitalize(), "equal": OR_EQUAL.get(group, ""),
                "lines": [
                    {
                        "at": line.at, "what": line.what, "needed": line.needed, "longest": line.longest,
                        "used_on": line.used_on,
                    }
                    for line in lines
                ],
            }
            for group, lines in asked.groups()
        ],
        "rules": list(RULES),
        "terms": list(head.terms),
    }  # fmt: skip
    return _pdf("request.typ", data, letter=asked.letter)


def till_csv(found: Quote) -> str:
    """One line for each part number: supplier, part number, quantity, price, total, tax class."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(["supplier", "part_number", "quantity", "price", "total", "tax_class"])
    for line in found.lines:
        writer.writerow(
            [
                csv_cell(line.supplier), csv_cell(line.part_number), line.count, price_words(line.price),
                money(line.cents), csv_cell(tax_class_of(line, found.taxes)),
            ]
        )  # fmt: skip
    return out.getvalue()
