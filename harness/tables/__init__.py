"""Published figures, one CSV a table, with the document they come from; nothing is computed here.

``sources.csv`` says for each table which document, table and edition it is, where it was read and how sure
that is, in the words of ``CERTAINTIES``, strongest first. A row may carry its own certainty; the certainty of
the whole table is then that of its weakest row.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files

CERTAINTIES = ("read", "read-from-secondary", "calculated", "common practice", "memory", "memory-weak")


class NotInTable(LookupError):
    """A table was asked for a row it does not hold; says which table, what was asked and what there is."""

    def __init__(self, table: Table, key: str, value: str) -> None:
        there = ", ".join(dict.fromkeys(row[key] for row in table.rows))
        super().__init__(f"{table.source}: no {key} {value!r}; it has {there}")


@dataclass(frozen=True, slots=True)
class Source:
    """Where a table comes from."""

    document: str
    table: str
    edition: str
    read_at: str
    certainty: str

    def __str__(self) -> str:
        words = ", ".join(word for word in (self.document, self.table, self.edition) if word)
        return f"{words} ({self.certainty})"


@dataclass(frozen=True, slots=True)
class Table:
    """One published table: its rows as read, all text, and its source."""

    name: str
    source: Source
    rows: tuple[dict[str, str], ...]

    def column(self, key: str, value: str) -> dict[str, float]:
        """Map the text of column ``key`` to the number in column ``value``, empty cells left out."""
        return {row[key]: float(row[value]) for row in self.rows if row[value] != ""}

    def row(self, key: str, value: str) -> dict[str, str]:
        """Return the first row with ``value`` in column ``key``; raises NotInTable when there is none."""
        for row in self.rows:
            if row[key] == value:
                return row
        raise NotInTable(self, key, value)

    def cite(self, row: Mapping[str, str], certainty: str = "certainty") -> Source:
        """Return the source of one row: the table's, with the row's own document and certainty if given."""
        return replace(
            self.source,
            document=row.get("source") or self.source.document,
            table="" if row.get("source") else self.source.table,
            edition="" if row.get("source") else self.source.edition,
            certainty=row.get(certainty) or self.source.certainty,
        )


def _rows(name: str) -> tuple[dict[str, str], ...]:
    text = files(__package__).joinpath(f"{name}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


@cache
def _sources() -> dict[str, Source]:
    return {
        row["name"]: Source(row["document"], row["table"], row["edition"], row["read_at"], row["certainty"])
        for row in _rows("sources")
    }


def names() -> tuple[str, ...]:
    """Return the names of all tables, in the order of sources.csv."""
    return tuple(_sources())


@cache
def load(name: str) -> Table:
    """Return the table called ``name``; raises KeyError when it has no row in sources.csv."""
    return Table(name, _sources()[name], _rows(name))
