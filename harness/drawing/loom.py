"""The loom drawing: places, the runs between them and what ends there, as a tree laid out by Graphviz."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from harness.drawing import bundles, flow, layered, legend, loom_graph, places
from harness.drawing import sheet as paper
from harness.drawing.layered import Box, Layout, Line, Task
from harness.drawing.svg import Canvas, Spot, document
from harness.model.design import Design

PIN_MM = 8.0  # between two runs at one edge of a place's box
LEAST_SCALE = 0.8
MOST_SCALE = 1.25
TRIES = 5
GAP_MM = 2.5
DRAWING = "Loom layout"
NOTE = "Lengths along the real way, as measured. Not to scale."


@dataclass(frozen=True, slots=True)
class _Place:
    """A place's box with where runs meet its upper and lower edge."""

    box: places.PlaceBox
    width_mm: float
    pins_mm: tuple[float, ...]
    above: tuple[int, ...]
    below: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Tree:
    """One way to draw the loom."""

    places: tuple[_Place, ...]
    branches: tuple[loom_graph.Branch, ...]
    labels: tuple[bundles.RunLabel, ...]
    task: Task


def _place(box: places.PlaceBox, above: int, below: int) -> _Place:
    wide = max(box.width_mm, (max(above, below) - 1) * PIN_MM + 6.0)

    def spread(count: int) -> list[float]:
        return [round(wide / 2 + (index - (count - 1) / 2) * PIN_MM, 1) for index in range(count)]

    pins = sorted({*spread(above), *spread(below)} or {round(wide / 2, 1)})
    at = {pin: index for index, pin in enumerate(pins)}
    up = tuple(at[pin] for pin in spread(above))
    return _Place(box, wide, tuple(pins), up, tuple(at[pin] for pin in spread(below)))


def _tree(design: Design, boxes: Sequence[places.PlaceBox], root: int) -> _Tree:
    """Turn the loom into boxes in columns; x and y are swapped: columns are read from top to bottom."""
    branches = tuple(loom_graph.branches(design, root))
    above = [0] * len(boxes)
    below = [0] * len(boxes)
    ends: list[tuple[int, int]] = []
    for branch in branches:
        ends.append((below[branch.above], above[branch.below]))
        below[branch.above] += 1
        above[branch.below] += 1
    own = tuple(_place(box, above[index], below[index]) for index, box in enumerate(boxes))
    labels = tuple(bundles.run_label(branch.run) for branch in branches)
    lines = tuple(
        Line(
            branch.above,
            own[branch.above].below[low],
            branch.below,
            own[branch.below].above[high],
            Box(label.height_mm, label.width_mm, (bundles.PIN_MM,)),
        )
        for branch, (low, high), label in zip(branches, ends, labels, strict=True)
    )
    swapped = tuple(Box(each.box.height_mm, each.width_mm, each.pins_mm) for each in own)
    return _Tree(own, branches, labels, Task(swapped, lines, gap_mm=3.0, component_gap_mm=8.0))


@dataclass(frozen=True, slots=True)
class _Plan:
    """A tree on paper: which paper, how large, and where the lists and the key go."""

    form: paper.Format
    tree: _Tree
    layout: Layout
    scale: float
    strip: tuple[flow.Placed, ...]
    lists: tuple[places.PlaceList, ...]
    key: legend.Key


