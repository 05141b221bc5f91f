"""Reading a survey: text in, a checked machine or every mistake in it at its line and column out.

The parser, pydantic and pint are slow to import and are only loaded when one of these functions is called.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from harness.model.catalogue import Catalogue
    from harness.model.machine import Machine


def read(
    source: str | Path,
    *,
    text: str | bytes | None = None,
    folder: Path | None = None,
    catalogue: Catalogue | None = None,
) -> Machine:
    """Read a survey from a file, or from ``text`` under the name ``source``.

    ``folder``: where a catalogue that the survey names lies, for a text. ``catalogue``: to go by instead.
    Raises SurveyWrong (harness.model.problem) with every problem found.
    """
    from harness.survey.reader import read as read_text

    return read_text(source, text=text, folder=folder, catalogue=catalogue)


def read_catalogue(content: str | bytes, file: str) -> Catalogue:
    """Read a shop's own catalogue; ``file`` is its name in messages and sources.

    Raises SurveyWrong (harness.model.problem) with every problem found.
    """
    from harness.survey.catalogue import read_catalogue as read_text

    return read_text(content, file)


def workbook_of(text: str, name: str = "survey.yaml", *, folder: Path | None = None) -> bytes:
    """The survey workbook (XLSX) of a YAML survey that is right; the text is kept in it for the way back.

    ``name``: the survey's in messages. ``folder``: where a catalogue that it names lies.
    Raises SurveyWrong (harness.model.problem) with every problem found.
    """
    from harness.survey.reader import read as read_text
    from harness.survey.sheets.writing import book_bytes
    from harness.survey.yamltext import compose

    machine = read_text(name, text=text, folder=folder)
    return book_bytes(compose(text.removeprefix("\ufeff"), name)[0], text=text, machine=machine)


def blank_workbook() -> bytes:
    """A survey workbook (XLSX) with nothing filled in: every sheet and column, help and drop-down lists."""
    from harness.survey.sheets.writing import blank_book

    return blank_book()


def remark_columns(workbook: bytes, name: str = "survey.xlsx") -> list[str]:
    """The columns of remarks that somebody added to a survey workbook: no text form has a place for them."""
    from harness.survey.sheets.package import open_book
    from harness.survey.sheets.reading import remarks_in

    return remarks_in(open_book(workbook, name))


def text_of(
    workbook: bytes, name: str = "survey.xlsx", *, folder: Path | None = None
) -> tuple[str, list[str]]:
    """The YAML of a survey workbook that is right, and what of it lost its remarks.

    Where it was made from YAML, that text with only those places changed whose cells were. ``name``: the
    workbook's in messages. ``folder``: where a catalogue that it names lies.
    Raises SurveyWrong (harness.model.problem) with every problem found.
    """
    from harness.survey.reader import read as read_text
    from harness.survey.sheets.book import opened
    from harness.survey.sheets.patch import patched
    from harness.survey.sheets.tables import tables_of
    from harness.survey.sheets.yamlwrite import survey_text

    read_text(name, text=workbook, folder=folder)
    book = opened(workbook, name)
    tables = tables_of(book.root)
    if book.typed is None:
        return survey_text(tables), []
    done = patched(book.typed, tables)
    return done.text, list(done.anew)
