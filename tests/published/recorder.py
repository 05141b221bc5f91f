"""Counts what is held against documents: every figure once, how far off ours is, and how sure the figure is.

A test that checks against a document carries ``published(document, table, certainty)`` and compares by the
fixture ``cells``. ``python -m pytest -m published`` prints the table at its end. A cell is one figure of the
document held against one of ours; it counts once, whoever holds it. What is not a number (a colour, a
thread) is held the same way and counted apart. A worked example is a document's problem with its answer.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from harness.tables import CERTAINTIES

PROPERTY = "published"
HEAD = "held against documents"


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
        off = (ours - printed) / printed if printed else ours
        self._keep(cell, off, worked_out=True)

    def kept(self, cell: str, ours: float | str, printed: float | str) -> None:
        """A figure or words that a table of the program keeps just as printed."""
        same = printed if isinstance(printed, str) else pytest.approx(printed, rel=1e-12)
        assert ours == same, f"{cell}: {self.document}, {self.table}"
        self._keep(cell, None if isinstance(printed, str) else 0.0, worked_out=False)

    def _keep(self, cell: str, off: float | None, *, worked_out: bool) -> None:
        assert cell not in {each.cell for each in self.held}, f"{cell} is held twice"
        self.held.append(Held(self.document, self.table, self.certainty, self.example, cell, off, worked_out))


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
        off = [abs(each.off) for each in group if each.off is not None]
        found.append(Row(*key, len(off), len(group) - len(off), max(off, default=0.0)))
    return found


def percent(off: float) -> str:
    """How far off, in percent to two figures."""
    return "none" if off < 5e-7 else f"{100 * off:.2g} %"


def lines(found: Sequence[Row]) -> list[str]:
    """The table as a page shows it, the sum in the last row."""
    return [
        "| document | table or example | ours is | cells | words | worst deviation | certainty |",
        "|---|---|---|---:|---:|---:|---|",
        *(
            f"| {row.document} | {row.table}{', worked example' if row.example else ''} "
            f"| {'worked out' if row.worked_out else 'kept'} | {row.figures or ''} | {row.words or ''} "
            f"| {percent(row.off) if row.figures else ''} | {row.certainty} |"
            for row in found
        ),
        *(
            _sum([row for row in found if row.certainty == certainty], certainty)
            for certainty in CERTAINTIES
            if any(row.certainty == certainty for row in found)
        ),
        _sum(found, ""),
    ]


def _sum(found: Sequence[Row], certainty: str) -> str:
    """The last rows: everything of one certainty, or altogether."""
    figures, words = sum(row.figures for row in found), sum(row.words for row in found)
    out = sum(row.figures for row in found if row.worked_out)
    examples = sum(row.example for row in found)
    off = max(row.off for row in found)
    return (
        f"| together | {examples} worked examples | {out} worked out | {figures} | {words or ''} "
        f"| {percent(off)} | {certainty} |"
    )


def summary(write: Callable[[str], None], reports: Iterable[Any]) -> None:
    """What the test run prints at its end."""
    for line in lines(rows(told(reports))):
        write(line)


def table() -> list[str]:
    """The table for a page, out of a run of its own on two processes."""
    root = Path(__file__).parents[2]
    marked = [
        str(path)
        for path in sorted((root / "tests").rglob("test_*.py"))
        if "import Cells, published" in path.read_text(encoding="utf-8")
    ]
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-m", "published", "-p", "no:cacheprovider", "-n", "2", *marked],
        cwd=root,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stdout
    return [line for line in done.stdout.splitlines() if line.startswith("|")]
