"""The loader hands tables out as text, finds rows, cites them and refuses what is not there."""

from __future__ import annotations

import pytest

from harness.tables import NotInTable, Source, Table, load

SOURCE = Source("A standard", "table 1", "1999", "a library", "memory")
TABLE = Table(
    "sample",
    SOURCE,
    (
        {"size": "1", "ohm": "18.5", "certainty": "read"},
        {"size": "2", "ohm": "", "certainty": ""},
        {"size": "3", "ohm": "6.15", "certainty": "memory"},
    ),
)


def test_unknown_table_is_refused() -> None:
    with pytest.raises(KeyError, match="no_such_table"):
        load("no_such_table")


def test_source_reads_as_one_line_with_its_certainty() -> None:
    assert str(SOURCE) == "A standard, table 1, 1999 (memory)"
    assert str(Source("A standard", "", "", "a library", "read")) == "A standard (read)"


def test_column_leaves_empty_cells_out() -> None:
    assert TABLE.column("size", "ohm") == {"1": 18.5, "3": 6.15}


def test_row_is_found_by_its_text() -> None:
    assert TABLE.row("size", "3")["ohm"] == "6.15"


def test_row_that_is_not_there_names_the_document_and_what_there_is() -> None:
    with pytest.raises(NotInTable, match=r"A standard, table 1, 1999 .*no size '2\.5'; it has 1, 2, 3"):
        TABLE.row("size", "2.5")


def test_a_row_is_cited_with_its_own_certainty() -> None:
    assert str(TABLE.cite(TABLE.rows[0])) == "A standard, table 1, 1999 (read)"


def test_a_row_without_certainty_is_cited_with_the_tables() -> None:
    assert str(TABLE.cite(TABLE.rows[1])) == "A standard, table 1, 1999 (memory)"


def test_a_row_with_its_own_document_is_cited_by_that() -> None:
    row = {"source": "a handbook p. 3", "certainty": "read"}
    assert str(TABLE.cite(row)) == "a handbook p. 3 (read)"


def test_figures_stay_as_they_were_printed() -> None:
    assert load("abyc_e11_table9_12v_3pct").rows[0]["awg_printed"] == "18"
    assert load("ampacity_33cfr183_425_table5").row("gauge_AWG", "4/0")["I_200C_A"] == "510"
