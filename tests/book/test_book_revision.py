"""A revision that the survey names stands on every sheet and in both books; without one nothing does."""

from __future__ import annotations

from pathlib import Path

import pytest

from harness.book.sheets import sheets
from harness.book.shop.book import book_of
from harness.drawing.loom import loom_svg
from harness.drawing.tracks.sheets import tracks_svg
from harness.model.design import Design
from harness.pipeline import design as design_of
from harness.survey import read

PUMP = Path(__file__).parents[2] / "samples" / "pump.yaml"
HOSTILE = '"B & <b>2</b>, 2026-11-25"'


def designed(revision: str | None) -> Design:
    text = PUMP.read_text(encoding="utf-8")
    if revision is not None:
        text = text.replace("machine:\n", f"machine:\n  revision: {revision}\n", 1)
    return design_of(read("pump.yaml", text=text))


@pytest.fixture(scope="module")
def revised() -> Design:
    return designed(HOSTILE)


def test_every_sheet_of_the_drawings_says_it_escaped(revised: Design) -> None:
    for svg in (tracks_svg(revised), loom_svg(revised)):
        words = "".join(svg.split())
        assert words.count("revision") >= svg.count("data-sheet=") > 0
        assert "<b>" not in svg


def test_the_book_and_the_workbook_say_it(revised: Design) -> None:
    assert book_of(revised, {}).digest == f"{revised.machine.digest}, revision B & <b>2</b>, 2026-11-25"
    machine = next(sheet for sheet in sheets(revised) if sheet.name == "Machine")
    assert any("Revision" in row.values for row in machine.rows)


def test_a_survey_without_one_says_nothing_of_it() -> None:
    plain = designed(None)
    assert plain.machine.revision == ""
    assert "revision" not in tracks_svg(plain)
    assert book_of(plain, {}).digest == plain.machine.digest
