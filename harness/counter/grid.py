"""A price list's file as rows of cells, each with its place: CSV in the usual encodings, or a workbook."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from decimal import Decimal, InvalidOperation

from harness.model.limits import LIMITS
from harness.model.problem import Problem, SurveyWrong, Where
from harness.signs import sign_name, unseen, without
from harness.survey.csvtext import DELIMITERS, Place, cells_of
from harness.survey.sheets.cells import Unreadable, said
from harness.survey.sheets.package import Raw, RawSheet, column_letters, open_book

MOST_BYTES = LIMITS["price list bytes"].most
MOST_ROWS = LIMITS["price list rows"].most
MOST_COLUMNS = LIMITS["price list columns"].most
MOST_CELL = LIMITS["price list cell"].most
LINES_TRIED = 60  # to find out what parts the cells


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: its text trimmed, and the number where a workbook holds one."""

    text: str
    where: Where
    number: Decimal | None = None
    merged: str = ""  # the cell that holds the value of a merged block this one lies in
    strange: Unreadable | None = None  # an error or a date in place of text or a number


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
    return _seen(Grid([Sheet("", tuple(_text_rows(text, file, suits)))], notes), file)


def decoded(content: bytes, file: str) -> tuple[str, list[str]]:
    """The text of a file in UTF-8, UTF-16 or Windows-1252, and a note where it was not UTF-8.

    Raises SurveyWrong where it is none of them.
    """
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


def _rows_by(text: str, sign: str) -> Iterator[tuple[int, list[str], list[Place]]]:
    for line, cells, places in cells_of(text, sign):
        if any(cell.strip() for cell in cells):
            yield line, cells, places


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


def _too_wide(where: Where) -> Problem:
    what = f"something stands beyond {LIMITS['price list columns']}"
    return Problem(where, what, "delete it, or leave out the columns that no price list needs")


def _text_rows(text: str, file: str, suits: Callable[[list[str]], int]) -> Iterator[Row]:
    sign = _delimiter(text, suits)
    line = 0
    try:
        for at, (line, cells, places) in enumerate(_rows_by(text, sign)):
            if at >= MOST_ROWS:
                what = f"has more than {LIMITS['price list rows']}"
                raise SurveyWrong([Problem(Where(file, line, 1), what, "split the list")])
            if any(cell.strip() for cell in cells[MOST_COLUMNS:]):
                raise SurveyWrong([_too_wide(Where(file, *places[MOST_COLUMNS]))])
            yield Row(
                Where(file, line, 1),
                tuple(
                    Cell(cell.strip(), Where(file, *place))
                    for cell, place in zip(cells[:MOST_COLUMNS], places, strict=False)
                ),
            )
    except csv.Error as error:
        what = f"cannot be read as a table from here: {error}"
        fix = "look for a quotation mark that is not closed; save it as CSV in UTF-8"
        raise SurveyWrong([Problem(Where(file, line + 1, 1), what, fix)]) from None


# ---------------------------------------------------------------------------------------------- workbooks


def _workbook(content: bytes, file: str) -> Grid:
    grid = Grid()
    problems: list[Problem] = []
    book = open_book(content, file)
    for place, sheet in enumerate(book.sheets):
        if sheet.hidden:
            grid.notes.append(f"{file}: sheet {sheet.name!r} is hidden and was left out")
            continue
        grid.sheets.append(_sheet(sheet, place, file, grid.notes, problems, from_1904=book.from_1904))
    if problems:
        raise SurveyWrong(problems)
    return _seen(grid, file)


def _seen(grid: Grid, file: str) -> Grid:
    """The cells without signs that nobody sees and none too long; notes tell who only reads the list."""
    found: list[str] = []
    cut: list[str] = []

    def cleaned(cell: Cell) -> Cell:
        spot = cell.where.cell or f"line {cell.where.line}"
        if len(cell.text) > MOST_CELL:
            cut.append(spot)
            cell = replace(cell, text=cell.text[:MOST_CELL].strip())
        at = unseen(cell.text)
        if at is None:
            return cell
        found.append(f"{sign_name(cell.text[at])} at {spot}")
        return replace(cell, text=without(cell.text).strip())

    def harmless(text: str) -> bool:
        return text.isascii() and text.isprintable() and len(text) <= MOST_CELL

    for number, sheet in enumerate(grid.sheets):
        if not all(harmless(cell.text) for row in sheet.rows for cell in row.cells):
            rows = tuple(Row(row.where, tuple(map(cleaned, row.cells))) for row in sheet.rows)
            grid.sheets[number] = Sheet(sheet.name, rows)
    if cut:
        grid.notes.append(
            f"{file}: longer than {LIMITS['price list cell']}, so that the rest is left out: {_some(cut)}"
        )
    if found:
        grid.notes.append(
            f"{file}: signs that nobody sees were left out of {len(found)} cells: {_some(found)}"
        )
    return grid


