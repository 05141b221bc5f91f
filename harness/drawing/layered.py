"""Lays boxes out in columns with level lines between them: Graphviz orders, this module draws the lines.

A line takes its label along as a box of its own in the column between, so no two texts can meet. Columns run
from left to right; a caller that wants them from top to bottom swaps x and y on both sides.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from harness.drawing import channels, engine

PASS_MM = 3.2  # room kept for a line that passes through a column
SNAP_MM = 0.8  # a detour up to this is worth a bend less
PULL = (1, 3, 8)  # how much a piece of a line wants to be level: between boxes, at a label, between labels

Spot = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Box:
    """Something to place, with the heights of its pins below its top."""

    width_mm: float
    height_mm: float
    pins_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Line:
    """A line from a pin of one box, on its right, to a pin of another, on its left; it may carry a label."""

    tail: int
    tail_pin: int
    head: int
    head_pin: int
    label: Box | None = None

    @property
    def columns(self) -> int:
        """How many columns it spans at least."""
        return 1 if self.label is None else 2


@dataclass(frozen=True, slots=True)
class Layout:
    """Where everything went; the upper left corner of the whole is (0, 0)."""

    width_mm: float
    height_mm: float
    boxes: tuple[Spot, ...]  # upper left corners
    labels: tuple[Spot | None, ...]  # of the lines' labels, same order as the lines
    routes: tuple[tuple[Spot, ...], ...]  # corners of each line


@dataclass(frozen=True, slots=True)
class Task:
    """Boxes and lines to lay out together. The lines may not run in circles."""

    boxes: tuple[Box, ...]
    lines: tuple[Line, ...]
    gap_mm: float  # least room between two boxes of a column
    component_gap_mm: float  # between boxes that do not hang together
    track_mm: float = 2.4  # from one track of a channel to the next
    margin_mm: float = 1.6  # from a track to the boxes on either side


@dataclass(slots=True)
class _Chain:
    """A line with every box it runs through, ends included: indexes into the expanded boxes."""

    stops: list[int] = field(default_factory=list)
    label_at: int | None = None


@dataclass(slots=True)
class _Expanded:
    """A task with a box for every label and for every column a line passes through."""

    boxes: list[Box]
    ranks: list[int]
    chains: list[_Chain] = field(default_factory=list)


def _topological(task: Task) -> list[int]:
    waiting = [0] * len(task.boxes)
    for line in task.lines:
        waiting[line.head] += 1
    ready = [box for box, left in enumerate(waiting) if left == 0]
    order: list[int] = []
    while ready:
        box = ready.pop(0)
        order.append(box)
        for line in task.lines:
            if line.tail == box:
                waiting[line.head] -= 1
                if waiting[line.head] == 0:
                    ready.append(line.head)
    return order


def _ranks(task: Task) -> list[int]:
    """Column of every box: as far left as its lines allow, then sources pulled up to what they feed."""
    ranks = [0] * len(task.boxes)
    order = _topological(task)
    for box in order:
        for line in task.lines:
            if line.tail == box:
                ranks[line.head] = max(ranks[line.head], ranks[box] + line.columns)
    fed = {line.head for line in task.lines}
    for box in reversed(order):
        room = [ranks[line.head] - line.columns for line in task.lines if line.tail == box]
        if room and box not in fed:
            ranks[box] = min(room)
    return ranks


def _expand(task: Task) -> _Expanded:
    whole = _Expanded(list(task.boxes), _ranks(task))
    for line in task.lines:
        chain = _Chain([line.tail])
        for rank in range(whole.ranks[line.tail] + 1, whole.ranks[line.head]):
            box = Box(0.0, PASS_MM, (PASS_MM / 2,))
            if line.label is not None and chain.label_at is None:
                box, chain.label_at = line.label, len(whole.boxes)
            chain.stops.append(len(whole.boxes))
            whole.boxes.append(box)
            whole.ranks.append(rank)
        chain.stops.append(line.head)
        whole.chains.append(chain)
    return whole


def _components(whole: _Expanded) -> list[list[int]]:
    """Group the boxes that hang together, in the order of their first box."""
    beside: dict[int, set[int]] = {box: set() for box in range(len(whole.boxes))}
    for chain in whole.chains:
        for one, other in zip(chain.stops, chain.stops[1:], strict=False):
            beside[one].add(other)
            beside[other].add(one)
    seen: set[int] = set()
    groups: list[list[int]] = []
    for start in range(len(whole.boxes)):
        if start in seen:
            continue
        group, waiting = [], [start]
        seen.add(start)
        while waiting:
            box = waiting.pop()
            group.append(box)
            fresh = sorted(beside[box] - seen)
            seen.update(fresh)
            waiting.extend(fresh)
        groups.append(sorted(group))
    return groups


def _hops(task: Task, whole: _Expanded) -> list[tuple[int, int, int, int]]:
    """Every piece of every line between neighbouring columns: box, pin, box, pin."""
    hops = []
    for line, chain in zip(task.lines, whole.chains, strict=True):
        pins = [line.tail_pin, *([0] * (len(chain.stops) - 2)), line.head_pin]
        for index in range(len(chain.stops) - 1):
            hops.append((chain.stops[index], pins[index], chain.stops[index + 1], pins[index + 1]))
    return hops


def _graph(
    task: Task, whole: _Expanded, group: Sequence[int], hops: Sequence[tuple[int, int, int, int]]
) -> engine.Graph:
    own = {box: index for index, box in enumerate(group)}
    nodes = tuple(engine.Node(whole.boxes[box].height_mm, whole.boxes[box].pins_mm) for box in group)
    given = len(task.boxes)
    edges = tuple(
        engine.Edge(own[tail], tail_pin, own[head], head_pin, PULL[(tail >= given) + (head >= given)])
        for tail, tail_pin, head, head_pin in hops
        if tail in own
    )
    return engine.Graph(nodes, edges, task.gap_mm)


def _stack(
    groups: Sequence[Sequence[int]], tops: Sequence[Sequence[float]], whole: _Expanded, gap_mm: float
) -> list[float]:
    """Put the groups below one another; returns the top of every box."""
    placed = [0.0] * len(whole.boxes)
    reached = 0.0
    for group, own in zip(groups, tops, strict=True):
        first = min(own)
        for box, top in zip(group, own, strict=True):
            placed[box] = reached + round(top - first, 2)
        reached = max(placed[box] + whole.boxes[box].height_mm for box in group) + gap_mm
    return placed


def _clear(whole: _Expanded, tops: Sequence[float], box: int, top: float, gap_mm: float) -> bool:
    """Whether ``box`` may stand at ``top`` without coming nearer than the gap to its column's other boxes."""
    low = top + whole.boxes[box].height_mm
    return all(
        whole.ranks[other] != whole.ranks[box]
        or other == box
        or low + gap_mm <= tops[other] + 1e-6
        or tops[other] + whole.boxes[other].height_mm + gap_mm <= top + 1e-6
        for other in range(len(whole.boxes))
    )


