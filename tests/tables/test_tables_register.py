"""A changed figure in a table fails here until somebody has compared the table again and registered it."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from harness.tables import Table, load, names
from tests.tables import register

ENTRIES = register.entries()


@pytest.mark.parametrize("name", names())
def test_a_table_is_as_it_was_compared(name: str) -> None:
    """If this fails: compare it with its document cell by cell, then `python -m tests.tables.register`."""
    assert name in ENTRIES, f"{name} was never compared with its document"
    entry = ENTRIES[name]
    assert register.state(name) == (entry.cells, entry.sha256), f"{name} is not as it was compared"


@pytest.mark.parametrize("entry", ENTRIES.values(), ids=lambda entry: entry.table)
def test_an_entry_says_with_what_and_when(entry: register.Entry) -> None:
    assert entry.table in names()
    assert re.fullmatch(r"20\d\d-\d\d-\d\d", entry.compared_on)
    assert len(entry.compared_with.split()) > 2


def test_one_changed_figure_or_word_changes_the_digest(monkeypatch: pytest.MonkeyPatch) -> None:
    table = load("grommets")
    before = register.state("grommets")

    def with_cell(value: str) -> Table:
        first = {**table.rows[0], "panel_hole_mm": value}
        return replace(table, rows=(first, *table.rows[1:]))

    for value, same in (("20.64", True), ("20.640", True), ("20.65", False), ("twenty", False)):
        monkeypatch.setattr(register, "load", lambda _, value=value: with_cell(value))
        assert (register.state("grommets") == before) is same, value
