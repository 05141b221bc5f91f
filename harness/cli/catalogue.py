"""Words and JSON for the items that can be fitted, the user's own among them."""

from __future__ import annotations

from difflib import get_close_matches
from typing import Any

import click

from harness.catalogue import KINDS, ItemKind, kind_of
from harness.model.catalogue import Catalogue
from harness.signs import json_text
from harness.survey.catalogue import words_of
from harness.tables import OWN_WORD, Table, extended, load


def _item(row: dict[str, str], kind: ItemKind, table: Table) -> dict[str, str]:
    cited = table.cite(row)
    own = [f"{key.removeprefix(OWN_WORD)}: {cell}" for key, cell in row.items() if key.startswith(OWN_WORD)]
    source = "; ".join([cited.document, *own])
    return {"item": ", ".join(words_of(row, kind)), "source": source, "certainty": cited.certainty}


def _items(kind: ItemKind) -> list[dict[str, str]]:
    """Every item of a kind, each once though it stands in two series."""
    table = load(kind.table)
    found = [_item(row, kind, table) for row in table.rows]
    return [item for at, item in enumerate(found) if item not in found[:at]]


def _rows(kinds: tuple[ItemKind, ...]) -> dict[str, Any]:
    return {kind.name: {"what": kind.what, "written": kind.example, "items": _items(kind)} for kind in kinds}


def _wanted(name: str | None) -> tuple[ItemKind, ...]:
    """The kind of that name, or every kind; raises click.UsageError for a kind that is not there."""
    if name is None:
        return KINDS
    kind = kind_of(name)
    if kind is None:
        known = [each.name for each in KINDS]
        near = get_close_matches(name, known, n=1)
        hint = f"did you mean {near[0]!r}? " if near else ""
        raise click.UsageError(f"there is no kind of items {name!r}; {hint}There are: {', '.join(known)}")
    return (kind,)


def _kind_lines(kind: ItemKind) -> list[str]:
    items = _items(kind)
    width = max((len(item["item"]) for item in items), default=0)
    lines = [f"{item['item']:<{width}}  {item['source']} ({item['certainty']})" for item in items]
    return [f"{kind.name}: {kind.what}", f"written as {kind.example}", *lines]


def catalogue_text(name: str | None, own: Catalogue) -> str:
    """Every kind with the number of its items, or all items of one kind with their sources."""
    from harness.book.text import one_line

    kinds = _wanted(name)
    with extended(own.rows):
        if name is not None:
            return "\n".join(one_line(line) for line in _kind_lines(kinds[0]))
        width = max(len(kind.name) for kind in kinds)
        counts = [f"{kind.name:<{width}}  {len(_items(kind)):>3}  {kind.what}" for kind in kinds]
    return "\n".join(counts)


def catalogue_json(name: str | None, own: Catalogue) -> str:
    """The same for a program."""
    with extended(own.rows):
        return json_text({"kinds": _rows(_wanted(name))})
