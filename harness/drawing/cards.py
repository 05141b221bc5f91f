"""Cards to hang on the machine at full size: what every fuse way feeds, what sits in every coupler way."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from harness.drawing import metrics
from harness.drawing.blocks import BLOCK_MM, filled, pieces
from harness.drawing.ink import Ink, Page, Ring, Stroke, Words, fitting, lines, text_width, wrapped
from harness.drawing.paint import paints
from harness.drawing.sheet import Format, origin_words
from harness.drawing.svg import SOFT, clean
from harness.model.design import Design, PartResult
from harness.model.looms import CouplerResult, CouplerWay

PAD_MM = 2.0
TITLE_MM = 4.2
TEXT_MM = 2.5
SMALL_MM = 2.0
PIN_MM = 8.0
TEXT_IN_MM = 46.0
# words of fuse_colours -> letters of IEC 60757, whose paint is known
_LETTERS = {
    "black": "BK", "brown": "BN", "red": "RD", "orange": "OG", "yellow": "YE", "green": "GN", "blue": "BU",
    "violet": "VT", "grey": "GY", "white": "WH", "clear": "WH", "pink": "PK", "tan": "TN", "turquoise": "TQ",
}  # fmt: skip
PAINT = {word: paints(code)[0] for word, code in _LETTERS.items()}
WARNING = "Never a bigger fuse than this card says: the wire behind it is what burns."


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a card: a way, what sits in it, what it is for."""

    way: str
    what: str
    text: str
    colour: str = ""  # of the fuse's body, in a word


@dataclass(frozen=True, slots=True)
class Card:
    """One card: a title, perhaps a face to look at, and its rows."""

    title: str
    about: str
    rows: tuple[Row, ...]
    face: tuple[tuple[str, ...], ...] = ()  # ways in the order they are seen, line by line
    foot: str = ""
    origin: str = ""  # machine and survey: once cut out, the card hangs without its sheet

    @property
    def high_mm(self) -> float:
        """Height it takes [mm]."""
        return _high_mm(self)

    def drawn(self, x: float, y: float) -> Iterator[Ink]:
        """It with its upper left corner at (x, y)."""
        return _drawn(self, x, y)

    def split(self, room_mm: float) -> list[Card]:
        """A card that is higher than the paper goes on as a second one."""
        return pieces(self.rows, lambda rows: replace(self, rows=rows), room_mm)


def _feeds(design: Design, wires: Sequence[str]) -> str:
    """The circuits whose wires a fuse guards, in the order of the survey."""
    guarded = set(wires)
    names = [circuit.name for circuit in design.circuits if guarded.intersection(circuit.wires)]
    return ", ".join(names)


def fuse_cards(design: Design) -> list[Card]:
    """One card for each part with several fuse ways, and one for all that sit alone."""
    known = {(fuse.part, fuse.link): fuse for fuse in design.fuses}
    panels = [part for part in design.parts if sum(link.kind == "fuse" for link in part.links) > 1]
    found = [_panel_card(design, part) for part in panels]
    inside = {part.name for part in panels}
    alone = [fuse for (part, _), fuse in known.items() if part not in inside]
    if alone:
        rows = [
            Row(fuse.name, _size(fuse.rating_a, fuse.size), f"{_feeds(design, fuse.wires)} (at {fuse.place})",
                fuse.colour)
            for fuse in alone
        ]  # fmt: skip
        found.append(Card("Fuses by themselves", "in line, on studs, and links", tuple(rows), (), WARNING))
    return found


def _size(rating_a: float, size: str) -> str:
    return f"link {size}" if size else f"{rating_a:g} A"


def _panel_card(design: Design, part: PartResult) -> Card:
    known = {fuse.link: fuse for fuse in design.fuses if fuse.part == part.name}
    rows = []
    for link in part.links:
        if link.kind != "fuse":
            continue
        fuse = known.get(link.name)
        if fuse is None or not fuse.wires:
            rows.append(Row(_way(part.name, link.name, link.b), "empty", "SPARE"))
            continue
        rows.append(
            Row(
                fuse.name.removeprefix(f"{part.name} "), _size(fuse.rating_a, fuse.size),
                _feeds(design, fuse.wires), fuse.colour,
            )
        )  # fmt: skip
    return Card(part.name, f"at {part.place}", tuple(rows), (), WARNING)


def _way(part: str, link: str, outlet: str) -> str:
    """What an empty way is called: as its outlet, or as its link."""
    return (outlet or link).removeprefix(f"{part} ")


def _half_rows(coupler: CouplerResult, half: str, sizes: dict[str, str]) -> tuple[Row, ...]:
    def wire(way: CouplerWay) -> str:
        return way.wire_a if half == "A" else way.wire_b

    return tuple(
        Row(way.way, wire(way) or "plug", f"{sizes.get(wire(way), '')} {way.colour}  {way.circuit}".strip())
        if wire(way)
        else Row(way.way, "plug", "sealing plug: spare way")
        for way in coupler.ways
    )


