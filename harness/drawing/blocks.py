"""Fills upright sheets with blocks of one width, column by column, each sheet under its title."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Protocol, TypeVar

from harness.drawing import metrics
from harness.drawing.ink import Ink, Page, Stroke, fitting, lines
from harness.drawing.sheet import Format, ground_words, origin_words
from harness.drawing.svg import clean
from harness.model.design import Design

MARGIN_MM = 10.0
HEAD_MM = 14.0
PAD_MM = 1.2
BLOCK_MM = 92.0  # two stand on a sheet of A4 or Letter
GAP_MM = 5.0


class High(Protocol):
    """Something of a known height."""

    @property
    def high_mm(self) -> float:
        """Height it takes."""


class Block(High, Protocol):
    """Something that can be drawn anywhere, and cut where it is too high for a sheet."""

    def drawn(self, x: float, y: float) -> Iterable[Ink]:
        """It with its upper left corner at (x, y)."""

    def split(self, room_mm: float) -> Sequence[Block]:
        """It in pieces no higher than the room, where that can be."""


R = TypeVar("R")
B = TypeVar("B", bound=High)


def pieces(rows: Sequence[R], made: Callable[[tuple[R, ...]], B], room_mm: float) -> list[B]:
    """Blocks of as many rows as fit a sheet, one after the other; a row that is too high stands alone."""
    found: list[B] = []
    while True:
        taken = len(rows)
        piece = made(tuple(rows))
        while taken > 1 and piece.high_mm > room_mm:
            taken -= 1
            piece = made(tuple(rows[:taken]))
        found.append(piece)
        rows = rows[taken:]
        if not rows:
            return found


def upright(paper: Format) -> Format:
    """The same paper with its short side across."""
    short, long = sorted((paper.width_mm, paper.height_mm))
    return Format(paper.name, short, long)


def _head(design: Design, words: str, how: str, wide: float) -> Iterator[Ink]:
    """The title block over the blocks: whose the sheet is, of which survey, and what to do with it."""
    info, right, low = design.machine, MARGIN_MM + wide, MARGIN_MM + HEAD_MM - GAP_MM / 2
    corners = (
        (MARGIN_MM, MARGIN_MM),
        (right, MARGIN_MM),
        (right, low),
        (MARGIN_MM, low),
        (MARGIN_MM, MARGIN_MM),
    )
    yield Stroke(corners, 0.35)
    file = info.file.replace("\\", "/").rpartition("/")[2]
    about = f"{info.voltage_v:g} V, {ground_words(info.chassis_post)}. Survey {file}, {origin_words(info)}."
    top = MARGIN_MM + PAD_MM
    for text, size in ((words, 3.2), (f"{about} {design.program}", 2.0), (how, 2.0)):
        fits = fitting(clean(text), size, wide - 2 * PAD_MM, bold=size > 3)
        yield from lines(MARGIN_MM + PAD_MM, top, (text,), fits, bold=size > 3)
        top += metrics.LINE * size


def filled(design: Design, blocks: Iterable[Block], *, paper: Format, title: str, how: str) -> list[Page]:
    """All blocks in their order; nothing to show gives one sheet with its title alone.

    ``title``: what the sheets are, after the machine's name. ``how``: what to do with them, on each.
    """
    form = upright(paper)
    room = form.height_mm - 2 * MARGIN_MM - HEAD_MM
    columns = max(1, int((form.width_mm - 2 * MARGIN_MM + GAP_MM) // (BLOCK_MM + GAP_MM)))
    sheets: list[list[Ink]] = [[]]
    column, y = 0, 0.0
    for piece in [piece for block in blocks for piece in block.split(room)]:
        high = piece.high_mm
        if y and y + high > room:
            column, y = column + 1, 0.0
        if column == columns:
            sheets.append([])
            column = 0
        sheets[-1] += piece.drawn(MARGIN_MM + column * (BLOCK_MM + GAP_MM), MARGIN_MM + HEAD_MM + y)
        y += high + GAP_MM
    found = []
    for number, ink in enumerate(sheets):
        words = f"{design.machine.name}: {title}, sheet {number + 1} of {len(sheets)}"
        head = _head(design, words, how, form.width_mm - 2 * MARGIN_MM)
        found.append(Page(form, (0.0, 0.0, form.width_mm, form.height_mm), (), (*head, *ink)))
    return found
