"""A price list's file as rows of cells, each with its place: CSV in the usual encodings, or a workbook."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from harness.model.problem import Problem, SurveyWrong, Where
from harness.survey.csvtext import DELIMITERS, cells_of
from harness.survey.zipguard import BadWorkbook, checked_workbook

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

MOST_BYTES = 20_000_000
MOST_ROWS = 100_000
MOST_COLUMNS = 200
MOST_CELL = 1_000  # characters
LINES_TRIED = 60  # to find out what parts the cells


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: its text trimmed, and the number where a workbook holds one."""

    text: str
    where: Where
    number: Decimal | None = None
    merged: str = ""  # the cell that holds the value of a merged block this one lies in


@dataclass(frozen=True, slots=True)
class Row:
    """One row with the place of its first cell."""

    where: Where
    cells: tuple[Cell, ...]

    @property
    def filled(self) -> list[Cell]:
        """Cells that hold something."""
        return [cell for cell in self.cells if cell.text]


@dataclass(frozen=True, slots=True)
class Sheet:
    """The rows of a file or of one sheet of a workbook, blank ones left out."""

    name: str  # "" for a text
    rows: tuple[Row, ...]


@dataclass(slots=True)
class Grid:
    """What a file holds, and what is to be said about how it was read."""

    sheets: list[Sheet] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def read_grid(content: bytes, file: str, suits: Callable[[list[str]], int]) -> Grid:
    """The sheets of a price list. Raises SurveyWrong where it cannot be read at all, or with every bad cell.

    ``suits``: how many cells of a row are headings of a price list; by it the delimiter is found.
    """
    if len(content) > MOST_BYTES:
        raise SurveyWrong([Problem(Where(file), "is too large for a price list", "at most 20 MB")])
    if content.startswith(b"PK"):
        return _workbook(content, file)
    if content.startswith(b"\xd0\xcf\x11\xe0"):
        what = "is a workbook of the old binary kind, or one with a password"
        raise SurveyWrong([Problem(Where(file), what, "save it as XLSX or CSV without a password")])
    text, notes = decoded(content, file)
    return Grid([Sheet("", tuple(_text_rows(text, file, suits)))], notes)


def decoded(content: bytes, file: str) -> tuple[str, list[str]]:
    """The text of a file in UTF-8, UTF-16 or Windows-1252, and a note where it was not UTF-8."""
    try:
        if content.startswith((b"\xff\xfe", b"\xfe\xff")):
            return content.decode("utf-16"), [f"{file}: read as UTF-16"]
        head = content[:400]
        if len(head) > 3 and head[1::2].count(0) > len(head) // 4:
            return content.decode("utf-16-le"), [f"{file}: read as UTF-16"]
        if len(head) > 3 and head[0::2].count(0) > len(head) // 4:
            return content.decode("utf-16-be"), [f"{file}: read as UTF-16"]
    except UnicodeDecodeError:
        fix = "save it as CSV in UTF-8"
        raise SurveyWrong([Problem(Where(file), "begins as UTF-16 text, but is none", fix)]) from None
    if b"\0" in content:
        line = content[: content.index(b"\0")].count(b"\n") + 1
        raise SurveyWrong([Problem(Where(file, line, 1), "is no text", "save it as CSV in UTF-8")])
    try:
        return content.decode("utf-8-sig"), []
    except UnicodeDecodeError:
        pass
    try:
        return content.decode("cp1252"), [f"{file}: not UTF-8, read as Windows-1252"]
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        what = "is neither UTF-8, UTF-16 nor Windows-1252 text"
        raise SurveyWrong([Problem(Where(file, line, 1), what, "save it as CSV in UTF-8")]) from None


def _rows_by(text: str, sign: str) -> Iterator[tuple[int, list[str], list[int]]]:
    for line, cells, starts in cells_of(text, sign):
        if any(cell.strip() for cell in cells):
            yield line, cells, starts


def _delimiter(text: str, suits: Callable[[list[str]], int]) -> str:
    """The sign that parts some row into most headings, else the one found most often."""

    def worth(sign: str) -> tuple[int, int]:
        best = 0
        try:
            for at, (_, cells, _) in enumerate(_rows_by(text, sign)):
                if at >= LINES_TRIED:
                    break
                best = max(best, suits(cells))
        except csv.Error:
            pass
        return best, text[:20_000].count(sign)

    return max(DELIMITERS, key=worth)


def _text_rows(text: str, file: str, suits: Callable[[list[str]], int]) -> Iterator[Row]:
    sign = _delimiter(text, suits)
    line = 0
    try:
        for at, (line, cells, starts) in enumerate(_rows_by(text, sign)):
            if at >= MOST_ROWS:
                what = f"has more than {MOST_ROWS} rows"
                raise SurveyWrong([Problem(Where(file, line, 1), what, "split the list")])
            yield Row(
                Where(file, line, 1),
                tuple(
                    Cell(cell.strip()[:MOST_CELL], Where(file, line, start))
                    for cell, start in zip(cells[:MOST_COLUMNS], starts, strict=False)
                ),
            )
    except csv.Error as error:
        what = f"cannot be read as a table from here: {error}"
        fix = "look for a quotation mark that is not closed; save it as CSV in UTF-8"
        raise SurveyWrong([Problem(Where(file, line + 1, 1), what, fix)]) from None


