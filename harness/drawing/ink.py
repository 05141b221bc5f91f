"""What a page is drawn of: strokes, rings and words in millimetres, and the paper they lie on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from harness.drawing import metrics
from harness.drawing.sheet import Format
from harness.drawing.svg import INK, Spot, clean
from harness.signs import shown

Box = tuple[float, float, float, float]  # left, top, right, bottom

MONO_EM = 0.603  # width of a letter of the face that pages for print are set in


def text_width(text: str, size_mm: float, *, bold: bool = False) -> float:
    """Width of a text in the wider of the faces it may be set in [mm]."""
    return max(metrics.width(text, size_mm, bold=bold), MONO_EM * size_mm * len(shown(text)))


def fitting(text: str, size_mm: float, room_mm: float, *, bold: bool = False) -> float:
    """The largest type up to a size in which a text stands on one line in some room [mm]."""
    wide = text_width(text, size_mm, bold=bold)
    return size_mm if wide <= room_mm else size_mm * room_mm / wide


def wrapped(text: str, size_mm: float, room_mm: float) -> list[str]:
    """Break a text so that it fits in either face; a longer word is cut."""
    letters = max(1, int(room_mm / (1.1 * size_mm)))  # of any script: metrics has none wider but pictures
    found = [""]
    for word in text.split():
        pieces = [word]
        if text_width(word, size_mm) > room_mm:
            pieces = [word[at : at + letters] for at in range(0, len(word), letters)]
        for piece in pieces:
            longer = f"{found[-1]} {piece}".strip()
            if found[-1] and text_width(longer, size_mm) > room_mm:
                found.append(piece)
            else:
                found[-1] = longer
    return found


@dataclass(frozen=True, slots=True)
class Stroke:
    """Straight pieces through some spots."""

    spots: tuple[Spot, ...]
    wide_mm: float
    colour: str = INK
    dash: tuple[float, ...] = ()

    @property
    def box(self) -> Box:
        """What it covers."""
        half = self.wide_mm / 2
        xs, ys = [x for x, _ in self.spots], [y for _, y in self.spots]
        return min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half


@dataclass(frozen=True, slots=True)
class Ring:
    """A circle."""

    x: float
    y: float
    r: float
    fill: str = "#ffffff"
    wide_mm: float = 0.4

    @property
    def box(self) -> Box:
        """What it covers."""
        return self.x - self.r, self.y - self.r, self.x + self.r, self.y + self.r


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text with its base line at y."""

    x: float
    y: float
    text: str
    size_mm: float
    bold: bool = False
    colour: str = INK

    @property
    def box(self) -> Box:
        """What it covers in the wider of the faces it may be set in."""
        wide = text_width(self.text, self.size_mm, bold=self.bold)
        top = self.y - metrics.ASCENT * self.size_mm
        return self.x, top, self.x + wide, self.y + metrics.DESCENT * self.size_mm


Ink = Stroke | Ring | Words


def lines(
    x: float, y: float, texts: tuple[str, ...], size_mm: float, *, bold: bool = False
) -> Iterator[Words]:
    """Lines below one another, the first one's top at y."""
    for number, text in enumerate(texts):
        base = y + (metrics.ASCENT + number * metrics.LINE) * size_mm
        yield Words(x, base, clean(text), size_mm, bold)


def moved(ink: Ink, x: float, y: float, k: float = 1.0) -> Ink:
    """The same ``k`` times as large, with its origin at (x, y)."""
    if isinstance(ink, Stroke):
        spots = tuple((x + k * a, y + k * b) for a, b in ink.spots)
        return replace(ink, spots=spots, wide_mm=k * ink.wide_mm, dash=tuple(k * each for each in ink.dash))
    if isinstance(ink, Ring):
        return replace(ink, x=x + k * ink.x, y=y + k * ink.y, r=k * ink.r, wide_mm=k * ink.wide_mm)
    return replace(ink, x=x + k * ink.x, y=y + k * ink.y, size_mm=k * ink.size_mm)


def touches(ink: Ink, box: Box) -> bool:
    """Whether something of it lies in a box."""
    left, top, right, bottom = box
    if isinstance(ink, Stroke):
        half = ink.wide_mm / 2
        return any(
            min(a[0], b[0]) - half < right
            and max(a[0], b[0]) + half > left
            and min(a[1], b[1]) - half < bottom
            and max(a[1], b[1]) + half > top
            for a, b in pairwise(ink.spots)
        )
    own = ink.box
    return own[0] < right and own[2] > left and own[1] < bottom and own[3] > top


@dataclass(frozen=True, slots=True)
class Page:
    """One sheet of paper: what is drawn within the window, then what stands on the paper itself."""

    paper: Format
    window: Box  # what the drawing is clipped to, on the paper
    inside: tuple[Ink, ...]
    outside: tuple[Ink, ...]
