"""From the cells of a workbook to the located tree of a survey, each text knowing its sheet and cell."""

from __future__ import annotations

from collections.abc import Mapping as Dictionary
from dataclasses import dataclass

from harness import signs
from harness.model.problem import Problem, SurveyWrong, stop_when_many
from harness.survey.located import Entry, Mapping, Node, Sequence, Spot, Text, canonical
from harness.survey.sheets.cells import Unreadable, said
from harness.survey.sheets.flow import read_list, read_mapping
from harness.survey.sheets.layout import (
    ASSUMED,
    CIRCUIT,
    KEY,
    LISTED,
    MEANING,
    PATH,
    PATHS,
    PLACES,
    REMARKS,
    VALUE,
    Column,
    Layout,
    layout_of,
    layouts,
)
from harness.survey.sheets.package import RawBook, RawSheet, column_letters
from harness.survey.words import hint, nearest
from harness.survey.yamltext import UNSEEN

OURS = ("start here", "lists", "as typed")  # sheets that hold nothing of the machine
_IGNORED = (ASSUMED, MEANING, *REMARKS)
ROWS_ABOVE = 9  # that may stand above the titles

Rows = list[tuple[Spot, dict[str, Text]]]


@dataclass(slots=True)
class _Sheet:
    """One sheet with its place in the book, and its filled cells by row and column."""

    raw: RawSheet
    order: int
    grid: dict[int, dict[int, Text]]
    head: int = 1  # the row that holds the titles

    def spot(self, row: int, column: int) -> Spot:
        return Spot(row, column, f"{self.raw.name}!{column_letters(column)}{row}", self.order)


