"""Finds for every wire and splice of a design its fellow in the other, by what it joins and not by number.

Everything here is even-handed: with the designs exchanged the same pairs come out.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from harness.model.design import Design, PartResult, Point, Splice, Wire

T = TypeVar("T")
Ends = tuple[Hashable, Hashable]


@dataclass(frozen=True, slots=True)
class Pairs:
    """Who is whose fellow; positions in the lists of the designs, None where there is none."""

    parts: list[tuple[int | None, int | None]]
    splices: list[tuple[int | None, int | None]]
    wires: list[tuple[int | None, int | None]]


def pairs_by(
    old: Sequence[T], new: Sequence[T], key: Callable[[T], Hashable]
) -> list[tuple[int | None, int | None]]:
    """Pair by a key; those with the same key in their order, the rest stands alone."""
    waiting: dict[Hashable, list[int]] = defaultdict(list)
    for at, each in enumerate(old):
        waiting[key(each)].append(at)
    found: list[tuple[int | None, int | None]] = []
    for at, each in enumerate(new):
        same = waiting[key(each)]
        found.append((same.pop(0) if same else None, at))
    left = sorted(at for rest in waiting.values() for at in rest)
    return found + [(at, None) for at in left]


def _alone(pairs: Iterable[tuple[int | None, int | None]]) -> tuple[list[int], list[int]]:
    """Positions that have no fellow: of the old, of the new."""
    listed = list(pairs)
    return (
        [old for old, new in listed if old is not None and new is None],
        [new for old, new in listed if new is not None and old is None],
    )


def _look(part: PartResult) -> Hashable:
    terminals = tuple((use.terminal, use.fitting, use.size) for use in part.terminals)
    return part.kind, part.place, part.body, terminals


def paired_parts(old: Design, new: Design) -> list[tuple[int | None, int | None]]:
    """Parts by name; one that only got another name is the only one of its look left on each side."""
    pairs = pairs_by(old.parts, new.parts, lambda part: part.name)
    left, right = _alone(pairs)
    looks: dict[Hashable, tuple[list[int], list[int]]] = defaultdict(lambda: ([], []))
    for side, design, alone in ((0, old, left), (1, new, right)):
        for at in alone:
            looks[_look(design.parts[at])][side].append(at)
    renamed = {mine[0]: theirs[0] for mine, theirs in looks.values() if len(mine) == len(theirs) == 1}
    taken = set(renamed.values())
    kept = [(a, b) for a, b in pairs if not (b is None and a in renamed) and not (a is None and b in taken)]
    return kept + list(renamed.items())


class _Ends:
    """Ends of wires as both designs call them: parts by the new name, splices by the number of their pair."""

    def __init__(self, names: Mapping[str, str], splices: Mapping[str, Hashable]) -> None:
        self._names, self._splices = names, splices

    def of(self, point: Point) -> Hashable:
        if point.kind == "splice":
            return "splice", self._splices.get(point.part, point.part)
        return "part", self._names.get(point.part, point.part), point.terminal

    def both(self, wire: Wire) -> Ends:
        a, b = sorted((self.of(wire.from_), self.of(wire.to)), key=repr)
        return a, b


def _neighbours(design: Design, ends: _Ends) -> dict[str, Counter[Hashable]]:
    """For every splice the terminals that its wires lead to, and how many lead to a further splice."""
    found: dict[str, Counter[Hashable]] = {splice.name: Counter() for splice in design.splices}
    for wire in design.wires:
        for here, there in ((wire.from_, wire.to), (wire.to, wire.from_)):
            if here.kind == "splice" and here.part in found:
                found[here.part]["splice" if there.kind == "splice" else ends.of(there)] += 1
    return found


def paired_splices(old: Design, new: Design, names: Mapping[str, str]) -> list[tuple[int | None, int | None]]:
    """Splices by what they join: first those that join just the same, then those that share the most."""
    around = _neighbours(old, _Ends(names, {})), _neighbours(new, _Ends({}, {}))

    def exact(which: int) -> Callable[[Splice], Hashable]:
        return lambda splice: (splice.circuit, frozenset(around[which][splice.name].items()))

    waiting: dict[Hashable, list[int]] = defaultdict(list)
    for at, splice in enumerate(old.splices):
        waiting[exact(0)(splice)].append(at)
    twins: dict[Hashable, list[int]] = defaultdict(list)
    for at, splice in enumerate(new.splices):
        twins[exact(1)(splice)].append(at)
    found: dict[int, int] = {}
    for key, mine in waiting.items():
        theirs = twins.get(key, [])
        if len(mine) == len(theirs):
            found.update(zip(mine, theirs, strict=True))
    taken = set(found.values())
    by_end: dict[Hashable, list[int]] = defaultdict(list)
    for b, other in enumerate(new.splices):
        if b not in taken:
            for end in around[1][other.name]:
                if end != "splice":  # they all have those
                    by_end[end].append(b)
    scored = []
    for a, splice in enumerate(old.splices):
        if a in found:
            continue
        for b in sorted({b for end in around[0][splice.name] for b in by_end[end]}):
            other = new.splices[b]
            shared = (around[0][splice.name] & around[1][other.name]).total()
            total = (around[0][splice.name] | around[1][other.name]).total()
            alike = splice.circuit == other.circuit, splice.name == other.name
            if shared and (shared * 2 >= total or alike[0]):
                mark = (-shared / total, not alike[0], not alike[1], *sorted((splice.name, other.name)))
                scored.append((mark, a, b))
    _greedy(scored, found)
    return _listed(found, len(old.splices), len(new.splices))


def _greedy(scored: list[tuple[tuple[object, ...], int, int]], found: dict[int, int]) -> None:
    """Add the best pairs, each of the rest once."""
    taken = set(found.values())
    for _, a, b in sorted(scored, key=lambda each: each[0]):
        if a not in found and b not in taken:
            found[a] = b
            taken.add(b)


def _listed(found: Mapping[int, int], olds: int, news: int) -> list[tuple[int | None, int | None]]:
    back = {b: a for a, b in found.items()}
    pairs: list[tuple[int | None, int | None]] = [(back.get(at), at) for at in range(news)]
    return pairs + [(at, None) for at in range(olds) if at not in found]


def paired_wires(
    old: Design, new: Design, names: Mapping[str, str], splices: Sequence[tuple[int | None, int | None]]
) -> list[tuple[int | None, int | None]]:
    """Wires by what they join; then, within a circuit, by one end that they share: those were moved."""
    fellow = {old.splices[a].name: at for at, (a, b) in enumerate(splices) if a is not None and b is not None}
    here = {new.splices[b].name: at for at, (a, b) in enumerate(splices) if a is not None and b is not None}
    ours = _Ends(
        names, {splice.name: fellow.get(splice.name, f"old {splice.name}") for splice in old.splices}
    )
    theirs = _Ends({}, {splice.name: here.get(splice.name, f"new {splice.name}") for splice in new.splices})
    ends = [ours.both(wire) for wire in old.wires], [theirs.both(wire) for wire in new.wires]
    found: dict[int, int] = {}
    taken: set[int] = set()
    keys: tuple[Callable[[Wire, Ends], Hashable], ...] = (
        lambda wire, pair: (pair, wire.circuit, wire.number, wire.size, tuple(wire.runs)),
        lambda wire, pair: (pair, wire.circuit, wire.number),
        lambda wire, pair: (pair, wire.circuit),
        lambda _, pair: pair,
    )
    for key in keys:
        waiting: dict[Hashable, list[int]] = defaultdict(list)
        for a, wire in enumerate(old.wires):
            if a not in found:
                waiting[key(wire, ends[0][a])].append(a)
        for b, wire in enumerate(new.wires):
            same = waiting.get(key(wire, ends[1][b])) if b not in taken else None
            if same:
                found[same.pop(0)] = b
                taken.add(b)
    by_end: dict[Hashable, list[int]] = defaultdict(list)
    for b in range(len(new.wires)):
        if b not in taken:
            for end in set(ends[1][b]):
                by_end[end].append(b)
    scored: list[tuple[tuple[object, ...], int, int]] = []
    for a, wire in enumerate(old.wires):
        if a in found:
            continue
        for b in sorted({b for end in ends[0][a] for b in by_end[end]}):
            other = new.wires[b]
            if wire.circuit != other.circuit:
                continue
            mark = (
                wire.number != other.number, wire.kept != other.kept, wire.colour != other.colour,
                abs(wire.length_m - other.length_m), *sorted((wire.number, other.number)),
            )  # fmt: skip
            scored.append((mark, a, b))
    _greedy(scored, found)
    return _listed(found, len(old.wires), len(new.wires))


def paired(old: Design, new: Design) -> Pairs:
    """Pair parts, splices and wires of two designs."""
    parts = paired_parts(old, new)
    names = {old.parts[a].name: new.parts[b].name for a, b in parts if a is not None and b is not None}
    splices = paired_splices(old, new, names)
    return Pairs(parts, splices, paired_wires(old, new, names, splices))
