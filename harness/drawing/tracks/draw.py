"""Draws one sheet of tracks: rails, bars, wires, signs and what is written at them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from harness.drawing import metrics, symbols
from harness.drawing.sheet import fitted
from harness.drawing.svg import INK, SOFT, Canvas, Spot
from harness.drawing.tracks import rails
from harness.drawing.tracks.frame import BELOW_MM, LEFT_MM, STRIP_MM, Frame
from harness.drawing.tracks.net import Edge, Node
from harness.drawing.tracks.place import HEAD_MM, EdgeSpot, NodeSpot, Tree
from harness.drawing.tracks.plates import Laid, Plate
from harness.drawing.tracks.words import (
    AFTER_MM,
    MARKS_IN_LINE,
    SMALL_SIZE,
    TEXT_MM,
    WIRE_MM,
    Line,
    Words,
    high_mm,
    others_of,
)
from harness.drawing.turned import Turned
from harness.drawing.wiredraw import draw_wire

RAIL_WIDE, BAR_WIDE, LEAD_WIDE = 0.8, 0.5, 0.35
DOT_MM, POST_MM = 0.85, 0.6
REF_SIZE = 2.1
MOST_STRETCH = 1.4
SHARE = 0.75  # of the usual thickness of wires
STRIP_FILL = "#eceae2"


class Marker(Protocol):
    """Draws under and over a wire what tells that it has changed."""

    def below(self, c: Canvas, number: str, spots: Sequence[Spot]) -> None:
        """Draw what lies under a wire."""

    def above(self, c: Canvas, number: str, spots: Sequence[Spot], at: Spot) -> None:
        """Draw what lies over a wire; ``at``: the middle of its length, where its number stands."""

    def beside(self, c: Canvas, part: str, link: str, at: Spot) -> None:
        """Draw what stands beside a narrow sign; ``at``: its middle."""


@dataclass(frozen=True, slots=True)
class Scene:
    """A sheet about to be drawn."""

    frame: Frame
    laid: Laid
    plate: Plate
    words: Words
    marker: Marker | None = None  # marks what has changed


@dataclass(frozen=True, slots=True)
class _Stand:
    """A tree on its sheet: from which column on, and how high."""

    scene: Scene
    tree: Tree
    column: int
    start: float
    stretch: float

    def y(self, y: float) -> float:
        return self.start + y * self.stretch

    def x(self, column: int) -> float:
        return self.scene.frame.x(self.column + column)

    def rail(self, node: Node) -> float:
        return self.scene.frame.rail_y(self.scene.plate, self.scene.laid.net, node)


def _lines(c: Canvas, x: float, y: float, lines: Sequence[Line]) -> float:
    for line in lines:
        base = y + metrics.ASCENT * line.size
        c.text(x, base, line.text, line.size, bold=line.bold, fill=line.fill)
        if line.after:
            behind = metrics.width(line.text, line.size, bold=line.bold) + AFTER_MM
            c.text(x + behind, base, line.after, SMALL_SIZE)
        y += line.high_mm
    return y


def _ref(c: Canvas, x: float, y: float, text: str, *, down: bool) -> None:
    """Draw the frame with the number of the track a line goes on at, or comes from."""
    wide = metrics.width(text, REF_SIZE, bold=True) + 1.6
    c.rect(x - 1.2, y, wide, HEAD_MM - 0.8, wide=0.3)
    c.text(x - 0.4, y + 2.35, text, REF_SIZE, bold=True)
    if down:
        c.line([(x, y), (x, y - 0.6)], wide=LEAD_WIDE)


# ------------------------------------------------------------------------------------------- edges


def _top(stand: _Stand, spot: EdgeSpot) -> list[Spot]:
    """Where the line of a way starts, from there on down to its column."""
    tree, x = stand.tree, stand.x(spot.column)
    at = tree.nodes.get(spot.edge.top)
    if at is not None and not (tree.kind == "goes on" and spot is tree.edges[0]):
        return [(x, stand.y(at.bar))]
    if tree.kind == "supply":
        return [(x, stand.rail(tree.head))]
    if tree.kind == "bridge":
        y, leg = stand.y(tree.bridge_y), stand.x(0)
        return [(leg, stand.rail(tree.head)), (leg, y), (x, y)]
    return [(x, stand.start + HEAD_MM - 0.8)]


def _low(stand: _Stand, spot: EdgeSpot) -> list[Spot]:
    """Where the line of a way ends, from its column on."""
    x, low = stand.x(spot.column), spot.edge.low
    if spot.end in ("metal", "return"):
        return [(x, stand.rail(low))]
    if spot.end == "supply":
        y, leg = stand.y(spot.leg_y), stand.x(spot.leg)
        return [(x, y), (leg, y), (leg, stand.rail(low))]
    at = stand.tree.nodes.get(low)
    if spot.end == "" and at is not None:
        return [(x, stand.y(at.y if at.column == spot.column else at.bar))]
    return [(x, stand.y(spot.y + spot.high) + 0.8)]


def _draw_wire(c: Canvas, stand: _Stand, spot: EdgeSpot) -> None:
    wire = spot.edge.wire
    if wire is None:
        return
    with c.group("", wire=wire.number, circuit=wire.circuit, track=str(_track(stand, spot.column))):
        way, marker = [*_top(stand, spot), *_low(stand, spot)], stand.scene.marker
        if marker is not None:
            marker.below(c, wire.number, way)
        draw_wire(c, way, wire, SHARE)
        if marker is not None:
            marker.above(c, wire.number, way, (stand.x(spot.column), stand.y(spot.y + spot.high / 2)))
        y = stand.y(spot.y + spot.high / 2) - high_mm(spot.lines) / 2
        _lines(c, stand.x(spot.column) + WIRE_MM, y, spot.lines)


def _track(stand: _Stand, column: int) -> int:
    return stand.scene.plate.first + stand.column + column


def _apart(stand: _Stand, edge: Edge) -> str:
    """Say on which tracks the other pieces of a part are drawn."""
    laid, part = stand.scene.laid, edge.part
    if part is None or edge.link is None:
        return ""
    others = others_of(laid.net, edge)
    tracks = sorted({laid.edge_track[each] for each in others})
    if not tracks:
        return ""
    kinds = {each.link.kind for each in others if each.link is not None}
    word = "also"
    if part.role == "relay" and kinds <= {"load"}:
        word = "coil"
    elif part.role == "relay" and kinds <= {"contact"}:
        word = "contact"
    return f"{word}: {', '.join(str(each) for each in tracks[:3])}"


def _facing(edge: Edge) -> str:
    """Name of the symbol as it looks with its upper terminal above."""
    if edge.symbol == "battery":
        return "battery turned" if edge.top.terminal == "+" else "battery"
    if edge.symbol == "diode" and edge.link is not None and edge.top.terminal != edge.link.a:
        return "diode turned"
    return edge.symbol


def _draw_sign(c: Canvas, stand: _Stand, spot: EdgeSpot) -> None:
    edge = spot.edge
    if edge.part is None or edge.link is None:
        return
    x, middle = stand.x(spot.column), stand.y(spot.y + spot.high / 2)
    with c.group("", part=edge.part.name, link=edge.link.name, track=str(_track(stand, spot.column))):
        for piece in ([*_top(stand, spot), (x, middle - symbols.HALF_MM)],
                      [(x, middle + symbols.HALF_MM), *_low(stand, spot)]):  # fmt: skip
            c.line(piece, wide=LEAD_WIDE)
        draw = symbols.UPRIGHT.get(edge.symbol)
        here = c.at(x, middle)
        draw(here) if draw is not None else symbols.SYMBOLS[_facing(edge)](Turned(here))
        if stand.scene.marker is not None and edge.link.kind == "fuse":
            stand.scene.marker.beside(c, edge.part.name, edge.link.name, (x, middle))
        lines = list(spot.lines)
        if stand.scene.words.apart(edge):
            lines.append(Line(_apart(stand, edge), SMALL_SIZE))
        _lines(c, x + TEXT_MM, middle - high_mm(lines) / 2, lines)


def _draw_end(c: Canvas, stand: _Stand, spot: EdgeSpot) -> None:
    """Draw what stands at the end of a way that no joint ends."""
    x, y, laid = stand.x(spot.column), stand.y(spot.y + spot.high), stand.scene.laid
    if spot.end == "ref":
        _ref(c, x, y + 0.8, f"to {laid.node_track.get(spot.edge.low, '?')}", down=True)
    elif spot.end == "rail ref":
        _, name = rails.supply_name(laid.net, spot.edge.low)
        _ref(c, x, y + 0.8, _short(f"to {name}", stand.scene.frame.text_mm), down=True)
    elif spot.end in ("metal", "return"):
        if spot.end == "metal":
            with c.group("", part=spot.edge.low.part):
                _lines(c, x + 1.5, stand.scene.frame.studs_y(stand.scene.plate),
                       stand.scene.words.stud(spot.edge.low))  # fmt: skip
        c.circle(x, stand.rail(spot.edge.low), DOT_MM, fill=INK, stroke="none")
    elif spot.end == "supply":
        c.circle(stand.x(spot.leg), stand.rail(spot.edge.low), DOT_MM, fill=INK, stroke="none")


def _short(text: str, room_mm: float) -> str:
    while metrics.width(text, REF_SIZE, bold=True) + 2.4 > room_mm and len(text) > 4:
        text = f"{text[:-2].rstrip()}…"
    return text


# ------------------------------------------------------------------------------------------- nodes


def _span(at: NodeSpot) -> tuple[int, int]:
    used = [at.column, *at.arrive, *at.leave]
    return min(used), max(used)


def _draw_bar(c: Canvas, stand: _Stand, at: NodeSpot) -> None:
    first, last = _span(at)
    y = stand.y(at.bar)
    c.line([(stand.x(at.column), stand.y(at.y)), (stand.x(at.column), y)], wide=LEAD_WIDE)
    if last > first:
        c.line([(stand.x(first), y), (stand.x(last), y)], wide=BAR_WIDE)


def _meetings(at: NodeSpot, column: int) -> int:
    """How many lines meet on a bar at one column."""
    first, last = _span(at)
    above = column in at.arrive or (column == at.column and bool(at.arrive))
    return int(column > first) + int(column < last) + int(above) + int(column in at.leave)


def _draw_node(c: Canvas, stand: _Stand, at: NodeSpot) -> None:
    node, x, y = at.node, stand.x(at.column), stand.y(at.bar)
    net = stand.scene.laid.net
    data = {"splice": node.part} if node.kind == "splice" else {"part": node.part, "terminal": node.terminal}
    with c.group("", **data):
        for column in sorted({at.column, *at.arrive, *at.leave}):
            if node.kind == "splice" or _meetings(at, column) > 2:
                c.circle(stand.x(column), y, DOT_MM, fill=INK, stroke="none")
        if node.kind == "part":
            below = any(edge.link is not None for edge in net.down.get(node, ()))
            c.circle(x, stand.y(at.y) if below and at.node not in net.posts else y, POST_MM, wide=0.3)
        low = _lines(c, x + 1.5, stand.y(at.y) + 0.3, at.lines)
        _marks(c, stand, at, x + 1.5, low)


def _marks(c: Canvas, stand: _Stand, at: NodeSpot, x: float, y: float) -> None:
    """Write where ways of this point go on, or come from, in other tracks."""
    laid = stand.scene.laid
    for word, edges in (("to", at.cut), ("from", at.come)):
        tracks = [str(laid.edge_track.get(edge, "?")) for edge in edges]
        for start in range(0, len(tracks), MARKS_IN_LINE):
            text = f"{word} {', '.join(tracks[start : start + MARKS_IN_LINE])}"
            c.text(x, y + metrics.ASCENT * SMALL_SIZE, text, SMALL_SIZE, bold=True)
            y += SMALL_SIZE * 1.25


# ------------------------------------------------------------------------------------------- rails


def _rail(c: Canvas, scene: Scene, rail: Node | str, y: float, mark: str, name: str) -> None:
    frame, plate = scene.frame, scene.plate
    taps = scene.laid.taps.get(rail, [])
    end = plate.first + plate.tracks
    here = [tap for tap in taps if plate.first <= tap < end]
    before = max((tap for tap in taps if tap < plate.first), default=None)
    after = min((tap for tap in taps if tap >= end), default=None)
    start, stop = frame.left + LEFT_MM, frame.x(max(here, default=plate.first) - plate.first)
    if after is not None:
        stop = frame.right
    key = rail if isinstance(rail, str) else f"{rail.part} {rail.terminal}"
    with c.group("", rail=key):
        c.line([(start, y), (stop, y)], wide=RAIL_WIDE)
        if not mark and not name:
            return
        wide = metrics.width(mark, 2.7, bold=True)
        if mark:
            c.text(start - 1.0, y + 1.0, mark, 2.7, anchor="end", bold=True)
        came = f"from {before}, sheet {scene.laid.sheet_of(before)}" if before is not None else ""
        room = LEFT_MM - wide - 3.4
        lines, size = fitted(name, 2.1, room, 5.2 - (2.2 if came else 0.0))
        volts = scene.words.volts(rail) if scene.words.volts is not None else ""
        both = [Line(each, size) for each in lines]
        both += [Line(came, 1.7, fill=SOFT)] if came else []
        if volts:
            lines, size = fitted(volts, SMALL_SIZE, room, BELOW_MM - 0.2 - high_mm(both))
            both += [Line(each, size) for each in lines]
        _rail_words(c, start - wide - 2.2, y - high_mm(both) / 2, both)
        if before is not None:
            c.shape([(start, y), (start + 2.0, y - 1.0), (start + 2.0, y + 1.0)], fill=INK, wide=0.1)
        if after is not None:
            c.shape([(stop + 2.0, y), (stop, y - 1.0), (stop, y + 1.0)], fill=INK, wide=0.1)
            c.text(stop + 2.8, y - 0.3, f"to {after}", 1.9, bold=True)
            c.text(stop + 2.8, y + 1.9, f"sheet {scene.laid.sheet_of(after)}", 1.7, fill=SOFT)


def _rail_words(c: Canvas, x: float, y: float, lines: Sequence[Line]) -> None:
    for line in lines:
        c.text(x, y + metrics.ASCENT * line.size, line.text, line.size, anchor="end", fill=line.fill)
        y += line.high_mm


def _rails(c: Canvas, scene: Scene) -> None:
    net, plate, frame = scene.laid.net, scene.plate, scene.frame
    for number, node in enumerate(plate.supply):
        _rail(c, scene, node, frame.supply_y(number), *rails.supply_name(net, node))
    below: list[Node | str] = [*plate.returns, *plate.metal]
    for number, rail in enumerate(below):
        _rail(c, scene, rail, frame.below_y(plate, number), *rails.return_name(net, rail))


# ------------------------------------------------------------------------------------------- foot


def _circuits(scene: Scene) -> list[str]:
    """Circuit of every column: that of its uppermost wire, one of its own before a guest, else its left's."""
    found: list[str] = []
    for tree in scene.plate.trees:
        names: dict[int, str] = {}
        wires = [(spot, spot.edge.wire) for spot in tree.edges if spot.edge.wire is not None]
        for spot, wire in sorted(wires, key=lambda each: (each[1].number in scene.words.guests, each[0].y)):
            names.setdefault(spot.column, wire.circuit)
        for column in range(tree.columns):
            found.append(names.get(column) or (found[-1] if column and found else ""))
        first = len(found) - tree.columns
        if not found[first]:
            found[first] = next((each for each in found[first:] if each), _near(scene, tree))
    return found