class _Reading:
    """Collects what is wrong while the sheets are read."""

    def __init__(self, book: RawBook, file: str) -> None:
        self.book, self.file = book, file
        self.problems: list[Problem] = []

    def say(self, spot: Spot, what: str, fix: str) -> None:
        self.take(Problem(spot.where(self.file), what, fix))

    def take(self, problem: Problem) -> None:
        self.problems.append(problem)
        stop_when_many(self.file, self.problems)

    # ------------------------------------------------------------------------------------------ sheets

    def sheets(self) -> dict[str, tuple[int, RawSheet]]:
        """Section -> its sheet; a sheet that is missing, or has another name, is told.

        Raises SurveyWrong where none is there.
        """
        wanted = {layout.title.lower(): layout for layout in layouts()}
        found: dict[str, tuple[int, RawSheet]] = {}
        others: list[tuple[int, RawSheet]] = []
        for order, raw in enumerate(self.book.sheets, start=1):
            name = canonical(raw.name).lower()
            if name in wanted and wanted[name].section not in found:
                found[wanted[name].section] = (order, raw)
            elif name not in OURS:
                others.append((order, raw))
        if not found:
            known = ", ".join(layout.title for layout in layouts() if layout.must)
            first = Spot(1, 1, f"{self.book.sheets[0].name}!A1", 1) if self.book.sheets else Spot(1, 1)
            self.say(
                first, f"this workbook is no survey: it has none of the sheets {known}",
                "start from a blank one: `harness survey-sheets -o MACHINE.xlsx`",
            )  # fmt: skip
            raise SurveyWrong(self.problems)
        self._renamed(found, others)
        return found

    def _renamed(self, found: dict[str, tuple[int, RawSheet]], others: list[tuple[int, RawSheet]]) -> None:
        lacking = {layout.title: layout for layout in layouts() if layout.section not in found}
        for order, raw in others:
            near = nearest(raw.name, [*lacking])
            if near is not None and raw.cells:
                spot = Spot(1, 1, f"{raw.name}!A1", order)
                self.say(
                    spot, f"a survey has no sheet {raw.name!r}, and there is none called {near!r}",
                    f"name it {near!r}; a sheet of your own needs a name unlike those of the survey",
                )  # fmt: skip
                found[lacking.pop(near).section] = (order, raw)
        for layout in lacking.values():
            if layout.must:
                self.take(
                    Problem(
                        Spot(1, 1).where(self.file, whole=True),
                        f"the sheet {layout.title!r} is missing",
                        f"add it, with {_titles(layout)} in its first row",
                    )
                )

    def _merges(self, sheet: _Sheet) -> None:
        order, raw, rows = sheet.order, sheet.raw, sheet.grid
        for top, left, bottom, right in raw.merged:
            if bottom <= sheet.head or not any(top <= row <= bottom for row in rows):
                continue
            name = f"{column_letters(left)}{top}:{column_letters(right)}{bottom}"
            spot = Spot(top, left, f"{raw.name}!{column_letters(left)}{top}", order)
            self.say(spot, f"the cells {name} are merged", "take the merging off and fill in every cell")

    # ------------------------------------------------------------------------------------------- cells

    def grid(self, order: int, raw: RawSheet, layout: Layout) -> _Sheet:
        """The filled cells of a sheet, those that cannot be read told and left out."""
        sheet = _Sheet(raw, order, {}, _head_row(raw, layout))
        yes_no = self._yes_no(sheet, layout)
        for cell in raw.cells:
            spot = sheet.spot(cell.row, cell.column)
            key = cell.row if layout.shape == "record" else cell.column
            text = said(cell, from_1904=self.book.from_1904, yes_no=key in yes_no)
            below = sheet.grid.setdefault(cell.row, {})
            if isinstance(text, Unreadable):
                if not self._our_own(sheet, layout, cell.row, cell.column):
                    self.say(spot, text.what, text.fix)
                    below[cell.column] = Text("", spot, "")
                continue
            at = signs.unseen(text)
            if at is not None:
                self.say(spot, UNSEEN.format(signs.sign_name(text[at])), "leave it out")
                text = signs.shown(text)
            if text.strip():
                below[cell.column] = Text(text, spot, text)
            elif not below:
                del sheet.grid[cell.row]
        self._merges(sheet)
        return sheet

    def _our_own(self, sheet: _Sheet, layout: Layout, row: int, column: int) -> bool:
        """Whether the cell stands in a column that is not read."""
        if layout.shape == "record":
            return column > 2
        title = sheet.grid.get(sheet.head, {}).get(column)
        ignored = title is not None and canonical(title.value).lower() in _IGNORED
        return row < sheet.head or (row > sheet.head and ignored)

    def _yes_no(self, sheet: _Sheet, layout: Layout) -> set[int]:
        """The columns, or in a record the rows, that take yes or no."""
        keys = {each.title for each in layout.columns if each.yes_no}
        heads = [
            cell
            for cell in sheet.raw.cells
            if (cell.column == 1 if layout.shape == "record" else cell.row == sheet.head)
        ]
        return {
            cell.row if layout.shape == "record" else cell.column
            for cell in heads
            if canonical(cell.text).lower() in keys
        }

    # -------------------------------------------------------------------------------------------- rows

    def heads(self, sheet: _Sheet, layout: Layout) -> dict[int, Column]:
        """Column number -> the column of the survey."""
        known = {column.title: column for column in layout.columns}
        found: dict[int, Column] = {}
        used = {column for row, cells in sheet.grid.items() if row > sheet.head for column in cells}
        titles = sheet.grid.get(sheet.head, {})
        for at, text in titles.items():
            title = canonical(text.value).lower()
            if title in _IGNORED:
                used.discard(at)
            elif title not in known:
                self.say(
                    text.spot, f"the sheet {layout.title!r} has no column {text.value!r}",
                    f"{hint(title, [*known])}; a column for your own remarks is headed {REMARKS[0]!r}",
                )  # fmt: skip
                near = nearest(title, [name for name in known if known[name] not in found.values()])
                if near is not None:
                    found[at] = known[near]
            elif known[title] in found.values():
                self.say(text.spot, f"the column {text.value!r} stands twice", "keep one of them")
            else:
                found[at] = known[title]
        for at in sorted(used - titles.keys()):
            row = min(row for row, cells in sheet.grid.items() if row > sheet.head and at in cells)
            self.say(
                sheet.spot(row, at), "this cell stands below no title",
                f"clear it, or write one of {_titles(layout)} into row {sheet.head} of its column",
            )  # fmt: skip
        return found

    def rows(self, sheet: _Sheet, layout: Layout) -> Rows:
        """The filled rows below the titles, by the keys of the survey."""
        heads = self.heads(sheet, layout)
        found: Rows = []
        for row, cells in sorted(sheet.grid.items()):
            texts = {heads[at].title: text for at, text in cells.items() if at in heads}
            if row > sheet.head and texts:
                found.append((next(iter(texts.values())).spot, texts))
        return found

    def record(self, sheet: _Sheet, layout: Layout) -> Rows:
        """Keys and values that stand beside one another, as one row."""
        known = [column.title for column in layout.columns]
        texts: dict[str, Text] = {}
        for _, cells in sorted(sheet.grid.items()):
            key, value = cells.get(1), cells.get(2)
            word = canonical(key.value).lower() if key is not None else ""
            if word == KEY and value is not None and canonical(value.value).lower() == VALUE:
                continue
            if value is None:
                continue  # a key that is left blank
            if key is None:
                self.say(value.spot, "no key stands beside this value", f"write one of {_listed(known)}")
            elif word not in known:
                self.say(key.spot, f"{layout.title!r} has no key {key.value!r}", hint(word, known))
            elif word in texts:
                self.say(key.spot, f"{key.value!r} stands twice", "leave one of them out")
            else:
                texts[word] = value
        return [(sheet.spot(1, 1), texts)]

    # -------------------------------------------------------------------------------------------- tree

    def value(self, column: Column, text: Text) -> Node:
        if column.holds == "list":
            return read_list(text, self.file, self.take)
        if column.holds == "mapping":
            return read_mapping(text, self.file, self.take)
        return text

    def entry(self, layout: Layout, spot: Spot, texts: Dictionary[str, Text]) -> Mapping:
        """One row as a mapping, the keys in the order of the form."""
        entries = {
            column.title: Entry(Text(column.title, text.spot, ""), self.value(column, text))
            for column in layout.columns
            if (text := texts.get(column.title)) is not None
        }
        return Mapping(entries, spot)

    def named(self, layout: Layout, rows: Rows, singular: str) -> Mapping | None:
        title = layout.columns[0].title
        entries: dict[str, Entry] = {}
        for spot, texts in rows:
            name = texts.get(title)
            if layout.section == PLACES and set(texts) == {title}:
                continue  # only there to be chosen from
            if name is None:
                self.say(spot, f"this row says nothing about its {singular}", f"fill in the column {title!r}")
                continue
            if not name.value:
                continue  # what stands there cannot be read, which has been said
            key = canonical(name.value)
            if key in entries:
                first = entries[key].key.spot.cell.partition("!")[2]
                self.say(
                    name.spot, f"{name.value!r} stands twice: here and at {first}",
                    "give one of them another name, or clear its row",
                )  # fmt: skip
                continue
            rest = {each: text for each, text in texts.items() if each not in (title, LISTED)}
            entries[key] = Entry(name, self.entry(layout, name.spot, rest))
        return Mapping(entries, Spot(1, 1)) if entries else None


