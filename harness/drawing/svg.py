"""Writes SVG: absolute numbers in millimetres, every text escaped, the same bytes for the same calls.

A canvas may be a shifted and scaled view of another; what it writes is already moved, so the file holds no
transforms and every text can be found where its numbers say.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Literal
from xml.sax.saxutils import escape, quoteattr

from harness.drawing import metrics
from harness.signs import shown

INK = "#1b1b1b"
SOFT = "#555555"
PAPER = "#ffffff"

Anchor = Literal["start", "middle", "end"]
Spot = tuple[float, float]
ISOLATES = dict.fromkeys(map(ord, "\u2068\u2069"))  # for str.translate: taken out
_TO_ESCAPE = re.compile('[&<>"\n\r\t]')
_RIGHT_TO_LEFT = ("R", "AL", "AN")


def number(value: float) -> str:
    """Write a number with at most two decimals and no needless zeros."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def clean(text: str) -> str:
    """The text with what nobody sees, or turns the rest of a line round, as its number; blanks become one."""
    return " ".join(shown(" ".join(text.split())).split())


def isolate(text: str) -> str:
    """Wrap a right-to-left name so that what stands beside it in a line keeps its place."""
    if any(unicodedata.bidirectional(letter) in _RIGHT_TO_LEFT for letter in text):
        return f"\u2068{text}\u2069"
    return text


def _quoted(value: str) -> str:
    """As ``quoteattr``, which looks six times through what nearly always has nothing to escape."""
    return quoteattr(value) if _TO_ESCAPE.search(value) else f'"{value}"'


def _attributes(values: dict[str, str | float | None]) -> str:
    return "".join(
        f" {name}={_quoted(value)}" if isinstance(value, str) else f' {name}="{number(value)}"'
        for name, value in values.items()
        if value is not None
    )


