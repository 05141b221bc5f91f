"""A survey's tables as a workbook: drop-down lists, help beside every cell, colour for what is assumed.

Every cell is text: what is typed stays as it was typed (1-2 is no date), and nothing is ever a formula.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Any

from openpyxl import Workbook
from openpyxl.cell.cell import Cell
from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.header_footer import HeaderFooterItem, _HeaderFooterPart
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from harness.kinds import kinds
from harness.model.machine import Machine
from harness.packing import packed
from harness.survey.doubts import DOUBTED
from harness.survey.located import Node
from harness.survey.sheets import typed
from harness.survey.sheets.layout import (
    ASSUMED,
    CIRCUIT,
    KEY,
    LISTED,
    MEANING,
    PATH,
    PLACES,
    VALUE,
    Column,
    Layout,
    layouts,
)
from harness.survey.sheets.package import column_letters
from harness.survey.sheets.tables import Row, Tables, all_places, tables_of
from harness.survey.words import functions

FONT, POINTS = "Arial", 10
START, LISTS = "Start here", "Lists"
SPARE_ROWS = 25  # blank rows that look like rows to fill in
LAST_ROW = 2000  # how far drop-down lists and colours reach
WIDEST, NARROWEST = 44, 9
WIDE = 18  # columns
LONGEST_PROMPT = 250
USUAL_MODES = ("parked", "cranking", "running", "night work")
AS_TEXT = "@"
_ESCAPE_LIKE = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")
_FORMULA_STARTS = ("=", "+", "-", "@", "\t")

_LINE = Side(style="thin", color="A6A6A6")
_BORDER = Border(left=_LINE, right=_LINE, top=_LINE, bottom=_LINE)
_PLAIN, _BOLD = Font(name=FONT, size=POINTS), Font(name=FONT, size=POINTS, bold=True)
_HINT = Font(name=FONT, size=POINTS, italic=True, color="595959")
_HEAD = PatternFill("solid", fgColor="D9E2EC")
_MUST = PatternFill("solid", fgColor="B8CCE0")
_DOUBT = PatternFill("solid", bgColor="FFE699")
_MUST_KEYS = {
    "machine": ("name", "voltage", "chassis post"), "runs": ("from", "to", "length", "zone"),
    "parts": ("part", "is", "at"), "modes": ("mode", "engine"), "paths": (CIRCUIT, PATH),
}  # fmt: skip

STEPS = (
    "This workbook is a survey: what is on the machine, where it sits, how far apart, what it draws.",
    "Fill in the sheets from left to right: Machine, Zones, Places, Runs, then Parts, Circuits, Paths.",
    "Columns with a darker title must be filled in; leave blank what you do not know. What the tool then"
    " takes is listed as assumed.",
    "Write figures with their unit, in either system: 2.4 m, 12 ft 6 in, 55 W, 85 °C, 14 AWG, 16 mm2.",
    "A figure that you did not measure gets a question mark: 1.2 m? - its cell turns yellow until you take"
    " the mark away.",
    "Several words in one cell are parted by commas: running, night work.",
    "A path is written as a finger traces it, one a row: battery + > F1 > key 30/15 > lamp > frame.",
    "Rows may be added, moved and left blank; sheets of your own, with photos or notes, are not read.",
    "Then: harness check survey.xlsx lists every mistake with its sheet and cell.",
)


def book_bytes(root: Node, *, text: str, machine: Machine | None = None) -> bytes:
    """The workbook of a survey that was read without a mistake; the same survey gives the same bytes.

    ``text``: the YAML it was read from, which is kept in it. ``machine``: tells what was filled in for the
    parts, shown beside them.
    """
    return _written(tables_of(root), text=text, machine=machine)


def blank_book() -> bytes:
    """A workbook with nothing filled in, to describe a machine from nothing."""
    return _written(Tables({}), text=None, machine=None)


def _written(tables: Tables, *, text: str | None, machine: Machine | None) -> bytes:
    book = Workbook()
    book.remove(book.worksheets[0])
    book.properties.creator = "harness"
    _start(book.create_sheet(START))
    lists: list[tuple[str, Sequence[str]]] = []
    for layout in layouts():
        sheet = book.create_sheet(layout.title)
        rows = _filled(layout, tables)
        if layout.shape == "record":
            _record(sheet, layout, rows[0] if rows else {})
        else:
            _table(sheet, layout, rows, _assumed(layout, machine))
        _choices(sheet, layout, tables, lists)
        _paper(sheet, layout)
    _lists(book.create_sheet(LISTS), lists)
    if text is not None:
        _typed(book.create_sheet(typed.TITLE), text)
    book.active = 0
    return packed(book)


def _filled(layout: Layout, tables: Tables) -> list[Row]:
    """The rows of a sheet; the places with every one of them, to be chosen from."""
    rows = list(tables.of(layout.section))
    if layout.section == PLACES:
        name = layout.columns[0].title
        known = {row[name] for row in rows}
        rows += [{name: place} for place in all_places(tables) if place not in known]
    return rows


def _assumed(layout: Layout, machine: Machine | None) -> dict[str, str]:
    """What was filled in for each part, marks of the survey aside: those show themselves."""
    if layout.section != "parts" or machine is None:
        return {}
    return {
        name: "; ".join(said for said in part.assumed if "marked ?" not in said)
        for name, part in machine.parts.items()
    }


# -------------------------------------------------------------------------------------------------- cells


def cell_text(text: str) -> str:
    """Text as a cell may hold it, so that no reader takes _x0041_ for a letter."""
    return _ESCAPE_LIKE.sub("_x005F_", text)


def _put(
    sheet: Worksheet, row: int, column: int, text: str, *, font: Font = _PLAIN,
    fill: PatternFill | None = None, border: bool = True, wrap: bool = True,
) -> None:  # fmt: skip
    cell = sheet.cell(row, column)
    assert isinstance(cell, Cell)
    if text:
        cell.value = cell_text(text)
        cell.data_type = "s"
    _dress(sheet, cell, (id(font), id(fill), border, wrap, text.startswith(_FORMULA_STARTS)), font, fill)


def _dress(
    sheet: Worksheet,
    cell: Cell,
    look: tuple[int, int, bool, bool, bool],
    font: Font,
    fill: PatternFill | None,
) -> None:
    """Give a cell its look; each look is worked out once for a workbook, which is slow."""
    made: dict[object, Any] = sheet.parent.__dict__.setdefault("_looks", {})
    if look not in made:
        _, _, border, wrap, quoted = look
        cell.number_format = AS_TEXT
        cell.font = font
        cell.alignment = Alignment(vertical="top", wrap_text=wrap)
        cell.quotePrefix = quoted
        if border:
            cell.border = _BORDER
        if fill is not None:
            cell.fill = fill
        made[look] = cell._style  # type: ignore[attr-defined]
    cell._style = made[look]  # type: ignore[attr-defined]


def _table(sheet: Worksheet, layout: Layout, rows: Sequence[Row], assumed: dict[str, str]) -> None:
    must = _MUST_KEYS.get(layout.section, (layout.columns[0].title,) if layout.names else ())
    titles = [column.title for column in layout.columns]
    for at, column in enumerate(layout.columns, start=1):
        _put(sheet, 1, at, column.title, font=_BOLD, fill=_MUST if column.title in must else _HEAD)
        letters = column_letters(at)
        sheet.column_dimensions[letters].width = _width(column, [row.get(column.title, "") for row in rows])
        sheet.column_dimensions[letters].number_format = AS_TEXT
    for number, row in enumerate(rows, start=2):
        for at, title in enumerate(titles, start=1):
            _put(sheet, number, at, row.get(title, ""))
    for number in range(len(rows) + 2, len(rows) + 2 + SPARE_ROWS):
        for at in range(1, len(titles) + 1):
            _put(sheet, number, at, "")
    if assumed:
        at = len(titles) + 1
        _put(sheet, 1, at, ASSUMED, font=_HINT, fill=_HEAD)
        sheet.column_dimensions[column_letters(at)].width = WIDEST
        for number, row in enumerate(rows, start=2):
            _put(sheet, number, at, assumed.get(row[titles[0]], ""), font=_HINT, border=False, wrap=False)
    frozen = 3 if layout.shape == "rows" else 2
    sheet.freeze_panes = f"{column_letters(frozen if len(titles) > 3 else 1)}2"
    _colours(
        sheet, layout, [at for at, title in enumerate(titles, 1) if title in DOUBTED.get(layout.section, ())]
    )


def _record(sheet: Worksheet, layout: Layout, row: Row) -> None:
    for at, (title, width) in enumerate(((KEY, 18), (VALUE, 34), (MEANING, 70)), start=1):
        _put(sheet, 1, at, title, font=_BOLD, fill=_HEAD)
        sheet.column_dimensions[column_letters(at)].width = width
    must = _MUST_KEYS.get(layout.section, ())
    for number, column in enumerate(layout.columns, start=2):
        _put(sheet, number, 1, column.title, font=_BOLD, fill=_MUST if column.title in must else _HEAD)
        _put(sheet, number, 2, row.get(column.title, ""))
        _put(sheet, number, 3, column.help, font=_HINT, border=False)
    sheet.freeze_panes = "A2"
    _colours(sheet, layout, [2])


def _colours(sheet: Worksheet, layout: Layout, columns: Iterable[int]) -> None:
    """What ends in a question mark is still assumed: its cell is yellow."""
    if layout.section not in DOUBTED:
        return
    for at in columns:
        letters = column_letters(at)
        rule = FormulaRule(  # type: ignore[no-untyped-call]
            formula=[f'RIGHT(TRIM({letters}2),1)="?"'], fill=_DOUBT
        )
        sheet.conditional_formatting.add(f"{letters}2:{letters}{LAST_ROW}", rule)


def _width(column: Column, texts: Iterable[str]) -> float:
    longest = max([len(column.title) + 1, *(max(map(len, text.split("\n"))) for text in texts)])
    return float(min(max(longest + 1.5, NARROWEST), WIDEST * 2 if column.title == PATH else WIDEST))


# ------------------------------------------------------------------------------------------ help and lists


def _choices(
    sheet: Worksheet, layout: Layout, tables: Tables, lists: list[tuple[str, Sequence[str]]]
) -> None:
    """Every cell says what it is for; where words or names fit, they hang below it to choose from."""
    for at, column in enumerate(layout.columns, start=1):
        source = _source(layout, column, tables, lists)
        found = DataValidation(type="list" if source else None, formula1=source, allow_blank=True)
        found.showErrorMessage = False  # a word of one's own may stand too; `harness check` tells mistakes
        found.showInputMessage = True
        found.promptTitle = column.title[:32]
        found.prompt = column.help[:LONGEST_PROMPT]
        if layout.shape == "record":
            found.add(f"B{at + 1}")
        else:
            found.add(f"{column_letters(at)}2:{column_letters(at)}{LAST_ROW}")
        sheet.add_data_validation(found)


_FROM_SHEETS = {
    ("places", "zone"): "Zones", ("runs", "zone"): "Zones",
    ("runs", "from"): "Places", ("runs", "to"): "Places",
    ("parts", "at"): "Places", ("parts", "on"): "Bodies", ("paths", CIRCUIT): "Circuits",
    ("spare wires", "from"): "Places", ("spare wires", "to"): "Places",
}  # fmt: skip


def _source(
    layout: Layout, column: Column, tables: Tables, lists: list[tuple[str, Sequence[str]]]
) -> str | None:
    """Where the words to choose from stand: the first column of another sheet, or a list."""
    sheet = _FROM_SHEETS.get((layout.section, column.title))
    words: Sequence[str] = column.words
    if sheet is not None:
        return f"{sheet}!$A$2:$A${LAST_ROW}"
    if (layout.section, column.title) == ("circuits", "works in"):
        if tables.of("modes"):
            return f"Modes!$A$2:$A${LAST_ROW}"
        words = USUAL_MODES
    elif (layout.section, column.title) == ("parts", "is"):
        words = sorted(kinds())
    elif (layout.section, column.title) == ("circuits", "function"):
        words = sorted(functions())
    if not words:
        return None
    known = [list(each) for _, each in lists]
    if list(words) not in known:
        lists.append((column.title if column.title != LISTED else "yes", words))
        known.append(list(words))
    number = known.index(list(words)) + 1
    letters = column_letters(number)
    return f"{LISTS}!${letters}$2:${letters}${len(words) + 1}"


def _lists(sheet: Worksheet, lists: Sequence[tuple[str, Sequence[str]]]) -> None:
    for at, (title, words) in enumerate(lists, start=1):
        _put(sheet, 1, at, title, font=_BOLD, fill=_HEAD)
        for number, word in enumerate(words, start=2):
            _put(sheet, number, at, word, border=False)
        sheet.column_dimensions[column_letters(at)].width = 24
    sheet.freeze_panes = "A2"
    sheet.sheet_state = "hidden"


def _start(sheet: Worksheet) -> None:
    sheet.column_dimensions["A"].width = 20
    sheet.column_dimensions["B"].width = 24
    sheet.column_dimensions["C"].width = 80
    for row, step in enumerate(STEPS, start=1):
        _put(sheet, row, 1, step, font=_BOLD if row == 1 else _PLAIN, border=False, wrap=False)
    row = len(STEPS) + 2
    for at, title in enumerate(("sheet", "column", "what belongs there"), start=1):
        _put(sheet, row, at, title, font=_BOLD, fill=_HEAD)
    for layout in layouts():
        row += 1
        _put(sheet, row, 1, layout.title, font=_BOLD)
        _put(sheet, row, 2, "")
        _put(sheet, row, 3, layout.help)
        for column in layout.columns:
            row += 1
            _put(sheet, row, 1, "")
            _put(sheet, row, 2, column.title)
            _put(sheet, row, 3, column.help)
    _set_up(sheet, landscape=False)


def _typed(sheet: Worksheet, text: str) -> None:
    for number, row in enumerate(typed.rows_of(text), start=1):
        cell = sheet.cell(number, 1)
        cell.value = row
        cell.data_type = "s"
        cell.number_format = AS_TEXT
    sheet.sheet_state = "hidden"


# -------------------------------------------------------------------------------------------------- paper


def _paper(sheet: Worksheet, layout: Layout) -> None:
    sheet.print_title_rows = "1:1"
    _set_up(sheet, landscape=layout.shape not in ("record", "texts"))
    if (
        layout.shape != "record" and len(layout.columns) > WIDE
    ):  # what nobody could read on one sheet goes on several, names on each
        sheet.print_title_cols = "A:A"
        sheet.page_setup.fitToWidth = 3
    if layout.shape != "record":
        sheet.print_area = f"A1:{column_letters(len(layout.columns))}{sheet.max_row}"


def _set_up(sheet: Worksheet, *, landscape: bool) -> None:
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    setup = sheet.page_setup
    setup.orientation = "landscape" if landscape else "portrait"
    setup.fitToWidth, setup.fitToHeight = 1, 0
    sheet.oddHeader = HeaderFooterItem(left=_HeaderFooterPart("&A"))
    sheet.oddFooter = HeaderFooterItem(right=_HeaderFooterPart("Page &P of &N"))
