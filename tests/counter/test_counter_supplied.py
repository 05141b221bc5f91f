"""Lists as suppliers send them: headings in two rows, discounts, prices per metre of a roll; sums by hand."""

from __future__ import annotations

from decimal import Decimal

import pytest

from harness.counter.cable_prices import cable_prices
from tests.counter.test_counter_list import book, read, wrong


def prices(text: str | bytes, file: str = "list.csv") -> list[list[tuple[int, Decimal]]]:
    """Count and price of every break, by offer."""
    return [[(each.least, each.price) for each in one.breaks] for one in read(text, file).offers]


TWO_ROWS = """Acme Electrical;;;;;
Currency:;EUR;;;;
Part;Description;Unit;Price;{over};{over}
No;;;1+;10+;100+
A1;GXL 14 RD;m;0,62;0,58;0,50
"""


@pytest.mark.parametrize("over", ["Price", ""], ids=["said three times", "said once for three columns"])
def test_headings_in_two_rows_are_read_together(over: str) -> None:
    found = read(TWO_ROWS.format(over=over))
    (one,) = found.offers
    assert [(each.least, each.price) for each in one.breaks] == [
        (1, Decimal("0.62")), (10, Decimal("0.58")), (100, Decimal("0.50")),
    ]  # fmt: skip
    assert (one.part_number, one.where, found.currency) == ("A1", "list.csv:5:1", "EUR")


def test_a_second_row_may_say_what_the_first_leaves_open() -> None:
    (one,) = read("Part no,Description,Sold,Price,Stock\n,,as,ex VAT,\nA1,GXL 14 RD,m,0.62,50\n").offers
    assert (one.sold_as, one.stock, one.breaks[0].price) == ("by the metre", 50, Decimal("0.62"))


def test_headings_merged_over_two_rows_of_a_workbook() -> None:
    rows: list[list[object]] = [
        ["Part no", "Description", "Price", None], [None, None, "1+", "25+"], ["A1", "RING TERM", 0.3, 0.2],
    ]  # fmt: skip
    made = book(rows, change=lambda it: [it["Sheet1"].merge_cells(at) for at in ("A1:A2", "B1:B2", "C1:D1")])
    assert prices(made, "list.xlsx") == [[(1, Decimal("0.3")), (25, Decimal("0.2"))]]


def test_a_list_that_is_only_sold_from_ten_on_says_so_in_its_heading() -> None:
    assert prices("Part no,Description,10+,100+\nA1,RING TERM,0.30,0.20\n") == [
        [(10, Decimal("0.30")), (100, Decimal("0.20"))]
    ]


@pytest.mark.parametrize(
    ("heading", "cell", "price"),
    [
        ("Discount", "10 %", "1.80"), ("Discount", "", "2.00"), ("Disc %", "12.5", "1.75"),
        ("Less %", "50", "1.00"), ("Discount (%)", "0", "2.00"), ("Discount", "-", "2.00"),
    ],
)  # fmt: skip
def test_a_discount_in_per_cent_comes_off_the_prices_of_its_line(heading: str, cell: str, price: str) -> None:
    text = f"Part no,Description,Price,{heading},10+\nA1,RING TERM,2.00,{cell},1.00\n"
    assert prices(text) == [[(1, Decimal(price)), (10, Decimal(price) / 2)]]


def test_a_discount_of_a_workbook_may_be_a_cell_shown_in_per_cent() -> None:
    rows: list[list[object]] = [
        ["Part no", "Description", "Price", "Discount", "VAT rate"], ["A1", "RING TERM", 2, 0.1, 0.2],
    ]  # fmt: skip

    def change(workbook: object) -> None:
        for cell in ("D2", "E2"):
            workbook["Sheet1"][cell].number_format = "0%"  # type: ignore[index]

    (one,) = read(book(rows, change=change), "list.xlsx").offers
    assert (one.breaks[0].price, one.tax_class) == (Decimal("1.8"), "20 %")


def test_a_discount_that_may_be_money_is_passed_over_and_told() -> None:
    found = read("Part no,Description,Price,Discount\nA1,RING TERM,2.00,0.40\n")
    assert found.offers[0].breaks[0].price == Decimal("2.00")
    assert any("'Discount' is left out: it does not say that it is per cent" in note for note in found.notes)


