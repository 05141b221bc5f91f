"""The key of the loom drawing: its lines, signs and marks, only those that are on it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from harness.drawing import bundles, metrics, symbols
from harness.drawing.loom_ends import HEAD, PAD_MM, TEXT, draw_coupler
from harness.drawing.loom_marks import DOT_MM, draw_break, draw_clamp, draw_hole, draw_tie
from harness.drawing.loom_place import BALLOON_MM
from harness.drawing.svg import INK, Canvas, Spot
from harness.model.design import Design

ROW_MM = 6.4
SIGN_MM = 13.0
WORDS_MM = 47.0
HEAD_MM = 6.4
ALONG = (1.0, 0.0)
ENDS = ((-4.5, 0.0), (4.5, 0.0))
IN_ROW = 0.7  # of its size: the plate of a hole stands out 4.2 mm on either side


@dataclass(frozen=True, slots=True)
class Key:
    """The key in some number of columns."""

    signs: tuple[tuple[str, str], ...]
    columns: int

    @property
    def size(self) -> tuple[float, float]:
        """Width and height it takes [mm]."""
        rows = -(-len(self.signs) // self.columns)
        return self.columns * (SIGN_MM + WORDS_MM) + PAD_MM, HEAD_MM + rows * ROW_MM + PAD_MM


def signs(design: Design, *, off_scale: bool, broken: bool) -> tuple[tuple[str, str], ...]:
    """Collect the signs on a drawing with what they mean."""
    looks = {bundles.style(run) for run in design.runs if run.wires or run.spares}
    found = [(each, bundles.STYLE_WORDS[each]) for each in bundles.STYLES if each in looks]
    if any(not (run.wires or run.spares) for run in design.runs):
        found.append(("empty", "run without wire"))
    found += [
        ("place", "place; its table has the same letter"),
        ("number", "run, with its length and bundle diameter"),
    ]
    if any(run.clamps for run in design.runs):
        found.append(("clamp", "clamp (spread evenly here)"))
    if any(run.ties for run in design.runs):
        found.append(("tie", "tie (spread evenly here)"))
    if any(run.hole_mm is not None for run in design.runs):
        found.append(("hole", "hole in a plate"))
    if any(run.moves for run in design.runs):
        found.append(("hinge", "joint that moves"))
    if design.couplers:
        found.append(("coupler", "coupler, half A and half B"))
    if design.splices:
        found.append(("splice", "splice"))
    if any(part.role == "ground" for part in design.parts):
        found.append(("ground", "ground point (its metal)"))
    if design.spares:
        found.append(("spare", "spare wire, capped"))
    if broken:
        found.append(("break", "broken: drawn too short"))
    if off_scale:
        found.append(("off", "underlined: not to scale"))
    return tuple(found)


def keys(all_: Sequence[tuple[str, str]]) -> list[Key]:
    """Return the key in the shapes it can take."""
    return [Key(tuple(all_), columns) for columns in (1, 2, 3, 4)]


def _on_a_run(draw: Callable[[Canvas, Spot, Spot, float], None]) -> Callable[[Canvas], None]:
    """A sign with a piece of the run it sits on, small enough for its row."""

    def both(c: Canvas) -> None:
        here = c.at(0, 0, IN_ROW)
        bundles.draw_pattern(here, ENDS, wide=2.0, look="other")
        draw(here, (0.0, 0.0), ALONG, 1.0)

    return both


def _place(c: Canvas) -> None:
    c.circle(0, 0, BALLOON_MM, wide=0.5)
    c.text(0, 1.2, "A", TEXT + 0.5, anchor="middle", bold=True)


def _number(c: Canvas) -> None:
    c.rect(-1.9, -2.0, 3.8, 4.0, wide=0.25)
    c.text(0, 0.9, "7", TEXT, anchor="middle", bold=True)


def _underlined(c: Canvas) -> None:
    c.text(0, 0.6, "1.2 m", TEXT, anchor="middle", bold=True)
    c.line([(-3.6, 1.5), (3.6, 1.5)], wide=0.35)


SIGNS: Mapping[str, Callable[[Canvas], None]] = {
    "empty": lambda c: c.line(ENDS, wide=0.35, dash=(1.2, 1.0)),
    "place": _place,
    "number": _number,
    "clamp": _on_a_run(draw_clamp),
    "tie": _on_a_run(draw_tie),
    "hole": _on_a_run(draw_hole),
    "break": _on_a_run(draw_break),
    "hinge": lambda c: bundles.draw_hinge(c.at(0, 0, IN_ROW)),
    "coupler": draw_coupler,
    "splice": lambda c: c.circle(0, 0, DOT_MM, fill=INK),
    "ground": lambda c: symbols.ground(c.at(-2.0, 0, 0.7)),
    "spare": lambda c: bundles.draw_spare(c.at(-1.2, 0)),
    "off": _underlined,
}


def _draw_sign(c: Canvas, name: str) -> None:
    """Draw what stands in the key for a name of ``signs``: a style of covering, or one of SIGNS."""
    if name in bundles.STYLES:
        bundles.draw_pattern(c, ENDS, wide=2.0, look=name)
    else:
        SIGNS[name](c)


def draw_key(c: Canvas, key: Key) -> None:
    """Draw a key with its upper left corner at (0, 0)."""
    wide, high = key.size
    c.rect(0, 0, wide, high, wide=0.25)
    c.lines(PAD_MM, PAD_MM * 0.6, ["Key"], HEAD, bold=True)
    rows = -(-len(key.signs) // key.columns)
    for number, (name, meaning) in enumerate(key.signs):
        x = number // rows * (SIGN_MM + WORDS_MM) + PAD_MM
        y = HEAD_MM + number % rows * ROW_MM + ROW_MM / 2
        _draw_sign(c.at(x + SIGN_MM / 2 - 1.0, y), name)
        lines = metrics.wrap(meaning, TEXT, WORDS_MM - 1.0)
        c.lines(x + SIGN_MM, y - len(lines) * metrics.LINE * TEXT / 2, lines, TEXT)
