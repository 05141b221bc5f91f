"""The loom drawing: places, the runs between them and what ends there, as a tree laid out by Graphviz."""

from __future__ import annotations

from harness.drawing import bundles, legend, loom_plan, places
from harness.drawing import sheet as paper
from harness.drawing.svg import Canvas, document
from harness.model.design import Design, RunResult

DRAWING = "Loom layout"
NOTE = "Lengths along the real way, as measured. Not to scale."


def _about(run: RunResult) -> str:
    wires = ", ".join((*run.wires, *run.spares)) or "none"
    return f"run {run.name}: {run.length_m:.2f} m, wires {wires}"


def _draw_tree(c: Canvas, plan: loom_plan.Plan) -> None:
    for label, area, route in plan.tree.runs:
        with c.group(_about(label.run), run=label.run.name, wires=" ".join(label.run.wires)):
            bundles.draw_run(c, route, label.run)
            bundles.draw_label(c.at(area.x_mm + bundles.PIN_MM, area.y_mm), label)
    for box, area in plan.tree.places:
        places.draw_place(c.at(area.x_mm, area.y_mm), box, width_mm=area.width_mm)


def _draw_blocks(c: Canvas, plan: loom_plan.Plan) -> None:
    for block, place in plan.blocks:
        if isinstance(block, legend.Key):
            legend.draw_key(c, block, place)
            continue
        here = c.at(place.x_mm, place.y_mm)
        here.rect(0, 0, place.width_mm, place.height_mm, fill="none", stroke=legend.FRAME, wide=0.25)
        places.draw_list(here.at(0, 0, place.scale), block)


def loom_svg(design: Design) -> str:
    """Draw the loom on one sheet; raises EngineFailed."""
    plan = loom_plan.plan(design)
    left, top, _, _ = paper.room(design, plan.form)
    c = Canvas()
    paper.draw_sheet(c, paper.Sheet(plan.form, design, DRAWING, 1, 1, NOTE))
    _draw_tree(c.at(left + plan.x_mm, top, plan.scale), plan)
    _draw_blocks(c.at(left, top), plan)
    info = design.machine
    return document(
        body=c.markup(),
        width_mm=plan.form.width_mm,
        height_mm=plan.form.height_mm,
        title=f"{info.name}: loom layout",
        about=f"{len(design.runs)} runs between {len(plan.tree.places)} places, with lengths, bundle "
        "diameters, coverings, holes and what ends at each place. Not to scale.",
    )