def _lists(boxes: Sequence[places.PlaceBox], width_mm: float) -> list[places.PlaceList]:
    most = max(int((width_mm - 3.0) / places.COLUMN_MM), 1)
    found = []
    for box in boxes:
        if box.letter:
            wished = max(1, -(-len(box.entries) // 7))
            found.append(places.place_list(box, columns=min(wished, most)))
    return found


def _plans(
    design: Design,
    form: paper.Format,
    boxes: Sequence[places.PlaceBox],
    trees: Sequence[tuple[_Tree, Layout]],
) -> list[_Plan]:
    _, _, wide, high = paper.room(design, form)
    lists = _lists(boxes, wide)
    key = legend.loom_key(design)
    blocks = [*(each.size for each in lists), key.size]
    strip = flow.flow(blocks, width_mm=wide, height_mm=high, gap_mm=GAP_MM)
    low = max(each.y_mm + each.height_mm for each in strip)
    left = high - low - 2 * GAP_MM
    return [
        _Plan(
            form,
            tree,
            layout,
            min(wide / layout.height_mm, left / layout.width_mm, MOST_SCALE),
            tuple(strip),
            tuple(lists),
            key,
        )
        for tree, layout in trees
    ]


def _plan(design: Design) -> _Plan:
    """Choose paper and tree: the smallest paper on which one of the trees need not shrink much."""
    names = loom_graph.place_names(design)
    crowded = [place for place in names if len(places.entries(design, place)) > places.MANY]
    boxes = [
        places.place_box(design, place, letter=chr(65 + crowded.index(place)) if place in crowded else "")
        for place in names
    ]
    trees = [_tree(design, boxes, root) for root in loom_graph.roots(design, TRIES)]
    laid = layered.layouts([tree.task for tree in trees])
    for form in paper.FORMATS:
        plans = _plans(design, form, boxes, list(zip(trees, laid, strict=True)))
        best = max(plans, key=lambda plan: plan.scale)
        if best.scale >= LEAST_SCALE:
            break
    return best


def _upright(spots: Sequence[Spot]) -> list[Spot]:
    return [(y, x) for x, y in spots]


def _about(run: str, wires: Sequence[str], length_m: float) -> str:
    return f"run {run}: {length_m:.2f} m, wires {', '.join(wires) or 'none'}"


def _draw_tree(c: Canvas, plan: _Plan) -> None:
    tree, layout = plan.tree, plan.layout
    for branch, label, route, corner in zip(
        tree.branches, tree.labels, layout.routes, layout.labels, strict=True
    ):
        run = branch.run
        with c.group(_about(run.name, run.wires, run.length_m), run=run.name, wires=" ".join(run.wires)):
            bundles.draw_run(c, _upright(route), run)
            if corner is not None:
                bundles.draw_label(c.at(corner[1] + bundles.PIN_MM, corner[0]), label)
    for place, corner in zip(tree.places, layout.boxes, strict=True):
        places.draw_place(c.at(corner[1], corner[0]), place.box, width_mm=place.width_mm)


def _draw_strip(c: Canvas, plan: _Plan) -> None:
    for found, place in zip(plan.lists, plan.strip, strict=False):
        here = c.at(place.x_mm, place.y_mm)
        here.rect(0, 0, place.width_mm, place.height_mm, fill="none", stroke="#9a9a92", wide=0.25)
        places.draw_list(here.at(0, 0, place.scale), found)
    legend.draw_key(c, plan.key, plan.strip[-1])


def loom_svg(design: Design) -> str:
    """Draw the loom on one sheet; raises EngineFailed."""
    plan = _plan(design)
    left, top, wide, high = paper.room(design, plan.form)
    c = Canvas()
    paper.draw_sheet(c, paper.Sheet(plan.form, design, DRAWING, 1, 1, NOTE))
    low = max(each.y_mm + each.height_mm for each in plan.strip)
    spare = wide - plan.layout.height_mm * plan.scale
    _draw_tree(c.at(left + spare / 2, top, plan.scale), plan)
    _draw_strip(c.at(left, top + high - low), plan)
    info = design.machine
    return document(
        body=c.markup(),
        width_mm=plan.form.width_mm,
        height_mm=plan.form.height_mm,
        title=f"{info.name}: loom layout",
        about=f"{len(design.runs)} runs between {len(loom_graph.place_names(design))} places, with lengths, bundle "
        "diameters, coverings, holes and what ends at each place. Not to scale.",
    )