def _head_row(raw: RawSheet, layout: Layout) -> int:
    """The row of the titles: the first, unless one below it holds more of them."""
    known = {column.title for column in layout.columns} | {*_IGNORED}
    titles: dict[int, set[str]] = {1: set()}
    for cell in raw.cells:
        if cell.row <= 1 + ROWS_ABOVE and (word := canonical(cell.text).lower()) in known:
            titles.setdefault(cell.row, set()).add(word)
    best = max(sorted(titles), key=lambda row: len(titles[row]))
    return best if layout.shape != "record" and len(titles[best]) > 1 else 1


def _listed(words: list[str]) -> str:
    return ", ".join(repr(word) for word in words)


def _titles(layout: Layout) -> str:
    return _listed([column.title for column in layout.columns][:6])


def remarks_in(book: RawBook) -> list[str]:
    """The titles of columns for remarks of one's own, each with its sheet."""
    known = {layout.title.lower() for layout in layouts() if layout.shape != "record"}
    return [
        f"{cell.text!r} of {sheet.name}"
        for sheet in book.sheets
        if canonical(sheet.name).lower() in known
        for cell in sheet.cells
        if cell.row == 1 and canonical(cell.text).lower() in REMARKS
    ]


def read_book(book: RawBook, file: str) -> tuple[Node, list[Problem]]:
    """The tree of a survey workbook, and what is wrong in its cells.

    Raises SurveyWrong where the workbook is no survey at all.
    """
    reading = _Reading(book, file)
    sheets = reading.sheets()
    rows: dict[str, tuple[Layout, Spot, Rows]] = {}
    for layout in layouts():
        if layout.section in sheets:
            order, raw = sheets[layout.section]
            sheet = reading.grid(order, raw, layout)
            found = (reading.record if layout.shape == "record" else reading.rows)(sheet, layout)
            rows[layout.section] = (layout, sheet.spot(1, 1), found)
    entries: dict[str, Entry] = {}
    for section, (layout, spot, found) in rows.items():
        if section == PATHS:
            continue
        node = _section(reading, layout, spot, found, rows.get(PATHS))
        if node is not None:
            entries[section] = Entry(Text(section, spot, section), node)
    for layout in layouts():
        if layout.must and layout.section != PATHS and layout.section not in entries:
            spot = rows[layout.section][1] if layout.section in rows else Spot(1, 1)
            entries[layout.section] = Entry(Text(layout.section, spot, ""), Mapping({}, spot))
    return Mapping(entries, Spot(1, 1)), reading.problems


