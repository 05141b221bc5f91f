"""One circuit drawn: its items measured, laid out and put on paper under a title of its own."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from harness.drawing import layered, metrics, symbols, wiredraw
from harness.drawing.circuit_graph import CircuitGraph, Flag, Ground, Item, Joint, Strand
from harness.drawing.circuit_index import spot
from harness.drawing.layered import Box, Layout, Line, Task
from harness.drawing.partbox import PartBox, draw_part, part_box
from harness.drawing.svg import INK, SOFT, Canvas, Spot
from harness.model.design import Wire

TEXT = 2.1
NAME = 2.3
FLAG_ROOM = 30.0
GROUND_ROOM = 23.0
PAD = 0.9
ARROW = 2.0
JOINT_PITCH = wiredraw.UP_MM + wiredraw.DOWN_MM + 1.0


@dataclass(frozen=True, slots=True)
class Piece:
    """An item of a circuit with the room it takes, its pins for either side and how it is drawn."""

    box: Box
    left: tuple[int, ...]
    right: tuple[int, ...]
    draw: Callable[[Canvas], None]


def _flag(flag: Flag) -> Piece:
    word = {"from": "from", "to": "to"}[flag.lead] if flag.head != "on to" else ""
    head = metrics.wrap(f"{word} {flag.head}".strip(), NAME, FLAG_ROOM, bold=True)
    tail = metrics.wrap(flag.tail, TEXT, FLAG_ROOM)
    text_mm = max(metrics.widest(head, NAME, bold=True), metrics.widest(tail, TEXT))
    high = metrics.LINE * (len(head) * NAME + len(tail) * TEXT) + 1.4
    wide, full = text_mm + 2.0 + ARROW, high + 2 * PAD

    def draw(c: Canvas) -> None:
        top, low, mid = PAD, PAD + high, full / 2
        if flag.lead == "from":
            outline = [(0.0, top), (wide - ARROW, top), (wide, mid), (wide - ARROW, low), (0.0, low)]
        else:
            outline = [(0.0, mid), (ARROW, top), (wide, top), (wide, low), (ARROW, low)]
        c.shape(outline, fill="#f1f1ec", wide=0.25)
        x = 1.0 if flag.lead == "from" else ARROW + 1.0
        below = c.lines(x, top + 0.7, head, NAME, bold=True)
        c.lines(x, below, tail, TEXT, fill=SOFT)

    return Piece(Box(wide, full, (full / 2,)), (0,), (0,), draw)


def _ground(ground: Ground) -> Piece:
    head = metrics.wrap(ground.body, NAME, GROUND_ROOM, bold=True)
    tail = [] if ground.name == ground.body else metrics.wrap(ground.name, TEXT, GROUND_ROOM)
    tail += metrics.wrap(f"at {ground.place}", TEXT, GROUND_ROOM)
    text_mm = max(metrics.widest(head, NAME, bold=True), metrics.widest(tail, TEXT))
    high = max(metrics.LINE * (len(head) * NAME + len(tail) * TEXT), 4.8) + 2 * PAD
    wide, mid = text_mm + 6.6, high / 2
    text_high = metrics.LINE * (len(head) * NAME + len(tail) * TEXT)

    def draw(c: Canvas) -> None:
        x = 5.2
        if ground.turned:
            symbols.ground_turned(c.at(wide - 0.6, mid))
            c.line([(wide - 0.6, mid), (wide, mid)])
            x = 0.6
        else:
            symbols.ground(c.at(0.6, mid))
            c.line([(0.0, mid), (0.6, mid)])
        below = c.lines(x, mid - text_high / 2, head, NAME, bold=True)
        c.lines(x, below, tail, TEXT, fill=SOFT)

    return Piece(Box(wide, high, (mid,)), (0,), (0,), draw)


def _joint(joint: Joint) -> Piece:
    place = metrics.wrap(f"at {joint.place}", TEXT, 24.0)
    wide = max(metrics.width(joint.name, NAME, bold=True), metrics.widest(place, TEXT), 4.0) + 1.2
    up = PAD + metrics.LINE * NAME + 1.5
    levels = [round(up + row * JOINT_PITCH, 1) for row in range(max(joint.left, joint.right, 1))]
    low = levels[-1] + 1.9
    high = low + len(place) * metrics.LINE * TEXT + PAD

    def draw(c: Canvas) -> None:
        c.line([(wide / 2, up), (wide / 2, levels[-1])], wide=1.1)
        for level in levels:
            c.circle(wide / 2, level, 1.2, fill=INK)
        c.lines(wide / 2, PAD, [joint.name], NAME, anchor="middle", bold=True)
        c.lines(wide / 2, low, place, TEXT, anchor="middle", fill=SOFT)

    return Piece(
        Box(wide, high, tuple(levels)),
        _spread(joint.left, len(levels)),
        _spread(joint.right, len(levels)),
        draw,
    )


def _spread(count: int, rows: int) -> tuple[int, ...]:
    """Rows of the wires on one side of a joint: in the middle when there are fewer than on the other."""
    first = (rows - count) // 2
    return tuple(first + index for index in range(count))


def _part(part: PartBox) -> Piece:
    return Piece(part.box, part.left_pins, part.right_pins, lambda c: draw_part(c, part))


def piece(item: Item) -> Piece:
    """Measure one item."""
    if isinstance(item, Flag):
        return _flag(item)
    if isinstance(item, Ground):
        return _ground(item)
    if isinstance(item, Joint):
        return _joint(item)
    return _part(part_box(item))


def _pick(pins: Sequence[int], line: int) -> int:
    return pins[line] if line < len(pins) else pins[0]


def _line(strand: Strand, pieces: Sequence[Piece]) -> Line:
    label = wiredraw.label_box(strand.wire, guest=strand.guest) if strand.wire is not None else None
    return Line(
        strand.tail,
        _pick(pieces[strand.tail].right, strand.tail_line),
        strand.head,
        _pick(pieces[strand.head].left, strand.head_line),
        label,
    )


@dataclass(frozen=True, slots=True)
class Band:
    """One circuit, measured and laid out."""

    graph: CircuitGraph
    pieces: tuple[Piece, ...]
    layout: Layout
    task: Task


def bands(graphs: Sequence[CircuitGraph]) -> list[Band]:
    """Measure and lay out circuits with one start of the engine; raises EngineFailed."""
    pieces = [tuple(piece(item) for item in graph.items) for graph in graphs]
    tasks = [
        Task(
            boxes=tuple(each.box for each in own),
            lines=tuple(_line(strand, own) for strand in graph.strands),
            gap_mm=1.0,
            component_gap_mm=2.0,
        )
        for graph, own in zip(graphs, pieces, strict=True)
    ]
    laid = layered.layouts(tasks)
    return [Band(*each) for each in zip(graphs, pieces, laid, tasks, strict=True)]


def _about(wire: Wire) -> str:
    start, end = spot(wire.from_), spot(wire.to)
    kept = ", old wire kept" if wire.kept else ""
    return f"wire {wire.number}: {start} to {end}, {wire.size}, {wire.colour}, {wire.length_m:.2f} m{kept}"


def _to_the_dot(band: Band, strand: Strand, route: Sequence[Spot]) -> list[Spot]:
    """Lengthen a wire that ends at a joint up to the joint's dot."""
    spots = list(route)
    if isinstance(band.graph.items[strand.tail], Joint):
        spots[0] = (spots[0][0] - band.pieces[strand.tail].box.width_mm / 2, spots[0][1])
    if isinstance(band.graph.items[strand.head], Joint):
        spots[-1] = (spots[-1][0] + band.pieces[strand.head].box.width_mm / 2, spots[-1][1])
    return spots


def draw_band(c: Canvas, band: Band) -> None:
    """Draw a circuit with its upper left corner at (0, 0)."""
    for strand, route, label, line in zip(
        band.graph.strands, band.layout.routes, band.layout.labels, band.task.lines, strict=True
    ):
        if strand.wire is None:
            c.line(route, wide=0.3)
            continue
        with c.group(_about(strand.wire), wire=strand.wire.number):
            wiredraw.draw_wire(c, _to_the_dot(band, strand, route), strand.wire)
            if label is not None and line.label is not None:
                wiredraw.draw_label(
                    c.at(*label), strand.wire, guest=strand.guest, width_mm=line.label.width_mm
                )
    for item, each, corner in zip(band.graph.items, band.pieces, band.layout.boxes, strict=True):
        if isinstance(item, Flag):
            each.draw(c.at(*corner))
            continue
        with c.group(item.name, **{"splice" if isinstance(item, Joint) else "part": item.name}):
            each.draw(c.at(*corner))
