"""Draws the runs of the loom, thick as the bundle and patterned by covering, and says what is in them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from harness.drawing.svg import INK, PAPER, Canvas, Spot
from harness.model.design import RunResult

SHADE = "#4a4a48"
MM_PER_MM = 0.12  # millimetres on paper for each millimetre of bundle
THINNEST_MM, THICKEST_MM = 0.9, 3.8
LIGHT = "#cfcfca"
DASHES = {
    "corrugated": (0.5, 0.9),
    "braid": (0.35, 0.35),
    "tape": (2.6, 0.7),
    "spiral": (1.6, 1.6),
    "glass": (0.2, 0.6),
    "shrink": (6.0, 0.3),
    "other": (5.0, 1.0),
}
STYLES = ("corrugated", "braid", "spiral", "tape", "glass", "shrink", "bare", "other")
STYLE_WORDS = {
    "corrugated": "corrugated tube", "braid": "braided sleeve", "tape": "tape", "shrink": "heat-shrink",
    "spiral": "spiral wrap", "glass": "glass-fibre sleeve",
    "bare": "no covering", "other": "other covering",
}  # fmt: skip


def thick_mm(run: RunResult) -> float:
    """Thickness of a run's line on paper [mm]."""
    return min(max(run.bundle_mm * MM_PER_MM, THINNEST_MM), THICKEST_MM)


def style(run: RunResult) -> str:
    """Which of STYLES a run's covering is drawn in; what its text asks for besides comes behind its name."""
    words = run.covering.lower()
    if not words:
        return "bare"
    drawn = [each for each in STYLES if each not in ("bare", "other")]
    return next((each for each in drawn if each in words), "other")


def short(text: str) -> str:
    """Leave out what the lists tell in full: brackets, and what follows the second comma."""
    outside = " ".join(
        part.partition(")")[2] if index else part for index, part in enumerate(text.split("("))
    )
    return ", ".join(each for each in (" ".join(part.split()) for part in outside.split(",")[:2]) if each)


def hole(run: RunResult) -> str:
    """Hole with its plate and what lines it: "hole ø38 in 3 mm plate: rubber grommet, ø32 inside"."""
    plate = f" in {run.plate_mm:g} mm plate" if run.plate_mm is not None else ""
    inside = f", ø{run.grommet_inside_mm:g} inside" if run.grommet_inside_mm is not None else ""
    trims = [trim for trim in run.trims if trim.over == "hole"]
    if trims:
        return f"hole ø{run.hole_mm:g}{plate}: edge trim {1000 * trims[0].length_m:.0f} mm"
    lining = run.grommet.partition(",")[0] + inside if run.grommet else "no grommet"
    return f"hole ø{run.hole_mm:g}{plate}: {lining}"


def count_words(run: RunResult) -> str:
    """How many wires, and beside them how many spare ones: "22 wires, 2 spare"."""
    wires = len(run.wires)
    words = [f"{wires} wire{'' if wires == 1 else 's'}"] if wires else []
    return ", ".join(words + ([f"{len(run.spares)} spare"] if run.spares else []))


def held(run: RunResult) -> str:
    """What holds a run: "5 clamps, 8 ties"."""
    counts = ((run.clamps, "clamp"), (run.ties, "tie"))
    return ", ".join(f"{count} {word}{'' if count == 1 else 's'}" for count, word in counts if count)


def draw_pattern(c: Canvas, spots: Sequence[Spot], *, wide: float, look: str) -> None:
    """Draw a line in the pattern of one of STYLES."""
    inner = max(wide - 0.5, 0.3)
    c.line(spots, stroke=INK, wide=wide)
    if look == "bare":
        c.line(spots, stroke=PAPER, wide=inner)
        c.line(spots, stroke=INK, wide=0.2)
        return
    c.line(spots, stroke=SHADE, wide=inner)
    for start, end in pairwise(spots):
        c.line([start, end], stroke=LIGHT, wide=inner, dash=DASHES[look])


def draw_run(c: Canvas, spots: Sequence[Spot], run: RunResult) -> None:
    """Draw a run along ``spots`` in the pattern of its covering; one without wires is a thin broken line."""
    if run.wires or run.spares:
        draw_pattern(c, spots, wide=thick_mm(run), look=style(run))
    else:
        c.line(spots, wide=0.3, dash=(1.2, 1.0))


def draw_hinge(c: Canvas) -> None:
    """Draw the sign of a joint that moves round (0, 0): a pivot with an arrow round it."""
    c.circle(0, 0, 1.7, fill=PAPER, wide=0.4)
    c.circle(0, 0, 0.5, fill=INK)
    c.arc((-2.4, 0.9), (2.4, 0.9), 2.6, wide=0.35)
    for side in (-1, 1):
        c.shape([(side * 2.4, 1.5), (side * 2.0, 0.5), (side * 2.9, 0.6)], fill=INK, wide=0.1)


def draw_spare(c: Canvas) -> None:
    """Draw the sign of a capped spare wire from (0, 0) to the right: a line that ends in a closed sleeve."""
    c.line([(0, 0), (1.2, 0)], wide=0.35)
    c.rect(1.1, -0.5, 1.3, 1.0, fill=INK, wide=0.2)
