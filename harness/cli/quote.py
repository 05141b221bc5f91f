"""The quote: surveys and designs in, the cheapest basket out of price lists as workbook, PDF and lists."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from harness.cli.listoptions import CHOICES, DECIMAL, MACHINES, MATCHES, SOME_LISTS, default_matches
from harness.cli.options import JSON, out_folder
from harness.model.accepted import Accepted
from harness.model.limits import LIMITS
from harness.signs import file_shown, json_text

if TYPE_CHECKING:
    from harness.cli.alternates import Paid
    from harness.cli.prices import Pairing
    from harness.cli.yard import Each
    from harness.quote.result import Compared, Heading, Quote

MOST_PERCENT = 100
MOST_TEXT = LIMITS["terms bytes"].most


@click.command()
@MACHINES
@SOME_LISTS
@MATCHES
@out_folder("Folder for the quote [quote beside design.json; exports/NAME/quote of a survey].")
@click.option("--number", default="", help="Number of the quote, such as Q-17.")
@click.option("--valid-until", default="", help="Until when it holds, as it shall be written.")
@click.option("--customer", default="", help="Name and address, lines parted by ' / '.")
@click.option("--terms", type=click.Path(path_type=Path, dir_okay=False), help="Text file of terms.")
@click.option(
    "--tax", "taxes", multiple=True, help="Rate of a tax class, as 'standard=20 %'; again for each."
)
@click.option(
    "--freight", default="", help="What carriage to the customer is charged, without tax, as 12.50."
)
@click.option("--in-stock", is_flag=True, help="Only what is in stock, as far as the lists say.")
@click.option("--one-supplier", is_flag=True, help="All from the one supplier who is cheapest.")
@CHOICES
@click.option(
    "--accept", multiple=True, help="Take an alternate of this quote, as ALT-3, and write it to the choices."
)
@click.option("--plain", is_flag=True, help="Leave out alternates and the comparison with sizing by table.")
@DECIMAL
@JSON
def quote(
    machines: tuple[Path, ...], lists: tuple[Path, ...], matches: Path | None, out: Path | None, number: str,
    valid_until: str, customer: str, terms: Path | None, taxes: tuple[str, ...], freight: str, in_stock: bool,
    one_supplier: bool, choices: Path | None, accept: tuple[str, ...], plain: bool, decimal: str | None,
    as_json: bool,
) -> None:  # fmt: skip
    """Quote what each MACHINE (survey or design.json) needs, out of price lists, as one basket.

    The cheapest split over the suppliers, order charges and whole packs counted, proven to the cent; written
    as workbook, PDF and a list for a till. What no list supplies is named with the nearest lines.
    Without a price list a request for a quote is written, with blank columns for prices.
    """
    from harness.cli.alternates import picked
    from harness.cli.files import check_folder, write_all, write_file
    from harness.cli.prices import Pairing, read_lists
    from harness.cli.yard import choices_files, with_choices, yard_of

    if plain and accept:
        raise click.UsageError("--plain leaves out the alternates that --accept takes from")
    asked = Asked(
        number, valid_until, customer, terms, _rates(taxes), in_stock=in_stock, one_supplier=one_supplier,
        plain=plain, freight=_freight(freight),
    )  # fmt: skip
    folder = out or _default_folder(machines[0])
    check_folder(folder)
    if not lists:
        _only_request(machines, choices, folder, asked, as_json=as_json, accept=accept)
        return
    read = read_lists(lists, decimal=decimal or "", as_json=as_json)
    pairing = Pairing(read, matches or default_matches(lists), as_json=as_json)
    new = accept and choices is not None and not choices.exists()  # is written for the first time
    yard = yard_of(machines, Accepted() if new else choices, read, as_json=as_json, to_buy=True)
    found = _quoted(yard, pairing, asked)
    files: dict[Path, bytes] = {}
    if accept:
        before, yard = yard, with_choices(yard, picked(found.alternates, accept), choices)
        found = _quoted(yard, pairing, asked)
        files = choices_files(before, yard, choices)
    made = {**_files(found), **_request_files(yard, asked)}
    written = write_all(folder, made, gone=[name for name in _orders_in(folder) if name not in made])
    for path, content in files.items():
        write_file(path, content)
        written.append(path)
    if as_json:
        from harness.quote.paper import quote_data

        click.echo(json_text({**quote_data(found), "files": [str(one) for one in written]}))
        return
    _print(found, written, matches or default_matches(lists))


def _default_folder(machine: Path) -> Path:
    """Where the quote of a machine goes: beside its design.json, else where its build would be."""
    from harness.cli.build import default_out

    beside = machine.suffix.casefold() == ".json"
    return (machine.parent if beside else default_out(machine)) / "quote"


def _only_request(
    machines: tuple[Path, ...], choices: Path | None, folder: Path, asked: Asked, *, as_json: bool,
    accept: tuple[str, ...],
) -> None:  # fmt: skip
    """Write what is asked of a supplier whose prices are not known yet."""
    from harness.cli.files import write_all
    from harness.cli.yard import yard_of

    if accept or asked.rates or asked.freight:
        raise click.UsageError("--accept, --freight and --tax need a price list: give it with --prices")
    yard = yard_of(machines, choices, as_json=as_json, to_buy=True)
    written = write_all(folder, _request_files(yard, asked))
    if as_json:
        click.echo(json_text({"files": [str(one) for one in written]}))
        return
    click.echo("no price list given: a request for a quote, with blank columns for prices")
    click.echo("\n".join(f"wrote {file_shown(str(path))}" for path in written))


@dataclass(frozen=True, slots=True)
class Asked:
    """What was asked of a quote."""

    number: str
    valid_until: str
    customer: str
    terms: Path | None
    rates: Mapping[str, Decimal]
    in_stock: bool
    one_supplier: bool
    plain: bool
    freight: Decimal


def _freight(text: str) -> Decimal:
    """An amount of money, 0 for none. Raises click.UsageError."""
    found = re.fullmatch(r"\s*(\d{1,9})(?:[.,](\d{1,2}))?\s*", text, re.ASCII)
    if text.strip() and found is None:
        raise click.UsageError(f"--freight: {text!r} is no amount of money; write for example 12.50")
    return Decimal(f"{found[1]}.{found[2] or 0}") if found else Decimal(0)


def _rates(taxes: Sequence[str]) -> dict[str, Decimal]:
    """Rates by class, out of 'standard=20 %'. Raises click.UsageError."""
    found: dict[str, Decimal] = {}
    for text in taxes:
        name, _, rate = text.partition("=")
        match = re.fullmatch(r"\s*(\d{1,3}(?:[.,]\d{1,4})?)\s*%\s*", rate)
        try:
            percent = Decimal(match.group(1).replace(",", ".")) if match else None
        except InvalidOperation:  # digits of another script
            percent = None
        if not name.strip() or percent is None or percent > MOST_PERCENT:
            raise click.UsageError(
                f"--tax: {text!r} is no rate of a class; write for example 'standard=20 %'"
            )
        if name.strip().casefold() in (known.casefold() for known in found):
            raise click.UsageError(f"--tax: {name.strip()!r} has a rate already")
        found[name.strip()] = percent
    return found


def _terms(path: Path | None) -> tuple[str, ...]:
    from harness.cli.read import content_of

    if path is None:
        return ()
    name, content = content_of(path, MOST_TEXT)
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise click.UsageError(f"--terms: {name} is not UTF-8 text; save it in UTF-8") from None
    return tuple(line.strip() for line in text.splitlines() if line.strip())


def _quoted(yard: Sequence[Each], pairing: Pairing, asked: Asked) -> Quote:
    from harness import __version__
    from harness.cli.alternates import Paid, alternates_of, bought_of, marked
    from harness.cli.yard import names_of, of_no_use
    from harness.counter.needs import needs_of
    from harness.quote.basket import TooManySuppliers
    from harness.quote.quoting import NoRate, quote

    names = names_of(yard)
    told = marked(yard, names)
    needs = needs_of(told)
    matching = pairing.matched(needs, bought_of(yard))
    try:
        found = quote(
            {name: needs_of([(name, data)]) for name, data in told}, needs, matching, pairing.lists,
            heading=_heading(asked),
            program=f"harness {__version__}",
            machines=[(name, each.path.name) for name, each in zip(names, yard, strict=True)],
            letter=_on_letter(told),
            rates=asked.rates, in_stock=asked.in_stock, one_supplier=asked.one_supplier,
            freight=asked.freight,
        )  # fmt: skip
    except NoRate as error:
        rates = " ".join(f"--tax '{name}=20 %'" for name in error.classes)
        raise click.UsageError(f"--tax: {error}; give it as well, for example {rates}") from None
    except TooManySuppliers as error:
        raise click.UsageError(f"--prices: {error}") from None
    found = replace(found, notes=(*found.notes, *of_no_use(yard)))
    if asked.plain:
        return found
    paid = Paid(pairing, yard, found, in_stock=asked.in_stock, one_supplier=asked.one_supplier)
    sized = _sized_otherwise(yard, names, paid)
    offered = alternates_of(yard, names, needs, matching, paid)
    return replace(found, compared=(*found.compared, *sized), alternates=offered)


def _sized_otherwise(yard: Sequence[Each], names: Sequence[str], paid: Paid) -> list[Compared]:
    """What the machines come to sized for least cost by these lists, and wire by wire from the table.

    Nothing where only design data is there: it cannot be sized again.
    """
    from harness.cli.alternates import marked
    from harness.counter.cable_prices import of_lists
    from harness.counter.needs import needs_of
    from harness.electric.wanted import Wanted
    from harness.model.problem import SurveyWrong
    from harness.quote.result import Compared
    from harness.quote.saving import metres_words

    if any(each.machine is None for each in yard):
        return []
    try:
        prices = of_lists(paid.pairing.lists)
    except SurveyWrong:  # no cable in these lists
        prices = None
    ways = [("wires sized one by one from the table", Wanted(method="table"))]
    if prices is not None:
        ways.insert(0, ("wires sized for least cost by these lists", Wanted(prices=prices)))
    found = []
    for way, wanted in ways:
        try:
            sized = [replace(each, data=each.design_data(wanted)) for each in yard]
        except click.ClickException:
            continue  # a size is missing in these lists between two that are there
        cents, missing = paid.more(needs_of(marked(sized, names)))
        notes = []
        starved = sum(int(each.data["totals"]["baseline_starved"]) for each in sized)
        if wanted.method == "table" and starved:
            notes.append(f"leaves {starved} load{'s' if starved != 1 else ''} without their volts")
        if prices is not None:
            pairs = [(each.data, other.data) for each, other in zip(yard, sized, strict=True)]
            notes.append(metres_words(pairs, prices))
        found.append(Compared(way, paid.found.basket_cents + cents, missing, "; ".join(filter(None, notes))))
    return found


def _files(found: Quote) -> dict[str, bytes]:
    from harness.quote.paper import order_pdf, paper_pdf, quote_data, till_csv
    from harness.quote.workbook import order_workbook, workbook_bytes

    files = {
        "quote.xlsx": workbook_bytes(found),
        "quote.pdf": _set("quote.pdf", lambda: paper_pdf(found)),
        "till.csv": till_csv(found).encode("utf-8-sig"),  # with the mark by which spreadsheets know it
        "quote.json": f"{json_text(quote_data(found))}\n".encode(),
    }
    for at, order in enumerate(found.orders, start=1):
        name = _order_name(at, order.supplier)
        files[f"{name}.xlsx"] = order_workbook(order, found)
        files[f"{name}.pdf"] = _set(f"{name}.pdf", lambda order=order: order_pdf(order, found))  # type: ignore[misc]
    return files


def _order_name(at: int, supplier: str) -> str:
    """A file's name for an order: plain letters and figures, whatever the supplier is called."""
    plain = "-".join(re.findall(r"[a-z0-9]+", supplier.casefold()))[:40].strip("-")
    return f"order-{at}" + (f"-{plain}" if plain else "")


