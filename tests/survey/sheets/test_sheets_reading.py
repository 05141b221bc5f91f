"""A survey workbook is the survey: the same machine, mistakes by sheet and cell, after other programs too."""

from __future__ import annotations

import io
import re
import subprocess
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from harness.cli import main
from harness.model.machine import Machine
from harness.model.problem import Problem, SurveyWrong
from harness.survey import blank_workbook, read, workbook_of
from tests.properties.machines import surveys
from tests.survey.test_hostile import HOSTILE, quoted
from tests.survey.texts import TROLLEY, changed

ROOT = Path(__file__).parents[3]
SAMPLES = ("pump", "orchard", "roller", "grader")
FEW = settings(max_examples=6, suppress_health_check=[HealthCheck.too_slow], derandomize=True)


def sample(name: str) -> str:
    return (ROOT / "samples" / f"{name}.yaml").read_text(encoding="utf-8")


def alike(machine: Machine) -> str:
    """Everything a machine is, but for the file it came from and the places in it."""
    return re.sub(r"Where\([^()]*\)", "", repr(replace(machine, file="", digest="")))


@cache
def made(text: str) -> bytes:
    return workbook_of(text)


def edited(change: Callable[[Workbook], object], text: str = TROLLEY) -> bytes:
    """The workbook of a survey after somebody worked in it."""
    book = load_workbook(io.BytesIO(made(text)))
    change(book)
    saved = io.BytesIO()
    book.save(saved)
    return saved.getvalue()


def problems(data: bytes) -> list[Problem]:
    try:
        read("survey.xlsx", text=data)
    except SurveyWrong as wrong:
        return wrong.problems
    return []


def put(sheet: str, cell: str, value: object, shows: str | None = None) -> Callable[[Workbook], object]:
    def change(book: Workbook) -> None:
        there = book[sheet][cell]
        there.value = value
        if shows is not None:
            there.number_format = shows

    return change


def at(sheet: Worksheet, title: str) -> int:
    return next(cell.column for cell in sheet[1] if cell.value == title)


# ------------------------------------------------------------------------------------------ the same machine


@pytest.mark.parametrize("name", SAMPLES)
def test_a_sample_read_from_its_workbook_is_the_same_machine(name: str) -> None:
    text = sample(name)
    assert alike(read("a.xlsx", text=workbook_of(text))) == alike(read("a.yaml", text=text))


@FEW
@given(surveys())
def test_any_machine_comes_through_its_workbook(text: str) -> None:
    assert alike(read("a.xlsx", text=workbook_of(text))) == alike(read("a.yaml", text=text))


def test_hostile_names_come_through_and_are_no_formulas() -> None:
    names = [*(name for name in HOSTILE if name != "case"), "_x0041_ x005F_", "x005F_ _x005F_"]
    more = "".join(f"  {quoted(name)}: {{is: relay, at: dash}}\n" for name in names)
    data = workbook_of(TROLLEY.replace("parts:\n", f"parts:\n{more}"))
    assert set(names) <= set(read("a.xlsx", text=data).parts)
    for sheet in load_workbook(io.BytesIO(data)):
        assert all(cell.data_type != "f" for row in sheet.iter_rows() for cell in row)


def test_the_same_survey_gives_the_same_bytes() -> None:
    assert workbook_of(TROLLEY) == workbook_of(TROLLEY)


@pytest.mark.parametrize("name", ["pump", "roller"])
def test_a_workbook_saved_by_another_program_is_the_same_machine(name: str, tmp_path: Path) -> None:
    text = sample(name)
    (tmp_path / "in.xlsx").write_bytes(workbook_of(text))
    (tmp_path / "out").mkdir()
    subprocess.run(
        ["soffice", f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}", "--headless",
         "--convert-to", "xlsx", "--outdir", str(tmp_path / "out"), str(tmp_path / "in.xlsx")],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    data = (tmp_path / "out" / "in.xlsx").read_bytes()
    assert alike(read("a.xlsx", text=data)) == alike(read("a.yaml", text=text))


@pytest.mark.parametrize("command", [["check"], ["size"], ["explain", "battery"]])
def test_every_command_that_takes_a_survey_takes_its_workbook(command: list[str], tmp_path: Path) -> None:
    results = []
    for name, data in (("s.yaml", TROLLEY.encode()), ("s.xlsx", workbook_of(TROLLEY))):
        (tmp_path / name).write_bytes(data)
        done = CliRunner().invoke(main, [command[0], str(tmp_path / name), *command[1:]])
        assert done.exit_code in (0, 1), done.output
        results.append(done.output.replace(".xlsx", ".yaml"))
    assert results[0] == results[1]


def test_a_workbook_comes_by_standard_input_too() -> None:
    done = CliRunner().invoke(main, ["check", "-"], input=workbook_of(TROLLEY))
    assert done.exit_code == 0, done.output


# ---------------------------------------------------------------------------------------- what may be done


