"""A survey goes into a workbook and back without losing a letter; a changed cell changes its place alone."""

from __future__ import annotations

import difflib
import io
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook

from harness.cli import main
from harness.survey import read, text_of, workbook_of
from tests.properties.machines import surveys
from tests.survey.sheets.test_sheets_reading import SAMPLES, alike, edited, put, sample
from tests.survey.test_hostile import HOSTILE, quoted
from tests.survey.texts import TROLLEY

FEW = settings(max_examples=6, suppress_health_check=[HealthCheck.too_slow], derandomize=True)
REMARKS = TROLLEY.replace(
    "frame: {ambient: 45 °C}", "frame:   {ambient: 45 °C}   # felt, not measured"
).replace("  pump: {is", "  # under the tank\n  pump:    {is")


def changes(old: str, new: str) -> list[str]:
    """Lines that went and came."""
    return [
        line
        for line in difflib.unified_diff(old.splitlines(), new.splitlines(), n=0, lineterm="")
        if not line.startswith(("---", "+++", "@@"))
    ]


@pytest.mark.parametrize("name", SAMPLES)
def test_a_sample_comes_back_letter_by_letter(name: str) -> None:
    assert text_of(workbook_of(sample(name))) == (sample(name), [])


@pytest.mark.parametrize("name", SAMPLES)
def test_a_sample_written_anew_is_the_same_machine(name: str) -> None:
    data = edited(lambda book: book.remove(book["As typed"]), sample(name))
    text, _ = text_of(data)
    assert alike(read("a.yaml", text=text)) == alike(read("a.yaml", text=sample(name)))


@FEW
@given(surveys())
def test_any_survey_comes_back_and_can_be_written_anew(text: str) -> None:
    data = workbook_of(text)
    assert text_of(data) == (text, [])
    book = load_workbook(io.BytesIO(data))
    del book["As typed"]
    saved = io.BytesIO()
    book.save(saved)
    assert alike(read("a.yaml", text=text_of(saved.getvalue())[0])) == alike(read("a.yaml", text=text))


def test_hostile_names_are_written_anew() -> None:
    names = [name for name in HOSTILE if name != "case"]
    more = "".join(f"  {quoted(name)}: {{is: relay, at: dash}}\n" for name in names)
    text = TROLLEY.replace("parts:\n", f"parts:\n{more}")
    anew, _ = text_of(edited(lambda book: book.remove(book["As typed"]), text))
    assert set(names) <= set(read("a.yaml", text=anew).parts)


@pytest.mark.parametrize(
    "odd",
    ["# caf\u00e9 \\u{41} \\\\ _x0041_ \t tab", "#" + "long " * 20_000, "\r\n# CRLF", "  "],
)
def test_odd_remarks_and_line_ends_come_back(odd: str) -> None:
    text = f"{TROLLEY}{odd}\n"
    assert text_of(workbook_of(text))[0] == text


def test_a_sheet_of_typed_text_that_was_touched_is_not_believed() -> None:
    text, _ = text_of(edited(put("As typed", "A4", "|  name: Another"), REMARKS))
    assert "felt, not measured" not in text
    assert alike(read("a.yaml", text=text)) == alike(read("a.yaml", text=TROLLEY))


def _row(book: Workbook) -> None:
    for cell, value in zip(book["Parts"][7], ("horn", "horn", "dash"), strict=False):
        cell.value = value


def _take_row(book: Workbook) -> None:
    book["Places"]["B3"] = "frame"


def _path_more(book: Workbook) -> None:
    book["Paths"]["A4"], book["Paths"]["B4"] = "Water pump", "F1 > pump switch"


def _renamed(book: Workbook) -> None:
    book["Zones"]["A2"] = "cold frame"
    book["Runs"]["D2"] = "cold frame"


def _blank(book: Workbook) -> None:
    book["Parts"]["M2"] = None
    for cell in book["Parts"][2]:
        if cell.value == "60 Ah":
            cell.value = None


