"""So many figures and worked examples of documents are held, and the counting itself is honest."""

from __future__ import annotations

import json
import re
from types import SimpleNamespace

import pytest

from tests.docs.pages import ROOT
from tests.published.recorder import PROPERTY, Cells, Held, lines, rows, told

LEAST_CELLS = 620
LEAST_READ = 440  # of them of documents that were read, not remembered
LEAST_EXAMPLES = 24


def sums() -> dict[str, tuple[int, int]]:
    """Worked examples and cells by certainty, as the page has them; a test of the pages keeps it fresh."""
    found = re.findall(
        r"^\| together \| (\d+) worked examples? \| \d+ worked out \| (\d+) \|.*\| ([a-z -]*) \|$",
        (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"),
        re.MULTILINE,
    )
    return {certainty.strip(): (int(examples), int(figures)) for examples, figures, certainty in found}


def test_enough_is_held_against_documents() -> None:
    assert sums()[""][1] >= LEAST_CELLS
    assert sums()["read"][1] >= LEAST_READ
    assert sums()[""][0] >= LEAST_EXAMPLES
    assert sum(figures for name, (_, figures) in sums().items() if name) == sums()[""][1]


def held(cell: str, off: float, *, table: str = "1") -> Held:
    return Held("a standard", table, "read", False, cell, off, True)


def test_a_cell_that_two_tests_hold_counts_once_and_by_the_farther() -> None:
    (row,) = rows([held("a", 0.001), held("a", -0.02), held("b", 0.0)])
    assert (row.figures, row.off) == (2, 0.02)
    assert len(rows([held("a", 0.0), held("a", 0.0, table="2")])) == 2


def test_a_cell_named_twice_in_one_test_is_a_mistake() -> None:
    cells = Cells("a standard", "1", "read", False)
    cells.near("a", 1.01, 1.0, rel=0.02)
    with pytest.raises(AssertionError, match="twice"):
        cells.near("a", 1.01, 1.0, rel=0.02)
    assert cells.held[0].off == pytest.approx(0.01)


def test_a_cell_that_is_not_met_fails_and_is_not_counted() -> None:
    cells = Cells("a standard", "1", "read", False)
    with pytest.raises(AssertionError, match="a standard"):
        cells.near("a", 1.05, 1.0, rel=0.02)
    with pytest.raises(AssertionError, match="a standard"):
        cells.kept("b", "red", "blue")
    assert cells.held == []


def test_cells_of_a_failed_test_are_not_counted() -> None:
    text = json.dumps([vars(held("a", 0.0))])
    good, bad = (
        [
            SimpleNamespace(nodeid=node, when="call", failed=failed, user_properties=[]),
            SimpleNamespace(nodeid=node, when="teardown", failed=False, user_properties=[(PROPERTY, text)]),
        ]
        for node, failed in (("good", False), ("bad", True))
    )
    assert len(told([*good, *bad])) == 1
    assert told(bad) == []


def test_words_are_counted_apart_from_figures() -> None:
    cells = Cells("a standard", "1", "memory", True)
    cells.kept("thread", "M6", "M6")
    cells.kept("hole", 6.4, 6.4)
    assert (
        lines(rows(cells.held))[2]
        == "| a standard | 1, worked example | kept | 1 | 1 | none | none | memory |"
    )