class Canvas:
    """Collects SVG elements; ``k`` millimetres on paper for each millimetre drawn."""

    def __init__(
        self, out: list[str] | None = None, *, x: float = 0.0, y: float = 0.0, k: float = 1.0
    ) -> None:
        self._out = out if out is not None else []
        self._x, self._y, self.k = x, y, k

    def at(self, x: float, y: float, k: float = 1.0) -> Canvas:
        """Return the same drawing with its origin moved to (x, y) and ``k`` times as large from there on."""
        return Canvas(self._out, x=self._x + x * self.k, y=self._y + y * self.k, k=self.k * k)

    def markup(self) -> str:
        """Return everything drawn so far."""
        return "\n".join(self._out)

    def _spot(self, x: float, y: float) -> str:
        return f"{number(self._x + x * self.k)} {number(self._y + y * self.k)}"

    def _element(self, tag: str, values: dict[str, str | float | None]) -> None:
        self._out.append(f"<{tag}{_attributes(values)}/>")

    def _stroke(
        self, stroke: str, wide: float, dash: Sequence[float], fill: str
    ) -> dict[str, str | float | None]:
        return {
            "fill": fill,
            "stroke": stroke,
            "stroke-width": number(wide * self.k) if stroke != "none" else None,
            "stroke-dasharray": " ".join(number(each * self.k) for each in dash) if dash else None,
        }

    def line(
        self, spots: Sequence[Spot], *, stroke: str = INK, wide: float = 0.35, dash: Sequence[float] = (),
        round_: bool = False,
    ) -> None:  # fmt: skip
        """Draw straight pieces through ``spots``; ``round_`` rounds ends and corners."""
        joined = (
            {"stroke-linecap": "round", "stroke-linejoin": "round"}
            if round_
            else {"stroke-linejoin": "round"}
        )
        points = ", ".join(self._spot(*spot) for spot in spots)
        self._element("polyline", {"points": points, **self._stroke(stroke, wide, dash, "none"), **joined})

    def shape(
        self, spots: Sequence[Spot], *, fill: str = PAPER, stroke: str = INK, wide: float = 0.35
    ) -> None:
        """Draw a closed outline through ``spots``."""
        points = ", ".join(self._spot(*spot) for spot in spots)
        self._element("polygon", {"points": points, **self._stroke(stroke, wide, (), fill)})

    def rect(
        self,
        x: float,
        y: float,
        w: float,
        h: float,
        *,
        fill: str = PAPER,
        stroke: str = INK,
        wide: float = 0.35,
        dash: Sequence[float] = (),
        round_mm: float = 0.0,
    ) -> None:
        """Draw a rectangle with its upper left corner at (x, y)."""
        place: dict[str, str | float | None] = {
            "x": self._x + x * self.k, "y": self._y + y * self.k, "width": w * self.k, "height": h * self.k,
            "rx": round_mm * self.k if round_mm else None,
        }  # fmt: skip
        self._element("rect", {**place, **self._stroke(stroke, wide, dash, fill)})

    def circle(
        self, x: float, y: float, r: float, *, fill: str = PAPER, stroke: str = INK, wide: float = 0.35
    ) -> None:
        """Draw a circle round (x, y)."""
        place: dict[str, str | float | None] = {
            "cx": self._x + x * self.k, "cy": self._y + y * self.k, "r": r * self.k,
        }  # fmt: skip
        self._element("circle", {**place, **self._stroke(stroke, wide, (), fill)})

    def arc(
        self,
        start: Spot,
        end: Spot,
        r: float,
        *,
        clockwise: bool = True,
        fill: str = "none",
        stroke: str = INK,
        wide: float = 0.35,
    ) -> None:
        """Draw a piece of a circle of radius ``r`` from ``start`` to ``end``."""
        radius = number(r * self.k)
        data = f"M {self._spot(*start)} A {radius} {radius} 0 0 {int(clockwise)} {self._spot(*end)}"
        self._element("path", {"d": data, **self._stroke(stroke, wide, (), fill)})

    def text(
        self, x: float, y: float, text: str, size: float, *, anchor: Anchor = "start", bold: bool = False,
        fill: str = INK,
    ) -> None:  # fmt: skip
        """Write ``text`` with its base line at y."""
        values: dict[str, str | float | None] = {
            "x": self._x + x * self.k, "y": self._y + y * self.k, "font-size": number(size * self.k),
            "text-anchor": anchor if anchor != "start" else None, "font-weight": "bold" if bold else None,
            "fill": fill,
        }  # fmt: skip
        self._out.append(f"<text{_attributes(values)}>{escape(isolate(clean(text)))}</text>")

    def lines(
        self, x: float, y: float, texts: Sequence[str], size: float, *, anchor: Anchor = "start",
        bold: bool = False, fill: str = INK,
    ) -> float:  # fmt: skip
        """Write lines below one another, the first one's top at y; returns the y below the last."""
        for index, text in enumerate(texts):
            base = y + (metrics.ASCENT + index * metrics.LINE) * size
            self.text(x, base, text, size, anchor=anchor, bold=bold, fill=fill)
        return y + len(texts) * metrics.LINE * size

    @contextmanager
    def group(self, title: str = "", **data: str) -> Iterator[None]:
        """Put what is drawn inside into one group that carries ``data-…`` attributes and a title."""
        values: dict[str, str | float | None] = {f"data-{name}": clean(each) for name, each in data.items()}
        self._out.append(f"<g{_attributes(values)}>")
        if title:
            self._out.append(f"<title>{escape(clean(title))}</title>")
        yield
        self._out.append("</g>")


def document(*, body: str, width_mm: float, height_mm: float, title: str, about: str) -> str:
    """Wrap drawn elements into a whole SVG file of the given size."""
    size = f'width="{number(width_mm)}mm" height="{number(height_mm)}mm"'
    box = f'viewBox="0 0 {number(width_mm)} {number(height_mm)}"'
    return "\n".join(
        (
            '<?xml version="1.0" encoding="UTF-8"?>',
            f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" {size} {box} role="img"'
            ' font-family="sans-serif" aria-labelledby="drawing-title drawing-about">',
            f'<title id="drawing-title">{escape(clean(title))}</title>',
            f'<desc id="drawing-about">{escape(clean(about))}</desc>',
            body,
            "</svg>",
            "",
        )
    )
