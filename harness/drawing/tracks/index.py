"""The last sheets of the tracks: which part stands on which track, and what signs and marks mean."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from harness.drawing import legend, metrics, symbols
from harness.drawing import sheet as paper
from harness.drawing.svg import SOFT, Canvas
from harness.drawing.tracks.plates import Laid
from harness.model.design import Design

SIZE = 2.3
ROW_MM = 3.5
COLUMN_MM = 86.0
GAP_MM, HEAD_MM = 4.0, 5.4  # under the key; for the heads of the columns
_DIGITS = re.compile(r"[0-9]{1,9}|[^0-9]+")
NAME_SHARE, PLACE_SHARE = 0.42, 0.28
WORDS = (
    "30: live from the battery. 15: live through the key. 31: the metal named beside it.",
    "On a line: the wire's number, size and colour (base/tracer). Small ring: a terminal, with its mark.",
    "Black dot: joined. Lines that cross without a dot do not touch.",
    "coil: 16, contact: 4, also: 9: the part has another piece in that track.",
    "Framed number, to 8, from 5: the line goes on in that track. Arrow on a rail: it goes on there.",
    "~ before a value: assumed from the kind of part, not measured on this machine.",
    "Broken line, “kept”: an old wire that stays on the machine.",
    "All parts are drawn at rest and without current.",
)


@dataclass(frozen=True, slots=True)
class Entry:
    """One row of the index, broken into lines."""

    title: str
    name: Sequence[str]
    place: Sequence[str]
    tracks: Sequence[str]

    @property
    def high_mm(self) -> float:
        """Height it takes [mm]."""
        return max(len(self.name), len(self.place), len(self.tracks)) * metrics.LINE * SIZE + ROW_MM - 2.8


def _natural(name: str) -> tuple[list[tuple[int, str]], str]:
    """Order of a name with its numbers counted: S2 before S10."""
    pieces = _DIGITS.findall(name.casefold())
    return [(int(each), "") if each.isascii() and each.isdecimal() else (-1, each) for each in pieces], name


def _entries(design: Design, laid: Laid) -> list[Entry]:
    places = {part.name: part.place for part in design.parts}
    places |= {splice.name: splice.place for splice in design.splices}
    found = []
    for name in sorted(places, key=_natural):
        tracks = ", ".join(str(each) for each in sorted(laid.part_tracks.get(name, ())))
        found.append(
            Entry(
                name,
                metrics.wrap(name, SIZE, COLUMN_MM * NAME_SHARE - 2.0, bold=True),
                metrics.wrap(places[name], SIZE, COLUMN_MM * PLACE_SHARE - 2.0),
                metrics.wrap(tracks or "on no wire", SIZE, COLUMN_MM * (1 - NAME_SHARE - PLACE_SHARE) - 3.0),
            )
        )
    return found


def _head(c: Canvas) -> None:
    for text, share in (("part", 0.0), ("where", NAME_SHARE), ("tracks", NAME_SHARE + PLACE_SHARE)):
        c.text(COLUMN_MM * share + 1.0, 3.0, text, 1.9, fill=SOFT)
    c.line([(0, 4.2), (COLUMN_MM - 3.0, 4.2)], wide=0.25)


def _draw(c: Canvas, entry: Entry, y: float) -> None:
    with c.group("", index=entry.title):
        c.lines(1.0, y, entry.name, SIZE, bold=True)
        c.lines(COLUMN_MM * NAME_SHARE + 1.0, y, entry.place, SIZE)
        c.lines(COLUMN_MM * (NAME_SHARE + PLACE_SHARE) + 1.0, y, entry.tracks, SIZE)


def _key(laid: Laid, wide: float) -> legend.Key:
    used = {edge.symbol for edge in laid.net.edges}
    signs = [(name, symbols.MEANINGS[name]) for name in symbols.MEANINGS if name in used]
    columns = max(1, min(4, int((wide - legend.WORDS_MM - 8.0) // legend.COLUMN_MM)))
    return legend.Key(tuple(signs), WORDS, columns)


@dataclass(frozen=True, slots=True)
class Row:
    """An entry at its place."""

    page: int
    column: int
    y: float
    entry: Entry


@dataclass(frozen=True, slots=True)
class Plan:
    """The sheets of an index: rows in columns, under a key on the first."""

    key: legend.Key
    scale: float  # at which the key goes on the paper
    rows: Sequence[Row]

    @property
    def pages(self) -> int:
        """How many sheets it takes."""
        return max((row.page for row in self.rows), default=0) + 1

    def top(self, page: int) -> float:
        """Where the columns of a page begin [mm]."""
        return self.key.size[1] * self.scale + GAP_MM if page == 0 else 0.0


def index_plan(design: Design, laid: Laid, form: paper.Format) -> Plan:
    """Set index and key on sheets of a paper."""
    _, _, wide, high = paper.room(design, form)
    key = _key(laid, wide)
    bare = Plan(key, min(1.0, wide / key.size[0]), ())
    rows, columns = [], max(1, int(wide // COLUMN_MM))
    page, column, y = 0, 0, bare.top(0) + HEAD_MM
    for entry in _entries(design, laid):
        if y + entry.high_mm > high and y > bare.top(page) + HEAD_MM:
            page, column = (page, column + 1) if column + 1 < columns else (page + 1, 0)
            y = bare.top(page) + HEAD_MM
        rows.append(Row(page, column, y, entry))
        y += entry.high_mm
    return replace(bare, rows=rows)


def draw_index(c: Canvas, plan: Plan, page: int) -> None:
    """Draw one sheet of an index, its upper left corner at (0, 0)."""
    if page == 0:
        legend.draw_key(c, plan.key, plan.scale)
    here = [row for row in plan.rows if row.page == page]
    for column in sorted({row.column for row in here}):
        _head(c.at(column * COLUMN_MM, plan.top(page)))
    for row in here:
        _draw(c.at(column_x(row), 0), row.entry, row.y)


def column_x(row: Row) -> float:
    """Left edge of a row's column [mm]."""
    return row.column * COLUMN_MM
