"""The quote's files: totals by LibreOffice and by poppler against sums made here in whole cents."""

from __future__ import annotations

import csv
import io
import subprocess
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import pytest
from openpyxl import load_workbook

from harness.model.pricing import Break, Candidate, Match, Matching, Need, Offer, PriceList, Unmatched
from harness.quote.paper import paper_pdf, quote_data, till_csv
from harness.quote.quoting import NoRate, quote
from harness.quote.result import Heading, Quote
from harness.quote.workbook import workbook_bytes
from tests.published.recorder import beside

HOSTILE = '=HYPERLINK("x")<b>&amp; #show: text $x$ *bold* \u202eevil\u202c 🚜'
NAMES = ("Roller", "Roller (2)", "=1+1 & <i>Pump</i>")


SHEET_AS_TEXT = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false,false,false,1"


def offer(supplier: str, number: str, content: str, price: str, **more: object) -> Offer:
    wire = number.startswith("W")
    given = {
        "description": f"{number} {HOSTILE}", "sold_as": f"{content} in one",
        "cut": False, "stock": None, "lead_days": None, "tax_class": "", "shelf": "", **more,
    }  # fmt: skip
    breaks = given.pop("breaks", (Break(1, Decimal(price)),))
    return Offer(
        supplier=supplier, part_number=number, unit="m" if wire else "each", content=Decimal(content),
        breaks=breaks, currency="EUR", where="list.csv:2:1", **given,  # type: ignore[arg-type]
    )  # fmt: skip


def need(key: str, each: int, pieces: tuple[str, ...] = ()) -> Need:
    lengths = tuple((f"12{'abcdef'[at]}", Decimal(one)) for at, one in enumerate(pieces))
    amount = sum((length for _, length in lengths), Decimal(0)) * 3 if pieces else Decimal(3 * each)
    return Need(
        key, "wire" if pieces else "terminals", f"{key} {HOSTILE}", "", "", "m" if pieces else "each", amount,
        lengths * 3, dict.fromkeys(NAMES, amount / 3),
    )  # fmt: skip


OFFERS = {
    "ring": (offer("A", "=T1", "1", "0.125", shelf="B2"), offer("B", "T2", "10", "1.05", tax_class="low")),
    "fuse": (
        offer("A", "F1", "5", "2.345", breaks=(Break(1, Decimal("2.345")), Break(4, Decimal("2.005")))),
    ),
    "wire": (
        offer("A", "W1", "10", "7.90", shelf="B10"),
        offer("B", "W2", "0.5", "0.335", cut=True, tax_class="low"),
    ),
    "tie": (offer("B", "+C2", "100", "3.333", tax_class="low"), offer("A", "C1", "100", "99.00", shelf="A1")),
}
NEEDS = (
    need("ring", 3),
    need("fuse", 6),
    need("wire", 0, ("3.2", "2.55", "0.75")),
    need("tie", 40),
    need("odd", 1),
)
LISTS = tuple(
    PriceList(
        name, f"{name}.csv", "EUR",
        tuple(one for each in OFFERS.values() for one in each if one.supplier == name),
        order_charge=Decimal(charge),
    )
    for name, charge in (("A", "4.95"), ("B", "1.25"))
)  # fmt: skip
MATCHING = Matching(
    tuple(Match(key, offers, "exact") for key, offers in OFFERS.items()),
    (Unmatched("odd", "no line says this", (Candidate(OFFERS["ring"][0], ("stud M8, wanted M5",), 1.0),)),),
)


def made(**more: object) -> Quote:
    given = {"rates": {"standard": Decimal("20"), "low": Decimal("7.5")}, **more}
    alone = {
        name: [
            replace(
                one, amount=one.amount / 3, pieces=one.pieces[: len(one.pieces) // 3],
                by_machine={name: one.amount / 3},
            )
            for one in NEEDS
        ]
        for name in NAMES
    }  # fmt: skip
    head = Heading("Q-17", "31 March", ("=Yard", "1 Lane"), ("No returns of cut wire.",))
    return quote(
        alone, NEEDS, MATCHING, LISTS, heading=head, program="harness test",
        machines=[(name, "x.yaml") for name in NAMES], letter=False, **given,  # type: ignore[arg-type]
    )  # fmt: skip


@pytest.fixture(scope="module")
def found() -> Quote:
    return made()


def half_up(amount: Decimal) -> Decimal:
    return amount.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)


