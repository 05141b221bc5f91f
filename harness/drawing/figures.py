"""A figure of every part for the bench: its terminals as they look, and what lands on each, in colour."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from harness.drawing import metrics
from harness.drawing.blocks import BLOCK_MM, filled, pieces
from harness.drawing.ink import Ink, Page, Ring, Stroke, Words, fitting, lines, wrapped
from harness.drawing.paint import paints
from harness.drawing.sheet import Format
from harness.drawing.svg import SOFT, clean
from harness.model.design import Design, PartResult, Point, Splice, Wire, WireEnd

PAD_MM = 2.0
TITLE_MM = 3.4
TEXT_MM = 2.3
SMALL_MM = 1.9
SIGN_MM = 12.0  # room for the terminal's look and name
NAME_MM = 14.0
STUB_MM = 13.0  # of wire, in its colours
NUMBER_MM = 9.0
LAND_IN_MM = SIGN_MM + NAME_MM + STUB_MM + NUMBER_MM + 2.0
LEAST_ROW_MM = 5.2


@dataclass(frozen=True, slots=True)
class Landing:
    """One wire that lands on a terminal."""

    number: str
    colour: str
    size: str
    kept: bool
    area_mm2: float
    lug: str
    goes_to: str

    def text(self) -> list[str]:
        """Size and colour, what is crimped on, where it goes."""
        first = f"{self.size} {self.colour}" + (" kept" if self.kept else "")
        room = BLOCK_MM - LAND_IN_MM - PAD_MM
        return wrapped(clean(f"{first}, {self.goes_to}"), TEXT_MM, room)

    def small(self) -> list[str]:
        """The lug, in small type."""
        room = BLOCK_MM - LAND_IN_MM - PAD_MM
        return wrapped(clean(self.lug), SMALL_MM, room) if self.lug else []

    @property
    def high_mm(self) -> float:
        """Height it takes [mm]."""
        deep = len(self.text()) * metrics.LINE * TEXT_MM + len(self.small()) * metrics.LINE * SMALL_MM
        return max(LEAST_ROW_MM, deep + 1.6)


@dataclass(frozen=True, slots=True)
class Shown:
    """One terminal with what lands on it, the largest lug first: it sits nearest the part."""

    terminal: str
    fitting: str  # "stud", "blade", "post", "pigtail", "pin", "screw" or "splice"
    size: str
    landings: tuple[Landing, ...]

    @property
    def high_mm(self) -> float:
        """Height it takes [mm]."""
        return max(LEAST_ROW_MM, sum(landing.high_mm for landing in self.landings))


@dataclass(frozen=True, slots=True)
class Figure:
    """One part or splice."""

    name: str
    about: str
    terminals: tuple[Shown, ...]

    def _heads(self) -> tuple[list[str], list[str]]:
        room = BLOCK_MM - 2 * PAD_MM
        return wrapped(clean(self.name), TITLE_MM, room), wrapped(clean(self.about), SMALL_MM, room)

    @property
    def high_mm(self) -> float:
        """Height it takes [mm]."""
        title, about = self._heads()
        head = metrics.LINE * (len(title) * TITLE_MM + len(about) * SMALL_MM)
        return 2 * PAD_MM + head + 0.8 + sum(shown.high_mm for shown in self.terminals)

    def split(self, room_mm: float) -> list[Figure]:
        """A part with more terminals than a sheet holds goes on as a second figure."""
        rows = [piece for shown in self.terminals for piece in _short(shown, room_mm / 2)]
        return pieces(rows, lambda shown: replace(self, terminals=shown), room_mm)

    def drawn(self, x: float, y: float) -> Iterator[Ink]:
        """It with its upper left corner at (x, y)."""
        high, right = self.high_mm, x + BLOCK_MM
        yield Stroke(((x, y), (right, y), (right, y + high), (x, y + high), (x, y)), 0.35)
        title, about = self._heads()
        top = y + PAD_MM
        yield from lines(x + PAD_MM, top, tuple(title), TITLE_MM, bold=True)
        top += len(title) * metrics.LINE * TITLE_MM
        yield from lines(x + PAD_MM, top, tuple(about), SMALL_MM)
        top += len(about) * metrics.LINE * SMALL_MM + 0.8
        for shown in self.terminals:
            yield Stroke(((x, top), (right, top)), 0.15, SOFT)
            yield from _terminal(shown, x, top)
            top += shown.high_mm


def _short(shown: Shown, room_mm: float) -> list[Shown]:
    """A terminal with more on it than half a sheet holds, in pieces."""
    return pieces(shown.landings, lambda landings: replace(shown, landings=landings), room_mm)


def _sign(shown: Shown, x: float, y: float) -> Iterator[Ink]:
    """How the terminal looks, about 8 mm wide, its middle at y."""
    if shown.fitting in ("stud", "post"):
        yield Ring(x + 4.0, y, 2.2 if shown.fitting == "stud" else 2.4, "#d9d9d9", 0.4)
        yield Ring(x + 4.0, y, 1.0 if shown.fitting == "stud" else 2.0, "#ffffff", 0.3)
    elif shown.fitting == "blade":
        yield Stroke(((x + 1.0, y), (x + 7.0, y)), 2.6)
        yield Stroke(((x + 1.3, y), (x + 6.7, y)), 2.0, "#d9d9d9")
        yield Ring(x + 5.4, y, 0.5, "#ffffff", 0.25)
    elif shown.fitting == "pin":
        yield Ring(x + 4.0, y, 1.7, "#ffffff", 0.35)
        yield Ring(x + 4.0, y, 0.6, "#1b1b1b", 0.1)
    elif shown.fitting == "screw":
        yield Ring(x + 4.0, y, 2.0, "#d9d9d9", 0.35)
        yield Stroke(((x + 2.7, y + 1.3), (x + 5.3, y - 1.3)), 0.5)
    elif shown.fitting == "splice":
        yield Ring(x + 4.0, y, 1.4, "#1b1b1b", 0.1)
    else:  # a lead that comes out of the part
        yield Stroke(((x + 1.0, y - 1.2), (x + 3.0, y), (x + 7.0, y)), 0.9)


def _terminal(shown: Shown, x: float, top: float) -> Iterator[Ink]:
    middle = top + LEAST_ROW_MM / 2
    yield from _sign(shown, x + PAD_MM, middle)
    name = clean(shown.terminal or "joint")
    size = fitting(name, TEXT_MM, NAME_MM - 1.0, bold=True)
    yield Words(x + PAD_MM + SIGN_MM - 2.0, middle + 0.3, name, size, bold=True)
    what = clean(f"{shown.fitting} {shown.size}" if shown.size else "")
    small = fitting(what, 1.6, NAME_MM - 1.0)
    yield Words(x + PAD_MM + SIGN_MM - 2.0, middle + 2.3, what, small, colour=SOFT)
    for landing in shown.landings:
        yield from _landing(landing, x, top)
        top += landing.high_mm
    if not shown.landings:
        yield Words(x + SIGN_MM + NAME_MM + 1.0, middle + 0.8, "nothing lands here", SMALL_MM, colour=SOFT)


def _landing(landing: Landing, x: float, top: float) -> Iterator[Ink]:
    left = x + SIGN_MM + NAME_MM + 1.0
    y = top + LEAST_ROW_MM / 2
    base, tracer = paints(landing.colour)
    wide = 2.4 if landing.area_mm2 >= 20.0 else 1.6 if landing.area_mm2 >= 5.5 else 1.1
    yield Stroke(((left, y), (left + STUB_MM - 2.0, y)), wide + 0.6)
    yield Stroke(((left + 0.2, y), (left + STUB_MM - 2.2, y)), wide, base)
    if tracer is not None:
        yield Stroke(((left + 0.2, y), (left + STUB_MM - 2.2, y)), wide * 0.45, tracer, (1.5, 1.5))
    number = clean(landing.number)
    size = fitting(number, 2.7, NUMBER_MM, bold=True)
    yield Words(left + STUB_MM - 1.0, y + 0.95, number, size, bold=True)
    text, small = landing.text(), landing.small()
    start = x + LAND_IN_MM
    yield from lines(start, top + 0.8, tuple(text), TEXT_MM)
    yield from lines(start, top + 0.8 + len(text) * metrics.LINE * TEXT_MM, tuple(small), SMALL_MM)


def _far(point: Point) -> str:
    name = f"{point.part} {point.terminal}".strip() if point.kind == "part" else f"splice {point.part}"
    return f"to {name}"


def _landed(wire: Wire, end: WireEnd, other: Point) -> Landing:
    return Landing(
        wire.number, wire.colour, wire.size, wire.kept, wire.area_mm2, "" if wire.kept else end.terminal,
        _far(other),
    )  # fmt: skip


def _part(part: PartResult, landed: dict[tuple[str, str], list[Landing]]) -> Figure:
    shown = tuple(
        Shown(
            use.terminal, use.fitting, use.size,
            tuple(sorted(landed.get((part.name, use.terminal), ()), key=lambda each: -each.area_mm2)),
        )
        for use in part.terminals
    )  # fmt: skip
    title = part.title if part.title != part.name else ""
    about = ", ".join(
        word for word in (title, f"at {part.place}", f"on {part.body}" if part.body else "") if word
    )
    return Figure(part.name, about, shown)


def _splice(splice: Splice, landed: dict[tuple[str, str], list[Landing]]) -> Figure:
    own = Shown("", "splice", "", tuple(landed.get((splice.name, ""), ())))
    about = ", ".join(word for word in (f"at {splice.place}", splice.fitting) if word)
    return Figure(f"splice {splice.name}", about, (own,))


def figures(design: Design) -> list[Figure]:
    """Every part that a wire lands on, then every splice, place by place as the survey has them."""
    landed: dict[tuple[str, str], list[Landing]] = {}
    for wire in design.wires:
        for point, end, other in ((wire.from_, wire.from_end, wire.to), (wire.to, wire.to_end, wire.from_)):
            landed.setdefault((point.part, point.terminal), []).append(_landed(wire, end, other))
    order = {place: at for at, place in enumerate(design.places)}
    found = [(part.place, _part(part, landed)) for part in design.parts]
    found += [(splice.place, _splice(splice, landed)) for splice in design.splices]
    some = [(place, each) for place, each in found if any(shown.landings for shown in each.terminals)]
    return [each for _, each in sorted(some, key=lambda pair: order.get(pair[0], len(order)))]


def figure_pages(design: Design, *, paper: Format) -> list[Page]:
    """All figures on upright sheets, place by place."""
    how = "Largest lug nearest the part. Battery off, chassis lead first, before a spanner touches a stud."
    return filled(design, figures(design), paper=paper, title="hook-up of every part", how=how)
