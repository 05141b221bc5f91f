"""Drawings with what has changed marked on them, readable in black and white, and the numbered list of it."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from harness.drawing import metrics
from harness.drawing import sheet as paper
from harness.drawing.svg import INK, PAPER, Canvas, Spot, document
from harness.drawing.tracks.sheets import Pages, tracks_pages
from harness.model.design import Design

Act = Literal["added", "removed", "changed"]

SIDE_MM, HIGH_MM = 4.6, 4.0  # of a mark
OFF_MM = 3.1  # from a line to the middle of its mark: the column is free there
NUMBER_SIZE = 1.9
HALO_MM = 2.9
TEXT = 2.6
NUMBER_MM, GAP_MM = 9.0, 1.3
COLUMN_MM = 190.0  # a line of the list is no longer


@dataclass(frozen=True, slots=True)
class Mark:
    """What happened to a wire, and its number in the list."""

    act: Act
    number: int


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the list of changes."""

    mark: Mark
    text: str


def draw_mark(c: Canvas, x: float, y: float, mark: Mark) -> None:
    """Draw a mark round (x, y): a triangle for changed, a box with a sign for added or removed."""
    text = {"added": "+", "removed": "−", "changed": ""}[mark.act] + str(mark.number)
    room = SIDE_MM - 0.6 if mark.act != "changed" else SIDE_MM * 0.52
    size = min(NUMBER_SIZE, NUMBER_SIZE * room / metrics.width(text, NUMBER_SIZE, bold=True))
    half = SIDE_MM / 2
    if mark.act == "changed":
        c.shape([(x - half, y + 1.9), (x + half, y + 1.9), (x, y - HIGH_MM + 1.5)], wide=0.3)
        c.text(x, y + 1.5, text, size, anchor="middle", bold=True)
    else:
        c.rect(x - half, y - 1.7, SIDE_MM, 3.4, wide=0.5 if mark.act == "added" else 0.3,
               dash=() if mark.act == "added" else (0.8, 0.6))  # fmt: skip
        c.text(x, y + 0.36 * size, text, size, anchor="middle", bold=True)


class Marker:
    """Marks wires while they are drawn."""

    def __init__(
        self, marks: Mapping[str, Mark], fuses: Mapping[tuple[str, str], Mark] | None = None
    ) -> None:
        self._marks, self._fuses = marks, fuses or {}

    def below(self, c: Canvas, number: str, spots: Sequence[Spot]) -> None:
        """Draw what lies under a wire: a heavy edge round a new one."""
        mark = self._marks.get(number)
        if mark is not None and mark.act == "added":
            c.line(spots, stroke=INK, wide=HALO_MM)
            c.line(spots, stroke=PAPER, wide=HALO_MM - 0.7)

    def above(self, c: Canvas, number: str, spots: Sequence[Spot], at: Spot) -> None:
        """Draw what lies over a wire: broken up and struck where it is gone, and its mark beside it."""
        mark = self._marks.get(number)
        if mark is None:
            return
        x, y = at
        if mark.act == "removed":
            c.line(spots, stroke=PAPER, wide=1.7, dash=(1.4, 1.6))
            for low in (-1.0, 1.0):
                c.line([(x - 1.2, y + low * 1.2 + 3.2), (x + 1.2, y - low * 1.2 + 3.2)], wide=0.5)
        with c.group("", change=str(mark.number)):
            draw_mark(c, x - OFF_MM, y, mark)

    def beside(self, c: Canvas, part: str, link: str, at: Spot) -> None:
        """Draw the mark of a fuse that is another now."""
        mark = self._fuses.get((part, link))
        if mark is not None:
            with c.group("", change=str(mark.number)):
                draw_mark(c, at[0] - OFF_MM - 0.5, at[1], mark)


def _listed(design: Design, rows: Sequence[Row], form: paper.Format, title: str, key: str) -> list[str]:
    """The list of changes on as many sheets as it takes."""
    left, top, wide, high = paper.room(design, form)
    columns = max(1, int(wide // COLUMN_MM))
    room = wide / columns - NUMBER_MM - 4.0
    placed: list[list[tuple[float, float, Row, list[str]]]] = [[]]
    column, y = 0, 0.0
    for row in rows:
        lines = metrics.wrap(row.text, TEXT, room)
        while lines:
            fits = int((high - y - 1.0) / (metrics.LINE * TEXT))
            if fits < min(2, len(lines)) or high - y < HIGH_MM + GAP_MM:
                column, y = column + 1, 0.0
                if column == columns:
                    placed.append([])
                    column = 0
                continue
            placed[-1].append((column * wide / columns, y, row, lines[:fits]))
            y += max(HIGH_MM, len(lines[:fits]) * metrics.LINE * TEXT) + GAP_MM
            lines = lines[fits:]
    found = []
    for page, all_ in enumerate(placed):
        c = Canvas()
        paper.draw_sheet(c, paper.Sheet(form, design, title, page + 1, len(placed), key))
        for x, y, row, lines in all_:
            draw_mark(c, left + x + OFF_MM, top + y + HIGH_MM / 2, row.mark)
            c.lines(left + x + NUMBER_MM, top + y + 0.2, lines, TEXT)
        found.append(c.markup())
    return found


def _with_marks(pages: Pages, numbers: Collection[str]) -> Iterator[str]:
    """The sheets on which something is marked."""
    for markup in pages.markup:
        if any(f'data-change="{number}"' in markup for number in numbers):
            yield markup


@dataclass(frozen=True, slots=True)
class Marks:
    """What is marked: wires of the new design, wires gone of the old, the list, fuses by part and way."""

    new: Mapping[str, Mark]
    old: Mapping[str, Mark]
    rows: Sequence[Row]
    fuses: Mapping[tuple[str, str], Mark]


def _revision(design: Design, other: Design) -> str:
    """What a design is called beside the other: its revision, or its digest where those are alike."""
    mine, theirs = design.machine.revision, other.machine.revision
    return f"revision {mine}" if mine and mine != theirs else f"digest {design.machine.digest}"


def marked_sheets(old: Design, new: Design, marks: Marks) -> tuple[paper.Format, list[str]]:
    """The list, the sheets of the new tracks that are marked, and those of the old with what is gone."""
    before, after = _revision(old, new), _revision(new, old)
    numbers = {str(row.mark.number) for row in marks.rows}
    now = tracks_pages(
        new,
        stacked=False,
        marker=Marker(marks.new, marks.fuses),
        drawing=f"Current tracks, {after}, marked against {before}",
    )
    sheets = _listed(
        new, marks.rows, now.form, f"Changes from {before} to {after}",
        "Triangle: changed. Box with +: new. Broken box with −: gone. Sheets without a mark are left out.",
    )  # fmt: skip
    sheets += _with_marks(now, numbers)
    if marks.old:
        gone = tracks_pages(
            old, now.form, stacked=False, marker=Marker(marks.old),
            drawing=f"Before: current tracks, {before}, with what is gone in {after}",
        )  # fmt: skip
        sheets += _with_marks(gone, numbers)
    return now.form, sheets


def marked_svg(old: Design, new: Design, marks: Marks) -> str:
    """One drawing of all marked sheets, one below the other."""
    form, sheets = marked_sheets(old, new, marks)
    body = "\n".join(
        f'<g transform="translate(0 {form.height_mm * at:g})">\n{markup}\n</g>'
        for at, markup in enumerate(sheets)
    )
    return document(
        body=body, width_mm=form.width_mm, height_mm=form.height_mm * len(sheets),
        title=f"{new.machine.name}: what has changed",
        about=f"{len(marks.rows)} changes, marked by their numbers.",
    )  # fmt: skip