def by_hand(found: Quote) -> tuple[Decimal, Decimal]:
    """Total without and with tax, from counts and prices alone."""
    net, bases = Decimal(0), {"standard": Decimal(0), "low": Decimal(0)}
    charges = {"A": Decimal("4.95"), "B": Decimal("1.25")}
    for order in found.orders:
        for line in order.lines:
            listed = next(
                one for each in OFFERS.values() for one in each if one.part_number == line.part_number
            )
            price = [one.price for one in listed.breaks if one.least <= line.count][-1]
            net += half_up(price * line.count)
            bases[listed.tax_class or "standard"] += half_up(price * line.count)
        net += charges[order.supplier]
        bases["standard"] += charges[order.supplier]
    tax = half_up(bases["standard"] * Decimal("0.20")) + half_up(bases["low"] * Decimal("0.075"))
    return net, net + tax


def recalculated(found: Quote, folder: Path) -> list[tuple[object, ...]]:
    """The sheet 'Quote' with every formula worked out by LibreOffice, which knows nothing of our sums."""
    cached = load_workbook(io.BytesIO(workbook_bytes(found)), data_only=True)["Quote"]
    assert all(row[7].value is None for row in cached if row[2].value == "Total without tax")  # none to copy
    source = folder / "quote.xlsx"
    source.write_bytes(workbook_bytes(found))
    subprocess.run(
        [
            "soffice", f"-env:UserInstallation=file://{folder}/profile", "--headless",
            "--convert-to", SHEET_AS_TEXT, "--outdir", str(folder), str(source),
        ],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    written = next(folder.glob("quote*.csv"))
    return [tuple(row) for row in csv.reader(io.StringIO(written.read_text(encoding="utf-8")))]


@beside("LibreOffice", "sums of the quote")
def test_libreoffice_comes_to_the_same_cents(found: Quote, tmp_path: Path) -> None:
    rows = recalculated(found, tmp_path)
    shown = {str(row[2]): str(row[7]).replace(",", "") for row in rows}
    net, whole = by_hand(found)
    assert Decimal(shown["Total without tax"]) == net == Decimal(found.net_cents) / 100
    assert Decimal(shown["Total with tax"]) == whole == Decimal(found.total_cents) / 100
    for line in found.lines:
        row = next(row for row in rows if row[1] == line.part_number)
        assert Decimal(str(row[7]).replace(",", "")) == Decimal(line.cents) / 100


def test_the_only_formulas_are_ours_and_name_no_text_of_a_list(found: Quote) -> None:
    book = load_workbook(io.BytesIO(workbook_bytes(found)))
    formulas = [cell.value for sheet in book for row in sheet for cell in row if cell.data_type == "f"]
    assert formulas
    for formula in formulas:
        assert set(str(formula)) <= set("=ROUNDSMPCT()*+-:,0123456789ABCDEFGHIJKL"), formula
    texts = [cell.value for sheet in book for row in sheet for cell in row if cell.data_type == "s"]
    assert any(str(text).startswith("+C2") for text in texts)
    assert not any("\u202e" in str(text) for text in texts)


def test_the_paper_says_the_same_and_takes_no_text_for_markup(found: Quote, tmp_path: Path) -> None:
    path = tmp_path / "quote.pdf"
    path.write_bytes(paper_pdf(found))
    text = " ".join(
        subprocess.run(
            ["pdftotext", "-layout", str(path), "-"], check=True, capture_output=True, text=True
        ).stdout.split()
    )
    net, whole = by_hand(found)
    for words in (
        f"Total without tax {net}",
        f"Total with tax {whole}",
        "Quote Q-17",
        "31 March",
        "#show: text",
    ):
        assert words in text, words
    assert "*bold*" in text and "No returns of cut wire." in text and "What the counter cannot supply" in text
    info = subprocess.run(["pdfinfo", str(path)], check=True, capture_output=True, text=True).stdout
    assert "CreationDate" not in info


def test_letters_no_face_has_stand_as_their_numbers(found: Quote, tmp_path: Path) -> None:
    """U+538B and U+0E01 are of scripts that the typesetter brings no face for: never blank."""
    foreign = replace(found, heading=replace(found.heading, customer=("Walze \u538b \u0e01",)))
    path = tmp_path / "quote.pdf"
    path.write_bytes(paper_pdf(foreign))
    text = subprocess.run(["pdftotext", str(path), "-"], check=True, capture_output=True, text=True).stdout
    assert "Walze [U+538B] [U+0E01]" in " ".join(text.split())


def test_parts_of_machines_add_up_to_the_whole_quote(found: Quote) -> None:
    assert sum(found.by_machine.values()) == found.net_cents
    assert set(found.by_machine) == set(NAMES)
    for line in found.lines:
        assert sum(line.by_machine.values()) == line.cents


def test_the_basket_is_the_cheapest_by_hand(found: Quote) -> None:
    """Split by hand, in cents.

    Wire, 19.5 m: 39 half metres at 33.5 are 1306.5 -> 1307; two rolls 1580; a roll and 19 half metres of the
    rest 790 + 637 = 1427 at best. Fuses, 18: four packs of 5 at 200.5 (break at 4) are 802. Rings, 9: nine
    at 12.5 are 112.5 -> 113, or one pack 105. Ties, 120: two bags of 333.3 are 666.6 -> 667. Charges 495
    and 125.
    """
    assert {line.part_number: line.cents for line in found.lines} == {
        "F1": 802,
        "T2": 105,
        "W2": 1307,
        "+C2": 667,
    }
    assert (found.net_cents, found.proven) == (802 + 105 + 1307 + 667 + 495 + 125, True)


def test_every_piece_is_cut_once_and_whole(found: Quote) -> None:
    wire = next(line for line in found.lines if line.part_number == "W2")
    assert len(wire.cuts) == 1
    assert wire.cuts[0].startswith("from 19.5 m: 12a 3.2 m, 12a 3.2 m, 12a 3.2 m, 12b 2.55 m")
    assert wire.cuts[0].count(" m") == 11  # the length, nine pieces, what is left


def test_what_is_missing_is_named_with_the_nearest_lines(found: Quote) -> None:
    (one,) = found.open
    assert (one.key, one.amount) == ("odd", "3")
    assert "stud M8, wanted M5" in one.nearest[0]


def test_the_till_gets_part_number_quantity_and_price(found: Quote) -> None:
    rows = list(csv.DictReader(io.StringIO(till_csv(found))))
    assert sum(Decimal(row["total"]) for row in rows) == Decimal(found.goods_cents) / 100
    assert {row["part_number"] for row in rows} == {"F1", "T2", "W2", "'+C2"}
    assert next(row for row in rows if row["part_number"] == "F1")["price"] == "2.005"


def test_one_supplier_alone_when_asked() -> None:
    """All from A: rings 113, fuses 802, two rolls 1580, two bags 19800, charge 495."""
    found = made(one_supplier=True)
    assert [order.supplier for order in found.orders] == ["A"]
    assert found.net_cents == 113 + 802 + 1580 + 19800 + 495


def test_a_class_without_a_rate_is_named() -> None:
    with pytest.raises(NoRate, match="'low'"):
        made(rates={"standard": Decimal(20)})
    assert not made(rates={}).taxes


def test_only_what_is_in_stock_when_asked() -> None:
    scarce = replace(OFFERS["ring"][1], stock=0)
    matches = tuple(
        replace(one, offers=(OFFERS["ring"][0], scarce)) if one.key == "ring" else one
        for one in MATCHING.matches
    )
    alone = {NAMES[0]: NEEDS}
    given = {"heading": Heading(), "program": "", "machines": [(name, "") for name in NAMES], "letter": True}
    for in_stock, number in ((True, "=T1"), (False, "T2")):
        found = quote(
            alone,
            NEEDS,
            replace(MATCHING, matches=matches),
            LISTS,
            rates={},
            in_stock=in_stock,
            **given,  # type: ignore[arg-type]
        )
        assert number in {line.part_number for line in found.lines}


def test_the_same_quote_gives_the_same_bytes(found: Quote) -> None:
    again = made()
    assert workbook_bytes(found) == workbook_bytes(again)
    assert paper_pdf(found) == paper_pdf(again)
    assert quote_data(found) == quote_data(again)


def test_freight_is_a_line_of_its_own_taxed_and_borne_by_the_machines(found: Quote) -> None:
    """12.50 more without tax, 20 % of it in tax, and nothing else of the basket or what it is set against."""
    more = made(freight=Decimal("12.50"))
    assert (more.net_cents - found.net_cents, more.total_cents - found.total_cents) == (1250, 1500)
    assert sum(more.by_machine.values()) == more.net_cents
    assert more.lines == found.lines and quote_data(more)["compared"] == quote_data(found)["compared"]
    assert quote_data(more)["freight"] == "12.50"


@beside("LibreOffice", "sums of the quote")
def test_classes_and_freight_in_the_workbook_add_up(tmp_path: Path) -> None:
    """Wire 1307; terminals are all the rest here, 802 + 105 + 667; in cents."""
    rows = recalculated(made(freight=Decimal("12.50")), tmp_path)
    shown = {str(row[2]): Decimal(str(row[7]).replace(",", "")) for row in rows[1:] if row[7]}
    assert (shown["Wire"], shown["Terminals"]) == (Decimal("13.07"), Decimal("15.74"))
    goods = shown["Goods from A"] + shown["Goods from B"]
    assert shown["Wire"] + shown["Terminals"] == goods
    assert shown["Total without tax"] == goods + Decimal("4.95") + Decimal("1.25") + shown["Freight"]
