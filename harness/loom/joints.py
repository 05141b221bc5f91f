"""A branch made as a splice, as a daisy-chain, or as wires side by side from the terminal that feeds it.

A daisy-chain goes from the branch's start to its first end and from there to the next, in the order of the
survey; side by side means a wire to each from the start. To compare them, a wire to one end is at least as
thick as the splice's wire to that end, the first of a chain as the one that feeds the splice, and all are so
thick that no end loses more volts than it does by the splice, or than 1 % of the system (Ohm's law).
That is to compare only: what is made is sized like all wires.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate

from harness.loom.lengths import cut_length
from harness.loom.ways import Ways
from harness.model.design import Point
from harness.model.joints import JointCount, JointResult, JointWay
from harness.model.laying import FREE
from harness.model.machine import End, Machine, Path, Run, Step, WireSpec
from harness.model.stages import Routed

WAYS: tuple[JointWay, ...] = ("splice", "chain", "stud")
SAME_KG = 1e-6
SMALL_SHARE = 0.01  # of the system's volts, a choice of ours: what may be lost whatever the splice loses
OHM_MM2_PER_M = 0.01995  # copper at 60 °C: 1/58 at 20 °C (IEC 60028) x (234.5 + 60) / 254.5


@dataclass(frozen=True, slots=True)
class Fork:
    """One branch: a wire to a splice, and from there one to each of its ends."""

    splice: str
    feed: WireSpec
    legs: tuple[WireSpec, ...]


def forks(machine: Machine) -> list[Fork]:
    """Every splice with one wire to it from a part and two or more from it to parts."""
    coming: dict[str, list[WireSpec]] = {}
    leaving: dict[str, list[WireSpec]] = {}
    for wire in machine.wires:
        if wire.b.kind == "splice":
            coming.setdefault(wire.b.name, []).append(wire)
        if wire.a.kind == "splice":
            leaving.setdefault(wire.a.name, []).append(wire)
    found = []
    for splice in machine.splices:
        feeds, legs = coming.get(splice.name, []), leaving.get(splice.name, [])
        ends = [*(feed.a for feed in feeds), *(leg.b for leg in legs)]
        if len(feeds) == 1 and len(legs) > 1 and all(end.kind == "part" for end in ends):
            found.append(Fork(splice.name, feeds[0], tuple(legs)))
    return found


class Landings:
    """How many wires land on every terminal, and how many each takes."""

    def __init__(self, machine: Machine, most_on: Mapping[str, int]) -> None:
        self._machine = machine
        self._most_on = most_on
        self.count = Counter(end for wire in machine.wires for end in (wire.a, wire.b) if end.kind == "part")

    def lacks(self, end: End, more: int) -> str:
        """Why a terminal does not take so many wires more, "" when it does."""
        part = self._machine.parts[end.name]
        fitting = next((each.fitting for each in part.terminals if each.name == end.terminal), "blade")
        most = self._most_on[fitting]
        wanted = self.count[end] + more
        return f"{end} is a {fitting} that takes {most}, not {wanted}" if wanted > most else ""

    def land(self, end: End, more: int) -> None:
        """Note wires that came to a terminal, or left it."""
        self.count[end] += more


def _not_so(fork: Fork, way: JointWay, landings: Landings) -> str:
    """Why a branch cannot be made in a way, "" when it can."""
    if way == "splice":
        return ""
    told = [wire for wire in (fork.feed, *fork.legs) if wire.keep or wire.size or wire.length_m is not None]
    if told or any(wire.laying != FREE for wire in (fork.feed, *fork.legs)):
        return "the survey says how a wire of the splice is made or laid"
    if len({wire.cable for wire in (fork.feed, *fork.legs)}) > 1:
        return "its wires are of different cable"
    if way == "stud":
        return landings.lacks(fork.feed.a, len(fork.legs) - 1)
    return next(filter(None, (landings.lacks(leg.b, 1) for leg in fork.legs[:-1])), "")


def _remade(fork: Fork, way: JointWay) -> list[WireSpec]:
    """The wires of a branch made in a way; each takes over the index of a leg."""
    if way == "splice":
        return [fork.feed, *fork.legs]
    starts = [fork.feed.a] * len(fork.legs)
    if way == "chain":
        starts[1:] = [leg.b for leg in fork.legs[:-1]]
    return [replace(leg, a=start) for leg, start in zip(fork.legs, starts, strict=True)]


@dataclass(frozen=True, slots=True)
class Measure:
    """What is needed to compare the ways: the machine as laid and sized."""

    machine: Machine
    routed: Routed
    areas_mm2: Mapping[int, float]
    currents_a: Mapping[int, float]  # wire -> the most it carries as long as a mode lasts
    sold_mm2: Sequence[float]  # every size there is, thinnest first
    kg_per_m_mm2: float
    ways: Ways
    runs: Mapping[str, Run]

    def _length_m(self, wire: WireSpec) -> float:
        if "splice" in (wire.a.kind, wire.b.kind):
            return self.routed.wires[wire.index].length_m
        a, b = (
            Point(end.name, end.terminal, self.machine.parts[end.name].place, "part")
            for end in (wire.a, wire.b)
        )
        passed = [self.runs[name] for name in self.ways.of(a.place).runs(b.place)]
        return cut_length(self.machine, wire, (a, b), passed, sum(run.length_m for run in passed))[0]

    def _lost(
        self, lengths: Sequence[float], areas: Sequence[float], currents: Sequence[float]
    ) -> list[float]:
        """Metre-amperes per mm2 of every wire: its volts lost but for the resistivity of copper."""
        return [far * amps / area for far, area, amps in zip(lengths, areas, currents, strict=True)]

    def _thick_enough(self, area_mm2: float) -> float:
        return next((sold for sold in self.sold_mm2 if sold >= area_mm2 * (1 - 1e-9)), area_mm2)

    def _areas(
        self, fork: Fork, way: JointWay, wires: Sequence[WireSpec], lengths: Sequence[float]
    ) -> list[float]:
        """How thick each wire has to be [mm2]."""
        own = [self.areas_mm2[wire.index] for wire in wires]
        if way == "splice":
            return own
        before = [fork.feed, *fork.legs]
        feed, *legs = self._lost(
            [self._length_m(wire) for wire in before],
            [self.areas_mm2[wire.index] for wire in before],
            [self.currents_a.get(wire.index, 0.0) for wire in before],
        )
        currents = [self.currents_a.get(wire.index, 0.0) for wire in wires]
        if way == "chain":
            own[0] = self.areas_mm2[fork.feed.index]
            currents = list(accumulate(reversed(currents)))[::-1]  # each stretch feeds all that come after
        lost = self._lost(lengths, own, currents)
        least = SMALL_SHARE * self.machine.voltage_v / OHM_MM2_PER_M
        may = [max(feed + leg, least) for leg in legs]
        shares = [mine / most for mine, most in zip(lost, may, strict=True)]
        if way == "chain":
            sums = zip(accumulate(lost), may, strict=True)
            shares = [max(total / most for total, most in sums)] * len(own)
        return [self._thick_enough(area * max(1.0, share)) for area, share in zip(own, shares, strict=True)]

    def count(self, fork: Fork, way: JointWay, not_so: str) -> JointCount:
        """Wire, copper, terminals and joints of a branch made in a way."""
        wires = _remade(fork, way)
        lengths = [self._length_m(wire) for wire in wires]
        areas = self._areas(fork, way, wires, lengths)
        copper = sum(length * area for length, area in zip(lengths, areas, strict=True)) * self.kg_per_m_mm2
        ends = 2 * len(wires) - (len(wires) if way == "splice" else 0)
        return JointCount(
            way, round(sum(lengths), 3), round(copper, 6), len(wires), ends, int(way == "splice"), not_so
        )


def _made(wish: str, counts: Sequence[JointCount]) -> JointWay:
    """The way wished for if it can be made, else a splice; of the least copper, fewest joints of equals."""
    able = [count for count in counts if not count.not_so]
    if wish == "least":
        return min(able, key=lambda count: (round(count.copper_kg / SAME_KG), count.splices)).way
    return next((count.way for count in able if count.way == wish), "splice")


def compared(measure: Measure, most_on: Mapping[str, int]) -> list[JointResult]:
    """Every branch with what each way comes to, and the one that is made; terminals fill as they go."""
    machine = measure.machine
    landings = Landings(machine, most_on)
    wishes = {splice.name: splice.joint or machine.joints for splice in machine.splices}
    found = []
    for fork in forks(machine):
        counts = [measure.count(fork, way, _not_so(fork, way, landings)) for way in WAYS]
        made = _made(wishes[fork.splice], counts)
        if made == "stud":
            landings.land(fork.feed.a, len(fork.legs) - 1)
        elif made == "chain":
            for leg in fork.legs[:-1]:
                landings.land(leg.b, 1)
        mine = next(count for count in counts if count.way == made)
        dearest = max(count.copper_kg for count in counts if not count.not_so)
        found.append(
            JointResult(
                fork.splice, fork.feed.circuit, str(fork.feed.a), [str(leg.b) for leg in fork.legs], made,
                wishes[fork.splice], counts, round(dearest - mine.copper_kg, 6),
            )
        )  # fmt: skip
    return found


def rejoined(machine: Machine, results: Iterable[JointResult]) -> Machine:
    """The machine with the branches that are not to be splices wired as found; nothing is left to wish."""
    made = {result.splice: result.made for result in results if result.made != "splice"}
    machine = replace(
        machine, joints="splice", splices=tuple(replace(splice, joint=None) for splice in machine.splices)
    )
    wires: dict[int, WireSpec] = {wire.index: wire for wire in machine.wires}
    for fork in forks(machine):
        if fork.splice in made:
            del wires[fork.feed.index]
            wires |= {wire.index: wire for wire in _remade(fork, made[fork.splice])}
    new = {old: at for at, old in enumerate(wires)}
    return replace(
        machine,
        wires=tuple(replace(wire, index=new[old]) for old, wire in wires.items()),
        splices=tuple(splice for splice in machine.splices if splice.name not in made),
        circuits=tuple(
            replace(circuit, paths=tuple(_renumbered(path, new) for path in circuit.paths))
            for circuit in machine.circuits
        ),
    )


def _renumbered(path: Path, new: Mapping[int, int]) -> Path:
    def steps() -> Iterator[Step]:
        for step in path.steps:
            if step.wire is None:
                yield step
            elif step.wire in new:
                yield replace(step, wire=new[step.wire])

    return replace(path, steps=tuple(steps()))
