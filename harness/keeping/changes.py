"""A comparison's lines as markup of a page: headings, and lists of what is said under them."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from itertools import groupby

from harness.book.text import one_line


def markup(lines: Iterable[str]) -> str:
    """Every blank line ends a section; in one, indented lines are items of the line that is not."""
    found: list[str] = []
    for filled, section in groupby(lines, key=lambda line: bool(line.strip())):
        if not filled:
            continue
        rows = list(section)
        items = any(row.startswith(" ") for row in rows)
        for indented, some in groupby(rows, key=lambda row: row.startswith(" ")):
            texts = [escape(one_line(row.strip())) for row in some]
            if indented:
                found.append('<ul class="changes">' + "".join(f"<li>{text}</li>" for text in texts) + "</ul>")
            else:
                found += [f"<h2>{text}</h2>" if items else f"<p>{text}</p>" for text in texts]
    return "\n".join(found)
