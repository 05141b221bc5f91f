"""What stands at one place of the loom: parts with the wires that land there, splices and grounds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from harness.drawing import bundles, metrics, symbols
from harness.drawing.svg import INK, SOFT, Canvas
from harness.model.design import Design, PartResult, Splice

HEAD_SIZE = 2.7
NAME_SIZE = 2.2
WIRE_SIZE = 2.1
COLUMN_MM = 44.0
SIGN_MM = 3.6
MANY = 5  # more things than this at one place go into a list beside the drawing
PAD_MM = 1.2

Sign = Literal["part", "splice", "ground", "spare"]


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing at a place, in lines."""

    name: str
    sign: Sign
    name_lines: tuple[str, ...]
    wire_lines: tuple[str, ...]

    @property
    def on_one_line_mm(self) -> float:
        """Where its wires begin behind its name, 0 when they stand under it."""
        if len(self.name_lines) + len(self.wire_lines) > 2:
            return 0.0
        name = metrics.width(self.name_lines[0], NAME_SIZE, bold=True) + 1.6
        return (
            name if name + metrics.width(self.wire_lines[0], WIRE_SIZE) <= COLUMN_MM - SIGN_MM - 1.0 else 0.0
        )

    @property
    def high_mm(self) -> float:
        """Height it takes [mm]."""
        if self.on_one_line_mm:
            return metrics.LINE * NAME_SIZE + 0.7
        return metrics.LINE * (len(self.name_lines) * NAME_SIZE + len(self.wire_lines) * WIRE_SIZE) + 0.7

    @property
    def wide_mm(self) -> float:
        """Width it takes [mm]."""
        if self.on_one_line_mm:
            return SIGN_MM + self.on_one_line_mm + metrics.width(self.wire_lines[0], WIRE_SIZE)
        names = metrics.widest(list(self.name_lines), NAME_SIZE, bold=True)
        return SIGN_MM + max(names, metrics.widest(list(self.wire_lines), WIRE_SIZE))


@dataclass(frozen=True, slots=True)
class PlaceBox:
    """A place as it stands in the drawing; its entries are either in the box or in a list with a letter."""

    name: str
    letter: str  # "" when the entries stand in the box
    head_lines: tuple[str, ...]
    note_lines: tuple[str, ...]
    entries: tuple[Entry, ...]
    width_mm: float
    height_mm: float


def _landing(part: PartResult) -> str:
    """Say which wires land on which terminal, in the order of the terminals."""
    uses = [use for use in part.terminals if use.wires]
    if len(uses) == 1 and uses[0].terminal in ("", "stud"):
        return ", ".join(uses[0].wires)
    return "; ".join(f"{use.terminal}: {', '.join(use.wires)}" for use in uses) or "no wire"


def _part_entry(part: PartResult) -> Entry:
    ground = part.role == "ground"
    name = f"{part.name} ({part.body})" if ground and part.body and part.body != part.name else part.name
    room = COLUMN_MM - SIGN_MM
    return Entry(
        part.name,
        "ground" if ground else "part",
        tuple(metrics.wrap(name, NAME_SIZE, room, bold=True)),
        tuple(metrics.wrap(_landing(part), WIRE_SIZE, room)),
    )


def _splice_entry(splice: Splice) -> Entry:
    room = COLUMN_MM - SIGN_MM
    wires = (f"{splice.spot}: " if splice.spot else "") + f"joins {', '.join(splice.wires)}"
    return Entry(
        splice.name,
        "splice",
        tuple(metrics.wrap(f"splice {splice.name}", NAME_SIZE, room, bold=True)),
        tuple(metrics.wrap(wires, WIRE_SIZE, room)),
    )


def _spare_entries(design: Design, place: str) -> list[Entry]:
    """Spare wires that end at a place, each with where its other end is."""
    found = []
    for wire in design.spares:
        for here, there in ((wire.from_, wire.to), (wire.to, wire.from_)):
            if here.place == place:
                words = f"capped; other end at {there.place}"
                found.append(
                    Entry(
                        wire.number,
                        "spare",
                        tuple(metrics.wrap(wire.number, NAME_SIZE, COLUMN_MM - SIGN_MM, bold=True)),
                        tuple(metrics.wrap(words, WIRE_SIZE, COLUMN_MM - SIGN_MM)),
                    )
                )
    return found


def entries(design: Design, place: str) -> list[Entry]:
    """Everything at one place: parts in the order of the survey, then splices, then spare wires."""
    parts = [_part_entry(part) for part in design.parts if part.place == place]
    splices = [_splice_entry(splice) for splice in design.splices if splice.place == place]
    return parts + splices + _spare_entries(design, place)


