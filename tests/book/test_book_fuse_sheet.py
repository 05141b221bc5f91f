"""The sheet of fuses: short circuits, clearing and order in plain words."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from harness.book.fuse_sheet import clearing_words, fuses_sheet, let_through_share, order_words, short_words
from harness.book.marks import marks_of
from harness.book.sheet import Value
from harness.model.design import Design
from harness.model.shorts import FaultResult, FuseOrder
from harness.pipeline import design
from harness.survey import read
from tests.electric.test_electric_links import SURVEY
from tests.samples import made as samples

SAMPLES = Path(__file__).parents[2] / "samples"


def _fault(
    least_a: float, most_a: float, seconds: float | None, through: float | None = 100.0
) -> FaultResult:
    return FaultResult(
        wire="1", fuse="F1", fuse_a=10.0, current_a=least_a, path_ohm=0.1, clearing_s=seconds,
        let_through_a2s=through, wire_stands_a2s=1000.0, cleared=seconds is not None, stands=True, formula="",
        source="", most_a=most_a,
    )  # fmt: skip


def test_currents_go_from_the_least_to_the_most_of_all_wires() -> None:
    assert short_words([_fault(66.2, 120, 1), _fault(80, 357.4, 1)]) == "66.2 to 357"
    assert short_words([]) == ""


def test_the_latest_opening_counts_and_one_that_may_never_open_outdoes_it() -> None:
    assert clearing_words([_fault(66, 120, 0.012), _fault(80, 357, 0.5)]) == "0.5"
    assert clearing_words([_fault(66, 120, 0.012), _fault(80, 357, None)]) == "may never"
    assert clearing_words([replace(_fault(66, 120, None), cleared=None)]) == ""  # no band is published


def test_let_through_is_a_share_of_what_the_wire_stands() -> None:
    assert let_through_share([_fault(66, 120, 1), _fault(66, 120, 1, 250.0)]) == 0.25
    assert let_through_share([_fault(66, 120, 1, None)]) is None


def test_order_names_the_fuse_before_and_where_the_order_fails() -> None:
    orders = [FuseOrder("F1", "main", 500, True, None), FuseOrder("F1", "key", 500, False, 80.1)]
    assert order_words(orders) == "main: this one first; key: this one first only below 80.1 A"


def _cells(found: Design) -> dict[str, Value]:
    sheet = fuses_sheet(found, marks_of(found))
    titles = [column.title for column in sheet.columns]
    return dict(zip(titles, sheet.rows[0].values, strict=True))


def test_a_link_stands_with_its_gauge() -> None:
    cells = _cells(design(read("links.yaml", text=SURVEY)))
    assert cells["Form"] == "fusible link 14 AWG"
    assert cells["Fuse"] == "main link"
    assert " to " in str(cells["Short circuit at far end A"])


def test_spare_ways_are_counted_named_and_labelled() -> None:
    """Grader: ways F2, F13, F14 of 14 and F9, F10 of 10 stand in no path of its survey, read by eye."""
    found = samples.design("grader")
    sheet = fuses_sheet(found, marks_of(found))
    label = [column.title for column in sheet.columns].index("Guards wires")
    spare = [row.values for row in sheet.rows if "SPARE" in row.values]
    names = ["panel F2", "panel F13", "panel F14", "cab panel F9", "cab panel F10"]
    assert [values[0] for values in spare] == names
    assert {values[label] for values in spare} == {"SPARE"}
    assert any(row.values[0] == "Spare ways: 5 of 24" for row in sheet.rows)
    assert not {fuse.name for fuse in found.fuses} & set(names)