def _move_columns(book: Workbook) -> None:
    sheet = book["Runs"]
    for row in sheet.iter_rows(min_row=1, max_row=2):
        values = [cell.value for cell in row]
        for cell, value in zip(row, reversed(values), strict=True):
            cell.value = value


def _gaps(book: Workbook) -> None:
    book["Parts"].insert_rows(3, 2)
    book["Paths"].insert_rows(2)


def _hide(book: Workbook) -> None:
    book["Parts"].row_dimensions[3].hidden = True
    book["Runs"].column_dimensions["C"].hidden = True
    book["Zones"].sheet_state = "veryHidden"


def _own_sheet(book: Workbook) -> None:
    book.create_sheet("Photos of the dash")["A1"] = "=1+1"


def _titles(book: Workbook) -> None:
    book["Parts"].title = "PARTS "
    book["Runs"]["A1"] = " From "


def _circuit_once(book: Workbook) -> None:
    book["Paths"]["A3"] = None


def _remarks(book: Workbook) -> None:
    for sheet, title in (("Runs", "Remarks"), ("Parts", "comment"), ("Paths", "comments")):
        book[sheet].cell(1, book[sheet].max_column + 1).value = title
        book[sheet].cell(2, book[sheet].max_column).value = "measured hot, = 2 m with the old clip"


def _no_typed(book: Workbook) -> None:
    del book["As typed"]
    del book["Start here"]


@pytest.mark.parametrize(
    "change",
    [_move_columns, _gaps, _hide, _own_sheet, _titles, _circuit_once, _remarks, _no_typed],
    ids=lambda each: each.__name__,
)
def test_what_changes_nothing(change: Callable[[Workbook], object]) -> None:
    assert alike(read("a.xlsx", text=edited(change))) == alike(read("a.yaml", text=TROLLEY))


def test_a_blank_workbook_filled_in_cell_by_cell_is_the_machine() -> None:
    blank, full = (load_workbook(io.BytesIO(data)) for data in (blank_workbook(), made(TROLLEY)))
    assert {each.title for each in full} - {each.title for each in blank} == {"As typed"}
    for sheet in full:
        for row in sheet.iter_rows() if sheet.title in blank.sheetnames else ():
            for cell in row:
                blank[sheet.title][cell.coordinate].value = cell.value
    saved = io.BytesIO()
    blank.save(saved)
    assert alike(read("a.xlsx", text=saved.getvalue())) == alike(read("a.yaml", text=TROLLEY))
    asked = {each.where.cell for each in problems(blank_workbook())}
    assert asked == {"Machine!A1", "Parts!A1", "Circuits!A1"}


def test_the_command_writes_a_blank_workbook_over_nothing(tmp_path: Path) -> None:
    file = tmp_path / "my-machine.xlsx"
    call = ["survey-sheets", "-o", str(file)]
    assert CliRunner().invoke(main, call).exit_code == 0
    assert file.read_bytes() == blank_workbook()
    file.write_bytes(b"filled in")
    assert "may be filled in" in CliRunner().invoke(main, call).output
    assert file.read_bytes() == b"filled in"
    (tmp_path / "a.yaml").write_text(TROLLEY, encoding="utf-8")
    done = CliRunner().invoke(main, ["survey-sheets", str(tmp_path / "a.yaml"), *call[1:]])
    assert done.exit_code == 2 and "harness convert" in done.output


def test_several_words_in_a_cell_may_be_parted_by_semicolons() -> None:
    found = read("a.xlsx", text=edited(put("Circuits", "B2", "running; night work")))
    assert found.circuits[0].modes == ("running", "night work")


def test_a_place_is_on_the_list_without_being_in_the_survey() -> None:
    sheet = load_workbook(io.BytesIO(workbook_of(TROLLEY)))["Places"]
    assert [sheet.cell(row, 1).value for row in (2, 3)] == ["battery box", "dash"]


def test_what_is_assumed_is_shown_and_not_read() -> None:
    book = load_workbook(io.BytesIO(workbook_of(TROLLEY)))
    parts = book["Parts"]
    column = at(parts, "assumed so far (not read)")
    texts = [str(parts.cell(row, column).value) for row in range(2, 7)]
    assert any("common practice" in text for text in texts)
    parts.cell(2, column).value = "=nonsense"
    saved = io.BytesIO()
    book.save(saved)
    assert problems(saved.getvalue()) == []


def test_a_figure_with_a_question_mark_is_doubted() -> None:
    found = read("a.xlsx", text=edited(put("Runs", "C2", "1.2 m ?")))
    (doubt,) = found.doubts
    assert (doubt.value, doubt.where.cell) == ("1.2 m", "Runs!C2")


# --------------------------------------------------------------------------------- what a spreadsheet makes


