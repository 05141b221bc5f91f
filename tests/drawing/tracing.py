"""Reads a sheet of tracks back by geometry alone: which lines touch, and so which terminals are one point.

Two lines touch where an end of one lies on the other; lines that only cross do not (IEC 61082-1, memory).
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from .reading import SVG, Box, root, said, texts

NEAR_MM = 0.03
CELL_MM = 15.0
SIGNS = ("θ", "p", "L")  # stand in boxes that are drawn over the line that comes to them
Spot = tuple[float, float]
Line = tuple[Spot, ...]


@dataclass(frozen=True)
class Drawn:
    """One wire or way through a part as drawn: the two ends of its line or leads."""

    name: tuple[str, ...]
    ends: tuple[Spot, Spot]


def _points(element: ET.Element) -> Line:
    spots = (each.split() for each in element.attrib["points"].split(", "))
    return tuple((float(x), float(y)) for x, y in spots)


def _data(group: ET.Element, name: str) -> str | None:
    return group.attrib.get(f"data-{name}")


def drawn(sheet: ET.Element) -> list[Drawn]:
    """Every wire and every way through a part on one sheet."""
    found = []
    for group in sheet.iter(f"{SVG}g"):
        lines = [_points(each) for each in group.findall(f"{SVG}polyline")]
        wire, link = _data(group, "wire"), _data(group, "link")
        if wire is not None:
            found.append(Drawn(("wire", wire), (lines[0][0], lines[0][-1])))
        elif link is not None:
            found.append(Drawn(("link", _data(group, "part") or "", link), (lines[0][0], lines[1][-1])))
    return found


def _conductors(sheet: ET.Element) -> Iterator[Line]:
    """Lines that are a point of the net and nothing else: rails, bars, leads."""
    for group in sheet.iter(f"{SVG}g"):
        if _data(group, "wire") is None and _data(group, "link") is None:
            for each in group.findall(f"{SVG}polyline"):
                if each.get("stroke-width") != "0.25":  # the rule over the numbers of the tracks
                    yield _points(each)


def _on(spot: Spot, line: Line) -> bool:
    for (x1, y1), (x2, y2) in pairwise(line):
        inside = min(x1, x2) - NEAR_MM <= spot[0] <= max(x1, x2) + NEAR_MM
        if inside and min(y1, y2) - NEAR_MM <= spot[1] <= max(y1, y2) + NEAR_MM:
            return True
    return False


class Joined:
    """Points that are one, as far as lines touch."""

    def __init__(self, sheet: ET.Element) -> None:
        self.lines = list(_conductors(sheet))
        self.group = list(range(len(self.lines)))
        for one, line in enumerate(self.lines):
            for two, other in enumerate(self.lines[:one]):
                touch = any(_on(spot, other) for spot in (line[0], line[-1]))
                if touch or any(_on(spot, line) for spot in (other[0], other[-1])):
                    self._join(one, two)

    def _root(self, at: int) -> int:
        while self.group[at] != at:
            at = self.group[at]
        return at

    def _join(self, one: int, two: int) -> None:
        self.group[self._root(one)] = self._root(two)

    def at(self, spot: Spot) -> set[int]:
        """Points at a spot: more than one would be a short circuit, none an end in the air."""
        return {self._root(at) for at, line in enumerate(self.lines) if _on(spot, line)}


def sheets(svg: str) -> list[ET.Element]:
    """Sheets of a drawing of tracks."""
    return [each for each in root(svg).iter(f"{SVG}g") if "data-sheet" in each.attrib]


def segments(svg: str) -> Iterator[tuple[Spot, Spot, str]]:
    """Every straight stroke of a drawing, with what it belongs to."""
    for group in root(svg).iter():
        for each in [*group.findall(f"{SVG}polyline"), *group.findall(f"{SVG}polygon")]:
            owner = " ".join(f"{key}={value}" for key, value in group.attrib.items())
            for one, two in pairwise(_points(each)):
                yield one, two, owner


def struck(svg: str, slack_mm: float = 0.05) -> Iterator[tuple[str, str]]:
    """Texts that any stroke of the drawing passes through."""
    cells: dict[tuple[int, int], list[Box]] = {}
    for box in texts(svg):
        for cell in _cells(box.left, box.top, box.right, box.low):
            cells.setdefault(cell, []).append(box)
    for one, two, owner in segments(svg):
        (left, right), (top, low) = sorted((one[0], two[0])), sorted((one[1], two[1]))
        near = {box for cell in _cells(left, top, right, low) for box in cells.get(cell, ())}
        for box in sorted(near, key=lambda each: (each.top, each.left)):
            if box.text not in SIGNS and _strikes(one, two, box, slack_mm):
                yield owner, box.text


def _cells(left: float, top: float, right: float, low: float) -> Iterator[tuple[int, int]]:
    for column in range(int(left // CELL_MM), int(right // CELL_MM) + 1):
        for row in range(int(top // CELL_MM), int(low // CELL_MM) + 1):
            yield column, row


def _strikes(one: Spot, two: Spot, box: Box, slack: float) -> bool:
    """Whether a straight stroke enters a box by more than the slack, in steps of a quarter millimetre."""
    long = max(abs(one[0] - two[0]), abs(one[1] - two[1]))
    steps = max(1, int(long / 0.25))
    for step in range(steps + 1):
        x = one[0] + (two[0] - one[0]) * step / steps
        y = one[1] + (two[1] - one[1]) * step / steps
        if box.left + slack < x < box.right - slack and box.top + slack < y < box.low - slack:
            return True
    return False


def rings(svg: str) -> Iterator[tuple[float, float, float]]:
    """Every circle: middle and radius."""
    for each in root(svg).iter(f"{SVG}circle"):
        yield float(each.attrib["cx"]), float(each.attrib["cy"]), float(each.attrib["r"])


def frames(svg: str) -> list[tuple[Box, str]]:
    """Framed references: their frame and what is written in them."""
    found = []
    for group in root(svg).iter(f"{SVG}g"):
        children = list(group)
        for rect, text in pairwise(children):
            if (rect.tag, text.tag) != (f"{SVG}rect", f"{SVG}text"):
                continue
            if said(text).startswith(("to ", "from ")):
                x, y = float(rect.attrib["x"]), float(rect.attrib["y"])
                box = Box(x, y, x + float(rect.attrib["width"]), y + float(rect.attrib["height"]), said(text))
                found.append((box, said(text)))
    return found
