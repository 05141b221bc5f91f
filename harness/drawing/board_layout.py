"""Lays a loom flat at full size: the trunk in straight legs to and fro, branches beneath, nothing crossing.

All lengths are millimetres at 1:1; x runs along the board and y down it. A branch leaves the line it hangs on
straight down and then runs beside it. Branches of a leg are laid from its far end to its near end, each under
all that lies in its way already, so that the stub of the next one always finds its way down free.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import accumulate, pairwise

from harness.drawing import metrics
from harness.drawing.ink import text_width, wrapped
from harness.drawing.svg import Spot

TITLE_MM = 4.0
TEXT_MM = 2.8
COLUMN_MM = 86.0
NARROW_MM = 26.0  # a note no wider than this goes into the list instead
COLUMN_LINES = 18
CLEAR_MM = 12.0  # free between a line and what lies above it
BESIDE_MM = 14.0  # between the stubs of two branches that leave one point
LABEL_IN_MM = 12.0  # half a bundle and a little
NOTE_IN_MM = 6.0  # from a place to the words beside it
LABEL_MM = 120.0
UNDER_MM = 2.6  # from a line to the words under it
TURN_MM = 24.0  # from a turn to the branches it encloses
LEG_MM = 420.0  # a branch wants at least this much room to run
LEAST_HALF = 0.5  # a leg is turned back in its second half only
STRETCH_MM = 40.0  # a branch that is too short for its way down is drawn this much longer than that way
SETTLE = 12  # rounds until a leg's depth stands
MOST_STRETCHES = 30  # of each limb of a chain; boards of real machines need far fewer


@dataclass(frozen=True, slots=True)
class Node:
    """A place of the loom with what lands there, and the limbs that leave it away from the root."""

    name: str
    lines: tuple[str, ...]
    limbs: tuple[Limb, ...]


@dataclass(frozen=True, slots=True)
class Mark:
    """Something that sits on a limb: a splice."""

    text: str
    at_mm: float  # from the limb's nearer end


@dataclass(frozen=True, slots=True)
class Limb:
    """One run, and the place it leads to."""

    run: str
    length_mm: float
    thick_mm: float
    label: tuple[str, ...]
    node: Node
    marks: tuple[Mark, ...] = ()
    look: str = "bare"  # of its covering, one of bundles.STYLES
    pull: float = 0.0  # what it has to say in where the trunk goes: the more, the straighter
    reach_mm: float = field(init=False)  # of the longest way that begins with it
    heaviest: float = field(init=False)  # how much the way that pulls most of those has to say

    def __post_init__(self) -> None:
        beyond = self.node.limbs
        reach_mm = self.length_mm + max((each.reach_mm for each in beyond), default=0.0)
        heaviest = self.pull + max((each.heaviest for each in beyond), default=0.0)
        object.__setattr__(self, "reach_mm", reach_mm)
        object.__setattr__(self, "heaviest", heaviest)


@dataclass(frozen=True, slots=True)
class _Asked:
    """A chain to lay: a limb and its longest continuation, from the last of ``spots``, down then along."""

    first: Limb
    spots: tuple[Spot, ...]
    s: int  # 1 to the right, -1 to the left
    low: float  # x between which it has to stay
    high: float
    root: Node | None = None  # the place the chain begins at, when it hangs on nothing


@dataclass(frozen=True, slots=True)
class LaidRun:
    """One run as it lies on the board."""

    limb: Limb
    spots: tuple[Spot, ...]
    stretched_mm: float  # how much longer it is drawn than it is; 0 when at full size


@dataclass(frozen=True, slots=True)
class LaidNote:
    """The text at a place, with its upper left corner; columns of lines."""

    node: Node
    x: float
    y: float
    width_mm: float
    height_mm: float
    title: tuple[str, ...]
    columns: tuple[tuple[str, ...], ...]
    column_x: tuple[float, ...]  # from the note's left edge


@dataclass(frozen=True, slots=True)
class LaidLabel:
    """The text under a run, with its upper left corner."""

    run: str
    x: float
    y: float
    lines: tuple[str, ...]


@dataclass(slots=True)
class Board:
    """Everything as it lies on the board; ``listed`` are notes that found no room beside their place."""

    width_mm: float
    height_mm: float = 0.0
    runs: list[LaidRun] = field(default_factory=list)
    notes: list[LaidNote] = field(default_factory=list)
    labels: list[LaidLabel] = field(default_factory=list)
    nodes: list[tuple[Node, Spot]] = field(default_factory=list)
    corners: list[Spot] = field(default_factory=list)
    listed: list[Node] = field(default_factory=list)


def main_limb(limbs: Sequence[Limb]) -> Limb:
    """The limb that carries the trunk on."""
    return max(limbs, key=lambda limb: (round(limb.heaviest, 6), round(limb.reach_mm, 6), limb.run))


def chain_of(limb: Limb) -> list[Limb]:
    """A limb and what goes on from it the longest way to its end."""
    found = [limb]
    while found[-1].node.limbs:
        found.append(main_limb(found[-1].node.limbs))
    return found


def _note(node: Node, room_mm: float) -> LaidNote | None:
    """A note no wider than the room, not yet placed; None when the room is too narrow."""
    count = min(max(1, -(-len(node.lines) // COLUMN_LINES)), max(1, int(room_mm // COLUMN_MM)))
    column_mm = min(COLUMN_MM, room_mm)
    if column_mm < NARROW_MM:
        return None
    title = tuple(wrapped(node.name, TITLE_MM, column_mm * count - 4.0))
    lines = [part for line in node.lines for part in wrapped(line, TEXT_MM, column_mm - 4.0)]
    deep = -(-len(lines) // count)
    columns = tuple(tuple(lines[at : at + deep]) for at in range(0, len(lines), deep or 1))
    high = metrics.LINE * (len(title) * TITLE_MM + deep * TEXT_MM) + 2.0
    widths = [max((text_width(line, TEXT_MM) for line in column), default=0.0) + 4.0 for column in columns]
    wide = max(
        sum(widths) if len(columns) < 2 else column_mm * (len(columns) - 1) + widths[-1],
        max(text_width(line, TITLE_MM, bold=True) for line in title) + 2.0,
    )
    starts = tuple(1.0 + column_mm * number for number in range(len(columns)))
    return LaidNote(node, 0.0, 0.0, wide, high, title, columns, starts)


class _Skyline:
    """How deep the board is taken, from the top, over every stretch of its length."""

    def __init__(self) -> None:
        self._taken: list[tuple[float, float, float]] = []

    def depth(self, x0: float, x1: float) -> float:
        low, high = min(x0, x1), max(x0, x1)
        return max((y for a, b, y in self._taken if a < high and b > low), default=0.0)

    def take(self, x0: float, x1: float, y: float) -> None:
        self._taken.append((min(x0, x1), max(x0, x1), y))

    def copy(self) -> _Skyline:
        found = _Skyline()
        found._taken = list(self._taken)
        return found


@dataclass(slots=True)
class _Way:
    """One chain of limbs on its way over the board: corners with how far along the chain they stand."""

    chain: list[Limb]
    lengths: list[float]  # as drawn
    ends: list[float]  # distance along the chain of every limb's far end
    spots: list[Spot]
    along: list[float]
    stretches: int = 0  # how often a limb of it was drawn longer

    def go(self, x: float, y: float) -> None:
        """Carry the line on to a spot, straight."""
        last = self.spots[-1]
        far = abs(x - last[0]) + abs(y - last[1])
        if far > 1e-9:
            self.spots.append((x, y))
            self.along.append(self.along[-1] + far)

    def at(self, far: float) -> Spot:
        """The spot so far along the chain."""
        for (a, b), (p, q) in zip(pairwise(self.along), pairwise(self.spots), strict=True):
            if far <= b + 1e-9:
                share = (far - a) / (b - a) if b > a else 0.0
                return p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1])
        return self.spots[-1]

    def piece(self, start: float, end: float) -> tuple[Spot, ...]:
        """The line between two distances along the chain."""
        inner = [spot for far, spot in zip(self.along, self.spots, strict=True) if start < far < end]
        return (self.at(start), *inner, self.at(end))


@dataclass(frozen=True, slots=True)
class _Stop:
    """A place on a leg."""

    at_mm: float  # from where the leg begins
    number: int  # of the limb that ends there; -1 is the chain's own start
    node: Node
    others: tuple[Limb, ...]  # what leaves there beside the chain


class _Layer:
    """Puts chains on one board."""

    def __init__(self, width_mm: float) -> None:
        self.board = Board(width_mm)
        self.sky = _Skyline()

    def chains(self, trunk: _Asked) -> None:
        """Lay a chain with all that hangs on it, as deep as that goes: each branch whole before the next."""
        begun = [self._chain(trunk)]
        while begun:
            branch = next(begun[-1], None)
            if branch is None:
                begun.pop()
            else:
                begun.append(self._chain(branch))

    def _chain(self, asked: _Asked) -> Iterator[_Asked]:
        """Lay a chain leg by leg; yields each branch, to be laid before it goes on."""
        limbs, s, root = chain_of(asked.first), asked.s, asked.root
        way = _Way(limbs, [limb.length_mm for limb in limbs], [], [asked.spots[0]], [0.0])
        for spot in asked.spots[1:]:
            way.go(*spot)
        way.lengths[0] = max(way.lengths[0], way.along[-1] + STRETCH_MM / 2)
        while True:
            way.ends = [*accumulate(way.lengths)]
            yield from self._leg(way, s, asked.low, asked.high, root)
            s, root = -s, None
            if way.along[-1] >= way.ends[-1] - 1e-6:
                break
        self._close(way, leg=way.spots[0][1] if asked.root is None else None)

    def _close(self, way: _Way, *, leg: float | None) -> None:
        """Note the limbs of a chain as they lie; ``leg``: depth of the leg that it hangs on."""
        start = 0.0
        for limb, drawn, end in zip(way.chain, way.lengths, way.ends, strict=True):
            spots = way.piece(start, end)
            self.board.runs.append(LaidRun(limb, spots, drawn - limb.length_mm))
            self.board.nodes.append((limb.node, spots[-1]))
            self._label(limb, spots, leg)
            start = end
        self.board.corners += way.spots[1:-1]

    def _label(self, limb: Limb, spots: Sequence[Spot], leg: float | None) -> None:
        """Under the longest level piece that is its own; it has been kept free."""
        level = [
            (abs(b[0] - a[0]), a, b) for a, b in pairwise(spots) if abs(a[1] - b[1]) < 1e-9 and a[1] != leg
        ]
        if not level:
            return
        _, a, b = max(level, key=lambda each: each[0])
        lines = _label_lines(limb, abs(b[0] - a[0]))
        if lines:
            x = min(a[0], b[0]) + _label_in_mm(limb)
            self.board.labels.append(
                LaidLabel(limb.run, x, a[1] + limb.thick_mm / 2 + UNDER_MM, tuple(lines))
            )

    def _stops(self, way: _Way, begin: float, length: float, root: Node | None) -> list[_Stop]:
        found = []
        if root is not None:
            others = tuple(limb for limb in root.limbs if limb is not way.chain[0])
            found.append(_Stop(0.0, -1, root, others))
        for number, (limb, end) in enumerate(zip(way.chain, way.ends, strict=True)):
            if begin - 1e-6 <= end <= begin + length + 1e-6 and end > 1e-6:
                on = way.chain[number + 1] if number + 1 < len(way.chain) else None
                others = tuple(each for each in limb.node.limbs if each is not on)
                found.append(_Stop(end - begin, number, limb.node, others))
        return found

    def _notes(
        self, stops: Sequence[_Stop], length: float, beyond_mm: float
    ) -> list[tuple[_Stop, LaidNote | None]]:
        """What is written at every stop, in the room up to the next one."""
        found = []
        for at, stop in enumerate(stops):
            room = (
                stops[at + 1].at_mm - stop.at_mm if at + 1 < len(stops) else length - stop.at_mm + beyond_mm
            )
            found.append((stop, _note(stop.node, room - NOTE_IN_MM - 4.0)))
        return found

    def _leg(self, way: _Way, s: int, low: float, high: float, root: Node | None) -> Iterator[_Asked]:
        """Lay one leg of a chain; yields what hangs on it."""
        x, y = way.spots[-1]
        limit = high if s > 0 else low
        room = max(abs(limit - x), 1.0)
        depth, begin, length, notes, last = y, way.along[-1], 0.0, [], False
        for _ in range(SETTLE):
            before = depth
            if root is None:
                self._stretch(way, depth - y)
            begin = way.along[-1] + (depth - y if root is None else 0.0)
            rest = way.ends[-1] - begin
            tail = _note(way.chain[-1].node, COLUMN_MM)
            tail_mm = tail.width_mm + NOTE_IN_MM + 5.0 if tail else 0.0
            cramped = way.stretches > MOST_STRETCHES * len(way.chain)  # it would only go down, for ever
            last = rest + tail_mm <= room or rest <= 30.0 or cramped
            length = rest if last else self._turn(way, begin, room)
            stops = self._stops(way, begin, length, root)
            beyond = max(room - length, tail_mm) if last else 0.0
            notes = self._notes(stops, length, beyond)
            depth = max(depth, self._needed(way, x, s, length, notes))
            if depth - before < 1e-6:
                break
        if root is not None:
            way.spots[-1] = (x, depth)
        way.go(x, depth)
        end_x = x + s * length
        way.go(end_x, depth)
        self._write(notes, x, depth, s, max(limb.thick_mm for limb in way.chain))
        self.sky.take(x, end_x, self._under(way, begin, length, depth))
        inner = end_x - s * TURN_MM if not last else limit
        yield from self._branches(notes, x, depth, s, inner)

    def _stretch(self, way: _Way, stub_mm: float) -> None:
        """Draw the next limb longer where its way down alone takes more than it has."""
        done = way.along[-1]
        for number, end in enumerate(way.ends):
            if done < end - 1e-6:
                lack = stub_mm + STRETCH_MM - (end - done)
                if lack > STRETCH_MM - 15.0 and way.chain[number].length_mm:
                    way.stretches += 1
                    way.lengths[number] += lack
                    way.ends = [*accumulate(way.lengths)]
                return

    def _turn(self, way: _Way, begin: float, room: float) -> float:
        """How long a leg is that has to turn back: no branch shortly before the turn, no place in it."""
        forks = [stop.at_mm for stop in self._stops(way, begin, room, None) if stop.others]
        ahead = [end - begin for end in way.ends if end > begin]
        choices = [room, *(fork - 20.0 for fork in forks), *(stop + 12.0 for stop in ahead)]
        choices = [each for each in choices if LEAST_HALF * room <= each <= room] or [room]

        def merit(length: float) -> tuple[float, float]:
            before = [fork for fork in forks if fork <= length]
            gap = length - before[-1] if before else LEG_MM
            near = min((stop - length for stop in ahead if stop > length), default=LEG_MM)
            return min(gap, LEG_MM) + min(near, LEG_MM / 2), length

        return max(choices, key=merit)

    def _under(self, way: _Way, begin: float, length: float, depth: float) -> float:
        """How deep a leg reaches with its thickness and the labels of its runs."""
        low, start = depth, 0.0
        for limb, end in zip(way.chain, way.ends, strict=True):
            inside = min(end, begin + length) - max(start, begin)
            start = end
            if inside > 0:
                lines = _label_lines(limb, inside)
                high = limb.thick_mm / 2 + UNDER_MM + 1.5 + len(lines) * metrics.LINE * TEXT_MM
                low = max(low, depth + high)
        return low

    def _needed(
        self,
        way: _Way,
        x: float,
        s: int,
        length: float,
        notes: Sequence[tuple[_Stop, LaidNote | None]],
    ) -> float:
        """The least depth at which a leg and its notes clear what lies above."""
        thick = max(limb.thick_mm for limb in way.chain)
        need = self.sky.depth(x - 1.0, x + s * length) + CLEAR_MM + thick / 2
        for stop, note in notes:
            if note is None:
                continue
            left = x + s * (stop.at_mm + NOTE_IN_MM)
            above = self.sky.depth(left, left + s * note.width_mm)
            need = max(need, above + note.height_mm + thick / 2 + 6.0)
        return need

    def _write(
        self,
        notes: Sequence[tuple[_Stop, LaidNote | None]],
        x: float,
        depth: float,
        s: int,
        thick_mm: float,
    ) -> None:
        for stop, note in notes:
            if note is None:
                self.board.listed.append(stop.node)
                continue
            edge = x + s * (stop.at_mm + NOTE_IN_MM)
            left = edge if s > 0 else edge - note.width_mm
            top = depth - 3.0 - thick_mm / 2 - note.height_mm
            self.board.notes.append(replace(note, x=left, y=top))
            self.sky.take(left, left + note.width_mm, depth)

    def _branches(
        self,
        notes: Sequence[tuple[_Stop, LaidNote | None]],
        x: float,
        depth: float,
        s: int,
        inner: float,
    ) -> Iterator[_Asked]:
        """What leaves a leg, from its far end back."""
        stops = [stop for stop, _ in notes if stop.others]
        for at in range(len(stops) - 1, -1, -1):
            stop = stops[at]
            before = stops[at - 1].at_mm if at else 0.0
            here = x + s * stop.at_mm
            ordered = sorted(stop.others, key=lambda limb: (limb.reach_mm, limb.run))
            for number, limb in enumerate(ordered):
                start = here - s * BESIDE_MM * number
                ahead = abs(inner - start)
                behind = stop.at_mm - before - BESIDE_MM * (number + 1) - TURN_MM
                # back along the leg only the last may go: it would lie across the way down of a later one
                last = number == len(ordered) - 1
                forward = ahead >= min(limb.reach_mm + COLUMN_MM, LEG_MM) or ahead >= behind or not last
                edge, way = (inner, s) if forward else (start - s * behind, -s)
                bounds = (start, edge) if way > 0 else (edge, start)
                yield _Asked(limb, ((here, depth), (start, depth)), way, *bounds)


def _label_in_mm(limb: Limb) -> float:
    """From either end of a level piece to the words under it: the branches of its place leave there."""
    return LABEL_IN_MM + BESIDE_MM * max(0, len(limb.node.limbs) - 2)


def _label_lines(limb: Limb, level_mm: float) -> list[str]:
    """The label of a run under a level piece of it; none where that is too short."""
    room_mm = min(level_mm - 2 * _label_in_mm(limb), LABEL_MM)
    if room_mm < NARROW_MM:
        return []
    return [part for line in limb.label for part in wrapped(line, TEXT_MM, room_mm)]


def lay(root: Node, *, width_mm: float, start_mm: float = 0.0, margin_mm: float = 15.0) -> Board:
    """Lay a loom flat on a board of some width; its height comes out as what the loom needs.

    ``start_mm``: how far from the left edge the trunk begins.
    """
    layer = _Layer(width_mm)
    if root.limbs:
        low, high = margin_mm, width_mm - margin_mm
        start_mm += BESIDE_MM * (len(root.limbs) - 1)  # what else leaves there goes down before it
        layer.chains(_Asked(main_limb(root.limbs), ((low + start_mm, margin_mm),), 1, low, high, root))
    board = layer.board
    if root.limbs:
        first = next(run for run in board.runs if run.limb is main_limb(root.limbs))
        board.nodes.insert(0, (root, first.spots[0]))
    bottom = max((y for _, _, y in layer.sky._taken), default=0.0)
    board.height_mm = bottom + margin_mm
    return board


def best(roots: Sequence[Node], *, width_mm: float, starts_mm: Sequence[float]) -> tuple[Node, Board]:
    """The way to lay a loom that draws least too long, then lists least apart, then takes least height."""
    tried = [(root, lay(root, width_mm=width_mm, start_mm=start)) for root in roots for start in starts_mm]
    return min(
        tried,
        key=lambda each: (
            round(sum(run.stretched_mm for run in each[1].runs), 3), len(each[1].listed), each[1].height_mm
        ),
    )  # fmt: skip
