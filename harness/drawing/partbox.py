"""One part as a circuit shows it: its symbols, a pin for every wire, its name above, its place below."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from harness.drawing import metrics, symbols
from harness.drawing.layered import Box
from harness.drawing.svg import INK, SOFT, Canvas

NAME_SIZE = 2.6
PIN_SIZE = 2.0
VALUE_SIZE = 2.2
NOTE_SIZE = 2.0
NAME_ROOM = 26.0
NOTE_ROOM = 26.0
FRAME_PAD_MM = 0.7  # inside the frame of a part with several ways
FRAME_GAP_MM = 0.9  # between the frame of a part with several ways and the notes under it
PAD_MM = 0.9  # above and below a part, so that two names never touch
ROW_UP_MM = 3.4
ROW_DOWN_MM = 4.4  # with the room above: the pitch at which two wires' texts just clear
LAST_DOWN_MM = 2.6
VALUE_DOWN_MM = 5.4
PIN_R = 0.6

Side = Literal["left", "right", "hub"]


@dataclass(frozen=True, slots=True)
class Way:
    """One way through the part: terminals, symbol and the value written under it. ``b`` may be "case"."""

    a: str
    b: str
    kind: str
    symbol: str
    value: str = ""


@dataclass(frozen=True, slots=True)
class PartText:
    """What is written at a part."""

    name: str
    notes: tuple[str, ...]
    wired_left: tuple[str, ...]  # terminal of every line that comes from the left, in order
    wired_right: tuple[str, ...]
    ways: tuple[Way, ...]


@dataclass(slots=True)
class _Row:
    """One level of the part: at most one line on either side and one symbol."""

    left: int | None = None  # index into wired_left
    right: int | None = None
    way: Way | None = None
    start: str = ""  # terminal at the left end of the symbol
    stop: str = ""  # and at its right end
    hook: Side | None = None  # both terminals of the symbol are on this side: its free end turns down a row


@dataclass(frozen=True, slots=True)
class PartBox:
    """A part ready to be placed and drawn."""

    text: PartText
    box: Box
    left_pins: tuple[int, ...]  # index of the box's pin for every line on the left
    right_pins: tuple[int, ...]
    rows: tuple[_Row, ...]
    levels_mm: tuple[float, ...]  # of the rows, below the top
    sides: Mapping[str, Side]
    left_bus_mm: float
    right_bus_mm: float
    name_lines: tuple[str, ...]
    note_lines: tuple[str, ...]


def _lean(terminal: str, text: PartText) -> str:
    left, right = terminal in text.wired_left, terminal in text.wired_right
    return "both" if left and right else "left" if left else "right" if right else "none"


def _b_first(way: Way, text: PartText) -> bool:
    """Whether terminal b of a way is drawn on its left."""
    a, b = _lean(way.a, text), _lean(way.b, text)
    if way.b == "case":
        return a == "right"
    if way.kind == "source" and a == b == "none":
        return True
    if a in ("left", "none") and b in ("right", "both", "none"):
        return a == "none" and b == "both"
    return not (a == "left" or (a == "both" and b in ("right", "both", "none")))


@dataclass(slots=True)
class _Rows:
    """Builds the rows of a part, terminal by terminal."""

    text: PartText
    rows: list[_Row] = field(default_factory=list)
    sides: dict[str, Side] = field(default_factory=dict)
    left_done: set[int] = field(default_factory=set)
    right_done: set[int] = field(default_factory=set)

    def _take(self, terminal: str, side: Side) -> int | None:
        wired, done = (
            (self.text.wired_left, self.left_done)
            if side == "left"
            else (self.text.wired_right, self.right_done)
        )
        for index, each in enumerate(wired):
            if each == terminal and index not in done:
                done.add(index)
                return index
        return None

    def add_way(self, way: Way) -> None:
        """Add the row of one way, with the first line of each of its terminals."""
        first, second = (way.b, way.a) if _b_first(way, self.text) else (way.a, way.b)
        start = self.sides.setdefault(first, "left") if first != "case" else "left"
        stop = self.sides.setdefault(second, "right") if second != "case" else "right"
        turned = Way(way.a, way.b, way.kind, symbols.turned(way.symbol), way.value)
        flip = (first == way.b) != (way.kind == "source")
        drawn = turned if flip else way
        if start == "right" and stop == "left":
            first, second, start, stop = second, first, stop, start
            drawn = way if flip else turned
        row = _Row(way=drawn, start=first, stop=second, hook=start if start == stop else None)
        self.rows.append(row)
        if row.hook is None:
            row.left = self._take(first, "left") if first != "case" else None
            row.right = self._take(second, "right") if second != "case" else None
            return
        self._add_hook(row)

    def _add_hook(self, row: _Row) -> None:
        """Let a symbol whose both terminals are on one side come back on a row of its own."""
        back = _Row(start=row.start, stop=row.stop)
        if row.hook == "left":
            row.left, back.left = self._take(row.start, "left"), self._take(row.stop, "left")
        else:
            row.right, back.right = self._take(row.stop, "right"), self._take(row.start, "right")
        self.rows.append(back)

    def add_rest(self, terminal: str) -> None:
        """Add rows for the lines of a terminal that have none yet."""
        self.sides.setdefault(terminal, "hub")
        while True:
            left = self._take(terminal, "left")
            right = self._take(terminal, "right")
            if left is None and right is None:
                return
            if self.sides[terminal] == "hub" or left is None or right is None:
                self.rows.append(_Row(left=left, right=right, start=terminal, stop=terminal))
            else:
                self.rows += [_Row(left=left, start=terminal), _Row(right=right, stop=terminal)]


def _families(ways: Sequence[Way]) -> list[list[Way]]:
    """Group the ways that share a terminal, contacts first, so that a terminal's rows stay together."""
    families: list[list[Way]] = []
    for way in sorted(ways, key=lambda each: each.kind == "load"):
        ends = {way.a, way.b} - {"case"}
        kin = [family for family in families if any(ends & {each.a, each.b} for each in family)]
        if not kin:
            families.append([way])
            continue
        kin[0].append(way)
        for other in kin[1:]:
            kin[0].extend(other)
            families.remove(other)
    return families