def _straighten(task: Task, whole: _Expanded, tops: list[float]) -> None:
    """Level every label and passing place with the stop before or after it, where that costs no detour."""
    for line, chain in zip(task.lines, whole.chains, strict=True):
        before = tops[line.tail] + whole.boxes[line.tail].pins_mm[line.tail_pin]
        for position in range(1, len(chain.stops) - 1):
            stop, then = chain.stops[position], chain.stops[position + 1]
            pin = line.head_pin if then == line.head else 0
            after = tops[then] + whole.boxes[then].pins_mm[pin]
            own = whole.boxes[stop].pins_mm[0]
            now = abs(before - tops[stop] - own) + abs(after - tops[stop] - own)
            for wished in (before, after):
                detour = abs(before - wished) + abs(after - wished) > now + SNAP_MM
                if not detour and _clear(whole, tops, stop, wished - own, task.gap_mm):
                    tops[stop] = wished - own
                    break
            before = tops[stop] + own


def _settle(
    task: Task, whole: _Expanded, tops: list[float], hops: Sequence[tuple[int, int, int, int]]
) -> None:
    """Take out the bends too small to mean anything, column by column from the left."""
    for tail, tail_pin, head, head_pin in sorted(hops, key=lambda hop: whole.ranks[hop[2]]):
        off = (
            tops[tail]
            + whole.boxes[tail].pins_mm[tail_pin]
            - tops[head]
            - whole.boxes[head].pins_mm[head_pin]
        )
        if 0 < abs(off) < SNAP_MM and _clear(whole, tops, head, tops[head] + off, task.gap_mm / 2):
            tops[head] += off


