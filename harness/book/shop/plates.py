"""Drawings as the book takes them: cut into sheets, with ids of their own so that many fit in one page."""

from __future__ import annotations

import re
from collections.abc import Mapping
from itertools import pairwise

from harness.book.shop.blocks import Plate

# File of the build -> key, title and what it shows; a new drawing is one line here.
DRAWINGS = {
    "tracks.svg": ("tracks", "Circuit diagram, current tracks", "Rails above, ground below, a track for "
    "each load."),
    "circuit-sheets.svg": (
        "each",
        "Circuit by circuit",
        "Each circuit on a sheet of its own, with the volts to expect in its mode.",
    ),
    "loom.svg": ("loom", "Loom layout", "To scale, with lengths, bundles, holes, and what lands at each "
    "place."),
    "fuses.svg": ("fuseplots", "Fuse plots", "When each fuse opens, beside its load and what its weakest "
    "wire stands."),
}  # fmt: skip

_HEAD = re.compile(r'^<svg [^>]*?width="[\d.]+mm" height="[\d.]+mm" viewBox="0 0 ([\d.]+) ([\d.]+)"', re.M)
_SHEET = re.compile(r'^<g data-sheet="\d+">$', re.M)
_TAG = re.compile(r"<[a-zA-Z][^<>]*>")
_ATTRIBUTE = re.compile(r"""([\w:-]+)=("[^"]*"|'[^']*')""")
_NAMING = ("id", "aria-labelledby", "aria-describedby")


def _own(found: re.Match[str], own: str) -> str:
    """One attribute with ``own`` before the ids it holds; names out of the survey stay as they are."""
    name, quote, text = found[1], found[2][0], found[2][1:-1]
    if name in _NAMING:
        text = " ".join(own + each for each in text.split())
    elif name in ("href", "xlink:href") and text.startswith("#"):
        text = f"#{own}{text[1:]}"
    elif not name.startswith("data-") and text.startswith("url(#"):
        text = f"url(#{own}{text[5:]}"
    return f"{name}={quote}{text}{quote}"


def with_own_ids(svg: str, own: str) -> str:
    """Return the drawing with ``own`` before every id and every reference to one."""
    if ' id="' not in svg:
        return svg
    return _TAG.sub(lambda tag: _ATTRIBUTE.sub(lambda found: _own(found, own), tag[0]), svg)


def _sheet(head: re.Match[str], body: str, at: int, high: float) -> str:
    start = f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{head[1]}mm" height="{high:g}mm"'
    view = f'viewBox="0 {high * at:g} {head[1]} {high:g}" font-family="sans-serif"'
    return f"{start} {view}>\n{body.strip()}\n</svg>\n"


def sheets(svg: str) -> tuple[str, ...]:
    """Cut a drawing whose sheets lie one below the other, each in a group ``data-sheet``, into whole SVGs.

    Raises ValueError where it has no size in millimetres.
    """
    head = _HEAD.search(svg)
    starts = [found.start() for found in _SHEET.finditer(svg)]
    if head is None:
        raise ValueError("a drawing without a size in millimetres")
    end = svg.rindex("</svg>")
    if not starts:
        starts = [svg.index("</desc>") + len("</desc>")]
    high = float(head[2]) / len(starts)
    cut = [*starts, end]
    return tuple(_sheet(head, svg[start:stop], at, high) for at, (start, stop) in enumerate(pairwise(cut)))


def plates(drawings: Mapping[str, str]) -> list[Plate]:
    """Return the drawings that the book knows, in its own order."""
    return [
        Plate(key, title, about, sheets(drawings[file]))
        for file, (key, title, about) in DRAWINGS.items()
        if file in drawings
    ]
