"""A survey's tables as YAML text: a whole survey, a section, an entry or a value."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from harness.survey.sheets.flow import TREE_LIST, TREE_MAP, line_scalar, scalar
from harness.survey.sheets.layout import CIRCUIT, LISTED, PATH, PATHS, PLACES, Column, Layout, layouts
from harness.survey.sheets.tables import Row, Tables

STEP = "  "


@dataclass(frozen=True, slots=True)
class Item:
    """One entry of a section: its name where it has one, its keys, and of a circuit its paths."""

    name: str | None
    cells: Mapping[str, str]
    paths: tuple[str, ...] = ()


def items_of(layout: Layout, tables: Tables) -> list[Item]:
    """The entries of a section."""
    rows = tables.of(layout.section)
    if not layout.names:
        return [Item(None, row) for row in rows]
    title = layout.columns[0].title
    left_out = {title, LISTED} if layout.section == PLACES else {title}
    paths: dict[str, list[str]] = {}
    if layout.section == "circuits":
        for row in tables.of(PATHS):
            paths.setdefault(row[CIRCUIT], []).append(row[PATH])
    return [
        Item(
            row[title],
            {key: text for key, text in row.items() if key not in left_out},
            tuple(paths.get(row[title], ())),
        )
        for row in rows
    ]


def value_text(column: Column, cell: str, *, alone: bool) -> str:
    """The value of one key; ``alone``: it stands on a line of its own, outside brackets."""
    if column.holds == "list" and not cell.startswith(TREE_LIST):
        words = [word.strip() for word in cell.split(",")]
        if len(words) > 1:
            return f"[{', '.join(map(scalar, words))}]"
    if column.holds == "list" and cell.startswith(TREE_LIST):
        return cell
    if column.holds == "mapping" and cell.startswith(TREE_MAP):
        return cell
    return line_scalar(cell) if alone else scalar(cell)


def flow_of(layout: Layout, cells: Row | Mapping[str, str]) -> str:
    """An entry in braces on one line."""
    pairs = (
        f"{scalar(column.title)}: {value_text(column, cells[column.title], alone=False)}"
        for column in layout.columns
        if column.title in cells
    )
    return f"{{{', '.join(pairs)}}}"


def item_lines(layout: Layout, item: Item, indent: str) -> list[str]:
    """The lines of one entry."""
    if layout.shape == "texts":
        return [f"{indent}- {line_scalar(item.cells[layout.columns[0].title])}"]
    if item.name is None:
        return [f"{indent}- {flow_of(layout, item.cells)}"]
    name = line_scalar(item.name)
    if layout.section != "circuits":
        return [f"{indent}{name}: {flow_of(layout, item.cells)}"]
    lines = [f"{indent}{name}:"]
    lines += key_lines(layout, item.cells, indent + STEP)
    lines.append(f"{indent}{STEP}{PATHS}:")
    return lines + [f"{indent}{STEP}{STEP}- {line_scalar(path)}" for path in item.paths]


def key_lines(layout: Layout, cells: Mapping[str, str], indent: str) -> list[str]:
    """Keys and values, one a line."""
    return [
        f"{indent}{column.title}: {value_text(column, cells[column.title], alone=True)}"
        for column in layout.columns
        if column.title in cells
    ]


def section_text(layout: Layout, tables: Tables) -> str:
    """A whole section with its key; nothing for one that the survey does without."""
    items = items_of(layout, tables)
    if not items:
        return ""
    if layout.shape == "record":
        lines = key_lines(layout, items[0].cells, STEP)
    else:
        lines = [line for item in items for line in item_lines(layout, item, STEP)]
    return "\n".join([f"{layout.section}:", *lines, ""])


def survey_text(tables: Tables) -> str:
    """A whole survey, written anew."""
    texts = [section_text(layout, tables) for layout in layouts() if layout.shape != "paths"]
    return "\n".join(text for text in texts if text)
