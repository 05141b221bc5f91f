"""What sources and loads settle at, as the workbook and the terminal say it."""

from __future__ import annotations

import pytest

from harness.book.settled import load_words, mode_words
from harness.model.design import Design
from tests.samples import made as samples


@pytest.fixture
def roller() -> Design:
    return samples.design("roller")


def test_every_mode_stands_on_the_supply_sheet_with_its_sources(roller: Design) -> None:
    sheet = samples.opened("roller")["Supply"]
    rows = [tuple(cell.value for cell in row) for row in sheet.iter_rows(min_row=2)]
    for mode in roller.modes:
        assert (mode.name, "engine") in [row[:2] for row in rows]
    words = {about for _, about, _ in rows}
    assert {"battery", "alternator", "charge balance", "charge balance at idle", "cold start"} <= words


def test_the_loads_sheet_has_what_a_lamp_settles_at(roller: Design) -> None:
    sheet = samples.opened("roller")["Loads"]
    titles = [cell.value for cell in sheet[1]]
    rows = [
        dict(zip(titles, (cell.value for cell in row), strict=True)) for row in sheet.iter_rows(min_row=2)
    ]
    lamp = next(row for row in rows if row["Load"] == "left head lamp 56b/31" and row["Mode"] == "night work")
    # a 55 W lamp at more than its 12 V draws more than 55 / 12 A, and by itself it sees more still
    assert lamp["Settles at V"] > 12 and lamp["Settles at A"] > 55 / 12
    assert lamp["Lamp by itself V"] >= lamp["Settles at V"]


def test_words_on_a_mode_and_a_load(roller: Design) -> None:
    night = dict(mode_words(roller, "night work"))
    assert "rated speed" in night["engine"] and "by itself" in night["lamp that dims most"]
    words = load_words(roller, "stop solenoid")
    assert any("at its peak" in text for _, text in words) and any("sized with" in text for _, text in words)
    assert mode_words(roller, "no such mode") == [] == load_words(roller, "no such load")
