"""The printable workbook of a design: text stays text, and the same design gives the same bytes."""

from __future__ import annotations

import math
import re
from typing import Any, NamedTuple

from openpyxl import Workbook
from openpyxl.cell.cell import Cell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.header_footer import HeaderFooterItem, _HeaderFooterPart
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from harness.book.data import sensible
from harness.book.sheet import (
    BOLD_LOOKS,
    Row,
    Sheet,
    Value,
    column_widths,
    headings_in_rows,
    row_height,
    title_height,
)
from harness.book.sheets import sheets
from harness.book.text import clean, one_line
from harness.model.design import Design
from harness.packing import packed

FONT, POINTS = "Arial", 9
GAP_BEHIND_NUMBER = "_)"  # of a number format: room for a bracket, keeps the number off the next column
LONGEST_TEXT = 32767  # UTF-16 units a cell may hold
LONGEST_HEADER_NAME = 80  # a whole page header may hold 255
LETTER, A4 = 1, 9  # paper codes of the format
PAPER = {"AWG": LETTER, "mm2": A4}  # by the country whose sizes the survey uses

_FORMULA_STARTS = ("=", "+", "-", "@", "\t")
_ESCAPE_LIKE = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")
_FIRST_FONT = re.compile(rb"(<fonts[^>]*>)<font>.*?</font>", re.DOTALL)
_PLAIN_FONT = f'<font><name val="{FONT}"/><family val="2"/><sz val="{POINTS}"/></font>'.encode()

_LINE = Side(style="thin", color="808080")
_BORDER = Border(left=_LINE, right=_LINE, top=_LINE, bottom=_LINE)
_BANNER = Border(top=_LINE, bottom=_LINE)  # no upright lines: a heading runs over its neighbours
_GREY = {"title": "D9D9D9", "heading": "EDEDED", "danger": "BFBFBF", "fault": "E3E3E3"}


def cell_text(text: str) -> str:
    """Return survey text as a cell may hold it: clean, not too long, nothing the reader would decode.

    >>> cell_text("a\\x07b _x0041_")
    'a[U+0007]b _x005F_x0041_'
    """
    safe = _ESCAPE_LIKE.sub("_x005F_", clean(text))
    units = safe.encode("utf-16-le")
    if len(units) <= 2 * LONGEST_TEXT:
        return safe
    return units[: 2 * (LONGEST_TEXT - 1)].decode("utf-16-le", errors="ignore") + "…"


def header_text(text: str) -> str:
    """Return survey text for a page header, where an ampersand would start a command."""
    short = one_line(text)
    if len(short) > LONGEST_HEADER_NAME:
        short = short[: LONGEST_HEADER_NAME - 1] + "…"
    return short.replace("&", "&&")


_FONTS = {bold: Font(name=FONT, size=POINTS, bold=bold) for bold in (False, True)}
_FILLS = {look: PatternFill("solid", fgColor=grey) for look, grey in _GREY.items()}


class _Dress(NamedTuple):
    """What a cell looks like; words tell what greys tell, so that it survives a black-and-white printer."""

    look: str
    align: str
    shows: str
    wrap: bool
    quoted: bool  # a text that keeps being a text when somebody edits it


def _put_on(cell: Cell, dress: _Dress) -> None:
    cell.font = _FONTS[dress.look in BOLD_LOOKS]
    if dress.look in _FILLS:
        cell.fill = _FILLS[dress.look]
    cell.border = _BANNER if dress.look == "heading" else _BORDER
    if dress.align == "right":
        cell.number_format = dress.shows + GAP_BEHIND_NUMBER
    cell.alignment = Alignment(horizontal=dress.align, vertical="top", wrap_text=dress.wrap)
    cell.quotePrefix = dress.quoted


class Wardrobe:
    """Dresses cells, each look made once for a workbook: working out the same look again is slow."""

    def __init__(self) -> None:
        self._made: dict[_Dress, Any] = {}

    def dress(self, cell: Cell, dress: _Dress) -> None:
        if dress not in self._made:
            _put_on(cell, dress)
            self._made[dress] = cell._style  # type: ignore[attr-defined]
        cell._style = self._made[dress]  # type: ignore[attr-defined]


def _put(cell: Cell, value: Value) -> None:
    """Write a value; whatever text looks like, it is stored as text."""
    if isinstance(value, float):
        value = sensible(value) if math.isfinite(value) else str(value)
    if value == "":
        return  # a blank cell, for the filters
    cell.value = value
    if isinstance(value, str):
        cell.data_type = "s"


