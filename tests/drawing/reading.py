"""Reads a drawing back: its texts with the room they take, its lines, its groups."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from harness.drawing import metrics

SVG = "{http://www.w3.org/2000/svg}"
ISOLATES = str.maketrans("", "", "\u2068\u2069")


@dataclass(frozen=True)
class Box:
    """A rectangle on paper [mm] with what is written in it."""

    left: float
    top: float
    right: float
    low: float
    text: str

    def meets(self, other: Box, slack_mm: float) -> bool:
        """Whether two boxes share more than a strip of ``slack_mm``."""
        return (
            self.left + slack_mm < other.right
            and other.left + slack_mm < self.right
            and self.top + slack_mm < other.low
            and other.top + slack_mm < self.low
        )


@dataclass(frozen=True)
class Stretch:
    """One straight piece of a wire or run."""

    owner: str
    x1: float
    y1: float
    x2: float
    y2: float

    @property
    def level(self) -> bool:
        """Whether it runs from side to side."""
        return abs(self.y1 - self.y2) < 0.005


@lru_cache(maxsize=32)
def root(svg: str) -> ET.Element:
    """Parse a drawing."""
    return ET.fromstring(svg.encode())


def page(svg: str) -> tuple[float, float]:
    """Width and height of the whole drawing [mm], from its viewBox."""
    left, top, wide, high = (float(each) for each in root(svg).attrib["viewBox"].split())
    assert (left, top) == (0, 0)
    return wide, high


def said(element: ET.Element) -> str:
    """Text of an element without the marks that only keep right-to-left names in place."""
    return "".join(element.itertext()).translate(ISOLATES)


def texts(svg: str) -> list[Box]:
    """Every text with the room it takes by our own metrics."""
    found = []
    for element in root(svg).iter(f"{SVG}text"):
        size = float(element.attrib["font-size"])
        wide = metrics.width(said(element), size, bold=element.get("font-weight") == "bold")
        x, y = float(element.attrib["x"]), float(element.attrib["y"])
        left = x - {"middle": wide / 2, "end": wide}.get(element.get("text-anchor", "start"), 0.0)
        top, low = y - metrics.ASCENT * size, y + metrics.DESCENT * size
        found.append(Box(left, top, left + wide, low, said(element)))
    return found


def groups(svg: str, name: str) -> list[ET.Element]:
    """All groups that carry ``data-<name>``."""
    return [element for element in root(svg).iter(f"{SVG}g") if f"data-{name}" in element.attrib]


def stretches(svg: str, name: str) -> list[Stretch]:
    """Every straight piece drawn directly in a group that carries ``data-<name>``, each once."""
    found: dict[Stretch, None] = {}
    for group in groups(svg, name):
        for line in group.findall(f"{SVG}polyline"):
            spots = [tuple(map(float, each.split())) for each in line.attrib["points"].split(", ")]
            for (x1, y1), (x2, y2) in pairwise(spots):
                found[Stretch(group.attrib[f"data-{name}"], x1, y1, x2, y2)] = None
    return list(found)


def overlapping_texts(svg: str, slack_mm: float = 0.12) -> Iterator[tuple[Box, Box]]:
    """Pairs of texts that cover each other."""
    all_ = sorted(texts(svg), key=lambda box: box.top)
    for index, box in enumerate(all_):
        for other in all_[index + 1 :]:
            if other.top > box.low:
                break
            if box.meets(other, slack_mm):
                yield box, other


def struck_texts(svg: str, name: str, slack_mm: float = 0.12) -> Iterator[tuple[Stretch, Box]]:
    """Texts with the middle of a wire or run going through them."""
    boxes = texts(svg)
    for each in stretches(svg, name):
        left, right = sorted((each.x1, each.x2))
        top, low = sorted((each.y1, each.y2))
        line = Box(left - 0.2, top - 0.2, right + 0.2, low + 0.2, each.owner)
        for box in boxes:
            if line.meets(box, slack_mm):
                yield each, box


def lying_on(
    svg: str, name: str, near_mm: float = 0.6, long_mm: float = 0.4
) -> Iterator[tuple[Stretch, Stretch]]:
    """Pairs of pieces of different wires that lie on each other along a stretch."""
    all_ = stretches(svg, name)
    for index, one in enumerate(all_):
        for other in all_[index + 1 :]:
            if one.owner == other.owner or one.level != other.level:
                continue
            across = abs(one.y1 - other.y1) if one.level else abs(one.x1 - other.x1)
            a = sorted((one.x1, one.x2) if one.level else (one.y1, one.y2))
            b = sorted((other.x1, other.x2) if other.level else (other.y1, other.y2))
            if across < near_mm and min(a[1], b[1]) - max(a[0], b[0]) > long_mm:
                yield one, other