def _sheet(
    sheet: RawSheet, place: int, file: str, notes: list[str], problems: list[Problem], *, from_1904: bool
) -> Sheet:
    def at(row: int, column: int) -> Where:
        return Where(file, row, column, f"{sheet.name}!{column_letters(column)}{row}", place)

    filled: dict[int, dict[int, Raw]] = {}
    for raw in sheet.cells:
        if raw.column > MOST_COLUMNS and raw.text.strip():
            raise SurveyWrong([_too_wide(at(raw.row, raw.column))])
        if raw.column <= MOST_COLUMNS:
            filled.setdefault(raw.row, {})[raw.column] = raw
    if len(filled) > MOST_ROWS:
        what = f"sheet {sheet.name!r} has more than {LIMITS['price list rows']}"
        raise SurveyWrong([Problem(Where(file), what, "split the list")])
    merged = {
        (row, column): f"{column_letters(left)}{top}"
        for top, left, bottom, right in sheet.merged
        if (bottom - top + 1) * (right - left + 1) <= MOST_ROWS
        for row in range(top, bottom + 1)
        for column in range(left, right + 1)
        if (row, column) != (top, left)
    }
    reach: dict[int, int] = {}  # row -> the last column of a merged block in it
    for row, column in merged:
        if column <= MOST_COLUMNS:
            reach[row] = max(column, reach.get(row, 0))
    rows: list[Row] = []
    computed: list[str] = []
    for row, raws in sorted(filled.items()):
        cells = []
        for column in range(1, max(*raws, reach.get(row, 1)) + 1):
            where, found = at(row, column), raws.get(column)
            if found is not None and found.formula:
                _of_formula(found, where, problems)
                computed.append(f"{column_letters(column)}{row}")
            cells.append(_cell(found, where, merged.get((row, column), ""), from_1904=from_1904))
        if any(cell.text for cell in cells):
            rows.append(Row(at(row, 1), tuple(cells)))
    hidden = [row for row in sheet.hidden_rows if row in filled]
    if computed:
        what = f"{len(computed)} formulas ({_some(computed)}): their last saved values were read"
        notes.append(f"{file}: {sheet.name}: {what}")
    if hidden:
        what = f"hidden rows were read too ({_some(map(str, hidden))}): delete what is not for sale"
        notes.append(f"{file}: {sheet.name}: {what}")
    return Sheet(sheet.name, tuple(rows))


def _some(words: Iterable[str]) -> str:
    first = list(words)
    return ", ".join(first[:4]) + (", ..." if len(first) > 4 else "")


def _of_formula(raw: Raw, where: Where, problems: list[Problem]) -> None:
    """What is wrong with the saved value of a formula."""
    if not raw.text:
        fix = "open and save the workbook in a spreadsheet program, or write the value itself"
        problems.append(Problem(where, "a formula whose value was never computed", fix))
    elif raw.kind == "error":
        problems.append(Problem(where, f"a formula that fails: {raw.text[:20]}", "mend it"))


def _cell(raw: Raw | None, where: Where, merged: str, *, from_1904: bool) -> Cell:
    if raw is None:
        return Cell("", where, None, merged)
    if raw.kind == "truth":
        return Cell("yes" if raw.text == "1" else "no", where, None, merged)
    if raw.kind in ("error", "date") or (raw.kind == "number" and raw.shows != "General"):
        told = said(replace(raw, formula=False), from_1904=from_1904, yes_no=False)
        if isinstance(told, Unreadable):
            return Cell(raw.text[:40], where, None, merged, told)
        if told.endswith("%"):  # 20 % is saved as 0.2
            return Cell(told, where, None, merged)
    if raw.kind == "number":
        number = _exact(raw.text)
        return Cell(raw.text if number is None else f"{number:f}", where, number, merged)
    return Cell(" ".join(raw.text.split()), where, None, merged)


def _exact(text: str) -> Decimal | None:
    """The number a person typed: binary noise behind ten digits is rounded off; None for no number."""
    try:
        number = Decimal(text)
    except InvalidOperation:
        return None
    if not number.is_finite() or abs(number) > 10**12:
        return None
    rounded = round(number, 10)
    return rounded.quantize(Decimal(1)) if rounded == rounded.to_integral_value() else rounded.normalize()
