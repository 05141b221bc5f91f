"""Draws every fuse's time-current band against its load, its inrush and what its weakest wire stands."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor, log10

from harness.digits import digits, plain
from harness.drawing import metrics
from harness.drawing import sheet as paper
from harness.drawing.svg import SOFT, Canvas, Spot, clean, document
from harness.model.design import Design
from harness.model.shorts import FuseCurve

DRAWING = "Fuses"
NOTE = "Time to open against current, both by decades"
ACROSS, DOWN = 3, 2
PLOTS = ACROSS * DOWN
KEY_MM = 8.0
HEAD_MM, WORDS_MM, SIDE_MM, FOOT_MM = 8.0, 17.0, 9.0, 5.0
TITLE_SIZE, WORD_SIZE, AXIS_SIZE = 3.0, 2.1, 1.9
FAINT = "#cccccc"
LEAST_LOG_S, MOST_LOG_S = -3, 4  # 1 ms to about 3 h
DASH, DOT, DASH_DOT = (2.0, 1.2), (0.4, 0.9), (2.4, 0.8, 0.4, 0.8)


@dataclass(frozen=True, slots=True)
class _Frame:
    """A plot's field on paper and the decades on its axes."""

    left: float
    top: float
    wide: float
    high: float
    first: int  # decade of current
    last: int

    def x(self, log_a: float) -> float:
        return self.left + (log_a - self.first) / (self.last - self.first) * self.wide

    def y(self, log_s: float) -> float:
        return self.top + (MOST_LOG_S - log_s) / (MOST_LOG_S - LEAST_LOG_S) * self.high


def _decades(curve: FuseCurve) -> tuple[int, int]:
    lows = [curve.rating_a, *([curve.load_a] if curve.load_a > 0.01 * curve.rating_a else [])]
    lows += [amps for amps in (curve.fault_least_a, curve.fault_most_a) if amps]
    highs = [10 * curve.rating_a, curve.fault_most_a or 0.0, curve.ampacity_a or 0.0]
    highs += [amps for amps, _ in curve.spells]
    first, last = floor(log10(min(lows)) - 0.01), ceil(log10(max(highs)) + 0.01)
    return first, max(last, first + 2)


def _clip(frame: _Frame, a: Spot, b: Spot) -> list[Spot]:
    """The piece of a straight line that lies inside the field, ends in logarithms; [] when none does."""
    low, high = 0.0, 1.0
    for axis, least, most in ((0, frame.first, frame.last), (1, LEAST_LOG_S, MOST_LOG_S)):
        step = b[axis] - a[axis]
        if abs(step) < 1e-12:
            if not least <= a[axis] <= most:
                return []
            continue
        cuts = sorted(((least - a[axis]) / step, (most - a[axis]) / step))
        low, high = max(low, cuts[0]), min(high, cuts[1])
    if low >= high:
        return []
    return [(a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])) for share in (low, high)]


def _draw_line(
    c: Canvas, frame: _Frame, spots: Sequence[Spot], wide: float, dash: Sequence[float] = ()
) -> None:
    """Draw what of a line lies inside the field, in as few strokes as may be, so that dashes run on."""
    stroke: list[Spot] = []
    for a, b in pairwise(spots):
        piece = _clip(frame, a, b)
        if piece and stroke and stroke[-1] == piece[0]:
            stroke.append(piece[1])
        elif piece:
            _draw_stroke(c, frame, stroke, wide, dash)
            stroke = piece
    _draw_stroke(c, frame, stroke, wide, dash)


def _draw_stroke(c: Canvas, frame: _Frame, spots: Sequence[Spot], wide: float, dash: Sequence[float]) -> None:
    if spots:
        c.line([(frame.x(x), frame.y(y)) for x, y in spots], wide=wide, dash=dash)


def _band_line(
    frame: _Frame, rows: Iterable[tuple[float, float]], *, onward: bool = True, quickens: bool = True
) -> list[Spot]:
    """Published rows joined up, carried on at the last one's I²t, or level where nothing gets quicker.

    Not carried on where the band itself goes on and says no more of it.
    """
    spots = [(log10(amps), log10(seconds)) for amps, seconds in rows if seconds > 0]
    if spots and onward:
        x, y = spots[-1]
        spots.append((float(frame.last), y - 2 * (frame.last - x) if quickens else y))
    return spots


