"""Sheets for the machine: read back by poppler; known things stand there, the rest is blank."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest
from click.testing import CliRunner

from harness.book.field.paper import sheets_pdf
from harness.book.field.tables import CAUTIONS, TAGS, sheets
from harness.cli import main
from harness.cli.assumed import figures_of
from harness.sensitivity import weighed
from harness.survey import read

PUMP = Path(__file__).parents[3] / "samples" / "pump.yaml"
TEXT = PUMP.read_text(encoding="utf-8").replace("length: 1.2 m", "length: 1.2 m?")


def words(content: bytes, tmp_path: Path) -> str:
    """The text of a PDF as poppler reads it, in one line."""
    file = tmp_path / "sheets.pdf"
    file.write_bytes(content)
    told = subprocess.run(["pdftotext", "-layout", str(file), "-"], capture_output=True, check=True)
    return " ".join(told.stdout.decode().split())


def info(content: bytes, tmp_path: Path) -> dict[str, str]:
    file = tmp_path / "sheets.pdf"
    file.write_bytes(content)
    told = subprocess.run(["pdfinfo", str(file)], capture_output=True, check=True, text=True)
    return {
        key: value.strip() for key, _, value in (line.partition(":") for line in told.stdout.splitlines())
    }


def test_blank_sheets_hold_every_field(tmp_path: Path) -> None:
    text = words(sheets_pdf(None, (), paper="A4"), tmp_path)
    for title in ("Runs to measure with a string", "Zones to feel", "Holes to calliper", "Parts to identify",
                  "Old wires to tag", "Parts: terminals and rating plates", "BEFORE YOU START",
                  "voltage"):  # fmt: skip
        assert title in text
    assert "chocked" in text and CAUTIONS[0].startswith("Engine off")
    assert "(" not in text.partition("Runs to measure")[2].partition("Old wires")[0]  # nothing is assumed


def test_what_is_known_is_filled_in_and_what_is_assumed_asked_first(tmp_path: Path) -> None:
    machine = read("pump.yaml", text=TEXT)
    several = weighed(machine)
    told = sheets(machine, several)
    first = told[0]
    assert first.title.startswith("Assumed")
    marks = [row[0] for row in first.rows]
    assert marks == sorted(marks, reverse=True) and marks[0] == "***" and marks[-1] == ""
    text = words(sheets_pdf(machine, several, paper="A4"), tmp_path)
    for known in ("Skid pump set", "0.9 m", "(1.2 m)", "25 mm", "85 °C", "55 Ah", "charge lamp", "35 A"):
        assert known in text, known
    assert text.index("Assumed: measure") < text.index("Runs to measure")


def test_every_run_part_zone_and_hole_has_its_row() -> None:
    machine = read("pump.yaml", text=TEXT)
    cells = {sheet.title: [cell for row in sheet.rows for cell in row] for sheet in sheets(machine, ())}
    for run in machine.runs:
        assert run.start in cells["Runs to measure with a string"]
        assert run.hole_mm is None or run.name in cells["Holes to calliper"]
    assert set(machine.parts) <= set(cells["Parts to identify"])
    assert set(machine.zones) <= set(cells["Zones to feel or measure"])
    assert {str(at) for at in range(1, TAGS + 1)} <= set(cells["Old wires to tag"])


@pytest.mark.parametrize(("paper", "size"), [("A4", (595.28, 841.89)), ("Letter", (612, 792))])
def test_paper_is_what_was_asked_for(paper: str, size: tuple[float, float], tmp_path: Path) -> None:
    """ISO 216 A4 is 210 x 297 mm, ANSI Letter 8.5 x 11 in; a point is 1/72 in."""
    told = info(sheets_pdf(None, (), paper=paper), tmp_path)
    wide, _, high = told["Page size"].split()[:3]
    assert (float(wide), float(high)) == pytest.approx(size, abs=0.01)
    assert int(told["Pages"]) >= 6


def test_names_stay_text(tmp_path: Path) -> None:
    hostile = '#pagebreak() $x$ *b* `r` <img src=x> "q"'
    text = TEXT.replace("Skid pump set", "'" + hostile + "'").replace("skid:", f"'{hostile[:14]}':")
    text = text.replace("zone: skid", f"zone: '{hostile[:14]}'")
    machine = read("pump.yaml", text=text)
    content = sheets_pdf(machine, figures_of(machine), paper="A4")
    assert "#pagebreak() $x$ *b* `r`" in words(content, tmp_path)
    assert content == sheets_pdf(machine, figures_of(machine), paper="A4")
    plain = read("pump.yaml", text=TEXT)
    pages = info(sheets_pdf(plain, figures_of(plain), paper="A4"), tmp_path)["Pages"]
    assert info(content, tmp_path)["Pages"] == pages


def test_the_command_writes_with_and_without_a_survey(tmp_path: Path) -> None:
    out = tmp_path / "F.pdf"
    for arguments in (["-o", str(out)], [str(PUMP), "-o", str(out), "--quick", "--sheet", "Letter"]):
        told = CliRunner().invoke(main, ["survey-sheets", *arguments])
        assert told.exit_code == 0, told.output
        assert out.read_bytes().startswith(b"%PDF")
        out.unlink()
    assert CliRunner().invoke(main, ["survey-sheets", str(tmp_path / "none.yaml")]).exit_code == 3
