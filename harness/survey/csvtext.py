"""A table in a text of comma-separated values, row by row with the spot where every cell begins."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from io import StringIO

from harness import signs
from harness.model.problem import Problem, Where, stop_when_many
from harness.survey.words import hint

DELIMITERS = (",", ";", "\t")  # what spreadsheets write between cells, by country
MOST_SHOWN = 40  # characters of a cell in a message


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row below the header: its cells by column, trimmed, and where each begins."""

    file: str
    line: int
    cells: Mapping[str, str]
    at: Mapping[str, int]

    def problem(self, column: str, what: str, fix: str) -> Problem:
        """A mistake in one cell of the row."""
        return Problem(Where(self.file, self.line, self.at.get(column, 1)), what, fix)


def shown(text: str) -> str:
    """A cell as a message may quote it: signs that cannot be seen written out, and not too long.

    >>> shown("a\\x07b")
    "'a\\\\x07b'"
    """
    return repr(text if len(text) <= MOST_SHOWN else text[:MOST_SHOWN] + "...")


def _starts(cells: Sequence[str], sign: str) -> list[int]:
    """Column of the text where each cell begins, quotes counted where they cannot be done without."""
    starts, here = [], 1
    for cell in cells:
        starts.append(here)
        here += len(cell) + 1
        if sign in cell or '"' in cell:
            here += 2 + cell.count('"')
    return starts


def cells_of(text: str, sign: str) -> Iterator[tuple[int, list[str], list[int]]]:
    """Every row of a text: the line it begins in, its cells, and the column of the text where each begins.

    Raises csv.Error where a text is no table.
    """
    lines = csv.reader(StringIO(text, newline=""), delimiter=sign)
    end = 0
    for cells in lines:
        line, end = end + 1, lines.line_num
        yield line, cells, _starts(cells, sign)


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
    lines = csv.reader(StringIO(text, newline=""), delimiter=sign)
    try:
        header = [cell.strip().lower() for cell in next(lines, [])]
        for at, name in zip(_starts(header, sign), header, strict=True):
            if name not in columns:
                problems.append(
                    Problem(
                        Where(file, 1, at), f"{shown(name)} is no column of {what}",
                        hint(name, columns),
                    )
                )  # fmt: skip
            elif header.count(name) > 1:
                problems.append(
                    Problem(Where(file, 1, at), f"{name!r} stands twice in the header", "keep one of them")
                )
        missing = [name for name in needed if name not in header]
        if missing:
            problems.append(
                Problem(Where(file, 1, 1), f"the header lacks {', '.join(missing)}", f"begin with {example}")
            )
        if problems:  # the rows would be blamed for what the header does
            return
        end = lines.line_num
        for cells in lines:
            line, end = end + 1, lines.line_num
            if not any(cell.strip() for cell in cells):
                continue
            stop_when_many(file, problems)
            if len(cells) > len(header):
                extra = f"{len(cells)} cells where the header has {len(header)}"
                fix = "put quotes around what holds a comma"
                problems.append(Problem(Where(file, line, 1), extra, fix))
                continue
            for start, cell in zip(_starts(cells, sign), cells, strict=True):
                hidden = signs.unseen(cell)
                if hidden is not None:
                    what = f"the cell holds a sign that nobody sees: {signs.sign_name(cell[hidden])}"
                    problems.append(Problem(Where(file, line, start), what, "leave it out"))
            padded = [*cells, *[""] * (len(header) - len(cells))]
            yield TableRow(
                file,
                line,
                {name: cell.strip() for name, cell in zip(header, padded, strict=True)},
                dict(zip(header, _starts(padded, sign), strict=True)),
            )
    except csv.Error as error:
        problems.append(
            Problem(
                Where(file, max(1, lines.line_num), 1), f"cannot be read as a table: {error}",
                "save it as CSV in UTF-8",
            )
        )  # fmt: skip
