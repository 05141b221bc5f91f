"""The loom drawing: every loom to scale with its branches, and at each end what lands there."""

from __future__ import annotations

from harness.drawing import (
    bundles,
    loom_ends,
    loom_key,
    loom_marks,
    loom_plan,
    loom_tree,
    loom_words,
    metrics,
)
from harness.drawing import sheet as paper
from harness.drawing.loom_place import BALLOON_MM
from harness.drawing.loom_plan import Plan, Sheet, Shown
from harness.drawing.svg import Canvas
from harness.drawing.tracks.sheets import Pages, only, svg_of
from harness.model.design import Design, RunResult

DRAWING = "Loom layout"
NOTE = "Lengths as measured along the runs. Underlined: not to scale."
TABLES_NOTE = "What lands at each place, by the letters of the layout."
BAR_M = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
BAR_MM = 80.0  # a scale bar is no longer


def _about(run: RunResult) -> str:
    wires = ", ".join((*run.wires, *run.spares)) or "none"
    return f"run {run.name}: {run.length_m:.2f} m, wires {wires}"


def _draw_scale(c: Canvas, scale: int) -> None:
    """Write the scale, and draw a bar of some whole length in five blocks beside it."""
    words = f"Scale 1:{scale}"
    c.text(0, 5.0, words, loom_words.NAME, bold=True)
    long_m = max((each for each in BAR_M if 1000 * each / scale <= BAR_MM), default=BAR_M[0])
    x = metrics.width(words, loom_words.NAME, bold=True) + 6.0
    step = 1000 * long_m / scale / 5
    for number in range(5):
        fill = "#1b1b1b" if number % 2 == 0 else "#ffffff"
        c.rect(x + number * step, 3.2, step, 1.8, fill=fill, wide=0.25)
    c.text(x, 2.6, "0", loom_words.SMALL)
    c.text(x + 5 * step + 1.5, 5.0, f"{long_m:g} m", loom_words.SMALL)


def _draw_runs(c: Canvas, shown: Shown) -> None:
    tree = shown.figure.tree
    here = c.at(*shown.at)
    for at, laid in shown.figure.laid.items():
        run = tree.limbs[at].run
        label, put = shown.labels[at]
        splices = shown.splices.get(at, [])
        with c.group(_about(run), run=run.name, wires=" ".join(run.wires), drawn=laid.drawn):
            bundles.draw_run(here, [laid.a, laid.b], run)
            with c.group():
                loom_marks.draw_marks(
                    here, laid, run, numbered=put is None, splices=[share for _, share in splices]
                )
                if put is not None:
                    loom_words.draw_label(c, label, put)
                else:
                    x, y = loom_marks.at_share(laid, 0.5)
                    loom_words.draw_number(
                        here, x - label.frame_mm / 2, y - loom_words.FRAME_MM / 2 + 0.1, label
                    )


def _draw_places(c: Canvas, shown: Shown, plan: Plan, couplers: frozenset[str]) -> None:
    tree = shown.figure.tree
    for node in shown.figure.spots:
        place = tree.places[node]
        x, y = shown.spot(node)
        with c.group(place, place=place):
            c.circle(x, y, BALLOON_MM, wide=0.7 if place in couplers else 0.5)
            sign = plan.letters[place]
            size = min(3.5, 3.5 * (2 * BALLOON_MM - 1.4) / metrics.width(sign, 3.5, bold=True))
            c.text(x, y + 0.36 * size, sign, size, anchor="middle", bold=True)
            if node in shown.names:
                name, splices, put = shown.names[node]
                low = c.lines(put.box[0], put.box[1], name, loom_words.NAME, bold=True)
                c.lines(put.box[0], low, splices, loom_words.SMALL)


def _draw_words(c: Canvas, shown: Shown) -> None:
    lines, size = paper.fitted(
        shown.title, loom_plan.TITLE, loom_plan.TITLE_WIDE_MM - 2.0, loom_plan.TITLE_MM - 1.0, bold=True
    )
    c.lines(shown.title_at[0], shown.title_at[1] + 0.5, lines, size, bold=True)
    for name, put in shown.tags:
        c.lines(put.box[0], put.box[1], [name], loom_words.SMALL, bold=True)
    for words, put in shown.flags:
        left, top, right, low = put.box
        c.rect(left, top, right - left, low - top, wide=0.25)
        c.lines(left + 1.0, top + 0.4, [words], loom_words.SMALL)


def _draw(c: Canvas, design: Design, plan: Plan, sheet: Sheet) -> None:
    left, top, _, _ = paper.room(design, plan.form)
    body = c.at(left, top)
    if sheet.scale:
        _draw_scale(body, sheet.scale)
        body = c.at(left, top + loom_plan.HEAD_MM)
    couplers = frozenset(coupler.place for coupler in design.couplers)
    for shown in sheet.shown:
        _draw_runs(body, shown)
        _draw_places(body, shown, plan, couplers)
        _draw_words(body, shown)
    for block, (x, y) in sheet.blocks:
        if isinstance(block, loom_key.Key):
            loom_key.draw_key(body.at(x, y), block)
        else:
            loom_ends.draw_table(body.at(x, y), block)


def loom_pages(design: Design, form: paper.Format | None = None, *, stacked: bool = True) -> Pages:
    """Draw every loom to scale, then what found no room beside it; raises EngineFailed."""
    plan = loom_plan.chosen(design) if form is None else loom_plan.plan(design, form, loom_tree.trees(design))
    markup = []
    for at, sheet in enumerate(plan.sheets):
        c = Canvas(y=at * plan.form.height_mm if stacked else 0.0)
        note = f"Scale 1:{sheet.scale}. {NOTE}" if sheet.scale else TABLES_NOTE
        with c.group(sheet=str(at + 1)):
            paper.draw_sheet(c, paper.Sheet(plan.form, design, DRAWING, at + 1, len(plan.sheets), note))
            _draw(c, design, plan, sheet)
        markup.append(c.markup())
    about = (
        f"{len(design.runs)} runs between {len(plan.letters)} places, to scale, with lengths, bundle "
        "diameters, coverings, holes and what lands at each place."
    )
    return Pages(plan.form, markup, "loom layout", about)


def loom_svg(design: Design, sheet: str | None = None, page: int | None = None) -> str:
    """Draw the loom: all sheets below one another, or one page, from 1.

    Without a ``sheet`` the drawing chooses its paper. Raises KeyError for a paper, NoSuchPage for a page that
    is not there, EngineFailed.
    """
    form = paper.LANDSCAPE[sheet] if sheet is not None else None
    pages = loom_pages(design, form, stacked=page is None)
    return svg_of(design, pages if page is None else only(pages, page))
