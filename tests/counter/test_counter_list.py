"""Price lists as counters keep them: columns, encodings, units, breaks, and every mistake with its place."""

from __future__ import annotations

import io
import zipfile
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook

from harness.counter.columns import meaning_of
from harness.counter.pricelist import read_price_list
from harness.model.pricing import PriceList
from harness.model.problem import SurveyWrong

LIST = """Part no,Description,Unit,Price
A1,GXL 14 RD,m,0.62
A2,RING TERM 16-14 M8 BLUE INS,pack of 10,3.40
"""


def read(text: str | bytes, file: str = "list.csv", **options: Any) -> PriceList:
    return read_price_list(text.encode() if isinstance(text, str) else text, file, **options)


def wrong(text: str | bytes, file: str = "list.csv", **options: Any) -> str:
    with pytest.raises(SurveyWrong) as error:
        read(text, file, **options)
    return "\n".join(map(str, error.value.problems))


def book(*sheets: list[list[object]], change: Any = None) -> bytes:
    workbook = Workbook()
    workbook.remove(workbook.active)
    for at, rows in enumerate(sheets, start=1):
        sheet = workbook.create_sheet(f"Sheet{at}")
        for row in rows:
            sheet.append(row)
    if change:
        change(workbook)
    stream = io.BytesIO()
    workbook.save(stream)
    return stream.getvalue()


def test_a_plain_list() -> None:
    found = read(LIST)
    one, two = found.offers
    assert (one.part_number, one.unit, one.content, one.cut) == ("A1", "m", 1, True)
    assert one.breaks[0].price == Decimal("0.62")
    assert (two.unit, two.content, two.sold_as, two.where) == ("each", 10, "pack of 10", "list.csv:3:1")
    assert found.supplier == "list"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
@pytest.mark.parametrize("sign", [",", ";", "\t"])
def test_encodings_and_signs_between_cells(encoding: str, sign: str) -> None:
    rows = [["Part no", "Description", "Unit", "Price"], ["A1", "lug 16 mm² Ø 8", "each", "€ 1.5"]]
    text = "\r\n".join(sign.join(row) for row in rows)
    (offer,) = read(text.encode(encoding)).offers
    assert offer.description == "lug 16 mm² Ø 8"
    assert (offer.breaks[0].price, offer.currency) == (Decimal("1.5"), "EUR")


def test_any_order_titles_above_totals_and_blank_rows() -> None:
    text = """A counter's list, invented;;;;
Currency:;EUR;;;
Minimum order:;25,00;;;
Order charge: 9,50;;;;
;;;;
Price;Bin;Description;SKU;Pack size
WIRE;;;;
1.234,50;R1;big drum;A1;100 m
;;;;
0,045;R2;tie;A2;100
;;SUBTOTAL;;
12,00;;Total;;
"""
    found = read(text)
    assert [offer.breaks[0].price for offer in found.offers] == [Decimal("1234.5"), Decimal("0.045")]
    assert [offer.shelf for offer in found.offers] == ["R1", "R2"]
    assert (found.least_order, found.order_charge, found.currency) == (25, Decimal("9.5"), "EUR")
    assert len(found.notes) == 3, found.notes


def test_breaks_in_columns_and_in_pairs() -> None:
    fixed = read("Part no,Description,Unit,Price,10+,100+\nA,lug,each,1.00,0.90,0.80\n").offers[0]
    pairs = read(
        "Part no,Description,Unit,Price,Qty 2,Price 2,Qty 3,Price 3\nA,lug,each,1.00,10,0.90,100,0.80\n"
    ).offers[0]
    assert fixed.breaks == pairs.breaks
    assert [one.least for one in fixed.breaks] == [1, 10, 100]
    assert [one.price for one in fixed.breaks] == [Decimal("1"), Decimal("0.9"), Decimal("0.8")]