def _draw_grid(c: Canvas, frame: _Frame) -> None:
    for decade in range(frame.first, frame.last + 1):
        x = frame.x(decade)
        c.line([(x, frame.top), (x, frame.top + frame.high)], stroke=FAINT, wide=0.15)
        label = f"{10.0**decade:g} A"
        c.text(x, frame.top + frame.high + 3.2, label, AXIS_SIZE, anchor="middle", fill=SOFT)
    for decade in range(LEAST_LOG_S, MOST_LOG_S + 1):
        y = frame.y(decade)
        c.line([(frame.left, y), (frame.left + frame.wide, y)], stroke=FAINT, wide=0.15)
        c.text(frame.left - 0.8, y + 0.7, f"{10.0**decade:g} s", AXIS_SIZE, anchor="end", fill=SOFT)
    c.rect(frame.left, frame.top, frame.wide, frame.high, fill="none", wide=0.3)


def _draw_upright(c: Canvas, frame: _Frame, amps: float | None, wide: float, dash: Sequence[float]) -> None:
    if amps is not None and amps > 0:
        at = log10(amps)
        _draw_line(c, frame, [(at, float(LEAST_LOG_S)), (at, float(MOST_LOG_S))], wide, dash)


def _draw_faults(c: Canvas, frame: _Frame, curve: FuseCurve) -> None:
    """Filled marks on the foot of the field at the weakest and the strongest short, joined by a bar."""
    marks = [frame.x(log10(a)) for a in (curve.fault_least_a, curve.fault_most_a) if a]
    low = frame.top + frame.high
    if marks:
        c.line([(marks[0], low - 0.6), (marks[-1], low - 0.6)], wide=1.0)
    for x in marks:
        c.shape([(x, low - 3.0), (x - 1.1, low), (x + 1.1, low)], fill="#1b1b1b", wide=0.1)


def _draw_curves(c: Canvas, frame: _Frame, curve: FuseCurve) -> None:
    least = [(row.current_a, row.least_s) for row in curve.band if row.least_s is not None]
    most = [(row.current_a, row.most_s) for row in curve.band if row.most_s is not None]
    onward = bool(curve.size) or (bool(curve.band) and curve.band[-1].least_s is not None)
    _draw_line(c, frame, _band_line(frame, least, onward=onward), 0.3)
    _draw_line(c, frame, _band_line(frame, most, quickens=curve.form != "breaker"), 0.7)
    stands = [(log10(amps), log10(seconds)) for amps, seconds in curve.wire_stands if amps > 0]
    _draw_line(c, frame, stands, 0.5, DASH)
    _draw_upright(c, frame, curve.ampacity_a, 0.5, DOT)
    _draw_upright(c, frame, curve.load_a, 0.3, DASH_DOT)
    for amps, seconds in (spell for spell in curve.spells if min(spell) > 0):
        inside = frame.first <= log10(amps) <= frame.last
        if inside and LEAST_LOG_S <= log10(seconds) <= MOST_LOG_S:
            c.circle(frame.x(log10(amps)), frame.y(log10(seconds)), 1.0, fill="none", wide=0.4)
    _draw_faults(c, frame, curve)


def _words(curve: FuseCurve) -> str:
    said = [f"Load {plain(curve.load_a)} A"]
    said += [f"inrush {plain(amps)} A for {plain(seconds)} s" for amps, seconds in curve.spells[:3]]
    if curve.wire and curve.wire_stands_a2s is not None:
        heat = f"{float(digits(curve.wire_stands_a2s)):,.0f}"
        said.append(f"weakest wire {curve.wire}, {curve.wire_size}, k²S² {heat} A²s")
    if curve.ampacity_a is not None:
        said.append(f"may carry {plain(curve.ampacity_a)} A")
    if curve.fault_least_a is not None and curve.fault_most_a is not None:
        span = dict.fromkeys(f"{amps:.0f}" for amps in (curve.fault_least_a, curve.fault_most_a))
        said.append(f"short circuit {' to '.join(span)} A")
    if curve.breaks_a is not None:
        said.append(f"made to break {curve.breaks_a:g} A")
    if curve.overload is not None:
        over = curve.overload
        said.append(
            f"may pass {plain(over.current_a)} A for {plain(over.seconds_s)} s, wire {over.wire} stands "
            f"{plain(over.stands_a)} A so long"
        )
    if not curve.band:
        said.append("no band is published for this form")
    return "; ".join(said) + "."


