"""What lies on the board: every loom as a tree of runs, with what lands at each place in words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from harness.drawing.board_layout import Board, Limb, Mark, Node, best, main_limb
from harness.drawing.bundles import count_words, style
from harness.drawing.loom_ends import landed as landed_end
from harness.joined import Joined
from harness.model.design import Design, PartResult, RunResult, Splice, Wire, WireEnd
from harness.model.looms import LoomResult

THINNEST_MM = 2.0  # a single thin wire is still drawn so thick
THICKEST_MM = 14.0  # drawn thicker a bundle would only take room: its diameter stands beside it
SHARES = (0.0, 0.5, 1.0)  # power of the number of wires in what has to say where the trunk goes
STARTS = (0.0, 0.25, 0.5)  # of the board's length, where the trunk may begin


@dataclass(frozen=True, slots=True)
class LoomBoard:
    """One loom laid flat, and what the sheets say of it."""

    name: str
    board: Board
    trunk: str  # from place to place
    listed: tuple[tuple[str, tuple[str, ...]], ...]  # letterless list: place and its lines
    doubled: tuple[str, ...]  # places that two branches end at
    kept_out: tuple[str, ...]  # runs with nothing new in them


def _short(end: WireEnd) -> str:
    """What is crimped on, in few words: "ring terminal M8", "female push-on 6.3 mm"."""
    kind = end.terminal.partition(",")[0]
    return f"{kind} {end.stud}".strip()


def _landings(part: PartResult, inside: frozenset[str], ends: Mapping[str, Wire]) -> Iterator[str]:
    """A line for each terminal that wires of the loom land on: "horn +: 44b female push-on 6.3 mm"."""
    for use in part.terminals:
        landed = [ends[number] for number in use.wires if number in inside and number in ends]
        if not landed:
            continue
        lugs: dict[str, list[str]] = {}
        for wire in landed:
            lugs.setdefault(_short(landed_end(part, use.terminal, wire)), []).append(wire.number)
        words = "; ".join(f"{', '.join(numbers)} {lug}".strip() for lug, numbers in lugs.items())
        yield f"{part.name} {use.terminal}: {words}"


def _splice_line(splice: Splice) -> str:
    where = f", {splice.spot}" if splice.spot else ""
    return f"splice {splice.name}: {', '.join(splice.wires)}{where}"


def _lines(design: Design, place: str, inside: frozenset[str]) -> tuple[str, ...]:
    """What lands at a place of the wires that come there."""
    found: list[str] = []
    ends = {wire.number: wire for wire in design.wires}
    for part in design.parts:
        if part.place == place:
            found += _landings(part, inside, ends)
    for splice in design.splices:
        if splice.place == place and inside.intersection(splice.wires):
            found.append(_splice_line(splice))
    found += [
        f"{wire.number}: capped"
        for wire in design.spares
        if wire.number in inside and place in (wire.from_.place, wire.to.place)
    ]
    return tuple(found)


def _inside(run: RunResult) -> list[str]:
    return [*run.wires, *run.spares]


def _label(run: RunResult) -> tuple[str, ...]:
    lines = [f"{run.length_m:.2f} m, {count_words(run)}, ø{run.bundle_mm:.1f} mm"]
    if run.covering:
        lines.append(run.covering)
    if run.hole_mm is not None:
        lines.append(f"hole ø{run.hole_mm:g} mm: {run.grommet or 'no grommet'}")
    if run.moves:
        lines.append("moves: leave a free loop here")
    return tuple(lines)


def weight(run: RunResult, share: float) -> float:
    """What a run has to say in where the trunk goes."""
    return float(run.length_m * len(run.wires) ** share)


class Graph:
    """The runs of one loom, without the one of each ring that is left open on the board."""

    def __init__(self, runs: Sequence[RunResult]) -> None:
        self.around: dict[str, list[tuple[RunResult, str]]] = {}
        self.open: list[RunResult] = []
        joined = Joined[str]()
        for run in sorted(runs, key=lambda run: (-len(run.wires), -run.length_m, run.name)):
            if not joined.join(run.start, run.end):
                self.open.append(run)
                continue
            self.around.setdefault(run.start, []).append((run, run.end))
            self.around.setdefault(run.end, []).append((run, run.start))
        self.ends = {run.name: self._open_from(run) for run in self.open}

    def _open_from(self, run: RunResult) -> str:
        """The end an open run stays on: the one with more branches."""
        return max((run.start, run.end), key=lambda place: (len(self.around.get(place, ())), place))

    def limbs(self, place: str, came: str) -> list[tuple[RunResult, str, bool]]:
        """Runs that leave a place, where they lead, and whether they end open."""
        found = [(run, there, False) for run, there in self.around.get(place, ()) if run.name != came]
        for run in self.open:
            if self.ends[run.name] == place:
                found.append((run, run.end if run.start == place else run.start, True))
        return found

    def farthest(self, place: str, share: float) -> tuple[float, str]:
        """The place farthest along the runs, each counted with its wires to the power of ``share``."""
        best, todo = (0.0, place), [(place, "", 0.0)]
        while todo:
            here, came, far = todo.pop()
            best = max(best, (round(far, 6), here))
            todo += [
                (there, run.name, far + weight(run, share))
                for run, there, open_ in self.limbs(here, came)
                if not open_
            ]
        return best


def _tree(design: Design, graph: Graph, root: str, new: frozenset[str], share: float) -> Node:
    """A place with all that hangs on it; what is farther out is made first, as deep as it goes."""
    came: list[tuple[str, RunResult | None]] = [(root, None)]  # places, and the run that leads to each
    leaving: list[
        list[tuple[RunResult, str, int]]
    ] = []  # of each place: run, where to, its number there or -1
    for place, run_here in came:
        limbs = []
        for run, there, open_ in graph.limbs(place, run_here.name if run_here else ""):
            limbs.append((run, there, -1 if open_ else len(came)))
            if not open_:
                came.append((there, run))
        leaving.append(limbs)
    nodes: dict[int, Node] = {}
    for at in range(len(came) - 1, -1, -1):
        place, run_here = came[at]
        seen = {*(_inside(run_here) if run_here else ()), *_at_one_place(design, place)}
        for run, _, _ in leaving[at]:
            seen.update(_inside(run))
        made = tuple(
            _limb(design, nodes.get(number), run, place, there, new, share)
            for run, there, number in leaving[at]
        )
        nodes[at] = Node(place, _lines(design, place, new.intersection(seen)), made)
    return nodes[0]


def _limb(
    design: Design,
    far: Node | None,
    run: RunResult,
    place: str,
    there: str,
    new: frozenset[str],
    share: float,
) -> Limb:
    """A run away from a place; without ``far`` it ends open."""
    far = far or Node(there, _lines(design, there, new.intersection(_inside(run))), ())
    thick = min(max(run.bundle_mm, THINNEST_MM), THICKEST_MM)
    pull, marks = weight(run, share), _marks(design, run, place)
    return Limb(run.name, 1000 * run.length_m, thick, _label(run), far, marks, style(run), pull)


def _marks(design: Design, run: RunResult, near: str) -> tuple[Mark, ...]:
    """Splices in a run, with how far they sit from the place it is entered at."""
    return tuple(
        Mark(
            splice.name,
            1000 * (splice.offset_m if splice.from_place == near else run.length_m - splice.offset_m),
        )
        for splice in design.splices
        if splice.run == run.name
    )


def _at_one_place(design: Design, place: str) -> frozenset[str]:
    """Wires that never leave a place."""
    return frozenset(
        wire.number for wire in design.wires if not wire.runs and wire.from_.place == wire.to.place == place
    )


def runs_of(loom: LoomResult, runs: Iterable[RunResult], couplers: Iterable[str]) -> list[RunResult]:
    """The runs a loom lies in: those between its places, and those to the ``couplers`` at its ends."""
    places = set(loom.places)
    ends = places.union(couplers)
    return [run for run in runs if {run.start, run.end} <= ends and {run.start, run.end} & places]


def _roots(design: Design, graph: Graph, new: frozenset[str]) -> list[Node]:
    """The loom as a tree from both ends of its trunk, for every way to tell which way that goes."""
    found: dict[tuple[str, float], Node] = {}
    for share in SHARES:
        start = graph.farthest(min(graph.around), share)[1]
        for place in (start, graph.farthest(start, share)[1]):
            found[place, share] = _tree(design, graph, place, new, share)
    return list(found.values())


def loom_boards(design: Design, *, width_mm: float) -> list[LoomBoard]:
    """Lay every loom of a design flat on a board ``width_mm`` long, each by itself."""
    new = frozenset(wire.number for wire in (*design.wires, *design.spares) if not wire.kept)
    couplers = [coupler.place for coupler in design.couplers]
    found = []
    for loom in design.looms:
        own = runs_of(loom, design.runs, couplers)
        runs = [run for run in own if new.intersection(_inside(run))]
        if not runs:
            continue
        graph = Graph(runs)
        starts = [share * width_mm for share in STARTS]
        root, board = best(_roots(design, graph, new), width_mm=width_mm, starts_mm=starts)
        listed = tuple((node.name, node.lines) for node in board.listed)
        doubled = tuple(run.end if graph.ends[run.name] == run.start else run.start for run in graph.open)
        found.append(
            LoomBoard(
                loom.name, board, f"{root.name} to {_tip(root)}", listed, doubled,
                tuple(run.name for run in own if _inside(run) and run not in runs),
            )
        )  # fmt: skip
    return found


def _tip(root: Node) -> str:
    node = root
    while node.limbs:
        node = main_limb(node.limbs).node
    return node.name
