"""Sheets of the workbook as chapters of the book, so that a new column or list stands in both."""

from __future__ import annotations

from harness.book.bench_sheets import grounds_sheet, runs_sheet
from harness.book.branch_sheet import branch_sheet
from harness.book.buying_sheet import buying_sheet, cut_text
from harness.book.couplers_sheet import couplers_sheet
from harness.book.fuse_sheet import fuses_sheet
from harness.book.marks import Marks
from harness.book.settled import supply_sheet
from harness.book.sheet import TICK, Column, Row, Sheet, shown
from harness.book.shop.blocks import Block, Chapter, Grid, Head, Line, Role, Words
from harness.book.stores_sheets import assumed_sheet, materials_sheet, sources_sheet
from harness.model.design import Design

MOST_COLUMNS = 7  # of a table that a page holds; beyond, each row is a card
_ROLES: dict[str, Role] = {
    "Wire": "wire", "Wires": "wires", "Colour": "colour", "Wire in half A": "wire", "Wire in half B": "wire",
    "Guards wires": "wires", "Carried then by wire": "wires", "Found": "write",
}  # fmt: skip
_MARKS = "(see "  # a column that only leads to another sheet


def _role(column: Column, values: list[str]) -> Role:
    if TICK in values:
        return "tick"
    if column.title in _ROLES:
        return _ROLES[column.title]
    return "number" if column.align == "right" else ""


def _texts(sheet: Sheet, row: Row) -> list[str]:
    padded = row.values + (None,) * (len(sheet.columns) - len(row.values))
    return [shown(value, column.shows) for column, value in zip(sheet.columns, padded, strict=True)]


def _line(sheet: Sheet, row: Row, kept: list[int], at: int) -> Line:
    texts = _texts(sheet, row)
    look = row.look if row.look in ("danger", "fault") else ""
    if row.look == "heading":
        words = ", ".join(dict.fromkeys(text for text in texts if text))
        return Line((words,), heading=True)
    return Line(tuple(texts[index] for index in kept), look=look, key=f"{sheet.name}:{at}")


def _kept(sheet: Sheet, texts: list[list[str]], without: tuple[str, ...]) -> list[int]:
    """Columns that say something; one that leads to another sheet stays even where it is empty."""
    return [
        index
        for index, column in enumerate(sheet.columns)
        if column.title not in without
        and (
            _MARKS in column.title or _ROLES.get(column.title) == "write" or any(row[index] for row in texts)
        )
    ]


def _grouped(sheet: Sheet, lines: list[Line], by: int) -> list[Line]:
    """Put a heading before every stretch of rows with the same text in one column."""
    found: list[Line] = []
    last = ""
    for row, line in zip(sheet.rows, lines, strict=True):
        group = str(row.values[by])
        if group != last:
            found.append(Line((group,), heading=True))
            last = group
        found.append(line)
    return found


def grid(
    sheet: Sheet,
    *,
    title: str = "",
    without: tuple[str, ...] = (),
    cards: bool | None = None,
    group: str = "",
) -> Grid:
    """Return a sheet as a table of the book; ``without`` leaves columns out, ``group`` heads by one."""
    texts = [_texts(sheet, row) for row in sheet.rows if row.look != "heading"]
    kept = _kept(sheet, texts, (*without, group)) or [0]  # nothing but headings: they span one column
    heads = tuple(
        Head(sheet.columns[index].title, _role(sheet.columns[index], [row[index] for row in texts]))
        for index in kept
    )
    lines = [_line(sheet, row, kept, at) for at, row in enumerate(sheet.rows)]
    if group:
        lines = _grouped(sheet, lines, [column.title for column in sheet.columns].index(group))
    return Grid(heads, tuple(lines), title, len(heads) > MOST_COLUMNS if cards is None else cards)


_OF_THE_CUT_LIST = ("Cut", "Length ft in", "Batch (cut, crimp together)")


def branches(design: Design) -> Chapter:
    """Return the wires by branch, in the order of laying them on the board."""
    words = Words("Lay the loom branch by branch in this order; tick a wire when it lies.")
    return Chapter(
        "branches",
        "Laying, by branch",
        (words, grid(branch_sheet(design), without=_OF_THE_CUT_LIST, cards=False)),
    )


def couplers(design: Design) -> Chapter | None:
    """Return the pin lists, None on a machine that does not come apart."""
    if not design.couplers:
        return None
    sheet = couplers_sheet(design)
    lines = tuple(row for row in sheet.rows if row.values[1] != "loom")
    some = Sheet(sheet.name, sheet.columns, lines, spilling=sheet.spilling)
    words = Words(
        "The same way holds the same wire in both halves. Count ways from the figures on the housing."
    )
    return Chapter(
        "couplers", "Couplers", (words, grid(some, without=("Loom or coupler", "Place"), cards=False))
    )


def fuses(design: Design, marks: Marks) -> Chapter:
    """Return every fuse."""
    words = Words("Never fit a larger fuse than the list says. Find out why it blew.")
    return Chapter("fuses", "Fuses", (words, grid(fuses_sheet(design, marks))))


def grounds(design: Design) -> Chapter:
    """Return bodies, straps and ground cables."""
    return Chapter("grounds", "Grounds and straps", (grid(grounds_sheet(design)),))


def runs(design: Design) -> Chapter:
    """Return every run with what goes round it."""
    return Chapter("runs", "Runs, covering and holes", (grid(runs_sheet(design)),))


def supply(design: Design) -> Chapter:
    """Return what every mode comes to."""
    return Chapter("supply", "Supply: battery and charging", (grid(supply_sheet(design)),))


_CUTS = "Cut from it, longest first (wire, splice or run, and m)"


def _cuts(design: Design) -> Grid:
    """Which wire, sleeve or tube is cut from which roll: one row a roll."""
    rows = [
        Line((f"{line.item} {line.size} {line.colour}".strip(), cut_text(cut)))
        for line in design.buying
        for cut in line.cuts
    ]
    return Grid((Head("Off"), Head("Roll or stick: what is cut from it, in m")), tuple(rows))


def stores(design: Design, marks: Marks) -> Chapter:
    """Return what to buy as it is sold, the exact need, and what is cut from which roll."""
    sold = grid(buying_sheet(design), group="Group", without=(_CUTS, "Comes to, m or pieces"), cards=False)
    need = grid(
        materials_sheet(design, marks), group="Group", without=("Longest piece m (ft in)",), cards=False
    )
    blocks: list[Block] = [
        Words("As it is sold", heading=True),
        sold,
        Words("Exact need", heading=True),
        need,
    ]
    blocks += [Words("What is cut from which roll", heading=True), _cuts(design)]
    return Chapter("stores", "Materials and buying", tuple(blocks))


def sources(marks: Marks) -> Chapter:
    """Return what was assumed and where figures come from."""
    blocks: list[Block] = [Words("Assumed, not measured", heading=True), grid(assumed_sheet(marks))]
    blocks += [Words("Sources", heading=True), grid(sources_sheet(marks))]
    return Chapter("sources", "Assumed, and sources", tuple(blocks))