def _near(scene: Scene, tree: Tree) -> str:
    """Circuit of the first wire on any point of a tree that has no wire of its own."""
    net = scene.laid.net
    nodes = (node for spot in tree.edges for node in (spot.edge.low, spot.edge.top))
    around = (edge for node in nodes for edge in (*net.down.get(node, ()), *net.into.get(node, ())))
    return next((edge.wire.circuit for edge in around if edge.wire is not None), "")


def _foot(c: Canvas, scene: Scene) -> None:
    frame, plate = scene.frame, scene.plate
    names = _circuits(scene)
    y = frame.numbers_y
    c.line([(frame.left, y), (frame.left + frame.wide, y)], wide=0.25)
    c.text(frame.left + 1.0, y + 3.6, "track", SMALL_SIZE, fill=SOFT)
    c.text(frame.left + 1.0, frame.strip_y + 3.2, "circuit", SMALL_SIZE, fill=SOFT)
    for column in range(plate.tracks):
        c.text(frame.x(column), y + 3.9, str(plate.first + column), 2.9, anchor="middle", bold=True)
    start = 0
    for column in range(1, plate.tracks + 1):
        if column < plate.tracks and names[column] == names[start]:
            continue
        left = frame.left + LEFT_MM + start * frame.pitch
        wide = (column - start) * frame.pitch
        c.rect(left + 0.4, frame.strip_y, wide - 0.8, STRIP_MM - 0.4, fill=STRIP_FILL, stroke="none")
        if names[start]:
            lines, size = fitted(names[start], 2.3, wide - 3.0, STRIP_MM - 1.6)
            middle = frame.strip_y + (STRIP_MM - 0.4 - len(lines) * metrics.LINE * size) / 2
            with c.group("", circuit=names[start]):
                c.lines(left + wide / 2, middle, lines, size, anchor="middle")
        start = column


