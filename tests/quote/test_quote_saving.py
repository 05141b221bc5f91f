"""What sizing saves, by the metre of wire: sums by hand."""

from __future__ import annotations

from typing import Any

from harness.counter.cable_prices import of_lists
from harness.counter.pricelist import read_price_list
from harness.quote.saving import by_metre, metres_words

HEAD = "Supplier: {}\nPart no,Description,Unit,Price\n"
HERE = HEAD.format("Here") + "A,GXL 14 RD,m,0.62\nB,GXL 12 RD,m,0.90\nC,GXL 14 BK,m,0.70\nD,SGX 2 RD,m,3.10\n"
THERE = HEAD.format("There") + "A,GXL 14 RD,roll 30 m,15.00\nB,GXL 12 RD,m,0.95\n"


def wire(number: str, size: str, colour: str, length_m: float, **more: Any) -> dict[str, Any]:
    end = {"part": number, "terminal": "+"}
    made = {"cable": "GXL", "kept": False, "from": end, "to": end}
    return {**made, "number": number, "size": size, "colour": colour, "length_m": length_m, **more}


def test_each_wire_costs_its_length_by_the_cheapest_list() -> None:
    """In the order of the wires.

    2 m of 14 RD at 0.50 (30 m for 15.00) are 1.00, of 12 RD at 0.90 they are 1.80. 3 m of 14 WH, which is not
    listed, at the dearest of 14, 0.70, are 2.10 both times. 2 AWG is battery cable, 3.10 both times. The
    fourth has no price as 1/0, and the last is kept.
    """
    one = [wire("1", "14 AWG", "RD", 2), wire("2", "14 AWG", "WH", 3), wire("3", "2 AWG", "RD", 1),
           wire("4", "2 AWG", "RD", 1), wire("5", "14 AWG", "RD", 9, kept=True)]  # fmt: skip
    other = [wire("1", "12 AWG", "RD", 2), *one[1:3], wire("4", "1/0 AWG", "RD", 1), one[4]]
    lists = [read_price_list(text.encode(), f"{at}.csv") for at, text in enumerate((HERE, THERE))]
    prices = of_lists(lists)
    assert by_metre([({"wires": one}, {"wires": other})], prices) == (620, 700, 3, 4)
    words = metres_words([({"wires": one}, {"wires": other})], prices)
    assert words.startswith("the wire alone by the metre 7.00, as quoted 6.20 (3 of 4 wires")
