"""Readings typed into the shop book's page or into the workbook's sheet, as they stand in the file saved."""

from __future__ import annotations

import json
from dataclasses import dataclass

from harness.model.problem import Problem, SurveyWrong, Where
from harness.survey.sheets.package import column_letters, open_book

FORM = "harness shop book 1"  # what the page writes at the head of its file
SHEET, KEY, READING = "Tests", "Key", "Reading"
MOST_TEXT = 40


@dataclass(frozen=True, slots=True)
class Typed:
    """One reading as somebody typed it."""

    key: str
    text: str
    where: Where


def typed_readings(content: bytes, file: str) -> tuple[list[Typed], list[Problem]]:
    """Every reading in a file of either sort, and what is wrong with the file."""
    if content.startswith(b"PK"):
        return _of_workbook(content, file)
    return _of_page(content, file)


def _of_page(content: bytes, file: str) -> tuple[list[Typed], list[Problem]]:
    fix = "save it anew from the book's page, or give the workbook"
    try:
        data = json.loads(content.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        return [], [Problem(Where(file), "is neither a file saved by the book's page nor a workbook", fix)]
    if not isinstance(data, dict) or data.get("form") != FORM or not isinstance(data.get("readings"), dict):
        return [], [Problem(Where(file), "is no file saved by the book's page", fix)]
    found, problems = [], []
    for key, text in data["readings"].items():
        if isinstance(text, str):
            found.append(Typed(key, text.strip(), Where(file)))
        else:
            problems.append(Problem(Where(file), f"the reading of {key[:MOST_TEXT]!r} is no text", fix))
    return [one for one in found if one.text], problems


def _of_workbook(content: bytes, file: str) -> tuple[list[Typed], list[Problem]]:
    try:
        book = open_book(content, file)
    except SurveyWrong as wrong:
        return [], list(wrong.problems)
    sheet = next((one for one in book.sheets if one.name == SHEET), None)
    if sheet is None:
        what = f"the workbook has no sheet {SHEET!r}"
        return [], [Problem(Where(file), what, "give the harness.xlsx that `harness build` made")]
    rows: dict[int, dict[int, str]] = {}
    for cell in sheet.cells:
        rows.setdefault(cell.row, {})[cell.column] = cell.text
    for head in sorted(rows):
        columns = {text: column for column, text in rows[head].items()}
        if KEY in columns and READING in columns:
            break
    else:
        what = f"the sheet {SHEET!r} has no row of headings with {KEY!r} and {READING!r}"
        return [], [Problem(Where(file), what, "give the harness.xlsx that `harness build` made")]
    found, problems = [], []
    for at in sorted(row for row in rows if row > head):
        text = rows[at].get(columns[READING], "").strip()
        key = rows[at].get(columns[KEY], "").strip()
        where = Where(file, cell=f"{SHEET}!{column_letters(columns[READING])}{at}")
        if text and not key:
            problems.append(
                Problem(where, f"a reading without its key: {text[:MOST_TEXT]!r}", "put the key back")
            )
        elif text:
            found.append(Typed(key, text, where))
    return found, problems
