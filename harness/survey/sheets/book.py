"""The two ways between a survey's text and its workbook, and a workbook as the reader takes it."""

from __future__ import annotations

import json
from dataclasses import dataclass

from harness.model.problem import Problem, SurveyWrong
from harness.survey.located import Node
from harness.survey.sheets import typed
from harness.survey.sheets.package import RawBook, open_book
from harness.survey.sheets.reading import read_book
from harness.survey.sheets.tables import tables_of


@dataclass(frozen=True, slots=True)
class Opened:
    """A workbook as it was read."""

    root: Node
    problems: list[Problem]
    typed: str | None  # the YAML text it was made from, where that is whole


def opened(data: bytes, file: str) -> Opened:
    """Read a survey workbook; raises SurveyWrong where it is none."""
    book = open_book(data, file)
    root, problems = read_book(book, file)
    return Opened(root, problems, _typed(book))


def _typed(book: RawBook) -> str | None:
    for sheet in book.sheets:
        if sheet.name == typed.TITLE:
            column = {cell.row: cell.text for cell in sheet.cells if cell.column == 1}
            return typed.text_of(column[row] for row in sorted(column))
    return None


def content_of(root: Node) -> str:
    """What a workbook says, for its digest: the same whatever program saved it."""
    try:
        return json.dumps(tables_of(root).rows, ensure_ascii=False, sort_keys=True)
    except (AssertionError, KeyError, SurveyWrong):
        return ""  # a survey that is wrong, of which nothing is made