def _build_rows(text: PartText) -> _Rows:
    build = _Rows(text)
    for family in _families(text.ways):
        for way in family:
            build.add_way(way)
        for way in family:
            for terminal in (way.a, way.b):
                if terminal != "case":
                    build.add_rest(terminal)
    for terminal in (*text.wired_left, *text.wired_right):
        build.add_rest(terminal)
    if not build.rows:
        build.rows.append(_Row())
    return build


def _label(terminal: str) -> str:
    return "" if terminal in ("stud", "case", "") else terminal


def _shown(terminals: Sequence[str]) -> list[str]:
    return [_label(each) for each in terminals]


def _zone(rows: Sequence[_Row], side: Side, text: PartText) -> float:
    """Width of the strip between the edge and the symbols on one side."""
    names, case = [""], False
    for row in rows:
        names.append(_edge_terminal(row, side, text))
        case = case or (row.way is not None and (row.start if side == "left" else row.stop) == "case")
    return max(metrics.widest(_shown(names), PIN_SIZE) + 2.6, 6.0 if case else 3.0)


def _edge_terminal(row: _Row, side: Side, text: PartText) -> str:
    """Terminal whose line or stub ends at this edge of the row."""
    index = row.left if side == "left" else row.right
    if index is not None:
        return (text.wired_left if side == "left" else text.wired_right)[index]
    if row.way is None or row.hook is not None:
        return ""
    return row.start if side == "left" else row.stop


def _middle(rows: Sequence[_Row]) -> float:
    """Width of the strip in which the symbols stand."""
    values = [row.way.value for row in rows if row.way is not None]
    symbols_mm = 2 * symbols.HALF_MM if values else 2.0
    return max(symbols_mm, metrics.widest(values, VALUE_SIZE)) + 1.6


def _up(row: _Row) -> float:
    return symbols.TALL_MM if row.way is not None and row.way.symbol in symbols.TALL else ROW_UP_MM


def _has_value(row: _Row) -> bool:
    return row.way is not None and bool(row.way.value)


def _down(row: _Row) -> float:
    return VALUE_DOWN_MM if _has_value(row) else ROW_DOWN_MM


