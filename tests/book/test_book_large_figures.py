"""A starter of a thousand amperes and more is written in plain digits wherever a person reads of it."""

from __future__ import annotations

import io
import re
from dataclasses import replace

from openpyxl import load_workbook
from rich.console import Console

from harness.book.explain import print_explain
from harness.book.shop.page import page_html
from harness.book.workbook import workbook_bytes
from harness.drawing.circuit_index import amperes
from harness.drawing.fuse_plots import fuse_plots_svg
from tests.drawing.conftest import machine

POWER = re.compile(r"\d[eE][+-]\d\d")  # "1.54e+03"


def test_no_power_of_ten_in_the_book_the_workbook_and_the_plots() -> None:
    pump = machine("pump")
    wires = [
        replace(
            wire, current_a={"cranking": 1543.2}, continuous_a=1543.2, short_a=2345.6, short_s=10.0,
            ampacity_a=1999.0, ampacity_base_a=2100.0,
            limits=[replace(each, value=1.5e6) for each in wire.limits],
        )
        for wire in pump.wires
    ]  # fmt: skip
    design = replace(pump, wires=wires)
    drawings = {"fuses.svg": fuse_plots_svg(design)}
    page = re.sub(r"<(style|script)[\s\S]*?</\1>|<[^>]+>", " ", page_html(design, drawings).decode())
    assert "1543 A, 2346 A for 10 s; may carry 1999 A" in page
    told = Console(file=io.StringIO(), width=200)
    print_explain(design, wires[0].number, told)
    sheets = load_workbook(io.BytesIO(workbook_bytes(design)), read_only=True)
    cells = [
        str(cell) for sheet in sheets for row in sheet.iter_rows(values_only=True) for cell in row if cell
    ]
    assert isinstance(told.file, io.StringIO)
    for text in (page, told.file.getvalue(), "\n".join(cells)):
        assert POWER.findall(text) == []


def test_currents_on_a_drawing_by_hand() -> None:
    assert [amperes(each) for each in (0.123, 9.96, 12.34, 999.6, 1543.2)] == [
        "0.12 A", "10 A", "12.3 A", "1000 A", "1543 A",
    ]  # fmt: skip
