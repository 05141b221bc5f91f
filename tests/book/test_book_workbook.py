"""The workbook: text stays text, nothing is cut off, it prints, and the same design gives the same bytes."""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
import time
import xml.etree.ElementTree as ET
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl.worksheet.worksheet import Worksheet

from harness.book.sheet import BOLD, column_widths, headings_in_rows, text_width
from harness.book.sheets import sheets
from harness.book.text import clean
from harness.book.workbook import workbook_bytes
from tests.book.factories import COUPLER, LOOM, finding, renamed, small_design
from tests.samples import made

SHEETS = [
    "Machine", "Cut list", "By branch", "Assembly", "Materials", "Buying", "Tools", "Wires", "Runs",
    "Hook-up by part", "Studs", "Splices", "Labels", "Couplers", "Fuses", "Loads", "Supply", "Grounds",
    "Tests", "Findings", "Assumed", "Sources",
]  # fmt: skip
HOSTILE = [
    "=1+1", "=HYPERLINK(\"http://x\",\"y\")", "+1", "-1", "@x", "\t=1", "#N/A", "TRUE", "1e5", "a\nb",
    "a\r\nb", "🚜 digger", "\u202eabc\u2066", "bell\x07\x1b[31m\x00", "<b>&\"'</b>", "]]>", "_x0041_",
    "\ud800", "&C&D", "x" * 40_000, "🚜" * 20_000, "\ufffe", "=cmd|' /C calc'!A0",
]  # fmt: skip
MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"


def _book(data: bytes) -> openpyxl.Workbook:
    return openpyxl.load_workbook(io.BytesIO(data))


def _parts(data: bytes) -> Iterator[tuple[str, bytes]]:
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        for name in package.namelist():
            yield name, package.read(name)


def _rows(sheet: Worksheet) -> list[tuple[Any, ...]]:
    return list(sheet.iter_rows(min_row=2, values_only=True))


def _column(sheet: Worksheet, title: str) -> list[Any]:
    titles = [cell.value for cell in sheet[1]]
    return [row[titles.index(title)] for row in _rows(sheet)]


# ------------------------------------------------------------------------------------------------ contents


def test_the_sheets_stand_in_order() -> None:
    assert _book(workbook_bytes(small_design())).sheetnames == SHEETS


def test_the_first_sheet_says_what_it_is_about() -> None:
    rows = {row[0]: row[1] for row in _rows(_book(workbook_bytes(small_design()))["Machine"])}
    assert rows["Name"] == "Pump set"
    assert rows["Battery post on the chassis"] == "negative"
    assert rows["Wires"] == "8, of which 1 kept"
    assert rows["Findings"] == "1 DANGER, 1 fault, 1 advice"
    assert rows["Assumed"] == "4 figures, see sheet Assumed"


def test_cautions_stand_before_the_totals() -> None:
    titles = [row[0] for row in _rows(_book(workbook_bytes(small_design()))["Machine"])]
    assert titles.index("Cautions") < titles.index("Totals")


def test_the_cut_list_has_each_new_wire_with_boxes_to_tick() -> None:
    sheet = _book(workbook_bytes(small_design()))["Cut list"]
    lines = [row for row in _rows(sheet) if row[1] == "☐"]
    assert [row[2] for row in lines] == ["6", "7", "4", "5b", "3", "5a", "2"]
    assert [row[3] for row in lines] == [0.35, 0.35, 3.2, 0.75, 0.6, 0.5, 2.45]
    headings = [row[2] for row in _rows(sheet) if row[1] is None]
    assert headings[1] == "4 pieces, 5.05 m (16' 7\") in all, longest 3.20 m (10' 6\")"


def test_the_cut_list_says_what_is_left_on_each_roll() -> None:
    """Blue and white, 5.05 m, comes off one roll of 25 ft (7.62 m): 4.42, 3.67, 3.07, 2.57 m are left."""
    rows = {row[2]: row for row in _rows(_book(workbook_bytes(small_design()))["Cut list"])}
    assert [rows[number][6] for number in ("4", "5b", "3", "5a")] == [
        "roll of 25 ft: 4.42 m (14' 6\") left",
        "roll of 25 ft: 3.67 m (12' 1/4\") left",
        "roll of 25 ft: 3.07 m (10' 3/4\") left",
        "roll of 25 ft: 2.57 m (8' 5\") left",
    ]


def test_the_sheet_by_branch_has_every_new_wire_once_under_its_way() -> None:
    rows = list(_rows(_book(workbook_bytes(small_design()))["By branch"]))
    assert sorted(row[0] for row in rows if row[1] == "☐") == ["2", "3", "4", "5a", "5b", "6", "7"]
    assert all(": " in row[0] for row in rows if row[1] is None)


def test_materials_are_listed_exact_and_with_waste() -> None:
    sheet = _book(workbook_bytes(small_design()))["Materials"]
    need, ask = _column(sheet, "Needed"), _column(sheet, "Ask for (with waste, spares)")
    assert need[:3] == [2.45, 0.7, 5.05]
    assert ask[:3] == [2.8, 0.8, 5.7]
    assert _column(sheet, "Ask for ft")[:3] == [10, 3, 19]  # 2.8 m is 9.19 ft, 0.8 is 2.62, 5.7 is 18.7