def _stand(scene: Scene, tree: Tree, column: int) -> _Stand:
    """Give a tree the room there is: it is drawn out in height; a strap stays near the rails it joins."""
    frame, plate = scene.frame, scene.plate
    top, low = frame.content_y(plate), frame.studs_y(plate)
    if tree.kind == "bridge":
        return _Stand(scene, tree, column, max(top, low - tree.high - 1.0), 1.0)
    tallest = max((each.high for each in plate.trees if each.kind != "bridge"), default=1.0)
    return _Stand(scene, tree, column, top, min(MOST_STRETCH, max(1.0, (low - top - 1.0) / tallest)))


def draw_plate(c: Canvas, scene: Scene) -> None:
    """Draw everything on a sheet but its frame and title block."""
    _rails(c, scene)
    stands, column = [], 0
    for tree in scene.plate.trees:
        stands.append(_stand(scene, tree, column))
        column += tree.columns
    for stand in stands:
        for at in stand.tree.nodes.values():
            _draw_bar(c, stand, at)
    for stand in stands:
        for spot in stand.tree.edges:
            _draw_wire(c, stand, spot)
    for stand in stands:
        for spot in stand.tree.edges:
            _draw_sign(c, stand, spot)
            _draw_end(c, stand, spot)
        for at in stand.tree.nodes.values():
            _draw_node(c, stand, at)
        _heads(c, stand)
    _foot(c, scene)


def _heads(c: Canvas, stand: _Stand) -> None:
    tree, laid = stand.tree, stand.scene.laid
    x = stand.x(0)
    if tree.kind == "goes on":
        _ref(c, x, stand.start, f"from {laid.node_track.get(tree.head, '?')}", down=False)
    elif tree.kind in ("supply", "bridge"):
        c.circle(x, stand.rail(tree.head), DOT_MM, fill=INK, stroke="none")
    if tree.kind == "bridge" and tree.head in laid.net.metal:
        with c.group("", part=tree.head.part):
            y = stand.scene.frame.studs_y(stand.scene.plate)
            _lines(c, x + 1.5, y, stand.scene.words.stud(tree.head))