# ---------------------------------------------------------------------------------------------- workbooks


def _workbook(content: bytes, file: str) -> Grid:
    import warnings

    from openpyxl import load_workbook

    try:
        checked_workbook(content)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of styles and extensions that are of no matter here
            values = load_workbook(checked_workbook(content), data_only=True)
            formulas = load_workbook(checked_workbook(content))
    except BadWorkbook as bad:
        raise SurveyWrong([Problem(Where(file), str(bad), "save it anew as XLSX")]) from None
    except Exception as error:  # whatever a damaged file makes of the library
        what = f"cannot be opened as a workbook ({type(error).__name__})"
        raise SurveyWrong([Problem(Where(file), what, "save it anew as XLSX, or as CSV")]) from None
    grid = Grid()
    problems: list[Problem] = []
    for sheet in values.worksheets:
        if sheet.sheet_state != "visible":
            grid.notes.append(f"{file}: sheet {sheet.title!r} is hidden and was left out")
            continue
        grid.sheets.append(_sheet(sheet, formulas[sheet.title], file, grid.notes, problems))
    if problems:
        raise SurveyWrong(problems)
    return grid


def _sheet(
    sheet: Worksheet, formulas: Worksheet, file: str, notes: list[str], problems: list[Problem]
) -> Sheet:
    if (sheet.max_row or 0) > MOST_ROWS:
        what = f"has more than {MOST_ROWS} rows"
        raise SurveyWrong(
            [Problem(Where(file, cell=f"{sheet.title}!A{MOST_ROWS + 1}"), what, "split the list")]
        )
    merged = {
        (row, column): block.coord.partition(":")[0]
        for block in sheet.merged_cells.ranges
        if block.size["rows"] * block.size["columns"] <= MOST_ROWS
        for row in range(block.min_row, block.max_row + 1)
        for column in range(block.min_col, block.max_col + 1)
        if (row, column) != (block.min_row, block.min_col)
    }
    rows: list[Row] = []
    hidden: list[int] = []
    computed: list[str] = []
    width = min(sheet.max_column or 0, MOST_COLUMNS)
    for at, line in enumerate(sheet.iter_rows(max_col=width), start=1):
        cells = []
        for column, one in enumerate(line, start=1):
            where = Where(file, cell=f"{sheet.title}!{one.coordinate}")
            value: Any = one.value
            if formulas.cell(at, column).data_type == "f":
                if value is None:
                    fix = "open and save the workbook in a spreadsheet program, or write the value itself"
                    problems.append(Problem(where, "a formula whose value was never computed", fix))
                elif isinstance(value, str) and value.startswith("#"):
                    problems.append(Problem(where, f"a formula that fails: {value[:20]}", "mend it"))
                else:
                    computed.append(one.coordinate)
            cells.append(_cell(value, where, merged.get((at, column), "")))
        if not any(cell.text for cell in cells):
            continue
        if sheet.row_dimensions[at].hidden:
            hidden.append(at)
        rows.append(Row(Where(file, cell=f"{sheet.title}!A{at}"), tuple(cells)))
    if computed:
        some = ", ".join(computed[:3]) + (", ..." if len(computed) > 3 else "")
        notes.append(
            f"{file}:{sheet.title}: {len(computed)} formulas ({some}): their last saved values were read"
        )
    if hidden:
        some = ", ".join(map(str, hidden[:5])) + (", ..." if len(hidden) > 5 else "")
        notes.append(f"{file}:{sheet.title}: hidden rows were read too ({some}): delete what is not for sale")
    return Sheet(sheet.title, tuple(rows))


def _cell(value: Any, where: Where, merged: str) -> Cell:
    if value is None:
        return Cell("", where, None, merged)
    if isinstance(value, bool):
        return Cell("yes" if value else "no", where, None, merged)
    if isinstance(value, int | float):
        number = _exact(value)
        return Cell(str(value) if number is None else f"{number:f}", where, number, merged)
    if isinstance(value, date):
        return Cell(value.isoformat()[:10], where, None, merged)
    return Cell(" ".join(str(value).split())[:MOST_CELL], where, None, merged)


def _exact(value: float) -> Decimal | None:
    """The number a person typed: binary noise behind ten digits is rounded off; None for no number."""
    number = Decimal(repr(value))
    if not number.is_finite() or abs(number) > 10**12:
        return None
    rounded = round(number, 10)
    return rounded.quantize(Decimal(1)) if rounded == rounded.to_integral_value() else rounded.normalize()
