"""A survey as tables of texts: what the cells of its workbook hold, in the plainest form there is.

Two surveys that say the same in different ways have the same tables; so tables are what is compared.
"""

from __future__ import annotations

from collections.abc import Mapping as Dictionary
from dataclasses import dataclass

from harness.survey.located import Mapping, Node, Sequence, Text, canonical, find
from harness.survey.sheets.flow import flow, list_cell, mapping_cell
from harness.survey.sheets.layout import (
    CIRCUIT,
    LISTED,
    PATH,
    PATHS,
    PLACES,
    Column,
    Layout,
    layout_of,
    layouts,
)

Row = dict[str, str]  # column -> text; no blank ones


@dataclass(frozen=True, slots=True)
class Tables:
    """The rows of every sheet, by its section; a record is one row."""

    rows: Dictionary[str, tuple[Row, ...]]

    def of(self, section: str) -> tuple[Row, ...]:
        return self.rows.get(section, ())


def tables_of(root: Node) -> Tables:
    """The tables of a survey that was read without a mistake."""
    found: dict[str, tuple[Row, ...]] = {}
    for layout in layouts():
        if layout.shape == "paths":
            found[PATHS] = tuple(_paths(find_section(root, "circuits")))
        else:
            found[layout.section] = tuple(_rows(layout, find_section(root, layout.section)))
    found[PLACES] = tuple(_place(row) for row in found[PLACES])
    return Tables(found)


def find_section(root: Node, section: str) -> Node | None:
    """The node of a section, None where the survey has none."""
    node, key = find(root, (section,))
    return node if key is not None and node is not root else None


def _rows(layout: Layout, node: Node | None) -> list[Row]:
    if node is None or (isinstance(node, Text) and not node.value.strip()):
        return []
    if layout.shape == "record":
        row = cells_of(layout.columns, node)
        return [row] if row else []
    if layout.shape == "named":
        assert isinstance(node, Mapping)
        first, *rest = layout.columns
        return [{first.title: name, **cells_of(rest, entry.value)} for name, entry in node.entries.items()]
    items = node.items if isinstance(node, Sequence) else (node,)
    if layout.shape == "texts":
        title = layout.columns[0].title
        return [{title: item.value if isinstance(item, Text) else flow(item)} for item in items]
    return [cells_of(layout.columns, item) for item in items]


def cells_of(columns: tuple[Column, ...] | list[Column], node: Node) -> Row:
    """The cells of one entry."""
    if not isinstance(node, Mapping):
        return {}
    return {
        column.title: cell_of(column, node.entries[column.title].value)
        for column in columns
        if column.title in node.entries
    }


def cell_of(column: Column, node: Node) -> str:
    """What one cell holds."""
    if column.holds == "list":
        return list_cell(node)
    return mapping_cell(node)


def _paths(node: Node | None) -> list[Row]:
    if not isinstance(node, Mapping):
        return []
    found = []
    for name, entry in node.entries.items():
        paths, key = find(entry.value, (PATHS,))
        if key is None:
            continue
        for path in paths.items if isinstance(paths, Sequence) else (paths,):
            found.append({CIRCUIT: name, PATH: path.value if isinstance(path, Text) else flow(path)})
    return found


def _place(row: Row) -> Row:
    """A place of which nothing is said but that it is there."""
    return row if len(row) > 1 else {**row, LISTED: "yes"}


def all_places(tables: Tables) -> list[str]:
    """Every place of the survey, those with a row of their own first."""
    name = layout_of(PLACES).columns[0].title
    own = [row[name] for row in tables.of(PLACES)]
    ends = [canonical(row[key]) for row in tables.of("runs") for key in ("from", "to") if key in row]
    return list(dict.fromkeys([*own, *ends]))
