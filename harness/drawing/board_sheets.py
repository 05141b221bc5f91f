"""Cuts a board at full size into sheets of paper that are glued together, with an overview before them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from harness.drawing import metrics
from harness.drawing.board_ink import CORES, drawn
from harness.drawing.board_plan import LoomBoard, loom_boards
from harness.drawing.bundles import STYLE_WORDS, STYLES
from harness.drawing.ink import (
    Box,
    Ink,
    Page,
    Ring,
    Stroke,
    Words,
    lines,
    moved,
    text_width,
    touches,
    wrapped,
)
from harness.drawing.sheet import Format, origin_words
from harness.drawing.svg import SOFT, clean
from harness.letters import letters_of
from harness.model.design import Design

MARGIN_MM = 10.0  # more than what common printers leave white
FOOT_MM = 8.0  # under the drawing, for the sheet's name and the measure
OVERLAP_MM = 10.0
SMALL_MM = 2.3
RULE_MM = 100.0


@dataclass(frozen=True, slots=True)
class _Tile:
    """One piece of a board, by column and row."""

    column: int
    row: int
    box: Box  # on the board

    @property
    def name(self) -> str:
        """Column and row as in a map: "C2"."""
        return f"{letters_of(self.column)}{self.row + 1}"


def _size(paper: Format) -> tuple[float, float]:
    """What one sheet shows of the board [mm]."""
    return paper.width_mm - 2 * MARGIN_MM, paper.height_mm - 2 * MARGIN_MM - FOOT_MM


def _tiles(one: LoomBoard, ink: Sequence[Ink], paper: Format) -> list[_Tile]:
    """The sheets that show something; each overlaps the next."""
    wide, high = _size(paper)
    found = []
    row = 0
    while row == 0 or row * (high - OVERLAP_MM) + OVERLAP_MM < one.board.height_mm:
        column = 0
        while column == 0 or column * (wide - OVERLAP_MM) + OVERLAP_MM < one.board.width_mm:
            left, top = column * (wide - OVERLAP_MM), row * (high - OVERLAP_MM)
            tile = _Tile(column, row, (left, top, left + wide, top + high))
            if any(touches(each, tile.box) for each in ink):
                found.append(tile)
            column += 1
        row += 1
    return found


def _frame(box: Box, *, wide_mm: float = 0.25, dash: tuple[float, ...] = ()) -> Stroke:
    left, top, right, bottom = box
    spots = ((left, top), (right, top), (right, bottom), (left, bottom), (left, top))
    return Stroke(spots, wide_mm, SOFT, dash)


def _measure(x: float, y: float) -> list[Ink]:
    """A rule of 100 mm with a mark every 10 mm, its line at y."""
    found: list[Ink] = [Stroke(((x, y), (x + RULE_MM, y)), 0.4)]
    for number in range(11):
        high = 3.0 if number % 5 == 0 else 1.8
        at = x + number * RULE_MM / 10
        found.append(Stroke(((at, y), (at, y - high)), 0.3))
    return found


def _tile_page(
    design: Design, one: LoomBoard, tile: _Tile, names: set[str], ink: Sequence[Ink], paper: Format
) -> Page:
    wide, high = _size(paper)
    window = (MARGIN_MM, MARGIN_MM, MARGIN_MM + wide, MARGIN_MM + high)
    dx, dy = MARGIN_MM - tile.box[0], MARGIN_MM - tile.box[1]
    inside = tuple(moved(each, dx, dy) for each in ink if touches(each, tile.box))
    outside: list[Ink] = [_frame(window)]
    beside = _Tile(tile.column + 1, tile.row, tile.box).name
    below = _Tile(tile.column, tile.row + 1, tile.box).name
    if beside in names:
        x = window[2] - OVERLAP_MM
        outside.append(Stroke(((x, window[1]), (x, window[3])), 0.25, SOFT, (3.0, 2.0)))
        outside += lines(window[2] + 1.2, window[1], (beside,), SMALL_MM)
    if below in names:
        y = window[3] - OVERLAP_MM
        outside.append(Stroke(((window[0], y), (window[2], y)), 0.25, SOFT, (3.0, 2.0)))
        text = f"{below} is glued on from the dashed line"
        outside.append(Words(window[2] - text_width(text, SMALL_MM), window[3] + 3.4, text, SMALL_MM))
    base = window[3] + 6.5
    outside += _measure(window[0], base)
    outside.append(Words(window[0] + RULE_MM + 3.0, base, "100 mm", SMALL_MM))
    outside.append(Words(window[0] + RULE_MM + 17.0, base, tile.name, 5.0, bold=True))
    about = clean(f"{design.machine.name}: {one.name}, full size, {origin_words(design.machine)}")
    start = window[0] + RULE_MM + 34.0
    two = tuple(wrapped(about, SMALL_MM, window[2] - start)[:2])
    outside += lines(start, base - 2.0, two, SMALL_MM)
    return Page(paper, window, inside, tuple(outside))


def _about(one: LoomBoard, tiles: Sequence[_Tile], deep_mm: float | None) -> list[str]:
    board = one.board
    found = [
        f"Trunk from {one.trunk}. It takes {board.width_mm / 1000:.2f} x {board.height_mm / 1000:.2f} m of"
        f" board and {len(tiles)} sheets.",
        "Print at 100 %, never 'fit to page', and hold a steel rule to the 100 mm on every sheet before you"
        " cut a wire.",
        "Glue each sheet over the dashed edge of the one to its left and above it. Full rings are splices,"
        " crossed rings corners, double rings places: a nail at each side of the line there, and at every"
        " tick across it.",
        "Lengths are the runs as measured; a wire is cut longer by what the cut list says.",
    ]
    if deep_mm is not None and board.height_mm > deep_mm + 0.5:
        found.append(
            f"The board is {deep_mm / 1000:.2f} m deep: lay the rest on a second one, or take a longer board."
        )
    stretched = [run for run in board.runs if run.stretched_mm > 0.5]
    for run in stretched:
        found.append(
            f"Not to length: {run.limb.run} is drawn {run.stretched_mm:.0f} mm too long;"
            f" it is {run.limb.length_mm:.0f} mm."
        )
    if one.doubled:
        found.append(
            f"A ring on the machine lies open here: {', '.join(one.doubled)} stands at two branch ends."
        )
    if one.kept_out:
        found.append(f"Only old cables lie in {', '.join(one.kept_out)}: not drawn.")
    for name, text in one.listed:
        found.append(f"{name}: {'; '.join(text) or 'nothing lands here'}")
    return found


def _overview(
    design: Design,
    one: LoomBoard,
    ink: Sequence[Ink],
    tiles: Sequence[_Tile],
    paper: Format,
    deep_mm: float | None,
) -> Page:
    wide, high = _size(paper)
    left, top = MARGIN_MM, MARGIN_MM
    page: list[Ink] = list(
        lines(left, top, (f"{design.machine.name}: {one.name} on the board",), 5.0, bold=True)
    )
    y = top + 8.5
    for text in _about(one, tiles, deep_mm):
        own = tuple(wrapped(text, 2.7, wide))
        page += lines(left, y, own, 2.7)
        y += len(own) * metrics.LINE * 2.7 + 0.8
    x = left
    looks = {run.limb.look for run in one.board.runs}
    for kind in (each for each in STYLES if each in looks):
        words = STYLE_WORDS[kind]
        page.append(Stroke(((x, y + 2.5), (x + 14, y + 2.5)), 3.0))
        page.append(
            Stroke(((x, y + 2.5), (x + 14, y + 2.5)), 2.4, "#ffffff" if kind == "bare" else "#e4e4e4")
        )
        if kind in CORES:
            colour, thick, dash = CORES[kind]
            page.append(Stroke(((x, y + 2.5), (x + 14, y + 2.5)), min(thick, 1.2), colour, dash))
        page += lines(x + 15.5, y + 1.0, (words,), SMALL_MM)
        x += 19.5 + text_width(words, SMALL_MM)
    y += 8.0
    room_high = top + high + FOOT_MM - y
    far = max(tile.box[2] for tile in tiles)  # the last sheets reach beyond the board
    deep = max(tile.box[3] for tile in tiles)
    k = min(wide / far, max(room_high, 20.0) / deep)
    for each in ink:
        if isinstance(each, Stroke) and (len(each.spots) > 2 or each.wide_mm >= 2.0):
            small = moved(each, left, y, k)
            assert isinstance(small, Stroke)
            page.append(Stroke(small.spots, max(small.wide_mm, 0.3), small.colour))
    taken: list[Box] = []
    for tile in tiles:
        a, b, c, d = tile.box
        page.append(_frame((left + k * a, y + k * b, left + k * c, y + k * d), wide_mm=0.15, dash=(1.0, 1.0)))
        low = y + k * min(d - OVERLAP_MM, one.board.height_mm) - 1.0
        name = Words(left + k * a + 0.8, low, tile.name, 2.0, colour=SOFT)
        taken.append(name.box)
        page.append(name)
    for node, (nx, ny) in one.board.nodes:
        page.append(Ring(left + k * nx, y + k * ny, 0.9))
        name = Words(left + k * nx + 1.4, y + k * ny - 1.0, node.name, 2.0, bold=True)
        own_box = name.box
        if own_box[2] < left + wide and not any(
            own_box[0] < c and own_box[2] > a and own_box[1] < d and own_box[3] > b for a, b, c, d in taken
        ):
            taken.append(own_box)
            page.append(name)
    return Page(paper, (0.0, 0.0, paper.width_mm, paper.height_mm), (), tuple(page))


def board_pages(
    design: Design, *, paper: Format, width_mm: float, deep_mm: float | None = None
) -> list[Page]:
    """Every loom at full size: an overview, then its sheets from left to right and from top to bottom.

    ``width_mm``: length of the board; a trunk that is longer goes to and fro on it. ``deep_mm``: its other
    side; the overview says where a loom takes more.
    """
    found = []
    for one in loom_boards(design, width_mm=width_mm):
        ink = drawn(one.board)
        tiles = _tiles(one, ink, paper)
        names = {tile.name for tile in tiles}
        found.append(_overview(design, one, ink, tiles, paper, deep_mm))
        found += [_tile_page(design, one, tile, names, ink, paper) for tile in tiles]
    return found
