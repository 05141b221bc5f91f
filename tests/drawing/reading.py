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

    @property
    def square(self) -> bool:
        """Whether it runs along a side of the sheet."""
        return self.level or abs(self.x1 - self.x2) < 0.005


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


def masked(svg: str) -> list[Box]:
    """Texts that stand on a white circle or box of their own, which hides what lies below."""
    found = []
    spots: list[Box] = []
    for each in root(svg).iter():
        get = dict(each.attrib.items())
        if each.tag == f"{SVG}circle":
            x, y, r = (float(get[key]) for key in ("cx", "cy", "r"))
            spots.append(Box(x - r, y - r, x + r, y + r, ""))
        elif each.tag == f"{SVG}rect" and get.get("fill", "none") != "none":
            x, y = float(get["x"]), float(get["y"])
            spots.append(Box(x, y, x + float(get["width"]), y + float(get["height"]), ""))
    for box in texts(svg):
        x, y = (box.left + box.right) / 2, (box.top + box.low) / 2
        if any(
            at.left <= x <= at.right and at.top <= y <= at.low and at.right - at.left < 12 for at in spots
        ):
            found.append(box)
    return found


def _cuts(line: Stretch, box: Box, slack_mm: float) -> bool:
    """Whether a straight piece goes through a box (Liang and Barsky)."""
    low, high = 0.0, 1.0
    dx, dy = line.x2 - line.x1, line.y2 - line.y1
    for step, room in (
        (-dx, line.x1 - box.left - slack_mm), (dx, box.right - slack_mm - line.x1),
        (-dy, line.y1 - box.top - slack_mm), (dy, box.low - slack_mm - line.y1),
    ):  # fmt: skip
        if step == 0:
            if room < 0:
                return False
        elif step < 0:
            low = max(low, room / step)
        else:
            high = min(high, room / step)
    return low < high


def struck_texts(svg: str, name: str, slack_mm: float = 0.12) -> Iterator[tuple[Stretch, Box]]:
    """Texts with the middle of a wire or run going through them."""
    hidden = masked(svg)
    boxes = [box for box in texts(svg) if box not in hidden]
    for each in stretches(svg, name):
        for box in boxes:
            if _cuts(each, box, slack_mm):
                yield each, box


def lying_on(
    svg: str, name: str, near_mm: float = 0.6, long_mm: float = 0.4
) -> Iterator[tuple[Stretch, Stretch]]:
    """Pairs of pieces of different wires that lie on each other along a stretch."""
    all_ = stretches(svg, name)
    for index, one in enumerate(all_):
        for other in all_[index + 1 :]:
            if one.owner == other.owner or one.level != other.level or not (one.square and other.square):
                continue
            across = abs(one.y1 - other.y1) if one.level else abs(one.x1 - other.x1)
            a = sorted((one.x1, one.x2) if one.level else (one.y1, one.y2))
            b = sorted((other.x1, other.x2) if other.level else (other.y1, other.y2))
            if across < near_mm and min(a[1], b[1]) - max(a[0], b[0]) > long_mm:
                yield one, other
