"""Counts what is held against documents: every figure once, how far off ours is, and how sure the figure is.

A test that checks against a document carries ``published(document, table, certainty)`` and compares by the
fixture ``cells``. ``python -m pytest -m published`` prints the table at its end. A cell is one figure of the
document held against one of ours; it counts once, whoever holds it. What is not a number (a colour, a
thread) is held the same way and counted apart. A worked example is a document's problem with its answer.
A test against another program, or against every case counted through, carries ``beside(by, what)`` and is
told apart: nobody published its figures.
"""

from __future__ import annotations

import ast
import json
import os
import subprocess
import sys
import textwrap
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import zip_longest
from pathlib import Path
from typing import Any

import pytest

from harness.tables import CERTAINTIES

PROPERTY = "published"
HEAD = "held against documents"
AS_PAGE = "PUBLISHED_AS_PAGE"  # set in the surroundings of a run whose table goes into a page
TESTS = Path(__file__).parents[1]
HEADS = (
    "document",
    "table or example",
    "ours is",
    "cells",
    "words",
    "worst deviation",
    "allowed",
    "certainty",
)
WIDTHS = (25, 30, 10, 5, 5, 9, 9)  # of a row on a terminal, which is read at 100 columns
WORDS = 3  # of them texts
WIDE = sum(WIDTHS) + len(WIDTHS) - 1


def published(document: str, table: str, certainty: str, *, example: bool = False) -> pytest.MarkDecorator:
    """Mark a test as one against a document; ``example`` where it works out the document's own problem."""
    assert certainty in CERTAINTIES, certainty
    return pytest.mark.published(document, table, certainty, example)


@dataclass(frozen=True)
class Held:
    """One comparison: names of document, table and cell, and how far ours lies from what is printed."""

    document: str
    table: str
    certainty: str
    example: bool
    cell: str
    off: float | None  # share of the printed figure; None for words
    worked_out: bool  # ours comes out of a formula of the program, not out of a table it keeps
    allowed: float = 0.0  # how far off it may lie, as a share of the printed figure


@dataclass
class Cells:
    """What a test holds against its document."""

    document: str
    table: str
    certainty: str
    example: bool
    held: list[Held] = field(default_factory=list)

    def near(
        self, cell: str, ours: float, printed: float, *, rel: float | None = None, abs: float | None = None
    ) -> None:
        """A figure that the program works out, within a tolerance of the printed one."""
        assert ours == pytest.approx(printed, rel=rel, abs=abs), f"{cell}: {self.document}, {self.table}"
        within = max((1e-6 if rel is None and abs is None else rel or 0.0) * printed, abs or 0.0)
        scale = printed or 1.0
        self._keep(cell, (ours - printed) / scale, worked_out=True, allowed=within / scale)

    def kept(self, cell: str, ours: float | str, printed: float | str) -> None:
        """A figure or words that a table of the program keeps just as printed."""
        same = printed if isinstance(printed, str) else pytest.approx(printed, rel=1e-12)
        assert ours == same, f"{cell}: {self.document}, {self.table}"
        self._keep(cell, None if isinstance(printed, str) else 0.0, worked_out=False)

    def _keep(self, cell: str, off: float | None, *, worked_out: bool, allowed: float = 0.0) -> None:
        assert cell not in {each.cell for each in self.held}, f"{cell} is held twice"
        here = (self.document, self.table, self.certainty, self.example)
        self.held.append(Held(*here, cell, off, worked_out, allowed))


@pytest.fixture(autouse=True)
def counted(request: pytest.FixtureRequest) -> Iterator[None]:
    """A test said to be against a document holds cells of it, or it would be counted for nothing."""
    yield
    if request.node.get_closest_marker("published") is not None:
        told = [json.loads(text) for name, text in request.node.user_properties if name == PROPERTY]
        assert any(told), "marked as published, and no cell of the document is held"


@pytest.fixture
def cells(request: pytest.FixtureRequest) -> Iterator[Cells]:
    """Holds figures against the document of the test's mark."""
    mark = request.node.get_closest_marker("published")
    assert mark is not None, "a test that holds cells says of which document: @published(...)"
    found = Cells(*mark.args)
    yield found
    request.node.user_properties.append((PROPERTY, json.dumps([vars(each) for each in found.held])))


def told(reports: Iterable[Any]) -> list[Held]:
    """Everything that passed tests have held, read out of their reports."""
    kept = list(reports)
    failed = {report.nodeid for report in kept if report.failed}
    return [
        Held(**each)
        for report in kept
        if report.when == "teardown" and report.nodeid not in failed
        for name, text in report.user_properties
        if name == PROPERTY
        for each in json.loads(text)
    ]


@dataclass(frozen=True)
class Row:
    """What one table or example of a document was held to."""

    document: str
    table: str
    certainty: str
    example: bool
    worked_out: bool
    figures: int
    words: int
    off: float
    allowed: float = 0.0  # for the figure that lies farthest off


def rows(held: Sequence[Held]) -> list[Row]:
    """One row a table or example, cells told once; where a cell is held twice the farther off counts."""
    farthest: dict[tuple[str, str, str], Held] = {}
    for each in held:
        cell = (each.document, each.table, each.cell)
        if cell not in farthest or abs(each.off or 0) > abs(farthest[cell].off or 0):
            farthest[cell] = each
    groups: dict[tuple[str, str, str, bool, bool], list[Held]] = {}
    for each in farthest.values():
        key = (each.document, each.table, each.certainty, each.example, each.worked_out)
        groups.setdefault(key, []).append(each)
    found = []
    for key, group in sorted(groups.items(), key=lambda each: (each[0][0].casefold(), each[0][1:])):
        off = [(abs(each.off), each.allowed) for each in group if each.off is not None]
        found.append(Row(*key, len(off), len(group) - len(off), *max(off, default=(0.0, 0.0))))
    return found