def _section(
    reading: _Reading, layout: Layout, spot: Spot, rows: Rows, paths: tuple[Layout, Spot, Rows] | None
) -> Node | None:
    if layout.shape == "record":
        (_, texts), = rows  # fmt: skip
        return reading.entry(layout, spot, texts) if texts else None
    if layout.shape == "named":
        made = reading.named(layout, rows, layout.columns[0].title)
        if layout.section == "circuits":
            return _with_paths(reading, made, paths)
        return made
    if not rows:
        return None
    if layout.shape == "texts":
        title = layout.columns[0].title
        return Sequence(tuple(texts[title] for _, texts in rows), spot)
    return Sequence(tuple(reading.entry(layout, at, texts) for at, texts in rows), spot)


def _with_paths(
    reading: _Reading, made: Mapping | None, paths: tuple[Layout, Spot, Rows] | None
) -> Mapping | None:
    """The circuits with their paths, which stand on a sheet of their own."""
    circuits = dict(made.entries) if made is not None else {}
    below: dict[str, list[Text]] = {}
    last: Text | None = None
    for spot, texts in paths[2] if paths is not None else ():
        last = texts.get(CIRCUIT, last)
        path = texts.get(PATH)
        if path is None:
            reading.say(spot, "this row has no path", "write it, or clear the row")
        elif last is None:
            reading.say(spot, "this path belongs to no circuit", f"fill in the column {CIRCUIT!r}")
        elif canonical(last.value) not in circuits:
            known = [entry.key.value for entry in circuits.values()]
            fix = hint(last.value, known) if known else f"add it to the sheet {layout_of('circuits').title!r}"
            if last is texts.get(CIRCUIT):
                reading.say(last.spot, f"there is no circuit {last.value!r}", fix)
        else:
            below.setdefault(canonical(last.value), []).append(path)
    for name, entry in circuits.items():
        if name in below and isinstance(entry.value, Mapping):
            spot = below[name][0].spot
            node = Sequence(tuple(below[name]), spot)
            entries = {**entry.value.entries, PATHS: Entry(Text(PATHS, spot, PATHS), node)}
            circuits[name] = Entry(entry.key, Mapping(entries, entry.value.spot))
    return Mapping(circuits, Spot(1, 1)) if circuits else None