CHANGES = [
    (put("Runs", "C2", "1.3 m?"), ["-  - {from: battery box, to: dash, length: 1.2 m, zone: frame}",
                                   "+  - {from: battery box, to: dash, length: 1.3 m?, zone: frame}"]),
    (put("Zones", "C2", "yes"), ["-  frame:   {ambient: 45 °C}   # felt, not measured",
                                 "+  frame:   {ambient: 45 °C, wet: yes}   # felt, not measured"]),
    (put("Machine", "B3", "24 V"), ["-  voltage: 12 V", "+  voltage: 24 V"]),
    (put("Machine", "B5", "GXL"), ["+  cable: GXL"]),
    (put("Notes", "A2", "wash it\nfirst"), ["+", "+notes:", '+  - "wash it\\nfirst"']),
    (_row, ["+  horn: {is: horn, at: dash}"]),
    (_take_row, ["+", "+places:", "+  dash: {zone: frame}"]),
    (_path_more, ["+      - F1 > pump switch"]),
    (_renamed, ["-  frame:   {ambient: 45 °C}   # felt, not measured",
                "+  cold frame:   {ambient: 45 °C}   # felt, not measured",
                "-  - {from: battery box, to: dash, length: 1.2 m, zone: frame}",
                "+  - {from: battery box, to: dash, length: 1.2 m, zone: cold frame}"]),
    (_blank, ["-  battery: {is: battery, at: battery box, capacity: 60 Ah}",
              "+  battery: {is: battery, at: battery box}"]),
    (put("Circuits", "C2", "4 %"), ["+    drop: 4 %"]),
]  # fmt: skip


@pytest.mark.parametrize(("change", "meant"), CHANGES)
def test_a_changed_cell_changes_its_place_alone(
    change: Callable[[Workbook], object], meant: list[str]
) -> None:
    text, anew = text_of(edited(change, REMARKS))
    assert anew == []
    assert changes(REMARKS, text) == meant


@FEW
@given(surveys(), st.data())
def test_rows_taken_out_changed_and_moved_give_the_survey_of_the_cells(
    text: str, data: st.DataObject
) -> None:
    """Whatever is done to runs and notes, the text that comes back is the machine of the workbook."""
    book = load_workbook(io.BytesIO(workbook_of(text)))
    runs = book["Runs"]
    count = sum(1 for row in range(2, runs.max_row + 1) if runs.cell(row, 1).value)
    for row in range(2, count + 2):
        if data.draw(st.booleans()):
            runs.cell(row, 3).value = f"{data.draw(st.integers(20, 300))} cm"
        if data.draw(st.booleans()) and runs.cell(row, 5).value is None:
            runs.cell(row, 10).value = None
    if count > 1 and data.draw(st.booleans()):
        for column in range(1, runs.max_column + 1):
            a, b = runs.cell(2, column), runs.cell(count + 1, column)
            a.value, b.value = b.value, a.value
    saved = io.BytesIO()
    book.save(saved)
    back, _ = text_of(saved.getvalue())
    assert alike(read("a.yaml", text=back)) == alike(read("a.xlsx", text=saved.getvalue()))


# --------------------------------------------------------------------------------------------- the command


def test_the_command_goes_both_ways_and_writes_over_nothing(tmp_path: Path) -> None:
    first, book, back = (str(tmp_path / name) for name in ("a.yaml", "a.xlsx", "b.yaml"))
    Path(first).write_text(REMARKS, encoding="utf-8")
    for call in (["convert", first, book], ["convert", book, back]):
        done = CliRunner().invoke(main, call)
        assert done.exit_code == 0, done.output
    assert Path(back).read_text(encoding="utf-8") == REMARKS
    done = CliRunner().invoke(main, ["convert", book, first])
    assert done.exit_code == 2
    assert "--force" in done.output
    assert CliRunner().invoke(main, ["convert", book, first, "--force"]).exit_code == 0


def test_a_column_of_remarks_has_no_place_in_the_text_and_is_told(tmp_path: Path) -> None:
    (tmp_path / "a.xlsx").write_bytes(edited(put("Runs", "Q1", "Comment"), REMARKS))
    done = CliRunner().invoke(main, ["convert", str(tmp_path / "a.xlsx"), str(tmp_path / "b.yaml")])
    assert done.exit_code == 0 and "'Comment' of Runs" in done.output


@pytest.mark.parametrize("names", [("a.yaml", "b.yaml"), ("a.yaml", "b.txt"), ("a.yaml", "b")])
def test_the_command_says_which_forms_there_are(names: tuple[str, str], tmp_path: Path) -> None:
    (tmp_path / names[0]).write_text(TROLLEY, encoding="utf-8")
    done = CliRunner().invoke(main, ["convert", *(str(tmp_path / name) for name in names)])
    assert done.exit_code == 2
    assert "workbook" in done.output


def test_a_wrong_survey_is_not_converted(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(TROLLEY.replace("12 V", "13 V"), encoding="utf-8")
    done = CliRunner().invoke(main, ["convert", str(tmp_path / "a.yaml"), str(tmp_path / "b.xlsx")])
    assert done.exit_code == 2
    assert "a.yaml:3:" in done.output
    assert not (tmp_path / "b.xlsx").exists()
