"""How the loom goes on paper: which tree, which size of sheet, and where the lists and the key find room."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from harness.drawing import corners, flow, legend, loom_graph, loom_tree, places
from harness.drawing import sheet as paper
from harness.drawing.loom_tree import Tree
from harness.model.design import Design

LEAST_SCALE = 0.8  # below this a larger sheet is taken
MOST_SCALE = 1.25
TRIES = 5  # tops that are tried
GAP_MM = 2.5
SHRINK = (1.0, 0.95, 0.9)
MOST_COLUMNS = 8

Block = places.PlaceList | legend.Key


@dataclass(frozen=True, slots=True)
class Plan:
    """A tree on a sheet with its lists and, last, its key."""

    form: paper.Format
    tree: Tree
    x_mm: float  # from the left of the drawing's room to the tree
    scale: float
    blocks: tuple[tuple[Block, flow.Placed], ...]


def _letters(count: int) -> list[str]:
    """A, B, ... Z, A1, B1, ..."""
    return [chr(65 + index % 26) + (str(index // 26) if index >= 26 else "") for index in range(count)]


def _boxes(design: Design) -> list[places.PlaceBox]:
    names = loom_graph.place_names(design)
    crowded = [place for place in names if len(places.entries(design, place)) > places.MANY]
    letters = dict(zip(crowded, _letters(len(crowded)), strict=True))
    return [places.place_box(design, place, letter=letters.get(place, "")) for place in names]


def _shapes(design: Design, boxes: Sequence[places.PlaceBox]) -> list[list[Block]]:
    """Every list and the key in the shapes they can take."""
    shapes: list[list[Block]] = []
    for box in boxes:
        if box.letter:
            most = min(MOST_COLUMNS, len(box.entries))
            shapes.append([places.place_list(box, columns=count) for count in range(most, 0, -1)])
    return [*shapes, list(legend.loom_keys(design))]


def _beside(
    form: paper.Format, design: Design, tree: Tree, scale: float, shapes: Sequence[Sequence[Block]]
) -> Plan | None:
    """Try to put the blocks into what the tree leaves free."""
    _, _, wide, high = paper.room(design, form)
    sizes = [[block.size for block in choices] for choices in shapes]
    spare = wide - tree.width_mm * scale
    for x_mm in (spare / 2, 0.0, spare):
        found = corners.place(
            sizes, tree.taken(x_mm=x_mm, scale=scale), width_mm=wide, height_mm=high, gap_mm=GAP_MM,
            scale=max(LEAST_SCALE, min(scale, 1.0)),
        )  # fmt: skip
        if found is not None:
            blocks = ((choices[shape], place) for choices, (shape, place) in zip(shapes, found, strict=True))
            return Plan(form, tree, x_mm, scale, tuple(blocks))
    return None


def _under(form: paper.Format, design: Design, tree: Tree, shapes: Sequence[Sequence[Block]]) -> Plan:
    """Put the blocks into a strip under the tree."""
    _, _, wide, high = paper.room(design, form)
    blocks = [next((each for each in choices if each.size[0] <= wide), choices[-1]) for choices in shapes]
    strip = flow.flow([block.size for block in blocks], width_mm=wide, height_mm=1e6, gap_mm=GAP_MM)
    deep = max(place.y_mm + place.height_mm for place in strip)
    left = max(high - deep - 2 * GAP_MM, 1.0)
    scale = min(wide / tree.width_mm, left / tree.height_mm, MOST_SCALE)
    placed = [
        flow.Placed(0, each.x_mm, each.y_mm + high - deep, each.width_mm, each.height_mm, each.scale)
        for each in strip
    ]
    return Plan(
        form, tree, (wide - tree.width_mm * scale) / 2, scale, tuple(zip(blocks, placed, strict=True))
    )


def _plans(
    form: paper.Format, design: Design, trees: Sequence[Tree], shapes: Sequence[Sequence[Block]]
) -> Iterator[Plan]:
    """Plans for one size of sheet that need not shrink much, the largest first."""
    _, _, wide, high = paper.room(design, form)
    full = [(min(wide / tree.width_mm, high / tree.height_mm, MOST_SCALE), tree) for tree in trees]
    for shrink in SHRINK:
        for scale, tree in sorted(full, key=lambda each: -each[0]):
            if scale * shrink >= LEAST_SCALE:
                plan = _beside(form, design, tree, scale * shrink, shapes)
                if plan is not None:
                    yield plan
    yield from sorted(
        (plan for tree in trees if (plan := _under(form, design, tree, shapes)).scale >= LEAST_SCALE),
        key=lambda plan: -plan.scale,
    )


def plan(design: Design) -> Plan:
    """Choose the smallest sheet on which the loom is readable; on the largest it is as small as it must be.

    Raises EngineFailed.
    """
    boxes = _boxes(design)
    trees = loom_tree.trees(design, boxes, TRIES)
    shapes = _shapes(design, boxes)
    for form in paper.FORMATS:
        found = next(_plans(form, design, trees, shapes), None)
        if found is not None:
            return found
    form = paper.FORMATS[-1]
    return max((_under(form, design, tree, shapes) for tree in trees), key=lambda each: each.scale)
