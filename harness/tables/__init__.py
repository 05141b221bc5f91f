"""Published figures, one CSV a table, with the document they come from; nothing is computed here.

``sources.csv`` says for each table which document, table and edition it is, where it was read and how sure
that is: read, read-from-secondary, memory, memory-weak or calculated. A row may carry its own certainty.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files


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


def _rows(name: str) -> tuple[dict[str, str], ...]:
    text = files(__package__).joinpath(f"{name}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


@cache
def _sources() -> dict[str, Source]:
    return {
        row["name"]: Source(row["document"], row["table"], row["edition"], row["read_at"], row["certainty"])
        for row in _rows("sources")
    }


@cache
def load(name: str) -> Table:
    """Return the table called ``name``; raises KeyError when it has no row in sources.csv."""
    return Table(name, _sources()[name], _rows(name))