def place_box(design: Design, place: str, *, letter: str) -> PlaceBox:
    """Measure the box of one place; with a ``letter`` its entries go into a list."""
    own = tuple(entries(design, place))
    head = tuple(metrics.wrap(place, HEAD_SIZE, COLUMN_MM - 2.0, bold=True))
    zone = design.places.get(place, "")
    words = f"zone {zone}" if zone and zone != place else ""
    if letter:
        words = f"{len(own)} things: list {letter}" + (f"; {words}" if words else "")
    notes = tuple(metrics.wrap(words, WIRE_SIZE, COLUMN_MM - 2.0)) if words else ()
    inside = () if letter else own
    wide = max(
        metrics.widest(list(head), HEAD_SIZE, bold=True),
        metrics.widest(list(notes), WIRE_SIZE),
        *(entry.wide_mm for entry in inside),
        8.0,
    )
    high = metrics.LINE * (len(head) * HEAD_SIZE + len(notes) * WIRE_SIZE)
    high += sum(entry.high_mm for entry in inside) + (0.8 if inside else 0.0)
    return PlaceBox(place, letter, head, notes, own, wide + 2 * PAD_MM, high + 2 * PAD_MM)


def _draw_sign(c: Canvas, sign: Sign) -> None:
    if sign == "splice":
        c.circle(1.4, 1.2, 0.9, fill=INK)
    elif sign == "spare":
        bundles.draw_spare(c.at(0.2, 1.2))
    elif sign == "ground":
        symbols.ground(c.at(0.2, 1.2, 0.6))
    else:
        c.rect(0.5, 0.4, 1.8, 1.6, wide=0.3)


def draw_entry(c: Canvas, entry: Entry) -> None:
    """Draw one thing with its upper left corner at (0, 0)."""
    with c.group(entry.name, **{"part" if entry.sign == "ground" else entry.sign: entry.name}):
        _draw_sign(c, entry.sign)
        y = c.lines(SIGN_MM, 0, entry.name_lines, NAME_SIZE, bold=True)
        behind = entry.on_one_line_mm
        if behind:
            c.text(SIGN_MM + behind, metrics.ASCENT * NAME_SIZE, entry.wire_lines[0], WIRE_SIZE)
        else:
            c.lines(SIGN_MM, y, entry.wire_lines, WIRE_SIZE)


def draw_place(c: Canvas, box: PlaceBox, *, width_mm: float) -> None:
    """Draw a place's box with its upper left corner at (0, 0)."""
    with c.group(box.name, place=box.name):
        c.rect(0, 0, width_mm, box.height_mm, wide=0.45, round_mm=1.2)
        y = c.lines(PAD_MM, PAD_MM, box.head_lines, HEAD_SIZE, bold=True)
        y = c.lines(PAD_MM, y, box.note_lines, WIRE_SIZE, fill=SOFT)
        if box.letter or not box.entries:
            return
        c.line([(0, y + 0.4), (width_mm, y + 0.4)], wide=0.2)
        y += 0.8
        for entry in box.entries:
            draw_entry(c.at(PAD_MM, y), entry)
            y += entry.high_mm


@dataclass(frozen=True, slots=True)
class PlaceList:
    """The list of a place with many things, broken into columns."""

    box: PlaceBox
    columns: tuple[tuple[Entry, ...], ...]

    @property
    def size(self) -> tuple[float, float]:
        """Width and height it takes [mm]."""
        high = max(sum(entry.high_mm for entry in column) for column in self.columns)
        return len(self.columns) * COLUMN_MM + 3.0, 5.4 + high + PAD_MM


def _columns(all_: Sequence[Entry], high_mm: float) -> tuple[tuple[Entry, ...], ...]:
    columns: list[list[Entry]] = [[]]
    used = 0.0
    for entry in all_:
        if columns[-1] and used + entry.high_mm > high_mm:
            columns.append([])
            used = 0.0
        columns[-1].append(entry)
        used += entry.high_mm
    return tuple(tuple(column) for column in columns)


def place_list(box: PlaceBox, *, columns: int) -> PlaceList:
    """Break a place's entries into at most ``columns`` columns of nearly equal height."""
    high = sum(entry.high_mm for entry in box.entries) / columns
    found = _columns(box.entries, high)
    while len(found) > columns:
        high += 1.0
        found = _columns(box.entries, high)
    return PlaceList(box, found)


def draw_list(c: Canvas, found: PlaceList) -> None:
    """Draw a list with its upper left corner at (0, 0); the frame is the caller's."""
    head = f"List {found.box.letter}: {found.box.name}"
    with c.group(head, place=found.box.name):
        lines = metrics.wrap(head, HEAD_SIZE, found.size[0] - 4.0, bold=True)
        c.lines(2.0, 0.9, lines[:1], HEAD_SIZE, bold=True)
        for number, column in enumerate(found.columns):
            y = 5.0
            for entry in column:
                draw_entry(c.at(2.0 + number * COLUMN_MM, y), entry)
                y += entry.high_mm
