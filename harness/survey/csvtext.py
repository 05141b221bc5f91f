"""A table in a text of comma-separated values, row by row with the spot where every cell begins."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from io import StringIO

from harness import signs
from harness.model.problem import Problem, Where, stop_when_many
from harness.survey.words import hint

DELIMITERS = (",", ";", "\t")  # what spreadsheets write between cells, by country
MOST_SHOWN = 40  # characters of a cell in a message
Place = tuple[int, int]  # line and column of the text, counted from 1


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row below the header: its cells by column, trimmed, and where each begins."""

    file: str
    line: int
    cells: Mapping[str, str]
    at: Mapping[str, Place]

    def problem(self, column: str, what: str, fix: str) -> Problem:
        """A mistake in one cell of the row."""
        return Problem(Where(self.file, *self.at.get(column, (self.line, 1))), what, fix)


def shown(text: str) -> str:
    """A cell as a message may quote it: signs that cannot be seen written out, and not too long.

    >>> shown("a\\x07b")
    "'a\\\\x07b'"
    """
    return repr(text if len(text) <= MOST_SHOWN else text[:MOST_SHOWN] + "...")


_QUOTED = re.compile(r'"(?:[^"]|"")*"?')


class _Lines:
    """The lines of a text as they are taken, so that a row knows the letters it was read from."""

    def __init__(self, text: str) -> None:
        self._lines = StringIO(text, newline="")
        self.taken: list[str] = []

    def __iter__(self) -> _Lines:
        return self

    def __next__(self) -> str:
        self.taken.append(next(self._lines))
        return self.taken[-1]


def _places(raw: str, sign: str, count: int, line: int) -> list[Place]:
    """Where each cell of a row begins, its quotation mark counted; ``raw``: the letters of the row."""
    found: list[Place] = []
    at = 0
    for _ in range(count):
        above = raw.count("\n", 0, at)
        found.append((line + above, at - raw.rfind("\n", 0, at)))
        quote = _QUOTED.match(raw, at)
        end = raw.find(sign, quote.end() if quote else at)
        at = len(raw) if end < 0 else end + 1
    return found


def cells_of(text: str, sign: str) -> Iterator[tuple[int, list[str], list[Place]]]:
    """Every row of a text: the line it begins in, its cells, and the place in the text where each begins.

    Raises csv.Error where a text is no table.
    """
    source = _Lines(text)
    lines = csv.reader(source, delimiter=sign)
    end = 0
    for cells in lines:
        line, end = end + 1, lines.line_num
        raw = "".join(source.taken)
        source.taken.clear()
        yield line, cells, _places(raw, sign, len(cells), line)


def _delimiter(header: str, columns: Sequence[str]) -> str:
    """The sign that parts the header into most of the columns known."""

    def found(sign: str) -> int:
        return sum(cell.strip(' "').lower() in columns for cell in header.split(sign))

    return max(DELIMITERS, key=found)


def table_rows(
    text: str, file: str, problems: list[Problem],
    *, columns: Sequence[str], needed: Sequence[str], what: str, example: str,
) -> Iterator[TableRow]:  # fmt: skip
    """Yield the rows that can be read, those that are blank left out, and add every mistake to ``problems``.

    ``columns``: all there may be. ``needed``: those that must be there. ``what``: "a list of offcuts".
    ``example``: how to begin. Cells may be parted by commas, semicolons or tabs. Raises SurveyWrong when
    there are more mistakes than anybody reads at once.
    """
    text = text.removeprefix("\ufeff")
    sign = _delimiter(text.partition("\n")[0], columns)
    rows = cells_of(text, sign)
    line = 0
    try:
        line, cells, places = next(rows, (1, [], []))
        header = _filled([cell.strip().lower() for cell in cells])
        for place, name in zip(places, header, strict=False):
            if name not in columns:
                said = f"{shown(name)} is no column of {what}"
                problems.append(Problem(Where(file, *place), said, hint(name, columns)))
            elif header.count(name) > 1:
                said = f"{name!r} stands twice in the header"
                problems.append(Problem(Where(file, *place), said, "keep one of them"))
        missing = [name for name in needed if name not in header]
        if missing:
            said = f"the header lacks {', '.join(missing)}"
            problems.append(Problem(Where(file, 1, 1), said, f"begin with {example}"))
        if problems:  # the rows would be blamed for what the header does
            return
        for line, cells, places in rows:
            cells = _filled(cells)
            if not cells:
                continue
            stop_when_many(file, problems)
            if len(cells) > len(header):
                extra = f"{len(cells)} cells where the header has {len(header)}"
                fix = "put quotes around what holds a comma"
                problems.append(Problem(Where(file, line, 1), extra, fix))
                continue
            for place, cell in zip(places, cells, strict=False):
                hidden = signs.unseen(cell)
                if hidden is not None:
                    said = f"the cell holds a sign that nobody sees: {signs.sign_name(cell[hidden])}"
                    problems.append(Problem(Where(file, *place), said, "leave it out"))
            padded = [*cells, *[""] * (len(header) - len(cells))]
            spots = [*places, *[places[-1]] * len(header)][: len(header)]  # what is missing, at the last cell
            yield TableRow(
                file,
                line,
                {name: cell.strip() for name, cell in zip(header, padded, strict=True)},
                dict(zip(header, spots, strict=True)),
            )
    except csv.Error as error:
        said = f"cannot be read as a table: {error}"
        problems.append(Problem(Where(file, line + 1, 1), said, "save it as CSV in UTF-8"))


def _filled(cells: Sequence[str]) -> list[str]:
    """The cells without blank ones at the end, which spreadsheets write where nothing stands."""
    last = max((at for at, cell in enumerate(cells) if cell.strip()), default=-1)
    return list(cells[: last + 1])
