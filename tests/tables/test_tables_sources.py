"""Every table says where it comes from and how sure that is, and no row claims more than its table read."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

import harness.tables as tables
from harness.tables import CERTAINTIES, load, names

FOLDER = Path(tables.__file__).parent
STEMS = sorted(path.stem for path in FOLDER.glob("*.csv") if path.stem != "sources")


def certainties(name: str) -> set[str]:
    """Words in the certainty columns of a table, notes left out."""
    rows = load(name).rows
    columns = [key for key in rows[0] if key.startswith("certainty") and key != "certainty_note"]
    assert columns, f"{name} has no certainty column"
    return {row[key] for row in rows for key in columns if row[key]}


def test_every_table_has_a_source_row_and_every_source_row_a_table() -> None:
    assert sorted(names()) == STEMS


def test_source_rows_are_not_doubled_and_stand_in_order() -> None:
    with (FOLDER / "sources.csv").open(encoding="utf-8", newline="") as file:
        written = [row["name"] for row in csv.DictReader(file)]
    assert written == sorted(set(written))


@pytest.mark.parametrize("name", STEMS)
def test_table_and_column_names_are_one_word_each(name: str) -> None:
    assert re.fullmatch(r"[a-z][a-z0-9_]*", name)
    assert all(re.fullmatch(r"[A-Za-z][A-Za-z0-9_]*", key) for key in load(name).rows[0])


@pytest.mark.parametrize("name", STEMS)
def test_rows_are_whole_and_clean(name: str) -> None:
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        width = len(next(csv.reader(file)))
        rows = list(csv.reader(file))
    assert rows
    assert [len(row) for row in rows] == [width] * len(rows)
    for cell in (cell for row in rows for cell in row):
        assert cell == cell.strip()
        assert "\n" not in cell
        assert "\r" not in cell


@pytest.mark.parametrize("name", STEMS)
def test_certainty_words_come_from_the_list(name: str) -> None:
    rows = load(name).rows
    columns = [key for key in rows[0] if "certainty" in key and key != "certainty_note"]
    assert {row[key] for row in rows for key in columns} <= {"", *CERTAINTIES}


@pytest.mark.parametrize("name", STEMS)
def test_every_row_says_how_sure_it_is(name: str) -> None:
    for row in load(name).rows:
        assert any(row[key] in CERTAINTIES for key in row if key.startswith("certainty")), row


@pytest.mark.parametrize("name", STEMS)
def test_a_table_is_as_sure_as_its_weakest_row(name: str) -> None:
    assert load(name).source.certainty == max(certainties(name), key=CERTAINTIES.index)


@pytest.mark.parametrize("name", STEMS)
def test_source_names_a_document_and_where_it_was_read(name: str) -> None:
    source = load(name).source
    assert source.document
    assert source.read_at


@pytest.mark.parametrize("name", STEMS)
def test_nothing_is_called_read_in_a_table_that_was_not_seen(name: str) -> None:
    if load(name).source.read_at == "not seen":
        assert not certainties(name) & {"read", "read-from-secondary"}


@pytest.mark.parametrize("name", STEMS)
def test_rows_cite_documents_not_addresses(name: str) -> None:
    address = re.compile(r"\b[a-z0-9-]+\.(com|org|net|de|ru|uk)\b|https?:|www\.")
    assert not [cell for row in load(name).rows for cell in row.values() if address.search(cell)]
