"""The words on a loom: number, length and more beside each run, the name at each place, none on another."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from harness.drawing import bundles, metrics
from harness.drawing.ink import Box
from harness.drawing.loom_field import Field, Line, Patch
from harness.drawing.loom_place import BALLOON_MM, Laid, half_mm
from harness.drawing.loom_tree import Limb
from harness.drawing.svg import Canvas, Spot
from harness.model.design import RunResult

NAME = 3.5  # capitals of 2.5 mm (ISO 3098)
SMALL = 2.5  # capitals of 1.8 mm
ROOM_MM = 44.0
NAME_MM = 34.0
CLEAR_MM = 0.7
ALONG = (0.5, 0.36, 0.64, 0.22, 0.78, 0.08, 0.92)
AWAY = (0.8, 2.5, 5.0, 9.0, 14.0, 20.0)
LEADER_MM = 3.0  # words farther off are led to what they belong to
OWN = 1.6  # so many times nearer to its own place than to any other stands a name
FRAME_MM = 4.2  # height of the frame round a run's number
NOT_TO_SCALE = "not to scale"


@dataclass(frozen=True, slots=True)
class Label:
    """What is written beside one run."""

    number: str
    length: str
    lines: tuple[str, ...]
    off_scale: bool

    @property
    def frame_mm(self) -> float:
        """Width of the frame round the number."""
        return metrics.width(self.number, SMALL, bold=True) + 1.8

    @property
    def size(self) -> tuple[float, float]:
        """Width and height [mm]."""
        first = self.frame_mm + 1.2 + metrics.width(self.length, NAME, bold=True) if self.length else 0.0
        wide = max(first, self.frame_mm, metrics.widest(list(self.lines), SMALL))
        return wide, max(FRAME_MM, metrics.LINE * NAME) + 0.3 + metrics.LINE * SMALL * len(self.lines)


@dataclass(frozen=True, slots=True)
class Put:
    """A box of words at its place, with the line that leads to what it belongs to."""

    box: Box
    leader: tuple[Spot, Spot] | None
    held: tuple[int, ...]  # what it takes of the field


def run_words(run: RunResult) -> list[str]:
    """All that is said of a run besides its length, unbroken."""
    found = [run.name] if run.name != f"{run.start} - {run.end}" else []
    count = bundles.count_words(run)
    found.append(f"ø{run.bundle_mm:.1f} mm, {count}" if count else "no wire")
    if count:
        found.append(bundles.short(run.covering) or "no covering")
    if run.ties or run.clamps:
        found.append(bundles.held(run))
    if run.hole_mm is not None:
        found.append(bundles.hole(run))
    if run.moves:
        found.append("moves: leave a free loop here")
    return found


def label(run: RunResult, number: int, drawn: str, *, full: bool) -> Label:
    """Measure what is written beside a run, all of it or its length and bundle only."""
    off = drawn != "to scale"
    words = [NOT_TO_SCALE] if off else []
    if full:
        words += [line for each in run_words(run) for line in metrics.wrap(each, SMALL, ROOM_MM)]
    else:
        words.append(f"ø{run.bundle_mm:.1f} mm" if bundles.count_words(run) else "no wire")
    return Label(str(number), f"{run.length_m:.2f} m", tuple(words), off)


def _beside(laid: Laid, half: float, size: tuple[float, float]) -> Iterator[tuple[Box, Spot, Spot, float]]:
    """Boxes beside a line, the nearest its middle first: box, where a leader starts and ends, its length."""
    (ax, ay), (bx, by) = laid.a, laid.b
    far = math.hypot(bx - ax, by - ay) or 1.0
    nx, ny = -(by - ay) / far, (bx - ax) / far
    if ny > 1e-9 or (abs(ny) <= 1e-9 and nx < 0):
        nx, ny = -nx, -ny  # above, or to the right, first
    wide, high = size
    deep = abs(nx) * wide / 2 + abs(ny) * high / 2
    inner = min(wide / 2 / abs(nx) if abs(nx) > 1e-9 else 1e9, high / 2 / abs(ny) if abs(ny) > 1e-9 else 1e9)
    for away in AWAY:
        for share in ALONG:
            px, py = ax + share * (bx - ax), ay + share * (by - ay)
            for side in (1, -1):
                reach = half + away + deep
                x, y = px + side * nx * reach, py + side * ny * reach
                box = (x - wide / 2, y - high / 2, x + wide / 2, y + high / 2)
                start = (px + side * nx * half, py + side * ny * half)
                end = (x - side * nx * inner, y - side * ny * inner)
                yield box, start, end, away


def put_label(here: Field, limb: Limb, laid: Laid, one: Label) -> Put | None:
    """Find room for the words of a run and take it."""
    half = bundles.thick_mm(limb.run) / 2
    out = half_mm(limb) if limb.run.hole_mm is None else half + 1.6
    for box, start, end, away in _beside(laid, out, one.size):
        if not here.box_free(box, CLEAR_MM):
            continue
        if away < LEADER_MM:
            return Put(box, None, (here.add(Patch(box)),))
        lead = Line(start, end, 0.15, (limb.above, limb.below))
        if here.line_free(lead, CLEAR_MM):
            return Put(box, (start, end), (here.add(Patch(box)), here.add(Line(start, end, 0.15))))
    return None


def name_lines(place: str, splices: Sequence[str]) -> tuple[list[str], list[str]]:
    """The name of a place in lines, and under it the splices that lie at it."""
    name = metrics.wrap(place, NAME, NAME_MM, bold=True)
    return name, metrics.wrap(", ".join(splices), SMALL, NAME_MM) if splices else []


def _round(spot: Spot, size: tuple[float, float]) -> Iterator[Box]:
    """Boxes round a place, the nearest first."""
    wide, high = size
    for away in (0.8, 2.5, 5.0):
        r = BALLOON_MM + away
        for dx, dy in (
            (1, -1), (-1, -1), (1, 1), (-1, 1), (1, 0), (-1, 0), (0, -1), (0, 1),
        ):  # fmt: skip
            k = r * 0.72 if dx and dy else r
            x = spot[0] + dx * k + (dx - 1) * wide / 2
            y = spot[1] + dy * k + (dy - 1) * high / 2
            yield x, y, x + wide, y + high


def _off(box: Box, spot: Spot) -> float:
    """How far a spot is from a box, mm."""
    (left, top, right, low), (x, y) = box, spot
    return math.hypot(max(left - x, x - right, 0.0), max(top - y, y - low, 0.0))


def put_name(
    here: Field, spot: Spot, size: tuple[float, float], others: Sequence[Spot] = ()
) -> Put | None:  # fmt: skip
    """Find room for a name beside a place and take it, nearer to that place than to any of the ``others``."""
    for box in _round(spot, size):
        own = _off(box, spot)
        if any(_off(box, other) < OWN * own for other in others):
            continue
        if here.box_free(box, CLEAR_MM):
            return Put(box, None, (here.add(Patch(box)),))
    return None


def draw_label(c: Canvas, one: Label, put: Put) -> None:
    """Write what belongs to a run."""
    if put.leader is not None:
        c.line(put.leader, wide=0.25)
    x, y = put.box[0], put.box[1]
    draw_number(c, x, y + 0.1, one)
    if one.length:
        left = x + one.frame_mm + 1.2
        base = y + metrics.ASCENT * NAME + 0.1
        c.text(left, base, one.length, NAME, bold=True)
        if one.off_scale:
            right = left + metrics.width(one.length, NAME, bold=True)
            c.line([(left, base + 0.75), (right, base + 0.75)], wide=0.35)
    c.lines(x, y + max(FRAME_MM, metrics.LINE * NAME) + 0.3, one.lines, SMALL)


def draw_number(c: Canvas, x: float, y: float, one: Label) -> None:
    """Draw the framed number of a run with its upper left corner at (x, y)."""
    c.rect(x, y, one.frame_mm, FRAME_MM - 0.2, wide=0.25)
    c.text(x + 0.9, y + 2.9, one.number, SMALL, bold=True)
