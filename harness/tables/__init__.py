"""Published figures, one CSV a table, with the document they come from; nothing is computed here.

``sources.csv`` says for each table which document, table and edition it is, where it was read and how sure
that is, in the words of ``CERTAINTIES``, strongest first. A row may carry its own certainty; the certainty of
the whole table is then that of its weakest row.

A user's own catalogue stands in for some tables while one machine is designed: ``with extended(...)``. What
is remembered of the tables (``remembered``) is remembered for that catalogue alone.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field, replace
from functools import cache, wraps
from importlib.resources import files
from typing import Any, ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")
Rows = tuple[dict[str, str], ...]

OWN = "as stated there"  # certainty of a row out of a user's own catalogue
OWN_WORD = "own "  # column of a row that says where one word of its list comes from: "own M12"
NO_WORD = "no "  # column of a row that says that a word of its list is not to be had: "no M12"
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


@dataclass(frozen=True, slots=True)
class _Shelf:
    """The tables as they stand for one machine, and what has been worked out from them."""

    rows: Mapping[str, Rows] = field(default_factory=dict)
    answers: dict[Any, Any] = field(default_factory=dict)  # function -> the same function with a memory


_SHELF: ContextVar[_Shelf] = ContextVar("shelf", default=_Shelf())  # noqa: B039 - filled, never exchanged


@contextmanager
def extended(rows: Mapping[str, Rows]) -> Iterator[None]:
    """While the block runs ``load`` gives these rows for the tables named, in place of the published ones."""
    if rows == _SHELF.get().rows:
        yield
        return
    token = _SHELF.set(_Shelf(rows))
    try:
        yield
    finally:
        _SHELF.reset(token)


def remembered(function: Callable[P, R]) -> Callable[P, R]:
    """As functools.cache, but each catalogue has a memory of its own: for all that looks into a table."""

    @wraps(function)
    def answer(*args: P.args, **named: P.kwargs) -> R:
        answers = _SHELF.get().answers
        if function not in answers:
            answers[function] = cache(function)
        found: R = answers[function](*args, **named)
        return found

    return answer


@remembered
def load(name: str) -> Table:
    """Return the table called ``name``; raises KeyError when it has no row in sources.csv."""
    own = _SHELF.get().rows.get(name)
    return Table(name, _sources()[name], _rows(name) if own is None else own)


def own_source(row: Mapping[str, str]) -> tuple[str, ...]:
    """Where a row out of a user's own catalogue stands, beside the tables; nothing for a published row."""
    return (row["source"],) if row.get("certainty") == OWN else ()
