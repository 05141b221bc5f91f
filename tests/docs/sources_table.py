"""The table of published tables with their documents that the guide prints."""

from __future__ import annotations

from harness.tables import load, names


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


def table() -> list[str]:
    """The whole table, heading and all, in the order of sources.csv."""
    head = [
        "| name | document | table | edition | where it was read | certainty |",
        "|---|---|---|---|---|---|",
    ]
    rows = []
    for name in names():
        source = load(name).source
        words = (source.document, source.table, source.edition, source.read_at, source.certainty)
        rows.append(f"| `{name}` | {' | '.join(_cell(word) for word in words)} |")
    return head + rows
