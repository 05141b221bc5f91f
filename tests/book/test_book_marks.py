"""Marks stand for long texts, and every text can be found again by its mark."""

from __future__ import annotations

import doctest
import importlib
import io

import openpyxl
import pytest

from harness.book.marks import marked, marks_of
from harness.book.workbook import workbook_bytes
from tests.book.factories import small_design


def test_marks_count_in_the_order_of_machine_parts_wires_loads() -> None:
    assert list(marks_of(small_design()).assumed.items()) == [
        ("frame: 45 °C", "A1"),
        ("current 4.6 A (typical lamp, 55 W)", "A2"),
        ("left lamp: power 55 W", "A3"),
        ("right lamp: power 55 W", "A4"),
    ]


def test_neighbouring_marks_are_written_as_a_range() -> None:
    marks = {letter: f"Q{at}" for at, letter in enumerate("abcdefgh", start=1)}
    assert marked("hgace", marks) == "Q1, Q3, Q5, Q7-Q8"
    assert marked([""], marks) == ""


def test_every_mark_in_the_book_is_explained_in_the_book() -> None:
    book = openpyxl.load_workbook(io.BytesIO(workbook_bytes(small_design())))
    sheets = (book["Assumed"], book["Sources"])
    explained = {row[0] for sheet in sheets for row in sheet.iter_rows(min_row=2, values_only=True)}
    used: set[str] = set()
    for sheet in book:
        for column in sheet.iter_cols(values_only=True):
            if "(see " in str(column[0]):
                for text in filter(None, column[1:]):
                    used.update(end for stretch in str(text).split(", ") for end in stretch.split("-"))
    assert len(used) > 5
    assert used <= explained


@pytest.mark.parametrize(
    "name",
    ["book.data", "book.marks", "book.summary", "book.text", "book.workbook", "lists.measure", "lists.tally"],
)
def test_the_examples_in_the_docstrings_hold(name: str) -> None:
    result = doctest.testmod(importlib.import_module(f"harness.{name}"))
    assert result.attempted > 0
    assert result.failed == 0
