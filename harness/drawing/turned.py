"""A canvas that lays what is drawn along x down the paper, so that one set of symbols serves both ways.

What a symbol has above its line comes to stand left of it; letters stay upright.
"""

from __future__ import annotations

from collections.abc import Sequence

from harness.drawing.svg import INK, PAPER, Anchor, Canvas, Spot

_MIDDLE = 0.36  # from the base line to the middle of a capital, as a share of the type size


class Turned(Canvas):
    """Draws on another canvas with x and y changed for each other."""

    def __init__(self, under: Canvas) -> None:
        super().__init__()
        self._under = under

    def line(
        self, spots: Sequence[Spot], *, stroke: str = INK, wide: float = 0.35, dash: Sequence[float] = (),
        round_: bool = False,
    ) -> None:  # fmt: skip
        """Draw straight pieces."""
        self._under.line([(y, x) for x, y in spots], stroke=stroke, wide=wide, dash=dash, round_=round_)

    def shape(
        self, spots: Sequence[Spot], *, fill: str = PAPER, stroke: str = INK, wide: float = 0.35
    ) -> None:
        """Draw a closed outline."""
        self._under.shape([(y, x) for x, y in spots], fill=fill, stroke=stroke, wide=wide)

    def rect(
        self, x: float, y: float, w: float, h: float, *, fill: str = PAPER, stroke: str = INK,
        wide: float = 0.35, dash: Sequence[float] = (), round_mm: float = 0.0,
    ) -> None:  # fmt: skip
        """Draw a rectangle."""
        self._under.rect(y, x, h, w, fill=fill, stroke=stroke, wide=wide, dash=dash, round_mm=round_mm)

    def circle(
        self, x: float, y: float, r: float, *, fill: str = PAPER, stroke: str = INK, wide: float = 0.35
    ) -> None:
        """Draw a circle."""
        self._under.circle(y, x, r, fill=fill, stroke=stroke, wide=wide)

    def arc(
        self, start: Spot, end: Spot, r: float, *, clockwise: bool = True, fill: str = "none",
        stroke: str = INK, wide: float = 0.35,
    ) -> None:  # fmt: skip
        """Draw a piece of a circle; seen in the mirror it turns the other way."""
        self._under.arc(
            (start[1], start[0]), (end[1], end[0]), r, clockwise=not clockwise, fill=fill, stroke=stroke,
            wide=wide,
        )  # fmt: skip

    def text(
        self, x: float, y: float, text: str, size: float, *, anchor: Anchor = "start", bold: bool = False,
        fill: str = INK,
    ) -> None:  # fmt: skip
        """Write a letter upright round the same middle."""
        middle = y - size * _MIDDLE
        self._under.text(middle, x + size * _MIDDLE, text, size, anchor=anchor, bold=bold, fill=fill)
