"""What the pages show of the program, outputs and tables; run as a module, puts them in anew."""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable
from pathlib import Path

from click.testing import CliRunner

from harness.cli import main
from tests.docs import keys_table, limits_table, options_table, sources_table, words_table
from tests.docs.kinds_table import table as kinds_table
from tests.docs.pages import PAGES
from tests.docs.rules_table import table as rules_table
from tests.published import heat_tables, recorder

TABLES: dict[str, Callable[[], list[str]]] = {
    "kinds": kinds_table,
    "rules": rules_table,
    "sources": sources_table.table,
    "words": words_table.table,
    "options": options_table.table,
    "shared options": options_table.shared,
    "limits": limits_table.table,
    "measures": limits_table.measures,
    **keys_table.TABLES,
    **heat_tables.PAGES,
    "published": recorder.table,
    "beside": recorder.beside_table,
}
_OUTPUT = re.compile(r"^<!-- output: (?P<call>harness [^|]*?)(?P<cut> \| first \d+, last \d+)? -->$")
_TABLE = re.compile(r"^<!-- table: (?P<name>[\w ]+) -->$")


def printed(call: str) -> list[str]:
    """The lines a command prints; to be run in the project's folder."""
    result = CliRunner().invoke(main, shlex.split(call)[1:])
    return [line.rstrip() for line in result.output.strip("\n").splitlines()]


def _cut(lines: list[str], cut: str | None) -> list[str]:
    if cut is None:
        return lines
    first, last = (int(number) for number in re.findall(r"\d+", cut))
    return [*lines[:first], "...", *lines[-last:]]


def _end(lines: list[str], start: int, opened: str) -> int:
    """Index behind the block or table that starts at ``start``."""
    here = start + 1
    if opened == "```text":
        return lines.index("```", here) + 1
    while here < len(lines) and lines[here].startswith("|"):
        here += 1
    return here


def _wanted(line: str) -> tuple[list[str], str] | None:
    """What belongs below a marker line, and how it begins."""
    if found := _OUTPUT.match(line):
        return ["```text", *_cut(printed(found["call"]), found["cut"]), "```"], "```text"
    if found := _TABLE.match(line):
        return TABLES[found["name"]](), "|"
    return None


def fresh(text: str) -> str:
    """A page's text with every marked output and table as the program gives it now."""
    lines = text.split("\n")
    done: list[str] = []
    at = 0
    while at < len(lines):
        done.append(lines[at])
        wanted = _wanted(lines[at])
        at += 1
        if wanted is not None:
            new, opened = wanted
            done += new
            at = _end(lines, at, opened)
    return "\n".join(done)


def refresh(page: Path) -> None:
    """Rewrite a page with fresh outputs and tables."""
    text = page.read_text(encoding="utf-8")
    new = fresh(text)
    if new != text:
        page.write_text(new, encoding="utf-8")


if __name__ == "__main__":
    for each in PAGES:
        refresh(each)
