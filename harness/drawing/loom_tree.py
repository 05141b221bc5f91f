"""The loom as a tree from top to bottom, laid out in one go for several tops."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from harness.drawing import bundles, layered, loom_graph, places
from harness.drawing.corners import Area
from harness.drawing.layered import Box, Layout, Line, Task
from harness.drawing.svg import Spot
from harness.model.design import Design

PIN_MM = 8.0  # between two runs at one edge of a place's box
GAP_MM = 3.0
TRACK_MM = bundles.THICKEST_MM + 0.6  # the thickest bundles side by side stay apart
MARGIN_MM = 2.2
APART_MM = 8.0  # between looms that do not hang together


@dataclass(frozen=True, slots=True)
class _Place:
    """A place's box with where runs meet its upper and lower edge."""

    width_mm: float
    pins_mm: tuple[float, ...]
    above: tuple[int, ...]
    below: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Tree:
    """One way to draw the loom, laid out; the upper left corner is (0, 0)."""

    width_mm: float
    height_mm: float
    places: tuple[tuple[places.PlaceBox, Area], ...]
    runs: tuple[tuple[bundles.RunLabel, Area, tuple[Spot, ...]], ...]

    def taken(self, *, x_mm: float, scale: float) -> list[Area]:
        """Everything the tree covers when it stands at ``x_mm`` at the top of a sheet."""
        areas = [area for _, area in self.places] + [area for _, area, _ in self.runs]
        for label, _, route in self.runs:
            half = bundles.thick_mm(label.run) / 2
            for (x1, y1), (x2, y2) in pairwise(route):
                areas.append(
                    Area(
                        min(x1, x2) - half,
                        min(y1, y2) - half,
                        abs(x1 - x2) + 2 * half,
                        abs(y1 - y2) + 2 * half,
                    )
                )
        return [
            Area(x_mm + each.x_mm * scale, each.y_mm * scale, each.width_mm * scale, each.height_mm * scale)
            for each in areas
        ]


def _place(box: places.PlaceBox, above: int, below: int) -> _Place:
    wide = max(box.width_mm, (max(above, below) - 1) * PIN_MM + 6.0)

    def spread(count: int) -> list[float]:
        return [round(wide / 2 + (index - (count - 1) / 2) * PIN_MM, 1) for index in range(count)]

    pins = sorted({*spread(above), *spread(below)} or {round(wide / 2, 1)})
    at = {pin: index for index, pin in enumerate(pins)}
    up = tuple(at[pin] for pin in spread(above))
    return _Place(wide, tuple(pins), up, tuple(at[pin] for pin in spread(below)))


@dataclass(frozen=True, slots=True)
class _Sketch:
    """A tree before it is laid out; columns of the task are rows of the tree, so x and y are swapped."""

    boxes: Sequence[places.PlaceBox]
    labels: tuple[bundles.RunLabel, ...]
    task: Task


def _sketch(design: Design, boxes: Sequence[places.PlaceBox], root: int) -> _Sketch:
    branches = loom_graph.branches(design, root)
    above = [0] * len(boxes)
    below = [0] * len(boxes)
    ends: list[tuple[int, int]] = []
    for branch in branches:
        ends.append((below[branch.above], above[branch.below]))
        below[branch.above] += 1
        above[branch.below] += 1
    own = [_place(box, above[index], below[index]) for index, box in enumerate(boxes)]
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
    swapped = tuple(
        Box(box.height_mm, each.width_mm, each.pins_mm) for box, each in zip(boxes, own, strict=True)
    )
    return _Sketch(
        boxes,
        labels,
        Task(
            swapped, lines, gap_mm=GAP_MM, component_gap_mm=APART_MM, track_mm=TRACK_MM, margin_mm=MARGIN_MM
        ),
    )


def _upright(sketch: _Sketch, layout: Layout) -> Tree:
    places_ = tuple(
        (box, Area(spot[1], spot[0], size.height_mm, size.width_mm))
        for box, spot, size in zip(sketch.boxes, layout.boxes, sketch.task.boxes, strict=True)
    )
    runs = tuple(
        (
            label,
            Area(corner[1], corner[0], label.width_mm, label.height_mm),
            tuple((y, x) for x, y in route),
        )
        for label, corner, route in zip(sketch.labels, layout.labels, layout.routes, strict=True)
        if corner is not None
    )
    return Tree(layout.height_mm, layout.width_mm, places_, runs)


def trees(design: Design, boxes: Sequence[places.PlaceBox], count: int) -> list[Tree]:
    """Lay the loom out from up to ``count`` tops with one start of the engine; raises EngineFailed."""
    tops = loom_graph.roots(design, count)
    if not tops:
        return [Tree(1.0, 1.0, (), ())]
    sketches = [_sketch(design, boxes, root) for root in tops]
    laid = layered.layouts([sketch.task for sketch in sketches])
    return [_upright(sketch, layout) for sketch, layout in zip(sketches, laid, strict=True)]
