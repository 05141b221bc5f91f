"""Draws a wire in its own colours with a dark edge."""

from __future__ import annotations

from collections.abc import Sequence

from harness.drawing.paint import paints
from harness.drawing.svg import INK, Canvas, Spot
from harness.model.design import Wire

_HEAVY_MM2 = ((20.0, 1.5), (5.5, 1.15))
_EDGE_MM = 0.5
_KEPT_DASH = (2.6, 1.1)


def stroke_mm(area_mm2: float) -> float:
    """Thickness of the coloured stroke for a wire: three steps, so that heavy cable is seen at once."""
    return next((wide for least, wide in _HEAVY_MM2 if area_mm2 >= least), 0.8)


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
