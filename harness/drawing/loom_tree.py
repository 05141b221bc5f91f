"""The looms as trees of places: which run is trunk, which is branch, and on which side a branch leaves."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from harness.drawing import engine
from harness.drawing.board_plan import Graph, runs_of, weight
from harness.joined import Joined
from harness.model.design import Design, RunResult

SHARE = 0.5  # power of the number of wires in what has to say where the trunk goes
MOST_LIMBS = 300  # a larger tree takes its sides in turn, without the engine
TRUNK_WEIGHT = 100
BOX_MM, BOX_GAP_MM = 8.0, 4.0  # of a place, for the engine


@dataclass(frozen=True, slots=True)
class Limb:
    """A run as it is drawn: from the place nearer the root to the one beyond."""

    run: RunResult
    above: int
    below: int


@dataclass(frozen=True, slots=True)
class Tree:
    """One loom, or one piece of it; node 0 is the root, where its trunk begins."""

    loom: str
    places: tuple[str, ...]  # by node; a place where a ring is left open stands twice
    limbs: tuple[Limb, ...]
    leaving: tuple[tuple[int, ...], ...]  # by node: the limbs that leave it, the trunk's first
    reach_m: tuple[float, ...]  # by limb: length of the longest way that begins with it
    sides: tuple[int, ...] = ()  # by limb: -1 where its branch wants to leave upwards, else 1

    def chain(self, limb: int) -> list[int]:
        """Return a limb and what carries it on to its end."""
        found = [limb]
        while self.leaving[self.limbs[found[-1]].below]:
            found.append(self.leaving[self.limbs[found[-1]].below][0])
        return found


def _pieces(runs: Iterable[RunResult]) -> list[list[RunResult]]:
    """Sort runs into what hangs together."""
    joined = Joined[str]()
    all_ = list(runs)
    for run in all_:
        joined.join(run.start, run.end)
    found: dict[str, list[RunResult]] = {}
    for run in all_:
        found.setdefault(joined.top(run.start), []).append(run)
    return list(found.values())


def _looms(design: Design) -> list[tuple[str, list[RunResult]]]:
    """Return every run once: with the loom it is built into, else with what lies on the machine besides."""
    couplers = [coupler.place for coupler in design.couplers]
    left = {run.name: run for run in design.runs}
    found = []
    for loom in design.looms:
        runs = runs_of(loom, left.values(), couplers)
        for run in runs:
            del left[run.name]
        found += [(loom.name, piece) for piece in _pieces(runs)]
    name = "runs without new wire" if design.looms else "loom"
    return found + [(name, piece) for piece in _pieces(left.values())]


def _root(design: Design, graph: Graph) -> str:
    """Return the end of the trunk that the survey names first."""
    start = graph.farthest(min(graph.around), SHARE)[1]
    order = {place: at for at, place in enumerate(design.places)}
    return min((start, graph.farthest(start, SHARE)[1]), key=lambda place: (order.get(place, 0), place))


def _grown(loom: str, graph: Graph, root: str) -> Tree:
    places, limbs = [root], list[Limb]()
    leaving: list[list[int]] = [[]]
    waiting = [(0, "")]
    for node, came in waiting:
        for run, there, open_ in graph.limbs(places[node], came):
            leaving[node].append(len(limbs))
            limbs.append(Limb(run, node, len(places)))
            places.append(there)
            leaving.append([])
            if not open_:
                waiting.append((len(places) - 1, run.name))
    reach, pull = [0.0] * len(limbs), [0.0] * len(limbs)
    for at in range(len(limbs) - 1, -1, -1):
        beyond = leaving[limbs[at].below]
        reach[at] = limbs[at].run.length_m + max((reach[each] for each in beyond), default=0.0)
        pull[at] = weight(limbs[at].run, SHARE) + max((pull[each] for each in beyond), default=0.0)
    ordered = (
        sorted(each, key=lambda at: (-round(pull[at], 6), -round(reach[at], 6), at)) for each in leaving
    )
    return Tree(loom, tuple(places), tuple(limbs), tuple(map(tuple, ordered)), tuple(reach))


def _graph(tree: Tree) -> engine.Graph:
    """Describe a tree to the layout engine: a box for each place, the trunk the straightest."""
    trunk = set(tree.chain(tree.leaving[0][0]))
    middle = (BOX_MM / 2,)
    return engine.Graph(
        tuple(engine.Node(BOX_MM, middle) for _ in tree.places),
        tuple(
            engine.Edge(limb.above, 0, limb.below, 0, TRUNK_WEIGHT if at in trunk else 1)
            for at, limb in enumerate(tree.limbs)
        ),
        BOX_GAP_MM,
    )


def _sided(tree: Tree, tops: Sequence[float] | None) -> Tree:
    """Give every limb the side on which the engine has put it, without an engine one after the other."""
    if tops is None:
        return replace(tree, sides=tuple(1 if at % 2 else -1 for at in range(len(tree.limbs))))
    sides = tuple(-1 if tops[limb.below] < tops[limb.above] - 0.01 else 1 for limb in tree.limbs)
    return replace(tree, sides=sides)


def trees(design: Design) -> list[Tree]:
    """Return every loom of a design as a tree, with one start of the layout engine; raises EngineFailed."""
    found = []
    for loom, runs in _looms(design):
        graph = Graph(runs)
        found.append(_grown(loom, graph, _root(design, graph)))
    asked = [tree for tree in found if 1 < len(tree.limbs) <= MOST_LIMBS]
    tops = dict(zip(map(id, asked), engine.tops_mm([_graph(tree) for tree in asked]), strict=True))
    return [_sided(tree, tops.get(id(tree))) for tree in found]