def coupler_cards(design: Design) -> list[Card]:
    """Two cards for each coupler, one a half, each with its face as seen from the side the wires enter."""
    sizes = {wire.number: wire.size for wire in design.wires}
    found = []
    for coupler in design.couplers:
        ways = [way.way for way in coupler.ways]
        half = -(-len(ways) // 2)
        upper, lower = ways[:half], ways[half:]
        foot = "Numbers go by those on the coupler itself; if yours counts another way, write its numbers in."
        for name, faces, mirrored in (("A", coupler.half_a, False), ("B", coupler.half_b, True)):
            seen = (upper[::-1], lower[::-1]) if mirrored else (upper, lower)
            face = tuple(tuple(line) for line in seen if line)
            about = f"half {name}, on the loom towards {faces}; from the wire side"
            rows = _half_rows(coupler, name, sizes)
            found.append(Card(coupler.name, about, rows, face, foot))
    return found


def _face_mm(card: Card) -> float:
    return len(card.face) * PIN_MM + 3.0 if card.face else 0.0


def _foot_lines(card: Card) -> list[str]:
    return [
        part
        for text in (card.foot, card.origin)
        for part in wrapped(clean(text), SMALL_MM, BLOCK_MM - 2 * PAD_MM)
        if part
    ]


def _row_lines(row: Row) -> list[str]:
    return wrapped(clean(row.text), TEXT_MM, BLOCK_MM - 2 * PAD_MM - TEXT_IN_MM - 0.5)


def _high_mm(card: Card) -> float:
    title = len(wrapped(clean(card.title), TITLE_MM, BLOCK_MM - 2 * PAD_MM)) * metrics.LINE * TITLE_MM
    about = len(wrapped(clean(card.about), TEXT_MM, BLOCK_MM - 2 * PAD_MM)) * metrics.LINE * TEXT_MM
    rows = sum(_row_mm(row) for row in card.rows)
    foot = len(_foot_lines(card)) * metrics.LINE * SMALL_MM
    return 2 * PAD_MM + title + about + 1.5 + _face_mm(card) + rows + foot + 1.5


def _row_mm(row: Row) -> float:
    return max(5.0, len(_row_lines(row)) * metrics.LINE * TEXT_MM + 1.4)


def _pins(card: Card, x: float, y: float) -> Iterator[Ink]:
    for level, names in enumerate(card.face):
        across = min(PIN_MM, (BLOCK_MM - 2 * PAD_MM) / max(1, len(names)))
        for number, way in enumerate(names):
            cx, cy = x + across * (number + 0.5), y + PIN_MM * (level + 0.5)
            yield Ring(cx, cy, min(3.2, across / 2 - 0.2), wide_mm=0.35)
            size = fitting(way, 2.6, across - 1.5)
            yield Words(cx - text_width(way, size) / 2, cy + 0.36 * size, way, size)


def _drawn(card: Card, x: float, y: float) -> Iterator[Ink]:
    high = _high_mm(card)
    right = x + BLOCK_MM
    yield Stroke(((x, y), (right, y), (right, y + high), (x, y + high), (x, y)), 0.35)
    left, top = x + PAD_MM, y + PAD_MM
    for text, size, bold in ((card.title, TITLE_MM, True), (card.about, TEXT_MM, False)):
        own = tuple(wrapped(clean(text), size, BLOCK_MM - 2 * PAD_MM))
        yield from lines(left, top, own, size, bold=bold)
        top += len(own) * metrics.LINE * size
    top += 1.5
    if card.face:
        yield from _pins(card, left, top)
        top += _face_mm(card)
    for row in card.rows:
        deep = _row_mm(row)
        yield Stroke(((x, top), (right, top)), 0.15, SOFT)
        base = top + 3.4
        if row.colour:
            yield Stroke(((left + 16.0, top + 2.6), (left + 20.0, top + 2.6)), 3.2)
            if row.colour in PAINT:
                yield Stroke(((left + 16.3, top + 2.6), (left + 19.7, top + 2.6)), 2.6, PAINT[row.colour])
            yield Words(left + 34.0, base, clean(row.colour), SMALL_MM)
        for start, text, room in ((left, clean(row.way), 15.0), (left + 21.5, clean(row.what), 12.0)):
            yield Words(start, base, text, fitting(text, TEXT_MM, room, bold=True), bold=True)
        yield from lines(left + TEXT_IN_MM, top + 1.2, tuple(_row_lines(row)), TEXT_MM)
        top += deep
    yield Stroke(((x, top), (right, top)), 0.15, SOFT)
    yield from lines(left, top + 1.0, tuple(_foot_lines(card)), SMALL_MM)


def card_pages(design: Design, *, paper: Format) -> list[Page]:
    """All cards at full size; a machine without any has one page."""
    origin = f"{design.machine.name}: survey {origin_words(design.machine)}"
    return filled(
        design,
        [replace(card, origin=origin) for card in (*fuse_cards(design), *coupler_cards(design))],
        paper=paper,
        title="fuses and couplers",
        how="Print at 100 %, cut out, and fix inside the lid.",
    )