def _cell(worksheet: Worksheet, at: int, index: int) -> Cell:
    cell = worksheet.cell(at, index)
    assert isinstance(cell, Cell)  # the only other kind is part of a merge, and nothing is merged here
    return cell


def _write_row(worksheet: Worksheet, wardrobe: Wardrobe, sheet: Sheet, at: int, row: Row) -> None:
    padded = row.values + (None,) * (len(sheet.columns) - len(row.values))
    for index, (column, value) in enumerate(zip(sheet.columns, padded, strict=True)):
        text = cell_text(value) if isinstance(value, str) else value
        quoted = isinstance(text, str) and text.startswith(_FORMULA_STARTS)
        spills = row.look == "heading" and index in sheet.spilling
        cell = _cell(worksheet, at, index + 1)
        _put(cell, text)
        wrap = isinstance(text, str) and not spills
        wardrobe.dress(cell, _Dress(row.look, column.align, column.shows, wrap, quoted))


def _write_titles(worksheet: Worksheet, wardrobe: Wardrobe, sheet: Sheet) -> None:
    for index, column in enumerate(sheet.columns, start=1):
        cell = _cell(worksheet, 1, index)
        title = cell_text(column.title)  # a machine's name too
        _put(cell, title)
        quoted = title.startswith(_FORMULA_STARTS)
        wardrobe.dress(cell, _Dress("title", "left", "General", wrap=True, quoted=quoted))


def write_sheet(worksheet: Worksheet, wardrobe: Wardrobe, sheet: Sheet) -> None:
    widths = column_widths(sheet)
    for index, width in enumerate(widths, start=1):
        worksheet.column_dimensions[get_column_letter(index)].width = width
    _write_titles(worksheet, wardrobe, sheet)
    worksheet.row_dimensions[1].height = round(title_height(sheet, widths), 1)
    for at, row in enumerate(sheet.rows, start=2):
        _write_row(worksheet, wardrobe, sheet, at, row)
        worksheet.row_dimensions[at].height = round(row_height(sheet, row, widths), 1)


def margin_text(left: str, right: str) -> HeaderFooterItem:
    return HeaderFooterItem(left=_HeaderFooterPart(left), right=_HeaderFooterPart(right))


def _print_set_up(worksheet: Worksheet, sheet: Sheet, design: Design) -> None:
    """Make the sheet ready for paper: titles on every page, one page wide, named and numbered."""
    last = f"{get_column_letter(len(sheet.columns))}{len(sheet.rows) + 1}"
    worksheet.freeze_panes = f"{get_column_letter(sheet.frozen_columns + 1)}2"
    if sheet.filters:
        worksheet.auto_filter.ref = f"A1:{last}"
    worksheet.print_title_rows = "1:1"
    worksheet.print_area = f"A1:{last}"
    worksheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    setup = worksheet.page_setup
    setup.orientation = "landscape" if sheet.landscape else "portrait"
    setup.paperSize = PAPER.get(design.machine.sizes, A4)
    setup.fitToWidth, setup.fitToHeight = 1, 0
    margins = worksheet.page_margins
    margins.left = margins.right = 0.4
    margins.top, margins.bottom = 0.75, 0.6
    margins.header = margins.footer = 0.3
    worksheet.oddHeader = margin_text(header_text(design.machine.name), header_text(sheet.name))
    revision = f", revision {design.machine.revision}" if design.machine.revision else ""
    made_by = header_text(f"{design.program}, survey {design.machine.digest}{revision}")
    worksheet.oddFooter = margin_text(made_by, "Page &P of &N")


def with_our_font(name: str, content: bytes) -> bytes:
    """One part of a package; widths of columns are counted in the first font, which becomes ours."""
    return _FIRST_FONT.sub(rb"\g<1>" + _PLAIN_FONT, content, count=1) if name == "xl/styles.xml" else content


def workbook_bytes(design: Design) -> bytes:
    """Return the workbook as XLSX, made for paper; no formulas, and the same design gives the same bytes."""
    book = Workbook()
    book.remove(book.worksheets[0])
    book.properties.creator = one_line(design.program)
    book.properties.title = one_line(design.machine.name)
    wardrobe = Wardrobe()
    for sheet in map(headings_in_rows, sheets(design)):
        worksheet = book.create_sheet(sheet.name)
        write_sheet(worksheet, wardrobe, sheet)
        _print_set_up(worksheet, sheet, design)
    return packed(book, with_our_font)