@pytest.mark.parametrize("cell", ["100", "-5", "40+10", "A"])
def test_a_discount_that_cannot_be_is_a_mistake_at_its_cell(cell: str) -> None:
    told = wrong(f"Part no,Description,Price,Disc %\nA1,RING TERM,2.00,{cell}\n")
    assert told.startswith(f"list.csv:2:19: '{cell}' is no discount in per cent")


@pytest.mark.parametrize("net", ["Net price", "Your price", "Price after discount"])
def test_beside_a_list_price_the_net_one_is_read_and_no_discount_taken_off_again(net: str) -> None:
    for heads, cells in (
        (f"List price,Disc %,{net}", "2.00,10,1.80"), (f"{net},Disc %,RRP", "1.80,10,2.00"),
    ):  # fmt: skip
        found = read(f"Part no,Description,{heads}\nA1,RING TERM,{cells}\n")
        assert found.offers[0].breaks[0].price == Decimal("1.80")
        assert sum("is left out" in note for note in found.notes) == 2


@pytest.mark.parametrize(
    ("unit", "content", "price", "per", "each"),
    [
        ("roll", "30 m", "0.62", "m", "18.60"),  # 30 x 0.62
        ("roll", "100 ft", "0.25", "ft", "25.00"),
        ("roll", "100 ft", "1.00", "m", "30.48"),  # a foot is 0.3048 m exactly
        ("m", "", "62.00", "100 m", "0.62"),
        ("m", "", "0.3048", "ft", "1.00"),
        ("pack", "100", "12.00", "C", "12.00"),  # a hundred
        ("each", "", "120.00", "M", "0.12"),  # a thousand
        ("pack", "10", "0.20", "piece", "2.00"),
        ("pack", "10", "2.00", "pack", "2.00"),
        ("each", "", "2.00", "each", "2.00"),
    ],
)
def test_a_price_unit_says_what_a_price_is_for(
    unit: str, content: str, price: str, per: str, each: str
) -> None:
    text = f"Part no,Description,Unit,Pack size,Price,Per\nA1,THING,{unit},{content},{price},{per}\n"
    assert prices(text) == [[(1, Decimal(each))]]


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("pack,10,0.20,each", "a price per each of a pack of 10: of all of it, or of one?"),
        ("pack,10,0.20,ft", "a price per ft, of what is sold by the piece"),
        ("each,,0.20,gross", "price unit 'gross' is not understood"),
    ],
)
def test_a_price_unit_that_leaves_the_price_open_is_told_at_its_cell(row: str, said: str) -> None:
    text = f"Part no,Description,Unit,Pack size,Price,Per\nA1,THING,{row}\n"
    column = text.splitlines()[1].rindex(",") + 2
    assert wrong(text).startswith(f"list.csv:2:{column}: {said}")


def test_a_line_with_part_number_and_price_is_no_total_whatever_it_is_called() -> None:
    found = read(
        "Part no,Description,Price\nA1,TOTAL SEAL CONTACT GREASE 50 G,4.99\n,Subtotal,4.99\nTotal,,4.99\n"
    )
    assert [one.part_number for one in found.offers] == ["A1"]
    assert sum("a total, left out" in note for note in found.notes) == 2


def test_a_counters_list_with_a_column_of_cable_sizes_is_no_table_of_cables() -> None:
    found = cable_prices(
        b"Code,Description,Cable size,Colour,UOM,Price\nA1,GXL wire,14 AWG,Red,m,0.62\n", "a.csv"
    )
    assert found.steps["GXL", "14 AWG", "RD"] == 6200  # of 0.0001 each


@pytest.mark.parametrize(
    ("unit", "content", "pieces"),
    [("BOX(50)", "", 50), ("Each (1)", "", 1), ("pair", "", 2), ("Dozen", "", 12), ("hundred", "100", 100)],
)
def test_units_with_brackets_and_words_for_counts(unit: str, content: str, pieces: int) -> None:
    (one,) = read(f"Part no,Description,Unit,Pack size,Price\nA1,THING,{unit},{content},2.00\n").offers
    assert (one.unit, one.content) == ("each", pieces)