def _orders_in(folder: Path) -> list[str]:
    """The files of the orders that an earlier quote in a folder has made, and no others of such a name."""
    try:
        with (folder / "quote.json").open("rb") as stream:
            earlier = json.loads(stream.read(LIMITS["design bytes"].most))
        orders = earlier["orders"]
        names = [_order_name(at, order["supplier"]) for at, order in enumerate(orders, start=1)]
    except (OSError, ValueError, LookupError, TypeError, AttributeError, RecursionError):
        return []
    return [f"{name}.{ending}" for name in names for ending in ("xlsx", "pdf")]


def _set(name: str, make: Callable[[], bytes]) -> bytes:
    """A paper. Raises CannotDraw where the typesetter fails."""
    from typst import TypstError

    from harness.cli.build import CannotDraw

    try:
        return make()
    except TypstError as error:
        raise CannotDraw(f"{name}: {error}") from None


def _request_files(yard: Sequence[Each], asked: Asked) -> dict[str, bytes]:
    """The request for a quote, which needs no price list."""
    from harness import __version__
    from harness.cli.alternates import marked
    from harness.cli.yard import names_of
    from harness.counter.needs import needs_of
    from harness.quote.paper import request_pdf
    from harness.quote.request import request_of
    from harness.quote.workbook import request_workbook

    names = names_of(yard)
    told = marked(yard, names)
    request = request_of(
        needs_of(told), [data for _, data in told], heading=_heading(asked),
        program=f"harness {__version__}", machines=names, letter=_on_letter(told),
    )  # fmt: skip
    return {
        "request.xlsx": request_workbook(request),
        "request.pdf": _set("request.pdf", lambda: request_pdf(request)),
    }