@pytest.mark.parametrize(
    ("value", "shows", "meant"),
    [
        (0.30000000000000004, "0.0", "0.3"),
        (8, "General", "8"),
        (0.05, "0%", "5 %"),
        (0.125, "0.00%", "12.5 %"),
        (True, "General", "TRUE"),
        (1e-7, "General", "0.0000001"),
        (1.2, '0.0" m"', "1.2 m"),
        (12000000000000000, "General", "12000000000000000"),
    ],
)
def test_a_number_is_read_as_it_was_typed(value: object, shows: str, meant: str) -> None:
    # the way in is a note, which takes any text
    found = read("a.xlsx", text=edited(put("Notes", "A2", value, shows)))
    assert found.notes == (meant,)


def test_a_per_cent_cell_and_a_truth_value_are_read() -> None:
    def change(book: Workbook) -> None:
        put("Circuits", "C2", 0.04, "0%")(book)
        put("Zones", "C2", True)(book)

    found = read("a.xlsx", text=edited(change))
    meant = changed(
        ("{ambient: 45 °C}", "{ambient: 45 °C, wet: yes}"),
        ("  Water pump:\n", "  Water pump:\n    drop: 4 %\n"),
    )
    assert alike(found) == alike(read("a.yaml", text=meant))


def test_a_number_without_its_unit_is_told_at_its_cell() -> None:
    (found,) = problems(edited(put("Runs", "C2", 1.2, "General")))
    assert str(found).startswith("survey.xlsx: Runs!C2: ")
    assert "has no unit" in found.what


WRONG = [
    (put("Runs", "C2", "=1+1"), "Runs!C2", "a formula stands here", "paste it as a value"),
    (put("Parts", "B3", "=HYPERLINK(1)"), "Parts!B3", "a formula stands here", "paste it as a value"),
    (put("Runs", "C2", "#REF!"), "Runs!C2", "error #REF!", "type what belongs here"),
    (put("Runs", "C2", 46024, "dd/mm/yyyy"), "Runs!C2", "(2-1, 1-2, 2/1 or 1/2)", "format the cell as text"),
    (put("Runs", "C2", 46024, "mm-dd-yy"), "Runs!C2", "the date 2026-01-02", "format the cell as text"),
    (put("Runs", "D2", "fraem"), "Runs!D2", "no zone 'fraem'", "frame"),
    (put("Parts", "B5", "electric pmp"), "Parts!B5", "electric pmp", "electric pump"),
    (put("Parts", "C5", "dsh"), "Parts!C5", "'dsh'", "dash"),
    (put("Parts", "A5", "F1"), "Parts!A5", "'F1' stands twice: here and at A3", "another name"),
    (put("Parts", "A5", None), "Parts!B5", "says nothing about its part", "'part'"),
    (put("Paths", "B2", "battery + > F1 > pump swich > frame"), "Paths!B2", "swich", "pump switch"),
    (put("Paths", "A2", "Water pmp"), "Paths!A2", "no circuit 'Water pmp'", "Water pump"),
    (put("Paths", "B3", None), "Paths!A3", "has no path", "write it"),
    (put("Machine", "B3", "13 V"), "Machine!B3", "13 V", "12"),
    (put("Machine", "A3", "voltag"), "Machine!A3", "has no key 'voltag'", "voltage"),
    (put("Runs", "C1", "lenght"), "Runs!C1", "no column 'lenght'", "length"),
    (put("Runs", "C1", None), "Runs!C2", "below no title", "row 1"),
    (put("Runs", "B1", "from"), "Runs!B1", "stands twice", "keep one"),
    (lambda book: book["Parts"].merge_cells("B4:B5"), "Parts!B4", "B4:B5 are merged", "off and fill in"),
    (lambda book: setattr(book["Parts"], "title", "Prts"), "Prts!A1", "called 'Parts'", "name it 'Parts'"),
    (lambda book: book.remove(book["Parts"]), "", "the sheet 'Parts' is missing", "'part', 'is', 'at'"),
]  # fmt: skip


@pytest.mark.parametrize(("change", "cell", "what", "fix"), WRONG)
def test_a_mistake_is_told_with_sheet_and_cell(
    change: Callable[[Workbook], object], cell: str, what: str, fix: str
) -> None:
    found = [each for each in problems(edited(change)) if each.where.cell == cell and what in each.what]
    assert found, [str(each) for each in problems(edited(change))]
    assert fix in found[0].fix


def test_all_mistakes_come_at_once_in_the_order_of_the_sheets() -> None:
    def change(book: Workbook) -> None:
        for one, *_ in WRONG[5:7]:
            one(book)
        put("Zones", "B2", "900 °C")(book)

    cells = [each.where.cell for each in problems(edited(change))]
    assert cells == ["Zones!B2", "Runs!D2", "Parts!B5"]


def test_mistakes_end_with_exit_code_2(tmp_path: Path) -> None:
    (tmp_path / "s.xlsx").write_bytes(edited(put("Runs", "D2", "fraem")))
    done = CliRunner().invoke(main, ["build", str(tmp_path / "s.xlsx"), "--out", str(tmp_path / "out")])
    assert done.exit_code == 2
    assert f"{tmp_path / 's.xlsx'}: Runs!D2: " in done.output
    assert not (tmp_path / "out").exists()