@pytest.mark.parametrize(
    ("unit", "content", "price", "each"),
    [
        ("each", "", "12.00", "0.12"),  # 100 pieces for 12.00
        ("m", "", "62.00", "0.62"),
        ("pack", "25", "12.00", "3.00"),
        ("roll", "50 m", "62.00", "31.00"),
        ("roll", "100 ft", "19.00", "19.00"),  # counted in feet, as the list does
    ],
)
def test_a_price_per_hundred_counts_pieces_metres_or_feet(
    unit: str, content: str, price: str, each: str
) -> None:
    text = f"Part no,Description,Unit,Content,Price,Price unit\nA,thing,{unit},{content},{price},100\n"
    assert read(text).offers[0].breaks[0].price == Decimal(each)
    text = f"Part no,Description,Unit,Content,Price per 100\nA,thing,{unit},{content},{price}\n"
    assert read(text).offers[0].breaks[0].price == Decimal(each)


def test_stock_lead_tax() -> None:
    text = (
        "Part no,Description,Price,Stock,Lead time,Tax class\n"
        "A,x,1.5,100+,3 days,S\nB,x,1.5,out,2 weeks,S\nC,x,1.5,yes,1-2 weeks,R\nD,x,1.5,-4,ex stock,\n"
    )
    found = read(text)
    assert [one.stock for one in found.offers] == [100, 0, None, 0]
    assert [one.lead_days for one in found.offers] == [3, 14, 14, 0]
    assert [one.tax_class for one in found.offers] == ["S", "S", "R", ""]


def test_every_mistake_at_once_with_its_place() -> None:
    text = """Part no,Description,Unit,Price
A1,lug,each,-1.50
A2,lug,each,0
A3,lug,each,1.5.0
,lug,each,1.50
A5,,each,1.50
A6,lug,firkin,1.50
A7,lug,each,1.50
A7,lug,each,1.60
A8,reel of wire,roll,1.50
"""
    told = wrong(text)
    for place in ("2:13: the price '-1.50' is negative", "3:13: the price '0' is nought",
                  "4:13: '1.5.0' is no price", "5:1: no part number", "6:1: no description",
                  "7:8: unit 'firkin'",
                  "9:1: part number 'A7' stands at list.csv:8:1", "10:17: a roll of how many?"):  # fmt: skip
        assert f"list.csv:{place}" in told, told
    assert told.count("fix:") == 8


def test_a_part_number_twice_at_the_same_price_is_a_note() -> None:
    found = read(LIST + "A1,GXL 14 RD,m,0.620\n")
    assert len(found.offers) == 2
    assert "'A1' stands at list.csv:2:1 too" in found.notes[0]


def test_comma_or_point_is_never_guessed() -> None:
    either = 'Part no,Description,Price\nA,x,"1,234"\n'
    assert "--decimal" in wrong(either)
    assert read(either, decimal="comma").offers[0].breaks[0].price == Decimal("1.234")
    assert read(either, decimal="point").offers[0].breaks[0].price == 1234
    assert read(either + "B,x,1.50\n").offers[0].breaks[0].price == 1234
    both = 'Part no,Description,Price\nA,x,"1,50"\nB,x,1.50\n'
    assert "list.csv:2:5: '1,50' has a decimal comma" in wrong(both)


def test_two_currencies_are_refused() -> None:
    assert "a price in 'GBP', but EUR at list.csv:2:5" in wrong(
        "Part no,Description,Price\nA,x,€1.50\nB,x,£1.50\n"
    )


def test_prices_with_tax_are_refused() -> None:
    assert "prices with tax" in wrong("Part no,Description,Price incl VAT\nA,x,1.50\n")


