"""Draws a wire in its own colours with a dark edge, and writes its number, size and colour on it."""

from __future__ import annotations

from collections.abc import Sequence

from harness.drawing import metrics
from harness.drawing.layered import Box
from harness.drawing.paint import paints
from harness.drawing.svg import INK, Canvas, Spot
from harness.model.design import Wire

NUMBER_SIZE = 2.6
SIZE_SIZE = 2.1
UP_MM = 3.3
DOWN_MM = 3.5
_HEAVY_MM2 = ((20.0, 1.5), (5.5, 1.15))
_EDGE_MM = 0.5
_KEPT_DASH = (2.6, 1.1)


def stroke_mm(area_mm2: float) -> float:
    """Thickness of the coloured stroke for a wire: three steps, so that heavy cable is seen at once."""
    return next((wide for least, wide in _HEAVY_MM2 if area_mm2 >= least), 0.8)


def label_texts(wire: Wire, *, guest: bool) -> tuple[str, str]:
    """What is written over and under a wire."""
    number = f"({wire.number})" if guest else wire.number
    return number, " ".join(each for each in (wire.size, wire.colour, "kept" if wire.kept else "") if each)


def label_box(wire: Wire, *, guest: bool) -> Box:
    """Room that a wire's texts take; the wire runs through it at its pin."""
    number, size = label_texts(wire, guest=guest)
    wide = max(metrics.width(number, NUMBER_SIZE, bold=True), metrics.width(size, SIZE_SIZE))
    return Box(wide + 1.6, UP_MM + DOWN_MM, (UP_MM,))


def draw_wire(c: Canvas, spots: Sequence[Spot], wire: Wire, share: float = 1.0) -> None:
    """Draw a wire along ``spots``: dark edge, base colour, tracer; an old wire that stays is broken up.

    ``share`` makes every line thinner where many stand side by side.
    """
    base, tracer = paints(wire.colour)
    wide = stroke_mm(wire.area_mm2) * share
    dash = _KEPT_DASH if wire.kept else ()
    c.line(spots, stroke=INK, wide=wide + _EDGE_MM * share, dash=dash)
    c.line(spots, stroke=base, wide=wide, dash=dash)
    if tracer is not None:
        c.line(spots, stroke=tracer, wide=wide * 0.45, dash=(1.5, 1.5))


def draw_label(c: Canvas, wire: Wire, *, guest: bool, width_mm: float) -> None:
    """Write a wire's texts into its box, whose upper left corner is (0, 0)."""
    number, size = label_texts(wire, guest=guest)
    c.text(width_mm / 2, UP_MM - 1.25, number, NUMBER_SIZE, anchor="middle", bold=True)
    c.text(width_mm / 2, UP_MM + 1.25 + SIZE_SIZE * metrics.ASCENT, size, SIZE_SIZE, anchor="middle")
