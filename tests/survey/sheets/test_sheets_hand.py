"""Workbooks as a mechanic fills them in: titles, ticks, arrows, what LibreOffice makes of cells."""

from __future__ import annotations

from datetime import date

from openpyxl import Workbook

from harness.survey import read
from tests.survey.sheets.test_sheets_reading import alike, at, edited, problems
from tests.survey.texts import TROLLEY


def same(data: bytes) -> bool:
    return alike(read("survey.xlsx", text=data)) == alike(read("survey.yaml", text=TROLLEY))


def test_titles_of_ones_own_above_the_columns_are_nothing() -> None:
    def change(book: Workbook) -> None:
        for name in ("Runs", "Parts", "Paths"):
            book[name].insert_rows(1, amount=2)
            book[name]["A1"] = f"{name} of the trolley, measured in May"
            book[name].merge_cells("A1:C1")

    assert same(edited(change))


def test_a_truth_value_that_libreoffice_saves_as_a_formula_is_one() -> None:
    """LibreOffice writes <f>TRUE()</f> for TRUE that was typed; any other formula stays refused."""

    def wet(value: object) -> bytes:
        def change(book: Workbook) -> None:
            sheet = book["Zones"]
            sheet.cell(2, at(sheet, "wet")).value = value

        return edited(change)

    for value in (True, "x", "Y", "yes"):
        zones = read("survey.xlsx", text=wet(value)).zones
        assert next(iter(zones.values())).wet, value
    (told,) = problems(wet("=1=1"))
    assert "a formula stands here" in told.what


def test_what_cannot_be_read_in_a_cell_is_told_once() -> None:
    def change(book: Workbook) -> None:
        runs, parts = book["Runs"], book["Parts"]
        runs.cell(2, at(runs, "length")).value = "=1.2*2"
        parts.cell(2, at(parts, "stud")).value = date(2026, 8, 3)
        parts.cell(3, 1).value = date(2026, 8, 4)

    told = problems(edited(change))
    cells = [problem.where.cell for problem in told if problem.where.cell in ("Runs!C2", "Parts!A3")]
    stud = [problem for problem in told if "date 2026-08-03" in problem.what]
    assert sorted(cells) == ["Parts!A3", "Runs!C2"] and len(stud) == 1
    assert not any(problem.where == stud[0].where and problem is not stud[0] for problem in told)


def test_an_arrow_is_the_sign_it_stands_for() -> None:
    def change(book: Workbook) -> None:
        for cell in book["Paths"]["B"]:
            cell.value = cell.value and cell.value.replace(">", "→")

    assert same(edited(change))


def test_ways_may_be_named_in_one_cell_without_braces() -> None:
    def change(book: Workbook) -> None:
        sheet = book["Parts"]
        row = next(row for row in range(2, 60) if not sheet.cell(row, 1).value)
        for title, text in (("part", "spare panel"), ("is", "fuse panel"), ("at", sheet.cell(2, 3).value)):
            sheet.cell(row, at(sheet, title)).value = text
        sheet.cell(row, at(sheet, "ways")).value = "F1, F2, lamp 3"

    part = read("survey.xlsx", text=edited(change)).parts["spare panel"]
    assert [link.b for link in part.links] == ["F1", "F2", "lamp 3"]