# Headings as shops, stockists and wholesalers write them (common practice, several trades): the part number,
# what it is, and the price, in one row each.
ROWS_OF_HEADINGS = """
Ref. | Details | Retail ex VAT
Our Ref | Particulars | Our price €
Stock Code | Stock Description | Trade £
Stock No. | Full Description | Nett
P/N | Part Description | Nett Price
Part # | Item Name | Unit Price (ex. VAT)
Item # | Product Name | Each
SKU Code | Title | Sell Price
Cat. No. | Desc. | Price + VAT
Cat Ref | Specification | £ ex-VAT
Product ID | Long Description | Price excl. GST
Art.-Nr. | Article Description | Net Each
Material No. | Material Description | Net Unit Price
Order Ref | Item Description | Counter Price
PLU | Goods | Shop price
Part Code | Descr. | Ea.
Short Code | Sales Description | Retail (Ex. VAT)
Code | Spec. | Price VAT extra
Article code | Part name | Excl. VAT
Item Ref | Short description | Sales Price plus VAT
"""
OTHER_HEADINGS = {
    "unit": ["U.O.M.", "UOI", "Unit of Issue", "Selling Unit", "Sold In", "Unit of sale"],
    "content": ["Pk Qty", "Inner Pack", "Std. Pack", "SPQ", "Coil length (m)", "Pcs per pack", "Reel Length"],
    "least": ["M.O.Q.", "MOQ", "Min. order qty", "Minimum Order Quantity", "Min Sale Qty"],
    "stock": ["QOH", "SOH", "Free Stock", "Qty Avail.", "Stock Level", "In Hand", "Current stock"],
    "lead": ["Leadtime", "Lead Time (weeks)", "Delivery days", "Ships in", "Despatch"],
    "tax": ["VAT %", "VAT Rate", "Tax Band", "GST code", "T/Code"],
    "shelf": ["Bin Location", "Bin #", "Stores location", "Pick location", "Bay", "Shelf No."],
    "size": ["Wire Size", "C.S.A.", "Sq. mm", "AWG Size", "Wire gauge"],
    "colour": ["Wire Colour", "Color Code", "Clr"],
    "stud": ["Stud Hole", "Ring size", "Bolt Size"],
    "remarks": ["Brand", "Barcode", "MPN", "Weight (kg)", "Last updated"],
}


@pytest.mark.parametrize("row", ROWS_OF_HEADINGS.strip().splitlines())
def test_the_headings_that_shops_use_are_known(row: str) -> None:
    found = read(f"{row}\nA1 | GXL 14 RD 100FT | 31.40\n".replace(" | ", ";"))
    (offer,) = found.offers
    assert (offer.part_number, offer.description, str(offer.breaks[0].price)) == (
        "A1", "GXL 14 RD 100FT", "31.40",
    )  # fmt: skip


@pytest.mark.parametrize("meaning", OTHER_HEADINGS)
def test_the_other_headings_that_shops_use_are_known(meaning: str) -> None:
    assert {word: meaning_of(word) for word in OTHER_HEADINGS[meaning]} == dict.fromkeys(
        OTHER_HEADINGS[meaning], meaning
    )


@pytest.mark.parametrize(
    "left", ["Inc VAT", "Retail incl. VAT", "Cost", "Cost price", "Price (VAT included)"]
)
@pytest.mark.parametrize("swapped", [False, True])
def test_of_two_prices_the_one_to_quote_is_read_and_the_other_told(left: str, swapped: bool) -> None:
    heads, prices = [left, "Retail ex VAT"], ["9", "5"]
    if swapped:
        heads.reverse(), prices.reverse()
    found = read(f"Ref.;Details;{';'.join(heads)}\nA1;GXL 14 RD;{';'.join(prices)}\n")
    assert found.offers[0].breaks[0].price == 5
    assert any(f"'{left}' is left out" in note for note in found.notes)


def test_two_prices_of_which_neither_is_plainly_meant_are_refused() -> None:
    assert "'Trade' is a second column of price" in wrong("Ref;Details;Retail;Trade\nA;x;2;1\n")
    assert "prices with tax" in wrong("Ref;Details;Retail inc VAT\nA;x;2\n")
    assert "prices with tax" in wrong("Ref;Details;Incl. GST\nA;x;2\n")


def test_a_first_break_beside_the_price_is_no_second_price() -> None:
    found = read("Ref;Details;Price;Break 1;Price 1\nA;GXL 14 RD;0.42;100;0.38\n")
    assert [(one.least, str(one.price)) for one in found.offers[0].breaks] == [(1, "0.42"), (100, "0.38")]
    alone = read("Ref;Details;Price;Qty 1;Qty 2;Price 2\nA;GXL 14 RD;0.42;5;100;0.38\n")
    assert [(one.least, str(one.price)) for one in alone.offers[0].breaks] == [(5, "0.42"), (100, "0.38")]


