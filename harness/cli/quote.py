"""The quote: surveys and designs in, the cheapest basket out of price lists as workbook, PDF and lists."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from harness.cli.prices import DECIMAL, JSON, default_matches, paired, read_lists

if TYPE_CHECKING:
    from harness.counter.choices import Accepted
    from harness.model.pricing import Matching, Need, PriceList
    from harness.quote.result import Compared, Quote

MOST_PERCENT = 100
MOST_TEXT = 20_000  # bytes of terms


@click.command()
@click.argument("machines", metavar="MACHINE...", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--prices", "lists", multiple=True, required=True, type=click.Path(path_type=Path),
    help="A price list, CSV or XLSX; give it again for each supplier.",
)  # fmt: skip
@click.option(
    "--matches", type=click.Path(path_type=Path, dir_okay=False),
    help="File that says what is what (`harness prices match`) [LIST-matches.yaml beside the first list].",
)  # fmt: skip
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder for the quote [exports/NAME/quote].",
)
@click.option("--number", default="", help="Number of the quote, such as Q-17.")
@click.option("--valid-until", default="", help="Until when it holds, as it shall be written.")
@click.option("--customer", default="", help="Name and address, lines parted by ' / '.")
@click.option("--terms", type=click.Path(path_type=Path, dir_okay=False), help="Text file of terms.")
@click.option(
    "--tax", "taxes", multiple=True, help="Rate of a tax class, as 'standard=20 %'; again for each."
)
@click.option("--in-stock", is_flag=True, help="Only what is in stock, as far as the lists say.")
@click.option("--one-supplier", is_flag=True, help="All from the one supplier who is cheapest.")
@click.option(
    "--choices", type=click.Path(path_type=Path, dir_okay=False),
    help="File of substitutions that were accepted [MACHINE-choices.yaml beside the first, if it is there].",
)  # fmt: skip
@click.option(
    "--accept", multiple=True, help="Take an alternate of this quote, as ALT-3, and write it to the choices."
)
@click.option("--plain", is_flag=True, help="Leave out alternates and the comparison with sizing by table.")
@DECIMAL
@JSON
def quote(
    machines: tuple[Path, ...], lists: tuple[Path, ...], matches: Path | None, out: Path | None, number: str,
    valid_until: str, customer: str, terms: Path | None, taxes: tuple[str, ...], in_stock: bool,
    one_supplier: bool, choices: Path | None, accept: tuple[str, ...], plain: bool, decimal: str | None,
    as_json: bool,
) -> None:  # fmt: skip
    """Quote what each MACHINE (survey or design.json) needs, out of price lists, as one basket.

    The cheapest split over the suppliers, order charges and whole packs counted, proven to the cent; written
    as workbook, PDF and a list for a till. What no list supplies is named with the nearest lines.
    """
    from harness.cli.alternates import accepted_of, merged
    from harness.cli.files import write_all
    from harness.quote.alternates import choices_text

    if plain and accept:
        raise click.UsageError("--plain leaves out the alternates that --accept takes from")
    rates = _rates(taxes)
    read = read_lists(lists, decimal=decimal or "", as_json=as_json)
    kept = choices or machines[0].with_name(f"{machines[0].stem}-choices.yaml")
    wanted_there = choices is not None and not accept
    accepted = accepted_of(kept, wanted_there, machines, read, as_json=as_json)

    def made(accepted: Accepted) -> Quote:
        return _quoted(
            _designs(machines, accepted, as_json=as_json), read, matches or default_matches(lists),
            accepted=accepted, heading=(number, valid_until, customer, terms), rates=rates,
            in_stock=in_stock, one_supplier=one_supplier, plain=plain, as_json=as_json,
        )  # fmt: skip

    found = made(accepted)
    folder = out or Path("exports") / (machines[0].stem if str(machines[0]) != "-" else "survey") / "quote"
    written = []
    if accept:
        accepted = merged(accepted, found.alternates, accept)
        found = made(accepted)
        text = choices_text(accepted.bought, accepted.sizes)
        written = write_all(kept.parent, {kept.name: text.encode()})
    written = [*write_all(folder, _files(found)), *written]
    if as_json:
        from harness.quote.paper import quote_data

        click.echo(_dump({**quote_data(found), "files": [str(one) for one in written]}))
        return
    _print(found, written, matches or default_matches(lists))


def _dump(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, indent=2)


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


def _designs(
    paths: Sequence[Path], accepted: Accepted, *, as_json: bool
) -> list[tuple[Path, Any, dict[str, Any]]]:
    """File, machine (None for design data) and design data of each; exits 2 where one is wrong."""
    from harness.book.data import design_dict
    from harness.cli.alternates import without
    from harness.cli.build import design_of
    from harness.cli.read import content_of, machine_of, tell
    from harness.counter.needs import MOST_BYTES, design_data
    from harness.model.problem import SurveyWrong

    if sum(str(path) == "-" for path in paths) > 1:
        raise click.UsageError("only one survey can come from standard input")
    found: list[tuple[Path, Any, dict[str, Any]]] = []
    for path in paths:
        if path.suffix.lower() == ".json":
            name, content = content_of(path, MOST_BYTES)
            try:
                found.append((path, None, design_data(content, name)))
            except SurveyWrong as wrong:
                tell(wrong.problems, as_json=as_json)
                raise SystemExit(2) from None
        else:
            machine = machine_of(path, as_json=as_json)
            found.append(
                (
                    path,
                    machine,
                    design_dict(design_of(machine, without(machine, accepted.sizes), quiet=as_json)),
                )
            )
    return found


def _names(designs: Sequence[tuple[Path, Any, Mapping[str, Any]]]) -> list[str]:
    """A name for each machine, unlike the others'."""
    found: list[str] = []
    for path, _, data in designs:
        told = data.get("machine")
        name = str(told.get("name") or path.stem) if isinstance(told, dict) else path.stem
        count = sum(one == name or one.startswith(f"{name} (") for one in found)
        found.append(f"{name} ({count + 1})" if count else name)
    return found


