"""Labels for both ends of every new wire, at full size, in the order of the places they are put on at."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from harness.drawing.blocks import upright
from harness.drawing.ink import Ink, Page, Stroke, Words, fitting, lines, text_width, wrapped
from harness.drawing.sheet import Format, origin_words
from harness.drawing.svg import SOFT, clean
from harness.model.design import Design, Point, Wire

MARGIN_MM = 10.0
HEAD_MM = 12.0
LABEL_MM = 37.0  # wide: twice the number and, between, what it is; wraps once round a wire and meets itself
HIGH_MM = 9.5
GAP_MM = 1.0
NUMBER_MM = 3.6  # 1.5 to 3 mm high letters are usual: marking_rules (memory); capitals are 0.73 of the size
SMALL_MM = 1.7


@dataclass(frozen=True, slots=True)
class Label:
    """One label: its number and two short lines on what it is."""

    number: str
    about: str  # size and colour
    goes_to: str  # where the other end lands


@dataclass(frozen=True, slots=True)
class _Head:
    """The place whose labels follow."""

    text: str


def _far(point: Point) -> str:
    return f"{point.part} {point.terminal}".strip() if point.kind == "part" else f"splice {point.part}"


def _place_order(design: Design) -> list[str]:
    """Places loom by loom, as the looms list them, then any that no loom has."""
    listed = [place for loom in design.looms for place in loom.places]
    return list(dict.fromkeys([*listed, *design.places]))


def _counted(number: str) -> tuple[int, str]:
    """Puts 9 before 10 and 3b before 3l."""
    digits = len(number) - len(number.lstrip("0123456789"))
    return digits, number


def labels(design: Design) -> dict[str, list[Label]]:
    """Place -> the labels of the wire ends there, by number; kept wires have theirs."""
    found: dict[str, list[Label]] = {place: [] for place in _place_order(design)}
    idle = {wire.number for wire in design.spares}
    for wire in sorted((*design.wires, *design.spares), key=lambda wire: _counted(wire.number)):
        if wire.kept:
            continue
        for point, end, other in ((wire.from_, wire.from_end, wire.to), (wire.to, wire.to_end, wire.from_)):
            if end.label:
                far = f"capped at {other.place}" if wire.number in idle else _far(other)
                found[point.place].append(Label(end.label, _about(wire), far))
    return {place: each for place, each in found.items() if each}


def _about(wire: Wire) -> str:
    return f"{wire.size} {wire.colour}".strip()


def _shortened(text: str, size_mm: float, room_mm: float) -> str:
    lines_ = wrapped(text, size_mm, room_mm)
    if len(lines_) == 1:
        return lines_[0]
    whole = text
    while whole and text_width(whole + "…", size_mm) > room_mm:
        whole = whole[:-1]
    return whole.rstrip() + "…"


def _label(label: Label, x: float, y: float) -> Iterator[Ink]:
    right, low = x + LABEL_MM, y + HIGH_MM
    yield Stroke(((x, y), (right, y), (right, low), (x, low), (x, y)), 0.15, SOFT, (1.0, 1.0))
    side = 9.0
    size = fitting(label.number, NUMBER_MM, side - 1.0, bold=True)
    for left in (x, right - side):
        wide = text_width(label.number, size, bold=True)
        yield Words(left + (side - wide) / 2, y + HIGH_MM / 2 + 0.36 * size, label.number, size, bold=True)
    room = LABEL_MM - 2 * side - 1.0
    first, *more = wrapped(label.goes_to, SMALL_MM, room)
    text = [_shortened(label.about, SMALL_MM, room), first]
    if more:
        text.append(_shortened(" ".join(more), SMALL_MM, room))
    yield from lines(x + side + 0.5, y + (HIGH_MM - len(text) * 2.1) / 2, tuple(text), SMALL_MM)


def _head(head: _Head, x: float, y: float) -> Iterator[Ink]:
    yield Stroke(((x, y + HIGH_MM / 2), (x + LABEL_MM, y + HIGH_MM / 2)), HIGH_MM, "#e4e4e4")
    text = wrapped(head.text, 2.6, LABEL_MM - 3.0)[:3]
    yield from lines(x + 1.5, y + 1.0 + (3 - len(text)) * 1.2, tuple(text), 2.6, bold=True)


def _cells(design: Design) -> Iterable[_Head | Label]:
    for place, own in labels(design).items():
        yield _Head(f"at {place}: {len(own)}")
        yield from own


def _set(cells: Iterable[_Head | Label], rows: int) -> list[_Head | Label | None]:
    """The cells as they fill columns of so many ``rows``; a head never stands alone at the foot of one."""
    found: list[_Head | Label | None] = []
    for cell in cells:
        if isinstance(cell, _Head) and rows > 1 and len(found) % rows == rows - 1:
            found.append(None)
        found.append(cell)
    return found


def label_pages(design: Design, *, paper: Format) -> list[Page]:
    """Every label once for its wire end, cut along the dashed lines; upright sheets, down the columns."""
    form = upright(paper)
    columns = int((form.width_mm - 2 * MARGIN_MM + GAP_MM) // (LABEL_MM + GAP_MM))
    rows = int((form.height_mm - 2 * MARGIN_MM - HEAD_MM + GAP_MM) // (HIGH_MM + GAP_MM))
    cells = _set(_cells(design), rows)
    each_page = columns * rows
    count = max(1, -(-len(cells) // each_page))
    found = []
    for number in range(count):
        ink: list[Ink] = []
        title = f"{design.machine.name}: labels, sheet {number + 1} of {count}"
        room = form.width_mm - 2 * MARGIN_MM
        ink += lines(MARGIN_MM, MARGIN_MM, (title,), fitting(clean(title), 3.4, room, bold=True), bold=True)
        how = (
            "Print at 100 %. Slide each under clear shrink 25 to 50 mm from the terminal (common practice),"
            f" the number on both sides. Survey {origin_words(design.machine)}."
        )
        ink += lines(MARGIN_MM, MARGIN_MM + 4.8, tuple(wrapped(how, 2.0, room)), 2.0)
        for at, cell in enumerate(cells[number * each_page : (number + 1) * each_page]):
            if cell is None:
                continue
            column, row = divmod(at, rows)
            x = MARGIN_MM + column * (LABEL_MM + GAP_MM)
            y = MARGIN_MM + HEAD_MM + row * (HIGH_MM + GAP_MM)
            ink += _head(cell, x, y) if isinstance(cell, _Head) else _label(cell, x, y)
        box = (0.0, 0.0, form.width_mm, form.height_mm)
        found.append(Page(form, box, (), tuple(ink)))
    return found