def test_a_bare_size_takes_its_unit_from_the_heading() -> None:
    assert read("Ref;Details;mm2;Price\nA;class C RD;2.5;2\n").offers[0].description == "class C RD, 2.5 mm2"
    assert read("Ref;Details;AWG;Price\nA;GXL RD;14;2\n").offers[0].description == "GXL RD, 14 AWG"
    assert read("Ref;Details;Size;Price\nA;boot;14;2\n").offers[0].description == "boot, 14"


def test_headings_of_another_meaning_are_no_hint() -> None:
    told = wrong("Ref;Details;Prise;Stok\nA;x;2;1\n")
    assert "is 'Prise' meant for it?" in told
    assert "Stok" not in wrong("Ref;Details;Stok\nA;x;2\n")


def test_no_known_heading_shows_the_row_that_was_looked_at() -> None:
    told = wrong("Foo,Baz,Quux\n1,2,3\n")
    assert "no row of headings" in told and "'Foo', 'Baz', 'Quux'" in told


def test_missing_headings_name_what_is_missing() -> None:
    told = wrong("Part no,Descripton,Price\nA,x,1.50\n")
    assert "no column of description" in told
    assert "is 'Descripton' meant for it?" in told
    assert "no row of headings" in wrong("hello\nworld\n")
    assert "no row of headings" in wrong("")


def test_a_workbook_with_several_sheets_text_numbers_and_hidden_rows() -> None:
    head = ["Part no", "Description", "Unit", "Price"]

    def change(workbook: Workbook) -> None:
        workbook["Sheet1"].row_dimensions[3].hidden = True
        workbook.create_sheet("Old", 0).sheet_state = "hidden"

    found = read(
        book([head, ["A", "lug", "each", 0.1 + 0.2], [7, "lug", "each", "1.25"]],
             [["x"], head, ["C", "lug", "m", 3]],
             [["notes"]], change=change),
        "list.xlsx",
    )  # fmt: skip
    assert [(one.part_number, str(one.breaks[0].price)) for one in found.offers] == [
        ("A", "0.3"), ("7", "1.25"), ("C", "3"),
    ]  # fmt: skip
    assert found.offers[2].where == "list.xlsx: Sheet2!A3"
    assert any("hidden rows" in note for note in found.notes)
    assert any("'Old' is hidden" in note for note in found.notes)


def test_a_formula_without_a_saved_value_names_its_cell() -> None:
    rows: list[list[object]] = [["Part no", "Description", "Price"], ["A", "lug", "=1+1"]]
    assert "list.xlsx: Sheet1!C2: a formula whose value was never computed" in wrong(book(rows), "list.xlsx")


def test_a_merged_price_is_no_price_of_the_row_below() -> None:
    rows: list[list[object]] = [["Part no", "Description", "Price"], ["A", "lug", 1.5], ["B", "lug", None]]
    told = wrong(book(rows, change=lambda made: made["Sheet1"].merge_cells("C2:C3")), "list.xlsx")
    assert "Sheet1!A3: a cell of this row is merged into C2" in told