def _draw_plot(c: Canvas, curve: FuseCurve, wide: float, high: float) -> None:
    """Draw one fuse's plot in a field with its upper left corner at (0, 0)."""
    form = f"{curve.form} {curve.size}" if curve.size else curve.form
    title = clean(f"{curve.fuse}: {curve.rating_a:g} A, {form}")
    lines, size = paper.fitted(title, TITLE_SIZE, wide, HEAD_MM - 2.0, bold=True)
    c.lines(0, 0, lines, size, bold=True)
    first, last = _decades(curve)
    frame = _Frame(SIDE_MM, HEAD_MM, wide - SIDE_MM - 4.0, high - HEAD_MM - WORDS_MM - FOOT_MM, first, last)
    _draw_grid(c, frame)
    _draw_curves(c, frame, curve)
    lines, size = paper.fitted(clean(_words(curve)), WORD_SIZE, wide, WORDS_MM - 5.0)
    c.lines(0, high - WORDS_MM + 1.5, lines, size)


def _draw_key(c: Canvas, wide: float) -> None:
    """Draw what the lines mean, in a row."""
    cells = (
        (0.3, (), "holds at least"), (0.7, (), "open by then"), (0.5, DASH, "weakest wire stands"),
        (0.5, DOT, "wire may carry"), (0.3, DASH_DOT, "steady load"),
    )  # fmt: skip
    room = wide / (len(cells) + 2)
    for at, (thick, dash, text) in enumerate(cells):
        x = at * room
        c.line([(x, 2.5), (x + 9, 2.5)], wide=thick, dash=dash)
        c.text(x + 10.5, 3.3, text, WORD_SIZE)
    x = len(cells) * room
    c.circle(x + 4.5, 2.5, 1.0, fill="none", wide=0.4)
    c.text(x + 10.5, 3.3, "inrush", WORD_SIZE)
    x += room
    c.shape([(x + 4.5, 1.0), (x + 3.4, 4.0), (x + 5.6, 4.0)], fill="#1b1b1b", wide=0.1)
    c.text(x + 10.5, 3.3, "short circuit", WORD_SIZE)


def _page(c: Canvas, design: Design, page: int, pages: int) -> None:
    form = paper.FORMATS[0]
    paper.draw_sheet(c, paper.Sheet(form, design, DRAWING, page + 1, pages, NOTE))
    left, top, wide, high = paper.room(design, form)
    each_wide, each_high = wide / ACROSS, (high - KEY_MM) / DOWN
    for at, curve in enumerate(design.fuse_curves[page * PLOTS : (page + 1) * PLOTS]):
        x, y = left + at % ACROSS * each_wide, top + at // ACROSS * each_high
        with c.group(curve.fuse, fuse=curve.fuse):
            _draw_plot(c.at(x, y), curve, each_wide - 4.0, each_high)
    if not design.fuse_curves:
        c.text(left, top + metrics.ASCENT * TITLE_SIZE, "This machine has no fuse.", TITLE_SIZE)
    _draw_key(c.at(left, top + high - KEY_MM + 2.0), wide)


def fuse_plots_svg(design: Design) -> str:
    """Draw a plot for every fuse, six to a sheet, the sheets below one another in one SVG."""
    form = paper.FORMATS[0]
    pages = max(1, -(-len(design.fuse_curves) // PLOTS))
    c = Canvas()
    for page in range(pages):
        with c.group(sheet=str(page + 1)):
            _page(c.at(0, page * form.height_mm), design, page, pages)
    name = design.machine.name
    return document(
        body=c.markup(), width_mm=form.width_mm, height_mm=form.height_mm * pages, title=f"{name}: fuses",
        about=f"Time-current bands of {len(design.fuse_curves)} fuses with their loads and weakest wires.",
    )  # fmt: skip
