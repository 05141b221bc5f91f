"""What lands at each place of the loom: parts, terminals, lugs and wires, as keyed tables."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from harness.drawing import bundles, metrics, symbols
from harness.drawing.svg import INK, SOFT, Canvas
from harness.model.design import Design, PartResult, Splice, Wire, WireEnd

TEXT = 2.5  # capitals of 1.8 mm, the next below the 2.5 mm of names and lengths (ISO 3098)
HEAD = 3.5
COLUMN_MM = 88.0
SIGN_MM = 3.8
TERMINAL_MM, WIRE_MM, SIZE_MM, COLOUR_MM = 13.0, 10.5, 15.5, 13.0
PAD_MM = 1.4
LUG_MM = COLUMN_MM - 2 * PAD_MM - TERMINAL_MM - WIRE_MM - SIZE_MM - COLOUR_MM

Sign = Literal["part", "splice", "ground", "spare", "coupler", "run", "note"]


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table: texts at their distance from the left, each in lines."""

    cells: tuple[tuple[float, tuple[str, ...]], ...]
    bold: bool = False

    @property
    def high_mm(self) -> float:
        """Height it takes [mm]."""
        return max((len(lines) for _, lines in self.cells), default=0) * metrics.LINE * TEXT


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing at a place."""

    name: str
    sign: Sign
    rows: tuple[Row, ...]

    @property
    def high_mm(self) -> float:
        """Height it takes [mm]."""
        return sum(row.high_mm for row in self.rows) + 0.8


@dataclass(frozen=True, slots=True)
class Table:
    """The table of one place, in columns."""

    letter: str
    place: str
    note: str
    columns: tuple[tuple[Entry, ...], ...]
    more: bool = False  # goes on from another column or sheet

    @property
    def head_lines(self) -> list[str]:
        """Its heading, broken into lines."""
        words = f"{self.letter}  {self.place}".strip() + (" (goes on)" if self.more else "")
        return metrics.wrap(words, HEAD, self.wide_mm - 2 * PAD_MM, bold=True)

    @property
    def note_lines(self) -> list[str]:
        """What is said under its heading."""
        return metrics.wrap("" if self.more else self.note, TEXT, self.wide_mm - 2 * PAD_MM)

    @property
    def wide_mm(self) -> float:
        """Width it takes [mm]."""
        return COLUMN_MM * len(self.columns)

    @property
    def head_mm(self) -> float:
        """Height of heading and note [mm]."""
        return metrics.LINE * (len(self.head_lines) * HEAD + len(self.note_lines) * TEXT) + PAD_MM + 0.6

    @property
    def high_mm(self) -> float:
        """Height it takes [mm]."""
        return self.head_mm + max(sum(each.high_mm for each in column) for column in self.columns) + PAD_MM

    @property
    def size(self) -> tuple[float, float]:
        """Width and height [mm]."""
        return self.wide_mm, self.high_mm


@dataclass(frozen=True, slots=True)
class Index:
    """The design by what is looked up for every place."""

    wires: Mapping[str, Wire]
    parts: Mapping[str, Sequence[PartResult]]
    splices: Mapping[str, Sequence[Splice]]
    spares: Mapping[str, Sequence[Wire]]


def index(design: Design) -> Index:
    """Sort what a design holds by place."""
    parts: dict[str, list[PartResult]] = {}
    splices: dict[str, list[Splice]] = {}
    spares: dict[str, list[Wire]] = {}
    for part in design.parts:
        parts.setdefault(part.place, []).append(part)
    for splice in design.splices:
        splices.setdefault(splice.place, []).append(splice)
    for wire in design.spares:
        for place in dict.fromkeys((wire.from_.place, wire.to.place)):
            spares.setdefault(place, []).append(wire)
    return Index({wire.number: wire for wire in design.wires}, parts, splices, spares)


def _text(words: str, *, bold: bool = False, indent_mm: float = SIGN_MM) -> Row:
    room = COLUMN_MM - 2 * PAD_MM - indent_mm
    return Row(((indent_mm, tuple(metrics.wrap(words, TEXT, room, bold=bold))),), bold)


def lug(end: WireEnd) -> str:
    """Kind and size of what is crimped on: "ring terminal M8", "female push-on 6.3 mm"."""
    kind, _, rest = end.terminal.partition(",")
    if not kind:
        return "no terminal"
    return f"{kind} {end.stud}" if end.stud else f"{kind}{',' if rest else ''}{rest.partition(',')[0]}"


def landed(part: PartResult, terminal: str, wire: Wire) -> WireEnd:
    """What is on the end of a wire that lands on a terminal."""
    here = (wire.from_.part, wire.from_.terminal) == (part.name, terminal)
    return wire.from_end if here else wire.to_end


def _rows(part: PartResult, wires: Mapping[str, Wire]) -> Iterator[Row]:
    for use in part.terminals:
        name = use.terminal
        for number in use.wires:
            wire = wires.get(number)
            cells = [
                (SIGN_MM, metrics.wrap(name, TEXT, TERMINAL_MM - SIGN_MM - 0.8)),
                (TERMINAL_MM, metrics.wrap(number, TEXT, WIRE_MM - 0.8)),
            ]
            if wire is not None:
                x = TERMINAL_MM + WIRE_MM
                said = "kept: old cable" if wire.kept else lug(landed(part, use.terminal, wire))
                cells += [
                    (x, metrics.wrap(wire.size, TEXT, SIZE_MM - 0.8)),
                    (x + SIZE_MM, metrics.wrap(wire.colour, TEXT, COLOUR_MM - 0.8)),
                    (x + SIZE_MM + COLOUR_MM, metrics.wrap(said, TEXT, LUG_MM)),
                ]
            yield Row(tuple((x, tuple(lines)) for x, lines in cells))
            name = ""


def _part(part: PartResult, wires: Mapping[str, Wire]) -> Entry:
    ground = part.role == "ground"
    name = f"{part.name} ({part.body})" if ground and part.body and part.body != part.name else part.name
    rows = [_text(name, bold=True), *_rows(part, wires)]
    if len(rows) == 1:
        rows.append(_text("no wire"))
    return Entry(part.name, "ground" if ground else "part", tuple(rows))


def _with_size(number: str, wires: Mapping[str, Wire]) -> str:
    wire = wires.get(number)
    return f"{number} {wire.size} {wire.colour}" if wire is not None else number


def _splice(splice: Splice, wires: Mapping[str, Wire]) -> Entry:
    kind = splice.fitting.partition(",")[0] or "splice"
    head = _text(f"splice {splice.name}: {kind}" + (f", {splice.spot}" if splice.spot else ""), bold=True)
    joins = "; ".join(_with_size(number, wires) for number in splice.wires)
    return Entry(splice.name, "splice", (head, _text(f"joins {joins}")))


def _spare(wire: Wire, place: str) -> Entry:
    there = wire.to.place if wire.from_.place == place else wire.from_.place
    return Entry(
        wire.number, "spare", (_text(f"{wire.number} {wire.size} {wire.colour}: capped, to {there}"),)
    )


def _couplers(design: Design, place: str) -> Iterator[Entry]:
    for coupler in design.couplers:
        if coupler.place == place:
            head = f"{coupler.name}: half A to {coupler.half_a}, half B to {coupler.half_b}"
            ways = "; ".join(
                f"{way.way}: {way.wire_a or 'spare'}" + (f" / {way.wire_b}" if way.wire_b else "")
                for way in coupler.ways
            )
            rows = [_text(head, bold=True), _text(f"ways, A / B: {ways}")]
            if coupler.past:
                rows.append(_text(f"past it, uncut: {', '.join(coupler.past)}"))
            yield Entry(coupler.name, "coupler", tuple(rows))


def entries(design: Design, known: Index, place: str) -> list[Entry]:
    """Return all that is at one place: couplers, parts in the order of the survey, splices, spare wires."""
    parts = [_part(part, known.wires) for part in known.parts.get(place, ())]
    splices = [_splice(splice, known.wires) for splice in known.splices.get(place, ())]
    spares = [_spare(wire, place) for wire in known.spares.get(place, ())]
    found = [*_couplers(design, place), *parts, *splices, *spares]
    return found or [Entry("", "note", (_text("only a branch point: nothing lands here"),))]


def note(words: str) -> Entry:
    """Return a line of words as an entry."""
    return Entry("", "note", (_text(words),))


def table(design: Design, known: Index, place: str, letter: str, notes: Sequence[str]) -> Table:
    """Return the table of one place in one column, with what else is to be said of it."""
    zone = design.places.get(place, "")
    words = f"zone {zone}" if zone and zone != place else ""
    return Table(letter, place, words, ((*entries(design, known, place), *map(note, notes)),))


def in_columns(one: Table, count: int) -> Table:
    """Return a table of one column in several of nearly equal height."""
    all_ = one.columns[0]
    high = max(sum(each.high_mm for each in all_) / count, max(each.high_mm for each in all_))
    while True:
        columns: list[list[Entry]] = [[]]
        used = 0.0
        for entry in all_:
            if columns[-1] and used + entry.high_mm > high + 1e-6:
                columns.append([])
                used = 0.0
            columns[-1].append(entry)
            used += entry.high_mm
        if len(columns) <= count:
            return replace(one, columns=tuple(map(tuple, columns)))
        high += 1.0


def _cut(entry: Entry, room_mm: float) -> list[Entry]:
    """Break an entry that is higher than a whole column between its rows, or between lines of a row."""
    found, rows, used = list[Entry](), list[Row](), 0.0
    for row in entry.rows:
        most = max(1, int((room_mm - 0.8) / (metrics.LINE * TEXT)))
        deep = max(len(lines) for _, lines in row.cells)
        for start in range(0, deep, most):
            piece = Row(tuple((x, lines[start : start + most]) for x, lines in row.cells), row.bold)
            if rows and used + piece.high_mm + 0.8 > room_mm:
                found.append(replace(entry, rows=tuple(rows)))
                rows, used = [], 0.0
            rows.append(piece)
            used += piece.high_mm
    return [*found, replace(entry, rows=tuple(rows))]


def split(one: Table, room_mm: float, whole_mm: float) -> tuple[Table | None, Table | None]:
    """Return what of a table of one column fits into ``room_mm``, and the rest.

    ``whole_mm``: height of an empty column; an entry that is higher is broken.
    """
    left = room_mm - one.head_mm - PAD_MM
    taken, used = list[Entry](), 0.0
    most = whole_mm - one.head_mm - PAD_MM - 6.0
    waiting = [
        piece
        for entry in one.columns[0]
        for piece in (_cut(entry, most) if entry.high_mm > most else [entry])
    ]
    for entry in waiting:
        if used + entry.high_mm > left:
            break
        taken.append(entry)
        used += entry.high_mm
    if not taken:
        return None, replace(one, columns=(tuple(waiting),))
    rest = waiting[len(taken) :]
    return (
        replace(one, columns=(tuple(taken),)),
        replace(one, columns=(tuple(rest),), more=True) if rest else None,
    )


def _draw_sign(c: Canvas, sign: Sign) -> None:
    if sign == "splice":
        c.circle(1.4, 1.4, 0.9, fill=INK)
    elif sign == "spare":
        bundles.draw_spare(c.at(0.2, 1.4))
    elif sign == "ground":
        symbols.ground(c.at(0.2, 1.4, 0.6))
    elif sign == "coupler":
        draw_coupler(c.at(1.4, 1.4, 0.5))
    elif sign == "part":
        c.rect(0.5, 0.6, 1.8, 1.6, wide=0.35)


def draw_coupler(c: Canvas) -> None:
    """Draw the sign of a coupler round (0, 0): two halves that face each other."""
    c.rect(-2.4, -1.8, 2.0, 3.6, wide=0.5)
    c.rect(0.4, -1.8, 2.0, 3.6, fill=SOFT, wide=0.5)


def draw_entry(c: Canvas, entry: Entry) -> None:
    """Draw one thing with its upper left corner at (0, 0)."""

    def rows() -> None:
        y = 0.0
        for row in entry.rows:
            for x, lines in row.cells:
                c.lines(x, y, lines, TEXT, bold=row.bold)
            y += row.high_mm

    if entry.sign == "note":
        rows()
        return
    name = "part" if entry.sign == "ground" else entry.sign
    with c.group(entry.name, **{name: entry.name}):
        _draw_sign(c, entry.sign)
        rows()


def draw_table(c: Canvas, one: Table) -> None:
    """Draw a table with its upper left corner at (0, 0)."""
    with c.group(one.place, **({"place": one.place} if one.letter else {})):
        c.rect(0, 0, one.wide_mm, one.high_mm, wide=0.25)
        y = c.lines(PAD_MM, PAD_MM * 0.6, one.head_lines, HEAD, bold=True)
        y = c.lines(PAD_MM, y, one.note_lines, TEXT, fill=SOFT)
        c.line([(0, one.head_mm - 0.4), (one.wide_mm, one.head_mm - 0.4)], wide=0.25)
        for number, column in enumerate(one.columns):
            y = one.head_mm + 0.4
            for entry in column:
                draw_entry(c.at(PAD_MM + number * COLUMN_MM, y), entry)
                y += entry.high_mm
