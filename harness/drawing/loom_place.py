"""Lays a loom to scale: the trunk straight, branches off it at right or oblique angles, nothing touching.

A run that has no room at its length is drawn shorter, with a break; one too short to be seen is drawn longer.
Both are called out. What has no room at all is cut off and begins a figure of its own. Lengths are
millimetres on paper, x to the right and y down.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from dataclasses import field as made
from typing import Literal

from harness.drawing import bundles
from harness.drawing.ink import Box
from harness.drawing.loom_field import Field, Line, Patch
from harness.drawing.loom_tree import Limb, Tree
from harness.drawing.svg import Spot

BALLOON_MM = 2.7  # radius of the ring with a place's letter
LEAST_MM = 13.0  # a run is drawn no shorter, or its number would have no room on it
BREAK_MM = 22.0  # a run with a break is drawn no shorter
SHORTER = (0.75, 0.55, 0.4, 0.25)
LONGER_MM = (20.0, 28.0)
GAP_MM = 3.0  # between lines that do not meet
SIGN_MM = 1.6  # clamps stand out so far from a bundle
HOLE_MM = 4.4  # half of the sign of a hole
TURNS = (90, -90, 45, -45, 135, -135, 0)  # in which a branch may leave, seen from its own side
STRAIGHT_ON = (0, 45, -45, 90, -90, 135, -135)
WORTH = {"to scale": 1.0, "longer": 0.7, "broken": 0.55}
TURN_COST = 0.04
MOST_BROKEN = 0.34  # share of a trunk's runs that may be broken to bring it onto the sheet

Drawn = Literal["to scale", "broken", "longer"]


@dataclass(frozen=True, slots=True)
class Laid:
    """One run as it lies on the sheet."""

    limb: int
    a: Spot
    b: Spot
    drawn: Drawn


@dataclass(slots=True)
class Figure:
    """One connected piece of a loom, laid; ``cuts`` are limbs that go on in another figure."""

    tree: Tree
    root: int
    scale: float  # millimetres on paper for each millimetre
    field: Field
    laid: dict[int, Laid] = made(default_factory=dict)
    spots: dict[int, Spot] = made(default_factory=dict)
    cuts: list[int] = made(default_factory=list)

    @property
    def off_scale(self) -> int:
        """How many runs are not drawn to scale."""
        return sum(each.drawn != "to scale" for each in self.laid.values())


def half_mm(limb: Limb) -> float:
    """Half of what a run takes across, with the signs on it."""
    if limb.run.hole_mm is not None:
        return HOLE_MM
    signs = 3.2 if limb.run.moves else bundles.thick_mm(limb.run) / 2 + SIGN_MM
    return max(signs, bundles.thick_mm(limb.run) / 2 + SIGN_MM)


def balloon(spot: Spot) -> Box:
    """What the ring of a place covers."""
    r = BALLOON_MM
    return spot[0] - r, spot[1] - r, spot[0] + r, spot[1] + r


def _ahead(spot: Spot, angle: int, far: float) -> Spot:
    turn = math.radians(angle)
    return round(spot[0] + far * math.cos(turn), 3), round(spot[1] + far * math.sin(turn), 3)


def _lengths(true_mm: float) -> Iterator[tuple[float, Drawn]]:
    """Lengths a run may be drawn at, the best first."""
    if true_mm >= LEAST_MM:
        yield true_mm, "to scale"
        for share in SHORTER:
            if true_mm * share >= BREAK_MM:
                yield true_mm * share, "broken"
    else:
        yield LEAST_MM, "longer"
    for each in LONGER_MM:
        if each > true_mm:
            yield each, "longer"


class _Layer:
    """Lays one figure."""

    def __init__(self, figure: Figure) -> None:
        self.figure = figure
        self.tree = figure.tree
        self.angles: dict[int, set[int]] = {}  # by node: directions that are taken
        self.came: dict[int, int] = {}  # by node: the direction in which it was reached
        self.flip: dict[int, int] = {}  # by node: side on which the last branch left

    def start(self, node: int, spot: Spot) -> None:
        self.figure.spots[node] = spot
        self.figure.field.add(Patch(balloon(spot), (node,)))

    def _run(self, at: int, spot: Spot, angle: int, choices: Sequence[tuple[float, Drawn]]) -> Laid | None:
        """Find the first length at which a run fits."""
        limb = self.tree.limbs[at]
        own = half_mm(limb)
        here = self.figure.field
        for far, drawn in choices:
            end = _ahead(spot, angle, far)
            if not here.holds(balloon(end)):
                continue
            line = Line(spot, end, own, (limb.above, limb.below))
            if here.line_free(line, GAP_MM) and here.box_free(balloon(end), GAP_MM):
                return Laid(at, spot, end, drawn)
        return None

    def _try(
        self, chain: Sequence[int], angle: int, trunk: Sequence[tuple[float, Drawn]] = ()
    ) -> tuple[float, list[Laid]]:
        """Lay a chain straight on as far as it goes, and take it up again; returns what it is worth."""
        spot = self.figure.spots[self.tree.limbs[chain[0]].above]
        worth, found, held = 0.0, list[Laid](), list[int]()
        for number, at in enumerate(chain):
            true = 1000 * self.tree.limbs[at].run.length_m * self.figure.scale
            choices = [trunk[number]] if trunk else list(_lengths(true))
            laid = self._run(at, spot, angle, choices)
            if laid is None:
                break
            found.append(laid)
            held += self._hold(laid)
            worth += WORTH[laid.drawn]
            spot = laid.b
        for each in held:
            self.figure.field.drop(each)
        return worth, found

    def _hold(self, laid: Laid) -> list[int]:
        limb = self.tree.limbs[laid.limb]
        line = Line(laid.a, laid.b, half_mm(limb), (limb.above, limb.below))
        here = self.figure.field
        return [here.add(line), here.add(Patch(balloon(laid.b), (limb.below,)))]

    def keep(self, found: Sequence[Laid], angle: int) -> None:
        for laid in found:
            limb = self.tree.limbs[laid.limb]
            self._hold(laid)
            self.figure.laid[laid.limb] = laid
            self.figure.spots[limb.below] = laid.b
            self.angles.setdefault(limb.above, set()).add(angle % 360)
            self.angles.setdefault(limb.below, set()).add((angle + 180) % 360)
            self.came[limb.below] = angle

    def branch(self, at: int) -> list[int]:
        """Lay a limb with what carries it on; returns the limbs laid, none when it finds no room."""
        node = self.tree.limbs[at].above
        came = self.came.get(node, 0)
        side = self.tree.sides[at]
        if self.flip.get(node) == side:
            side = -side
        chain = self.tree.chain(at)
        taken = self.angles.get(node, set())
        end = len(taken) == 1  # nothing goes on from here yet
        best: tuple[float, int, list[Laid]] | None = None
        for number, turn in enumerate(STRAIGHT_ON if end else TURNS):
            angle = came + side * turn
            if angle % 360 in taken:
                continue
            worth, found = self._try(chain, angle)
            worth -= TURN_COST * number
            if found and (best is None or worth > best[0] + 1e-9):
                best = worth, angle, found
        if best is None:
            return []
        self.keep(best[2], best[1])
        self.flip[node] = side
        return [laid.limb for laid in best[2]]

    def trunk(self, chain: Sequence[int], spot: Spot) -> list[int]:
        """Lay the trunk from a spot to the right."""
        room = self.figure.field.box[2] - spot[0] - BALLOON_MM
        _, found = self._try(chain, 0, _trunk_lengths(self.figure, chain, room))
        if not found:
            _, found = self._try(chain, 0)
        self.keep(found, 0)
        return [laid.limb for laid in found]


def _trunk_lengths(figure: Figure, chain: Sequence[int], room_mm: float) -> list[tuple[float, Drawn]]:
    """Return the length of every run of a trunk on the sheet; the longest broken where that brings it on."""
    true = [1000 * figure.tree.limbs[at].run.length_m * figure.scale for at in chain]
    plain: list[tuple[float, Drawn]] = [
        (each, "to scale") if each >= LEAST_MM else (LEAST_MM, "longer") for each in true
    ]
    if sum(each for each, _ in plain) <= room_mm:
        return plain
    order = sorted(range(len(true)), key=lambda at: -true[at])
    for count in range(1, int(MOST_BROKEN * len(true)) + 1):
        rest = sum(plain[at][0] for at in order[count:])
        each_mm = (room_mm - rest) / count
        if each_mm >= BREAK_MM and true[order[count - 1]] > each_mm:
            cut = set(order[:count])
            return [(each_mm - 0.01, "broken") if at in cut else found for at, found in enumerate(plain)]
    return plain


def _enqueue(tree: Tree, laid: Sequence[int], heap: list[tuple[float, int]]) -> None:
    """Put what leaves the ends of newly laid limbs into the queue, the farthest reaching first."""
    new = set(laid)
    for at in laid:
        for other in tree.leaving[tree.limbs[at].below]:
            if other not in new:
                heapq.heappush(heap, (-round(tree.reach_m[other], 6), other))


def lay(
    tree: Tree, *, scale: float, wide_mm: float, high_mm: float, first: int | None = None,
    down: float = 0.5, inset_mm: float = 4.0,
) -> Figure:  # fmt: skip
    """Lay a tree, or what begins with the limb ``first``, on a sheet.

    ``down``: where the trunk lies, as a share of the height.
    """
    root = 0 if first is None else tree.limbs[first].above
    figure = Figure(tree, root, scale, Field(wide_mm, high_mm))
    layer = _Layer(figure)
    begin = (BALLOON_MM + inset_mm, max(BALLOON_MM + 1.0, down * high_mm))
    layer.start(root, begin)
    heap: list[tuple[float, int]] = []
    heads = list(tree.leaving[root]) if first is None else [first]
    if heads:
        laid = layer.trunk(tree.chain(heads[0]), begin)
        _enqueue(tree, laid, heap)
        for other in heads[len(laid) > 0 :]:
            heapq.heappush(heap, (-round(tree.reach_m[other], 6), other))
    while heap:
        _, at = heapq.heappop(heap)
        laid = layer.branch(at)
        if laid:
            _enqueue(tree, laid, heap)
        else:
            figure.cuts.append(at)
    return figure


SCALES = (2, 5, 10, 20, 50, 100, 200, 500, 1000)  # 1:N, of ISO 5455 (memory)
DOWNS = (0.5, 0.35, 0.65)


def _cost(figure: Figure) -> float:
    return 4.0 * len(figure.cuts) + figure.off_scale


def best(tree: Tree, *, wide_mm: float, high_mm: float) -> list[Figure]:
    """Lay a whole tree at the scale at which least is cut off or out of scale; the larger of equals."""
    reach = max((tree.reach_m[at] for at in tree.leaving[0]), default=1.0)
    fit = next((at for at, n in enumerate(SCALES) if 1000 * reach / n <= wide_mm), len(SCALES) - 1)
    found: tuple[float, int, Figure] | None = None
    for n in SCALES[max(0, fit - 1) : fit + 2]:
        for down in DOWNS:
            figure = lay(tree, scale=1 / n, wide_mm=wide_mm, high_mm=high_mm, down=down)
            cost = _cost(figure)
            if found is None or cost < found[0] - 1e-9:
                found = cost, n, figure
            if cost == 0:
                break
        if found is not None and found[0] == 0:
            break
    assert found is not None
    figures = [found[2]]
    for figure in figures:
        for at in figure.cuts:
            figures.append(
                min(
                    (
                        lay(tree, scale=1 / found[1], wide_mm=wide_mm, high_mm=high_mm, first=at, down=down)
                        for down in DOWNS
                    ),
                    key=_cost,
                )
            )
    return figures