def _terms(path: Path | None) -> tuple[str, ...]:
    from harness.cli.read import CannotRead, content_of

    if path is None:
        return ()
    name, content = content_of(path, MOST_TEXT)
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise click.UsageError(f"--terms: {name} is not UTF-8 text; save it in UTF-8") from None
    if len(content) > MOST_TEXT:
        raise CannotRead(f"{name}: is longer than {MOST_TEXT} bytes of terms")
    return tuple(line.strip() for line in text.splitlines() if line.strip())


def _quoted(
    designs: Sequence[tuple[Path, Any, dict[str, Any]]], lists: list[PriceList], matches: Path, *,
    accepted: Accepted, heading: tuple[str, str, str, Path | None], rates: Mapping[str, Decimal],
    in_stock: bool, one_supplier: bool, plain: bool, as_json: bool,
) -> Quote:  # fmt: skip
    from dataclasses import replace

    from harness import __version__
    from harness.cli.alternates import alternates_of
    from harness.counter.needs import needs_of
    from harness.quote.basket import TooManySuppliers
    from harness.quote.quoting import NoRate, basket_of, labelled, quote
    from harness.quote.result import Heading

    names = _names(designs)
    told = [(name, data) for name, (_, _, data) in zip(names, designs, strict=True)]
    if len(told) > 1:
        told = [(name, labelled(data, str(at))) for at, (name, data) in enumerate(told, start=1)]
    needs = needs_of(told)
    matching = _matching(needs, lists, matches, accepted, as_json=as_json)
    number, valid_until, customer, terms = heading
    head = Heading(
        number, valid_until, tuple(one.strip() for one in customer.split(" / ") if one.strip()), _terms(terms)
    )
    info = [data.get("machine") for _, data in told]
    letter = any(isinstance(one, dict) and one.get("sizes") == "AWG" for one in info)
    try:
        found = quote(
            {name: needs_of([(name, data)]) for name, data in told}, needs, matching, lists,
            heading=head, program=f"harness {__version__}",
            machines=[(name, path.name) for name, (path, _, _) in zip(names, designs, strict=True)],
            letter=letter, rates=rates, in_stock=in_stock, one_supplier=one_supplier,
        )  # fmt: skip
    except NoRate as error:
        raise click.UsageError(f"--tax: {error}; give it, as --tax 'standard=20 %'") from None
    except TooManySuppliers as error:
        raise click.UsageError(f"--prices: {error}") from None
    if plain:
        return found
    by_table = _by_table(designs, names, lists, matches, accepted, in_stock=in_stock, as_json=as_json)

    def bought(data: Sequence[tuple[str, Any]]) -> tuple[int, int]:
        asked = needs_of(data)
        other = _matching(asked, lists, matches, accepted, as_json=as_json)
        basket = basket_of(asked, other, lists, in_stock=in_stock)
        return basket.cents, len(basket.missing)

    offered = alternates_of(
        designs, names, needs, matching, lists, found, accepted, in_stock=in_stock, bought=bought
    )
    return replace(found, compared=(*found.compared, *by_table), alternates=offered)