def test_every_wire_shows_the_numbers_that_decided_it() -> None:
    sheet = _book(workbook_bytes(small_design()))["Wires"]
    assert _column(sheet, "Wire") == ["1", "2", "3", "4", "5a", "5b", "6", "7"]
    assert _column(sheet, "Kept") == ["kept"] + [None] * 7
    row = dict(zip([cell.value for cell in sheet[1]], _rows(sheet)[2], strict=True))
    assert row["From (place)"] == "panel F1 (dash)"
    assert row["Current A by mode"] == "night work 4.58"
    assert (row["Length m"], row["Drop V"], row["May carry A"], row["Margin %"]) == (0.6, 0.0712, 11.4, 1.49)
    assert (row["Fuse"], row["Size decided by"]) == ("panel F1, 7.5 A", "drop")
    assert row["Assumed (see that sheet)"] == "A2"
    assert _column(_book(workbook_bytes(small_design()))["Assumed"], "Assumed, not measured")[1] == (
        "current 4.6 A (typical lamp, 55 W)"
    )


def test_danger_stands_first_and_in_words() -> None:
    assert _column(_book(workbook_bytes(small_design()))["Findings"], "Severity") == [
        "DANGER",
        "FAULT",
        "ADVICE",
    ]


def test_a_load_beyond_its_allowance_says_no() -> None:
    design = small_design()
    starved = replace(design.loads[0].modes[0], judged_v=0.361)
    sheet = _book(workbook_bytes(replace(design, loads=[replace(design.loads[0], modes=[starved])])))["Loads"]
    assert _column(sheet, "Within") == ["NO"]
    assert _column(_book(workbook_bytes(design))["Loads"], "Within") == ["yes", "yes"]


def test_a_design_with_nothing_in_it_still_makes_a_book() -> None:
    empty = small_design(
        wires=[], parts=[], splices=[], runs=[], fuses=[], loads=[], findings=[], cautions=[]
    )
    assert _book(workbook_bytes(empty)).sheetnames == SHEETS


# ------------------------------------------------------------------------------------------- hostile text


def _cells_are_text_or_number(data: bytes) -> bool:
    for name, content in _parts(data):
        if name.startswith("xl/worksheets/sheet"):
            root = ET.fromstring(content)
            assert not list(root.iter(f"{MAIN}f")), name
            kinds = {cell.get("t", "n") for cell in root.iter(f"{MAIN}c")}
            assert kinds <= {"inlineStr", "n"}, name
    return True


@pytest.mark.parametrize("name", HOSTILE, ids=range(len(HOSTILE)))
def test_no_text_becomes_a_formula_or_an_error_value(name: str) -> None:
    data = workbook_bytes(renamed(small_design(), name))
    assert _cells_are_text_or_number(data)
    for sheet in _book(data):
        for row in sheet.iter_rows():
            assert all(cell.data_type in ("s", "n") for cell in row)


@pytest.mark.parametrize("name", ["=1+1", "+1", "-1", "@x"])
def test_text_that_looks_like_a_formula_stays_text_when_edited(name: str) -> None:
    sheet = _book(workbook_bytes(renamed(small_design(), name)))["Findings"]
    assert sheet["B2"].value == name
    assert sheet["B2"].quotePrefix


@settings(max_examples=4)
@given(st.lists(st.text(max_size=30), min_size=10, max_size=10))
def test_any_text_comes_back_clean(texts: list[str]) -> None:
    told = [finding("r", "advice", "a", text) for text in texts]
    sheet = _book(workbook_bytes(small_design(findings=told)))["Findings"]
    for row, text in enumerate(texts, start=2):
        read = sheet[f"C{row}"].value or ""
        assert read.replace("x005F_", "").split() == clean(text).split()


def test_text_that_looks_like_an_escaped_character_is_not_decoded_into_one() -> None:
    # ECMA-376 part 1, 22.9.2.19: _x0041_ in a cell would be read as "A"; the underscore is written as _x005F_
    texts = [
        text
        for name, text in _parts(workbook_bytes(renamed(small_design(), "a_x0041_b")))
        if name.startswith("xl/worksheets/")
    ]
    assert any(b">a_x005F_x0041_b<" in text for text in texts)
    assert not any(b">a_x0041_b<" in text for text in texts)


def test_text_is_cut_to_what_a_cell_holds() -> None:
    told = [finding("r", "advice", "a", filler * 40_000) for filler in ("x", "🚜")]
    sheet = _book(workbook_bytes(small_design(findings=told)))["Findings"]
    for text in (sheet["C2"].value, sheet["C3"].value):
        assert len(text.encode("utf-16-le")) // 2 <= 32_767  # what the format allows, counted as it counts
        assert text.endswith("…")


def test_a_name_cannot_give_orders_to_the_page_header() -> None:
    sheet = _book(workbook_bytes(renamed(small_design(), "R&D &D")))["Wires"]
    assert sheet.oddHeader.left.text == "R&&D &&D"