def percent(off: float) -> str:
    """How far off, in percent to two figures."""
    return "none" if off < 5e-7 else f"{100 * off:.2g} %"


def cells_of(row: Row) -> list[str]:
    """What stands in a row of the table, from the document to how sure it is."""
    return [
        row.document,
        f"{row.table}{', worked example' if row.example else ''}",
        "worked out" if row.worked_out else "kept",
        str(row.figures or ""),
        str(row.words or ""),
        percent(row.off) if row.figures else "",
        percent(row.allowed) if row.figures else "",
        row.certainty,
    ]


def sums_of(found: Sequence[Row]) -> list[list[str]]:
    """The last rows: everything of one certainty, then altogether."""
    kinds = [each for each in CERTAINTIES if any(row.certainty == each for row in found)]
    return [
        *(_sum([row for row in found if row.certainty == certainty], certainty) for certainty in kinds),
        _sum(found, ""),
    ]


def _sum(found: Sequence[Row], certainty: str) -> list[str]:
    figures, words = sum(row.figures for row in found), sum(row.words for row in found)
    out = sum(row.figures for row in found if row.worked_out)
    examples = len({(row.document, row.table) for row in found if row.example})
    off = max((row.off for row in found), default=0.0)
    told = [
        f"{examples} worked example{'s' * (examples != 1)}",
        f"{out} worked out",
        str(figures),
        str(words or ""),
        percent(off),
    ]
    return ["together", *told, "", certainty]


def lines(found: Sequence[Row]) -> list[str]:
    """The table as a page shows it, the sums in the last rows."""
    return [
        f"| {' | '.join(HEADS)} |",
        "|---|---|---|---:|---:|---:|---:|---|",
        *(f"| {' | '.join(row)} |" for row in [*map(cells_of, found), *sums_of(found)]),
    ]


def plain(found: Sequence[Row]) -> Iterator[str]:
    """The table for a terminal of 100 columns: what was read first, then what is less sure, then the sums."""
    order = {certainty: at for at, certainty in enumerate(CERTAINTIES)}
    told, last = sorted(found, key=lambda row: order[row.certainty]), ""
    for row in told:
        if row.certainty != last:
            last = row.certainty
            yield from ("", last.upper(), *_laid([*HEADS[:-1]]), "-" * WIDE)
        yield from _laid(cells_of(row)[:-1])
    yield from ("", "TOGETHER")
    for _, examples, out, cells, words, off, _, certainty in sums_of(found):
        told = f"{cells} cells ({out}), {words or 0} words, {examples}, farthest {off}"
        yield f"{certainty or 'all':<20} {told}"


def _laid(texts: Sequence[str]) -> Iterator[str]:
    """One row, its texts wrapped in their columns, figures to the right."""
    wrapped = [textwrap.wrap(text, wide) or [""] for text, wide in zip(texts, WIDTHS, strict=True)]
    for line in zip_longest(*wrapped, fillvalue=""):
        cells = [
            text.ljust(wide) if at < WORDS else text.rjust(wide)
            for at, (text, wide) in enumerate(zip(line, WIDTHS, strict=True))
        ]
        yield " ".join(cells).rstrip()


def beside(by: str, what: str) -> pytest.MarkDecorator:
    """Mark a test against another program or a count of every case: no document, so no row of the table."""
    return pytest.mark.beside(by, what)


def judges() -> list[tuple[str, str, int]]:
    """Who judges, what, and in how many tests, as the tests say by their marks."""
    found: Counter[tuple[str, str]] = Counter()
    for path in sorted(TESTS.rglob("test_*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            for mark in node.decorator_list if isinstance(node, ast.FunctionDef) else ():
                if (
                    isinstance(mark, ast.Call)
                    and isinstance(mark.func, ast.Name)
                    and mark.func.id == "beside"
                ):
                    by, what = (ast.literal_eval(each) for each in mark.args)
                    found[by, what] += 1
    return [(by, what, count) for (by, what), count in sorted(found.items())]


def beside_table() -> list[str]:
    """The same for a page."""
    return [
        "| judge | what it judges | tests |",
        "|---|---|---:|",
        *(f"| {by} | {what} | {count} |" for by, what, count in judges()),
    ]


def summary(write: Callable[[str], None], reports: Iterable[Any], *, page: bool) -> None:
    """What the test run prints at its end, for a terminal or as a page has it."""
    kept = list(reports)
    found = rows(told(kept))
    for line in lines(found) if page else plain(found):
        write(line)
    if page:
        return
    failed = sorted({report.nodeid for report in kept if report.failed})
    write("")
    write(
        f"NOT MET ({len(failed)}), none of their figures counted above" if failed else "Every figure is met."
    )
    for node in failed:
        write(f"  {node}")
    write("")
    write("AGAINST OTHER PROGRAMS AND COUNTS OF EVERY CASE, no document (run them by -m beside)")
    for by, what, count in judges():
        write(f"  {by:<22} {count} tests  {what}")


def table() -> list[str]:
    """The table for a page, out of a run of its own on two processes."""
    root = TESTS.parent
    marked = [
        str(path)
        for path in sorted(TESTS.rglob("test_*.py"))
        if "import Cells" in path.read_text(encoding="utf-8")
    ]
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-m", "published", "-p", "no:cacheprovider", "-n", "2", *marked],
        env={**os.environ, AS_PAGE: "1"},
        cwd=root,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stdout
    return [line for line in done.stdout.splitlines() if line.startswith("|")]