def part_box(text: PartText) -> PartBox:
    """Work out the size of a part and where its pins are."""
    build = _build_rows(text)
    left = _zone(build.rows, "left", text)
    middle = _middle(build.rows)
    right = _zone(build.rows, "right", text)
    inner = left + middle + right
    name = metrics.wrap(text.name, NAME_SIZE, max(NAME_ROOM, inner), bold=True)
    notes = [line for note in text.notes for line in metrics.wrap(note, NOTE_SIZE, max(NOTE_ROOM, inner))]
    wide = max(inner, metrics.widest(name, NAME_SIZE, bold=True), metrics.widest(notes, NOTE_SIZE)) + 0.8
    spare = (wide - inner) / 2
    top = PAD_MM + len(name) * metrics.LINE * NAME_SIZE
    levels, reached = [], top
    for row in build.rows:
        levels.append(reached + _up(row))
        reached = levels[-1] + (_down(row) if row is not build.rows[-1] or _has_value(row) else LAST_DOWN_MM)
    if sum(row.way is not None for row in build.rows) > 1:
        reached += FRAME_PAD_MM
    high = reached + FRAME_GAP_MM + len(notes) * metrics.LINE * NOTE_SIZE + PAD_MM
    left_pins = {row.left: index for index, row in enumerate(build.rows) if row.left is not None}
    right_pins = {row.right: index for index, row in enumerate(build.rows) if row.right is not None}
    return PartBox(
        text=text,
        box=Box(wide, high, tuple(round(level, 1) for level in levels)),
        left_pins=tuple(left_pins[index] for index in range(len(text.wired_left))),
        right_pins=tuple(right_pins[index] for index in range(len(text.wired_right))),
        rows=tuple(build.rows),
        levels_mm=tuple(round(level, 1) for level in levels),
        sides=build.sides,
        left_bus_mm=left + spare,
        right_bus_mm=left + spare + middle,
        name_lines=tuple(name),
        note_lines=tuple(notes),
    )


def _bus_x(part: PartBox, terminal: str, fallback: Side) -> float:
    side = part.sides.get(terminal, fallback)
    if side == "hub":
        return (part.left_bus_mm + part.right_bus_mm) / 2
    return part.left_bus_mm if side == "left" else part.right_bus_mm


def _pin(c: Canvas, part: PartBox, level: float, side: Side, terminal: str) -> None:
    """Draw one pin: a small ring at the edge, its name over the lead, the lead to the terminal's bus."""
    wide = part.box.width_mm
    edge = 0.0 if side == "left" else wide
    c.line([(edge, level), (_bus_x(part, terminal, side), level)])
    c.circle(edge + (PIN_R if side == "left" else -PIN_R), level, PIN_R, wide=0.3)
    _pin_name(c, part, level, side, terminal)


def _pin_name(c: Canvas, part: PartBox, level: float, side: Side, terminal: str) -> None:
    if not _label(terminal):
        return
    if side == "left":
        c.text(part.left_bus_mm - 0.6, level - 0.7, terminal, PIN_SIZE, anchor="end")
    else:
        c.text(part.right_bus_mm + 0.6, level - 0.7, terminal, PIN_SIZE)


def _stub(c: Canvas, part: PartBox, level: float, side: Side, terminal: str) -> None:
    """Draw the end of a symbol that no line reaches on this row: its case's ground, or a bare terminal."""
    bus = part.left_bus_mm if side == "left" else part.right_bus_mm
    if terminal == "case":
        spot = c.at(bus, level)
        symbols.ground_turned(spot) if side == "left" else symbols.ground(spot)
        return
    if not _has_line(part, terminal):
        end = bus - 2.0 if side == "left" else bus + 2.0
        c.line([(bus, level), (end, level)])
        c.circle(end, level, PIN_R, wide=0.3)
        _pin_name(c, part, level, side, terminal)


def _has_line(part: PartBox, terminal: str) -> bool:
    return terminal in part.text.wired_left or terminal in part.text.wired_right