def test_a_long_name_leaves_a_header_the_format_allows() -> None:
    for name, content in _parts(workbook_bytes(renamed(small_design(), "&" * 5000))):
        if name.startswith("xl/worksheets/sheet"):
            header = ET.fromstring(content).find(f"{MAIN}headerFooter/{MAIN}oddHeader")
            assert header is not None
            assert len(header.text or "") <= 255  # ECMA-376 part 1, 18.3.1.46


# ------------------------------------------------------------------------------------------------ paper


def test_every_sheet_is_ready_for_the_printer() -> None:
    for sheet in _book(workbook_bytes(small_design())):
        assert sheet.print_title_rows == "$1:$1"
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 0)
        assert sheet.oddHeader.left.text == "Pump set"
        assert sheet.oddHeader.right.text == sheet.title
        assert sheet.oddFooter.right.text == "Page &P of &N"
        assert sheet.freeze_panes
        if sheet.title != "Machine":
            assert sheet.auto_filter.ref == sheet.dimensions
            assert sheet.page_setup.orientation == "landscape"


@pytest.mark.parametrize(("sizes", "paper"), [("AWG", "1"), ("mm2", "9")])  # letter; A4
def test_paper_follows_the_sizes_of_the_country(sizes: str, paper: str) -> None:
    info = replace(small_design().machine, sizes=sizes)
    for sheet in _book(workbook_bytes(small_design(machine=info))):
        assert str(sheet.page_setup.paperSize) == paper


def test_columns_of_numbers_say_their_unit() -> None:
    units = re.compile(r" (m|mm|A|V|°C|%|ft|kg)( |,|$)|waste|Needed|V \(|\(count\)")
    for sheet in _book(workbook_bytes(small_design(couplers=[COUPLER], looms=[LOOM]))):
        for column in sheet.iter_cols():
            if any(cell.data_type == "n" and cell.value is not None for cell in column[1:]):
                title = str(column[0].value)
                assert units.search(title), (sheet.title, title)


def test_no_number_is_wider_than_its_column() -> None:
    for sheet in _book(workbook_bytes(small_design(couplers=[COUPLER], looms=[LOOM]))):
        for column in sheet.iter_cols(min_row=2):
            width = sheet.column_dimensions[column[0].column_letter].width
            for cell in column:
                if cell.data_type == "n" and cell.value is not None:
                    assert len(f"{cell.value:.3g}") <= width


def test_rows_grow_with_the_text_in_them() -> None:
    words = " ".join(["word"] * 80)
    design = small_design(findings=[finding("r", "advice", "a", "short"), finding("r", "advice", "b", words)])
    sheet = _book(workbook_bytes(design))["Findings"]
    width = sheet.column_dimensions["C"].width
    lines = len(words) / width  # at the very least, were every letter as wide as a digit
    assert sheet.row_dimensions[3].height > 0.75 * lines * 11
    assert sheet.row_dimensions[2].height < sheet.row_dimensions[3].height


# ------------------------------------------------------------------------------------------------ same bytes


@pytest.mark.parametrize("name", ["pump", "orchard"])
def test_a_heading_that_stands_alone_ends_before_the_paper_does(name: str) -> None:
    """Its neighbours are empty so that it may run over them, but nothing lies beyond the last column."""
    for sheet in map(headings_in_rows, sheets(made.design(name))):
        room = sum(column_widths(sheet))
        for row in sheet.rows:
            if row.look == "heading" and not any(row.values[1:]):
                assert text_width(str(row.values[0])) * BOLD <= room, row.values[0]


def test_the_same_design_gives_the_same_bytes() -> None:
    first = workbook_bytes(small_design())
    time.sleep(2.1)  # a zip file counts in steps of two seconds
    assert workbook_bytes(small_design()) == first


def test_the_order_of_hashes_does_not_matter() -> None:
    code = (
        "import sys\n"
        "from tests.book.factories import small_design\n"
        "from harness.book.workbook import workbook_bytes\n"
        "from harness.book.data import design_json, design_schema\n"
        "import hashlib, json\n"
        "design = small_design()\n"
        "print(hashlib.sha256(workbook_bytes(design)).hexdigest())\n"
        "print(hashlib.sha256(design_json(design).encode()).hexdigest())\n"
        "print(hashlib.sha256(json.dumps(design_schema()).encode()).hexdigest())\n"
    )
    root = Path(__file__).parents[2]
    answers = {
        subprocess.run(
            [sys.executable, "-c", code],
            cwd=root,
            env={**os.environ, "PYTHONHASHSEED": value, "PYTHONPATH": str(root)},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for value in ("1", "2")
    }
    assert len(answers) == 1


def test_no_time_of_day_is_in_the_file() -> None:
    data = workbook_bytes(small_design())
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        assert {entry.date_time for entry in package.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert package.namelist()[0] == "[Content_Types].xml"
    core = dict(_parts(data))["docProps/core.xml"].decode()
    assert set(re.findall(r"\d{4}-\d\d-\d\dT[\d:]+Z", core)) == {"1980-01-01T00:00:00Z"}