def _heading(asked: Asked) -> Heading:
    from harness.quote.result import Heading

    lines = tuple(one.strip() for one in asked.customer.split(" / ") if one.strip())
    return Heading(asked.number, asked.valid_until, lines, _terms(asked.terms))


def _on_letter(told: Sequence[tuple[str, Mapping[str, Any]]]) -> bool:
    """Whether papers are for letter paper: where sizes are gauges."""
    info = [data.get("machine") for _, data in told]
    return any(isinstance(one, dict) and one.get("sizes") == "AWG" for one in info)


def _print(found: Quote, written: Sequence[Path], matches: Path) -> None:
    from harness.book.text import one_line
    from harness.quote.result import money

    lines = []
    for order in found.orders:
        charge = f", order charge {money(order.charge_cents)}" if order.charge_cents else ""
        lines.append(f"{order.supplier}: {len(order.lines)} lines, {money(order.goods_cents)}{charge}")
    if found.by_class:
        lines.append(
            "by class: " + ", ".join(f"{name} {money(cents)}" for name, cents in found.by_class.items())
        )
    if found.freight_cents:
        lines.append(f"freight {money(found.freight_cents)}")
    proof = "proven cheapest" if found.proven else f"not proven; none below {money(found.bound_cents)}"
    lines.append(f"without tax {money(found.net_cents)} {found.currency}".rstrip() + f" ({proof})")
    for tax in found.taxes:
        lines.append(f"  tax {tax.tax_class} {tax.percent.normalize():f} %: {money(tax.cents)}")
    if found.taxed:
        lines.append(f"with tax {money(found.total_cents)} {found.currency}".rstrip())
    if len(found.machines) > 1:
        lines += [f"  {name}: {money(cents)}" for name, cents in found.by_machine.items()]
    for way in found.compared:
        missing = f", {way.missing} materials missing" if way.missing else ""
        missing += "" if way.missing == len(found.open) else ": not the same goods"
        lines.append(f"compared: {way.way}: {money(way.cents)}{missing}")
        lines += [f"    {way.note}"] if way.note else []
    for each in found.alternates:
        sign = "+" if each.difference_cents >= 0 else ""
        lines.append(f"{each.name} {sign}{money(each.difference_cents)}: {each.what}")
        lines += [f"    {text}" for text in each.consequences]
    if found.open:
        where = file_shown(str(matches))
        lines.append(f"{len(found.open)} materials cannot be supplied (settle them in {where}):")
        lines += [f"  {one.words}: {one.why}" for one in found.open]
    lines += [f"note: {text}" for text in found.notes]
    lines += [f"wrote {file_shown(str(path))}" for path in written]
    click.echo("\n".join(one_line(line) for line in lines))