def _draw_way(c: Canvas, part: PartBox, index: int) -> None:
    row, level = part.rows[index], part.levels_mm[index]
    if row.way is None:
        return
    middle = (part.left_bus_mm + part.right_bus_mm) / 2
    c.line([(part.left_bus_mm, level), (middle - symbols.HALF_MM, level)])
    c.line([(middle + symbols.HALF_MM, level), (part.right_bus_mm, level)])
    symbols.SYMBOLS[row.way.symbol](c.at(middle, level))
    if row.way.value:
        c.text(middle, level + VALUE_DOWN_MM - 0.6, row.way.value, VALUE_SIZE, anchor="middle")
    if row.hook is not None:
        free = part.right_bus_mm if row.hook == "left" else part.left_bus_mm
        back = part.left_bus_mm if row.hook == "left" else part.right_bus_mm
        below = part.levels_mm[index + 1]
        c.line([(free, level), (free, below), (back, below)])
    elif row.start == "case" or row.left is None:
        _stub(c, part, level, "left", row.start)
    if row.hook is None and (row.stop == "case" or row.right is None):
        _stub(c, part, level, "right", row.stop)


def _levels_of(part: PartBox, terminal: str) -> list[float]:
    """Levels of all rows that touch a terminal's bus."""
    levels = []
    for row, level in zip(part.rows, part.levels_mm, strict=True):
        lines = (
            part.text.wired_left[row.left] if row.left is not None else None,
            part.text.wired_right[row.right] if row.right is not None else None,
        )
        at_symbol = row.way is not None and row.hook is None and terminal in (row.start, row.stop)
        hooked = (
            row.way is not None
            and row.hook is not None
            and terminal == (row.start if row.hook == "left" else row.stop)
        )
        if terminal in lines or at_symbol or hooked:
            levels.append(level)
    return levels


def _draw_buses(c: Canvas, part: PartBox) -> None:
    for terminal in dict.fromkeys((*part.sides, *part.text.wired_left, *part.text.wired_right)):
        levels = _levels_of(part, terminal)
        x = _bus_x(part, terminal, "left")
        hub = part.sides.get(terminal) == "hub"
        if len(levels) > 1:
            c.line([(x, min(levels)), (x, max(levels))], wide=0.9 if hub else 0.35)
            for level in levels:
                c.circle(x, level, 0.45, fill=INK, wide=0.1)
        elif hub and levels:
            c.circle(x, levels[0], 1.1)


def _draw_gang(c: Canvas, part: PartBox) -> None:
    """Tie a coil to its contacts, or ganged contacts to one another, with a dashed line."""
    moving = [
        (level, row.way.kind, row.way.symbol)
        for row, level in zip(part.rows, part.levels_mm, strict=True)
        if row.way is not None and (row.way.kind == "contact" or row.way.symbol == "coil")
    ]
    if len(moving) < 2 or not any(kind == "contact" for _, kind, _ in moving):
        return
    middle = (part.left_bus_mm + part.right_bus_mm) / 2
    (first, _, _), (last, kind, _) = moving[0], moving[-1]
    c.line(
        [(middle, first - 0.9), (middle, last - (0.9 if kind == "contact" else 2.2))],
        wide=0.25,
        dash=(0.9, 0.6),
    )


def draw_part(c: Canvas, part: PartBox) -> None:
    """Draw the part with its upper left corner at (0, 0)."""
    middle = part.box.width_mm / 2
    c.lines(middle, PAD_MM, part.name_lines, NAME_SIZE, anchor="middle", bold=True)
    low = part.box.height_mm - PAD_MM - len(part.note_lines) * metrics.LINE * NOTE_SIZE
    c.lines(middle, low, part.note_lines, NOTE_SIZE, anchor="middle", fill=SOFT)
    if len([row for row in part.rows if row.way is not None]) > 1:
        top = PAD_MM + len(part.name_lines) * metrics.LINE * NAME_SIZE
        wide, high = part.box.width_mm - 2 * PIN_R, low - FRAME_GAP_MM - top
        c.rect(PIN_R, top, wide, high, fill="none", wide=0.25, dash=(2.4, 0.8, 0.5, 0.8))
    _draw_gang(c, part)
    for index, (row, level) in enumerate(zip(part.rows, part.levels_mm, strict=True)):
        _draw_way(c, part, index)
        if row.left is not None:
            _pin(c, part, level, "left", part.text.wired_left[row.left])
        if row.right is not None:
            _pin(c, part, level, "right", part.text.wired_right[row.right])
    _draw_buses(c, part)
