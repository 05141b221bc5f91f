"""What is written at every wire, sign and terminal of a track, broken into lines that fit beside it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace

from harness.drawing import circuit_index, metrics
from harness.drawing.sheet import fitted
from harness.drawing.svg import INK, SOFT
from harness.drawing.tracks.net import CASE, Edge, Net, Node

TEXT_MM = 3.4  # from a track's line to the texts of a sign
NUMBER_SIZE = 2.7
NAME_SIZE = 2.3
SMALL_SIZE = 2.05
MARKS_IN_LINE = 3
WIRE_MM = 1.9  # from the line to the texts of a wire
AFTER_MM = 1.5  # between a terminal and its volts
LEAST_SHARE = 0.72  # of its size that the type of a long word may shrink to
MOST_NAME_MM = 13.0  # height a name may take before its type shrinks

Volts = Callable[[Node | str], str]  # of a point, or of a lump of metal by its name


@dataclass(frozen=True, slots=True)
class Line:
    """One line of text."""

    text: str
    size: float = SMALL_SIZE
    bold: bool = False
    fill: str = INK
    after: str = ""  # in small type behind it

    @property
    def high_mm(self) -> float:
        """Room it takes [mm]."""
        return self.size * metrics.LINE


def reach_mm(line: Line) -> float:
    """Width of a line with what stands behind it, in bold type [mm]."""
    wide = metrics.width(line.text, line.size, bold=True)
    return wide + (AFTER_MM + metrics.width(line.after, SMALL_SIZE) if line.after else 0.0)


def shown(terminal: str) -> str:
    """Name of a terminal as written: a lone minus is too short a stroke to be seen beside a line."""
    return "−" if terminal == "-" else terminal


def high_mm(lines: Sequence[Line]) -> float:
    """Height of lines below one another [mm]."""
    return sum(line.high_mm for line in lines)


def _set(text: str, size: float, room_mm: float, *, bold: bool = False, fill: str = INK) -> list[Line]:
    if not text:
        return []
    longest = max(metrics.width(word, size, bold=bold) for word in text.split() or [""])
    if room_mm < longest < room_mm / LEAST_SHARE:
        size *= 0.999 * room_mm / longest  # a word a little too long is better read small than broken
    broken, fits = fitted(text, size, room_mm, MOST_NAME_MM, bold=bold)
    return [Line(each, fits, bold, fill) for each in broken]


@dataclass(frozen=True, slots=True)
class Words:
    """Writes what stands beside a track whose texts have ``room_mm``."""

    net: Net
    known: circuit_index.Index
    room_mm: float
    guests: Collection[str] = ()  # numbers of wires that belong to another circuit
    volts: Volts | None = None
    linked: Mapping[str, bool] = field(default_factory=dict)  # parts drawn in pieces that lie apart

    def wire(self, edge: Edge) -> list[Line]:
        """Return number, size and colour of a wire."""
        wire = edge.wire
        if wire is None:
            return []
        number = f"({wire.number})" if wire.number in self.guests else wire.number
        rest = " ".join(each for each in (wire.size, wire.colour, "kept" if wire.kept else "") if each)
        room = self.room_mm + TEXT_MM - WIRE_MM
        return _set(number, NUMBER_SIZE, room, bold=True) + _set(rest, SMALL_SIZE, room)

    def sign(self, edge: Edge) -> list[Line]:
        """Return name, value and cross-reference of one way through a part."""
        part, link = edge.part, edge.link
        if part is None or link is None:
            return []
        name, value = part.name, circuit_index.value(self.known, part, link)
        if link.kind == "fuse":
            fuse = self.known.fuses.get((part.name, link.name))
            name = fuse.name if fuse is not None else name
        lines = _set(name, NAME_SIZE, self.room_mm, bold=edge.symbol != "plain")
        lines += _set(value, SMALL_SIZE, self.room_mm)
        lines += _set(circuit_index.peak(self.known, part, link), SMALL_SIZE, self.room_mm)
        if part.kind in ("alternator", "dynamo") and link.kind == "bus":
            lines += _set("field", SMALL_SIZE, self.room_mm)
        return lines + self._elsewhere(edge)

    def _elsewhere(self, edge: Edge) -> list[Line]:
        """Return which circuits have the part's other pieces, where this drawing does not show them."""
        part, whole = edge.part, self.net.whole
        if whole is None or part is None or not self.linked.get(part.name, False):
            return []
        here = {id(each) for each in self.net.of_part.get(part.name, ())}
        found: dict[str, None] = {}
        for other in others_of(whole, edge):
            if id(other) not in here and other.link is not None:
                word = {"load": "coil", "contact": "contact"}.get(other.link.kind, "also")
                around = (*whole.into.get(other.top, ()), *whole.down.get(other.low, ()))
                circuit = next((each.wire.circuit for each in around if each.wire is not None), "")
                if circuit:
                    found[f"{word if part.role == 'relay' else 'also'}: {circuit}"] = None
        return [line for text in found for line in _set(text, SMALL_SIZE, self.room_mm)]

    def apart(self, edge: Edge) -> bool:
        """Whether the sign needs a line that says where the part's other pieces are drawn."""
        if edge.part is None or not self.linked.get(edge.part.name, False):
            return False
        return self.net.whole is None or bool(others_of(self.net, edge))

    def node(self, node: Node, *, full: bool) -> list[Line]:
        """Return the name of a terminal or splice, with its volts."""
        if node.kind == "splice" or node.terminal == "stud":
            lines = _set(node.part, NAME_SIZE, self.room_mm, bold=True)
        elif full:
            lines = _set(f"{node.part} {node.terminal}", NAME_SIZE, self.room_mm, bold=True)
        else:
            lines = _set(shown(node.terminal), SMALL_SIZE, self.room_mm)
        said = self.volts(node) if self.volts is not None else ""
        if not said:
            return lines
        if len(lines) == 1 and reach_mm(replace(lines[0], after=said)) <= self.room_mm + TEXT_MM - WIRE_MM:
            return [replace(lines[0], bold=True, after=said)]
        return [*lines, *_set(said, SMALL_SIZE, self.room_mm)]

    def stud(self, node: Node) -> list[Line]:
        """Return what stands over a ground rail: the stud of a wire, or that the case carries the current."""
        name = "by its case" if node.terminal == CASE else node.part
        broken, size = fitted(name, SMALL_SIZE, self.room_mm, STUD_MM)
        return [Line(each, size, fill=SOFT if node.terminal == CASE else INK) for each in broken]


STUD_MM = 7.4  # room for the name of a ground stud over the rails


def others_of(net: Net, edge: Edge) -> list[Edge]:
    """List the other ways through an edge's part that hang on none of its terminals."""
    mine = {edge.top, edge.low}
    return [
        each
        for each in (net.of_part.get(edge.part.name, ()) if edge.part is not None else ())
        if each is not edge and not {node for node in (each.top, each.low) if node.terminal != CASE} & mine
    ]


def in_pieces(net: Net) -> dict[str, bool]:
    """Tell which parts are drawn in pieces that do not hang on one terminal: coil here, contact there."""
    ends: dict[str, list[set[str]]] = {}
    bars = {node.part for node in net.supply}
    for edge in net.edges:
        if edge.part is not None and edge.part.name not in bars and edge.part.kind != "multi-way coupler":
            ends.setdefault(edge.part.name, []).append({edge.top.terminal, edge.low.terminal} - {CASE})
    return {name: len(sets) > 1 and not set.intersection(*sets) for name, sets in ends.items()}