def test_hostile_workbooks_are_refused() -> None:
    good = book([["Part no", "Description", "Price"], ["A", "lug", 1.5]])

    def with_sheet(content: bytes) -> bytes:
        """The same workbook with other XML in place of its sheet."""
        made = io.BytesIO()
        with (
            zipfile.ZipFile(io.BytesIO(good)) as old,
            zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new,
        ):
            for name in old.namelist():
                new.writestr(name, content if name.endswith("sheet1.xml") else old.read(name))
        return made.getvalue()

    assert "unpacks to more than" in wrong(with_sheet(b"<a>" + b" " * 70_000_000 + b"</a>"), "list.xlsx")
    wrong(with_sheet(b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>'), "list.xlsx")
    wrong(with_sheet(b"<worksheet><sheetData><row>"), "list.xlsx")
    wrong(good[:-200], "list.xlsx")
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr("a.txt", "x")
    assert "not a workbook" in wrong(stream.getvalue(), "list.xlsx")
    assert "old binary kind" in wrong(b"\xd0\xcf\x11\xe0" + bytes(600), "list.xls")


@given(st.binary(max_size=300))
def test_no_bytes_make_more_than_problems(content: bytes) -> None:
    try:
        read(content)
    except SurveyWrong as error:
        assert error.problems


HOSTILE = st.text(st.characters(exclude_characters="\r\n\0", exclude_categories=("Cs",)), max_size=20)


@given(st.lists(st.tuples(HOSTILE, HOSTILE, HOSTILE, HOSTILE), max_size=5))
def test_no_cells_make_more_than_problems(rows: list[tuple[str, str, str, str]]) -> None:
    quoted = [",".join('"' + cell.replace('"', '""') + '"' for cell in row) for row in rows]
    try:
        found = read("Part no,Description,Unit,Price\n" + "\n".join(quoted))
    except SurveyWrong as error:
        assert error.problems
    else:
        assert all(one.breaks[0].price > 0 for one in found.offers)


HEADS: list[object] = ["Part no", "Description", "Price", "Stock"]


def test_dates_and_errors_in_cells_are_told_by_cell_all_at_once() -> None:
    """A spreadsheet makes a date of 1-3 and saves it as a number of days: never a price of 45352."""
    rows: list[list[object]] = [
        ["List of prices"], HEADS, ["A1", "GXL 14 RD", date(2024, 3, 1), 3], ["A2", "GXL 14 BK", "#N/A", 3],
        ["#REF!", "GXL 14 BU", 1.5, 3], ["A4", "GXL 14 WH", True, 3], ["A5", "GXL 14 GN", -3, 3],
        ["A6", "GXL 14 GY", 0, 3], ["A7", "GXL 14 PK", 1.5, "#DIV/0!"],
    ]  # fmt: skip

    def change(workbook: Workbook) -> None:
        sheet = workbook["Sheet1"]
        sheet.merge_cells("A1:D1")
        for cell in ("C4", "A5", "D9"):
            sheet[cell].data_type = "e"

    told = wrong(book(rows, change=change), "list.xlsx")
    for cell, words in (
        ("C3", "the date 2024-03-01"), ("C4", "the error #N/A"), ("A5", "part number: the cell holds"),
        ("C6", "is no price"), ("C7", "is negative"), ("C8", "is nought"), ("D9", "stock: the cell holds"),
    ):  # fmt: skip
        line = next(row for row in told.splitlines() if f"Sheet1!{cell}:" in row)
        assert words in line, line


def test_headings_over_two_rows_are_told() -> None:
    rows: list[list[object]] = [
        ["Part no", "Description", "Price", None],
        [None, None, "each", "per 10"],
        ["A", "x", 1, 2],
    ]

    def change(workbook: Workbook) -> None:
        for cells in ("A1:A2", "B1:B2", "C1:D1"):
            workbook["Sheet1"].merge_cells(cells)

    told = wrong(book(rows, change=change), "list.xlsx")
    assert "Sheet1!A2: the headings stand in two rows" in told


@pytest.mark.parametrize(
    "price", ["1\u2009234,5", "1\u202f234,5", "1\u00a0234,5", "1 234,5", "1'234,5", "1’234,5"]
)
def test_every_sign_between_thousands(price: str) -> None:
    """Thin and narrow spaces (as SI writes them), apostrophes (as in Switzerland): 1234.5 each time."""
    for text in (price, f"€ {price}", f"{price} EUR", f"{price}€"):
        found = read(f"Part no;Description;Price\nA1;GXL 14 RD;{text}\n")
        assert found.offers[0].breaks[0].price == Decimal("1234.5"), text


@pytest.mark.parametrize(
    "price", ["-1.50", "0", "0.00", "(1.50)", "1.50-", "−1.50", "1e3", "NaN", "inf", "١٢", "=1+1"]
)
def test_what_is_no_price_above_nought_is_told_by_line_and_column(price: str) -> None:
    assert "list.csv:2:14" in wrong(f"Part no,Description,Price\nA1,GXL 14 RD,{price}\n")


def test_a_cell_behind_a_line_break_in_quotes_is_told_on_its_own_line() -> None:
    text = '"Part no","Description","Unit","Price"\n"A1","FUSE BLADE\n10A ""red""","each","abc"\n'
    column = text.splitlines()[2].index('"abc"') + 1
    assert wrong(text).startswith(f"list.csv:3:{column}: 'abc' is no price")