@dataclass(slots=True)
class _Columns:
    """Where the columns and the tracks between them are."""

    left: dict[int, float]
    width: dict[int, float]
    bends: dict[int, tuple[Spot, ...]]  # by hop: x of each track it turns on, and the height after that
    total_mm: float


def _columns(
    task: Task, whole: _Expanded, hops: Sequence[tuple[int, int, int, int]], jogs: Sequence[channels.Jog]
) -> _Columns:
    width: dict[int, float] = {}
    for box, rank in zip(whole.boxes, whole.ranks, strict=True):
        width[rank] = max(width.get(rank, 0.0), box.width_mm)
    left: dict[int, float] = {}
    bends: dict[int, tuple[Spot, ...]] = {}
    x = 0.0
    for rank in range(min(width, default=0), max(width, default=-1) + 1):
        left[rank] = x
        x += width.get(rank, 0.0)
        own = [index for index, hop in enumerate(hops) if whole.ranks[hop[0]] == rank]
        given = channels.bends([jogs[index] for index in own])
        for index, turns in zip(own, given, strict=True):
            bends[index] = tuple(
                (x + task.margin_mm + turn.track * task.track_mm, turn.level_mm) for turn in turns
            )
        used = channels.count(given)
        x += 2 * task.margin_mm + (used - 1) * task.track_mm if used else task.margin_mm
    return _Columns(left, width, bends, x - task.margin_mm if width else 0.0)


def _pin(whole: _Expanded, tops: Sequence[float], box: int, pin: int) -> float:
    return tops[box] + whole.boxes[box].pins_mm[pin]


def _routes(
    whole: _Expanded, corners: Sequence[Spot], hops: Sequence[tuple[int, int, int, int]],
    jogs: Sequence[channels.Jog], columns: _Columns,
) -> list[tuple[Spot, ...]]:  # fmt: skip
    routes: list[tuple[Spot, ...]] = []
    index = 0
    for chain in whole.chains:
        tail, head = chain.stops[0], chain.stops[-1]
        spots = [(corners[tail][0] + whole.boxes[tail].width_mm, jogs[index].enter_mm)]
        for _ in chain.stops[1:]:
            level = jogs[index].enter_mm
            for x, then in columns.bends[index]:
                spots += [(x, level), (x, then)]
                level = then
            index += 1
        routes.append((*spots, (corners[head][0], jogs[index - 1].leave_mm)))
    return routes


def _finish(
    task: Task, whole: _Expanded, groups: Sequence[Sequence[int]], tops_of: Sequence[Sequence[float]]
) -> Layout:
    tops = _stack(groups, tops_of, whole, task.component_gap_mm)
    hops = _hops(task, whole)
    _settle(task, whole, tops, hops)
    _straighten(task, whole, tops)
    first = min(tops, default=0.0)
    tops = [top - first for top in tops]
    jogs = [
        channels.Jog(round(_pin(whole, tops, a, a_pin), 2), round(_pin(whole, tops, b, b_pin), 2))
        for a, a_pin, b, b_pin in hops
    ]
    columns = _columns(task, whole, hops, jogs)
    corners = [
        (columns.left[rank] + (columns.width[rank] - box.width_mm) / 2, top)
        for box, rank, top in zip(whole.boxes, whole.ranks, tops, strict=True)
    ]
    labels = tuple(corners[chain.label_at] if chain.label_at is not None else None for chain in whole.chains)
    low = max((top + box.height_mm for box, top in zip(whole.boxes, tops, strict=True)), default=0.0)
    routes = _routes(whole, corners, hops, jogs, columns)
    return Layout(columns.total_mm, low, tuple(corners[: len(task.boxes)]), labels, tuple(routes))


def layouts(tasks: Sequence[Task]) -> list[Layout]:
    """Lay out all ``tasks`` with one start of the engine; raises EngineFailed."""
    expanded = [_expand(task) for task in tasks]
    groups = [_components(whole) for whole in expanded]
    graphs = [
        _graph(task, whole, group, _hops(task, whole))
        for task, whole, own in zip(tasks, expanded, groups, strict=True)
        for group in own
    ]
    tops = iter(engine.tops_mm(graphs))
    found: Mapping[int, list[list[float]]] = {
        index: [next(tops) for _ in own] for index, own in enumerate(groups)
    }
    return [
        _finish(task, whole, own, found[index])
        for index, (task, whole, own) in enumerate(zip(tasks, expanded, groups, strict=True))
    ]
