"""What is drawn on a run of the loom: clamps, ties, holes, joints that move, splices, breaks."""

from __future__ import annotations

import math
from collections.abc import Sequence

from harness.drawing import bundles
from harness.drawing.loom_place import BALLOON_MM, Laid
from harness.drawing.svg import INK, PAPER, Canvas, Spot
from harness.model.design import RunResult

CLOSE_MM = 2.2  # marks nearer to each other than this are left out: their number is written
SIGN_ROOM_MM = 4.0  # round the sign of a hole or a joint no clamp is drawn
CLAMP_MM, TIE_MM = 1.4, 0.8  # they stand out so far from the bundle
DOT_MM = 1.2


def at_share(laid: Laid, share: float) -> Spot:
    """Return the spot at a share of a run's drawn length."""
    return laid.a[0] + share * (laid.b[0] - laid.a[0]), laid.a[1] + share * (laid.b[1] - laid.a[1])


def _across(c: Canvas, spot: Spot, along: Spot, low: float, high: float, wide: float) -> None:
    """A stroke across a line at a spot, from ``low`` to ``high`` beside its middle on either side."""
    nx, ny = -along[1], along[0]
    if low <= 0:
        ends = [(spot[0] + side * nx * high, spot[1] + side * ny * high) for side in (1, -1)]
        c.line(ends, wide=wide)
        return
    for side in (1, -1):
        ends = [(spot[0] + side * nx * far, spot[1] + side * ny * far) for far in (low, high)]
        c.line(ends, wide=wide)


def draw_clamp(c: Canvas, spot: Spot, along: Spot, half: float) -> None:
    """Draw a clamp on a run."""
    _across(c, spot, along, 0.0, half + CLAMP_MM, 0.7)


def draw_tie(c: Canvas, spot: Spot, along: Spot, half: float) -> None:
    """Draw a tie round a run."""
    _across(c, spot, along, half, half + TIE_MM, 0.25)


def draw_hole(c: Canvas, spot: Spot, along: Spot, half: float) -> None:
    """Draw a plate on either side of a run, with the lip of its grommet."""
    _across(c, spot, along, half + 0.9, 4.2, 1.0)
    for side in (1, -1):
        x, y = spot[0] - side * along[1] * (half + 0.6), spot[1] + side * along[0] * (half + 0.6)
        c.line([(x - 1.2 * along[0], y - 1.2 * along[1]), (x + 1.2 * along[0], y + 1.2 * along[1])], wide=0.5)


def draw_break(c: Canvas, spot: Spot, along: Spot, half: float) -> None:
    """Draw the break of a line that is shorter than to scale: a gap between two zigzags."""
    (ux, uy), (nx, ny) = along, (-along[1], along[0])
    ends = [(spot[0] + side * 1.3 * ux, spot[1] + side * 1.3 * uy) for side in (-1, 1)]
    c.line(ends, stroke=PAPER, wide=2 * half + 0.6)
    reach = half + 1.2
    for x, y in ends:
        shape = ((-reach, 0.0), (-reach / 3, 0.9), (reach / 3, -0.9), (reach, 0.0))
        c.line([(x + a * nx + b * ux, y + a * ny + b * uy) for a, b in shape], wide=0.35)


def _spread(clamps: int, ties: int, room_mm: float) -> list[tuple[float, bool]]:
    """Places along a run as shares, and whether a clamp sits there; none where they would run together."""
    if clamps + ties and room_mm / (clamps + ties) < CLOSE_MM:
        ties = 0
    count = clamps + ties
    if not count or room_mm / count < CLOSE_MM:
        return []
    held = {min(count - 1, int((number + 0.5) * count / clamps)) for number in range(clamps)}
    return [((number + 0.5) / count, number in held) for number in range(count)]


def draw_marks(c: Canvas, laid: Laid, run: RunResult, *, numbered: bool, splices: Sequence[float]) -> None:
    """Draw all marks of a run; ``numbered``: its number stands on its middle. Splices by their share."""
    far = math.hypot(laid.b[0] - laid.a[0], laid.b[1] - laid.a[1])
    if not far:
        return
    along = ((laid.b[0] - laid.a[0]) / far, (laid.b[1] - laid.a[1]) / far)
    half = bundles.thick_mm(run) / 2
    inner = far - 2 * BALLOON_MM - 1.0
    busy: list[float] = [share * far for share in splices]
    middle = 0.5 * far
    if numbered:
        busy.append(middle)
        middle = 0.78 * far
    signs = run.hole_mm is not None or run.moves
    if signs and min(middle, far - middle) >= BALLOON_MM + 3.0:
        busy.append(middle)
    else:
        signs = False
    broken = None
    if laid.drawn == "broken":
        broken = 0.28 * far
        busy.append(broken)
    for share, clamp in _spread(run.clamps, run.ties, inner) if run.wires or run.spares else ():
        at = BALLOON_MM + 0.5 + share * inner
        if all(abs(at - other) > SIGN_ROOM_MM for other in busy):
            spot = at_share(laid, at / far)
            draw_clamp(c, spot, along, half) if clamp else draw_tie(c, spot, along, half)
    if broken is not None:
        draw_break(c, at_share(laid, broken / far), along, half)
    if signs:
        spot = at_share(laid, middle / far)
        if run.hole_mm is not None:
            draw_hole(c, spot, along, half)
        if run.moves:
            bundles.draw_hinge(c.at(*spot))
    for share in splices:
        c.circle(*at_share(laid, share), DOT_MM, fill=INK)