def _matching(
    needs: tuple[Need, ...], lists: list[PriceList], matches: Path, accepted: Accepted, *, as_json: bool
) -> Matching:
    """What serves what, with what was accepted going before everything else."""
    from dataclasses import replace

    from harness.counter.matching import matched

    before, matching = paired(needs, lists, matches, as_json=as_json)
    if not accepted.bought:
        return matching
    said = before.choices()
    taken = {key: (number,) for key, number in accepted.bought.items()}
    return matched(needs, lists, replace(said, lines={**said.lines, **taken}))


def _by_table(
    designs: Sequence[tuple[Path, Any, Mapping[str, Any]]], names: Sequence[str], lists: list[PriceList],
    matches: Path, accepted: Accepted, *, in_stock: bool, as_json: bool,
) -> list[Compared]:  # fmt: skip
    """What the same machines come to sized wire by wire from the table; nothing where only data is there."""
    from harness.book.data import design_dict
    from harness.cli.build import design_of
    from harness.counter.needs import needs_of
    from harness.electric.wanted import Wanted
    from harness.quote.quoting import basket_of
    from harness.quote.result import Compared

    if any(machine is None for _, machine, _ in designs):
        return []
    sized = [
        (name, design_dict(design_of(machine, Wanted(method="table"), quiet=True)))
        for name, (_, machine, _) in zip(names, designs, strict=True)
    ]
    needs = needs_of(sized)
    matching = _matching(needs, lists, matches, accepted, as_json=as_json)
    basket = basket_of(needs, matching, lists, in_stock=in_stock)
    starved = sum(int(data["totals"]["baseline_starved"]) for _, data in sized)
    note = f"leaves {starved} load{'s' if starved != 1 else ''} without their volts" if starved else ""
    return [Compared("wires sized one by one from the table", basket.cents, len(basket.missing), note)]


def _files(found: Quote) -> dict[str, bytes]:
    from typst import TypstError

    from harness.cli.build import CannotDraw
    from harness.quote.paper import paper_pdf, quote_data, till_csv
    from harness.quote.workbook import workbook_bytes

    try:
        pdf = paper_pdf(found)
    except TypstError as error:
        raise CannotDraw(f"quote.pdf: {error}") from None
    return {
        "quote.xlsx": workbook_bytes(found),
        "quote.pdf": pdf,
        "till.csv": till_csv(found).encode("utf-8-sig"),  # with the mark by which spreadsheets know it
        "quote.json": f"{_dump(quote_data(found))}\n".encode(),
    }


def _print(found: Quote, written: Sequence[Path], matches: Path) -> None:
    from harness.book.text import one_line
    from harness.quote.result import money

    lines = []
    for order in found.orders:
        charge = f", order charge {money(order.charge_cents)}" if order.charge_cents else ""
        lines.append(f"{order.supplier}: {len(order.lines)} lines, {money(order.goods_cents)}{charge}")
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
    for each in found.alternates:
        sign = "+" if each.difference_cents >= 0 else ""
        lines.append(f"{each.name} {sign}{money(each.difference_cents)}: {each.what}")
        lines += [f"    {text}" for text in each.consequences]
    if found.open:
        lines.append(f"{len(found.open)} materials cannot be supplied (settle them in {matches}):")
        lines += [f"  {one.words}: {one.why}" for one in found.open]
    lines += [f"note: {text}" for text in found.notes]
    lines += [f"wrote {path}" for path in written]
    click.echo("\n".join(one_line(line) for line in lines))
