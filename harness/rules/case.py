"""One machine and its design as the rules see them: a graph of terminals, and which are fed or return."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Literal, TypeVar, cast

from harness.electric.graph import WINDING_OHM, ground_ohm, joint_ohm
from harness.model.design import Design, Fuse, LoadResult, Point, RunResult, Wire
from harness.model.machine import End, Link, Machine, Part, Run, WireSpec
from harness.rules import traits

Found = TypeVar("Found")
WayKind = Literal["wire", "contact", "fuse", "load", "bus", "source", "joint"]


@dataclass(frozen=True, slots=True)
class Way:
    """One way for current between two points: a wire (its index) or a part's inner link."""

    a: End
    b: End
    kind: WayKind
    wire: int | None = None
    part: str = ""
    link: Link | None = None

    def other(self, end: End) -> End:
        """The point at its far end, seen from ``end``."""
        return self.b if end == self.a else self.a


Passes = Callable[[Way, End], bool]  # may current be followed along this way, coming from this point?


def conducts(way: Way, _from: End) -> bool:
    """Metal, closed contacts and fuses; no load, no source."""
    return way.kind not in ("load", "source")


def before_fuse(way: Way, _from: End) -> bool:
    """Metal and closed contacts, up to the first fuse."""
    return way.kind in ("wire", "contact", "bus", "joint")


def _metal(way: Way, _from: End) -> bool:
    return way.kind in ("wire", "bus", "fuse", "joint")


def along_loads(way: Way, here: End) -> bool:
    """Through metal, and through a load from its inlet on: a lamp in series with what it watches."""
    return way.kind != "source" and (way.kind != "load" or here == way.a)


def part_end(part: Part, terminal: str) -> End:
    """The point a part's terminal is; its case is the body it sits on."""
    if terminal == "case" and part.body is not None:
        return End("body", part.body)
    return End("part", part.name, terminal)


def _ways(machine: Machine) -> Iterator[Way]:
    for wire in machine.wires:
        yield Way(wire.a, wire.b, "wire", wire=wire.index)
    for part in machine.parts.values():
        for link in part.links:
            kind = "load" if link.resistance_ohm >= WINDING_OHM else link.kind
            yield Way(part_end(part, link.a), part_end(part, link.b), kind, part=part.name, link=link)
        if part.role == "ground" and part.body is not None:
            for terminal in part.terminals:
                here = End("part", part.name, terminal.name)
                yield Way(here, End("body", part.body), "joint", part=part.name)


class Case:
    """Machine and design with lookups; everything is worked out once, when a rule first asks for it."""

    def __init__(self, machine: Machine, design: Design) -> None:
        self.machine = machine
        self.design = design
        self._found: dict[Hashable, object] = {}

    def once(self, work: Callable[[Case], Found]) -> Found:
        """What ``work`` finds in this case, worked out when first asked for: several rules may want it."""
        if work not in self._found:
            self._found[work] = work(self)
        return cast(Found, self._found[work])

    # --- lookups --------------------------------------------------------------------------------------------

    @cached_property
    def ways(self) -> tuple[Way, ...]:
        """Wires in their order, then the insides of parts in the order of the survey."""
        return tuple(_ways(self.machine))

    @cached_property
    def at(self) -> dict[End, list[Way]]:
        """The ways that meet at each point."""
        found: dict[End, list[Way]] = {}
        for way in self.ways:
            found.setdefault(way.a, []).append(way)
            if way.b != way.a:
                found.setdefault(way.b, []).append(way)
        return found

    def parts(self, test: Callable[[Part], bool]) -> list[Part]:
        """Parts that pass a test of :mod:`harness.rules.traits`, in the order of the survey."""
        return [part for part in self.machine.parts.values() if test(part)]

    def wires(self) -> Iterator[tuple[WireSpec, Wire]]:
        """Every wire as called for and as designed."""
        yield from zip(self.machine.wires, self.design.wires, strict=True)

    def number(self, index: int) -> str:
        return self.design.wires[index].number

    def numbers(self, indexes: Iterable[int], most: int = 6) -> str:
        """Wire numbers in a line, cut short after ``most``."""
        names = [self.number(index) for index in indexes]
        rest = len(names) - most
        return ", ".join(names[:most]) + (f" and {rest} more" if rest > 0 else "")

    @cached_property
    def too_hot(self) -> frozenset[int]:
        """Wires whose way is as hot as their insulation stands; of them one rule speaks, and no other."""
        return frozenset(spec.index for spec, wire in self.wires() if wire.ambient_factor <= 0)

    def say_wire(self, index: int) -> str:
        """A wire in words: its number and what it joins."""
        spec = self.machine.wires[index]
        return f"wire {self.number(index)} ({self.say_end(spec.a)} to {self.say_end(spec.b)})"

    def say_end(self, end: End) -> str:
        """A point in words; the terminal is left out where the part has only the one."""
        part = self.machine.parts.get(end.name) if end.kind == "part" else None
        return end.name if part is not None and len(part.terminals) == 1 else str(end)

    def is_strap(self, spec: WireSpec) -> bool:
        """Whether a wire joins metal to metal: body, ground point, return post."""
        return self.is_low(spec.a) and self.is_low(spec.b)

    def joined_drop_v(self, index: int, amps: float) -> float:
        """Volts over a wire, its two joints, and the stud in the metal where it ends on a body [V]."""
        made, spec = self.design.wires[index], self.machine.wires[index]
        ohm = made.resistance_ohm
        for end, point in ((spec.a, made.from_), (spec.b, made.to)):
            ohm += joint_ohm(self.machine, point)
            if end.kind == "body":
                ohm += ground_ohm()
        return amps * ohm

    def step_drop_v(self, way: Way, amps: float) -> float:
        """Volts over one step of the way home [V]: a wire with its joints, or a stud in its metal."""
        if way.wire is not None:
            return self.joined_drop_v(way.wire, amps)
        return amps * ground_ohm() if way.kind == "joint" else 0.0

    def fitting(self, point: Point) -> str:
        """What a wire lands on at a point of the design: "stud", "blade" ...; "" at a splice."""
        part = self.machine.parts.get(point.part) if point.kind == "part" else None
        terminals = part.terminals if part else ()
        return next((term.fitting for term in terminals if term.name == point.terminal), "")

    def is_wired(self, part: Part, link: Link) -> bool:
        """Whether a wire lands on either end of a link."""
        return bool(self.wires_at(part_end(part, link.a)) or self.wires_at(part_end(part, link.b)))

    def wires_at(self, end: End) -> list[int]:
        """Indexes of the wires that land on a point."""
        return [way.wire for way in self.at.get(end, ()) if way.wire is not None]

    @cached_property
    def fuse_results(self) -> dict[tuple[str, str], Fuse]:
        return {(fuse.part, fuse.link): fuse for fuse in self.design.fuses}

    @cached_property
    def load_results(self) -> dict[tuple[str, str], LoadResult]:
        return {(load.part, load.link): load for load in self.design.loads}

    @cached_property
    def runs_by_name(self) -> dict[str, tuple[Run, RunResult]]:
        """Every run as measured and as filled, in the order of the survey."""
        filled = {run.name: run for run in self.design.runs}
        return {run.name: (run, filled[run.name]) for run in self.machine.runs}

    def loads(self) -> Iterator[tuple[Part, Link]]:
        """Every load of every part."""
        for part in self.machine.parts.values():
            for link in part.links:
                if link.load is not None:
                    yield part, link

    def load_link(self, load: LoadResult) -> tuple[Part, Link]:
        """The part and inner link that a load of the design is."""
        part = self.machine.parts[load.part]
        return part, next(link for link in part.links if link.name == load.link)

    def say_load(self, load: LoadResult) -> str:
        """A load in words: its part, with the terminal where that has several loads."""
        several = sum(link.load is not None for link in self.machine.parts[load.part].links) > 1
        return f"{load.part} {load.link.partition('/')[0]}" if several else load.part

    # --- walking --------------------------------------------------------------------------------------------

    def reach(
        self, starts: Iterable[End], passes: Passes, stops: Callable[[End], bool] | None = None
    ) -> dict[End, Way | None]:
        """Every point current can be followed to, nearest first, with the way it was come by.

        A point for which ``stops`` holds is reached but not left again. Two contacts of one part are never
        taken one after the other: a changeover contact is on one side or on the other.
        """
        found: dict[End, Way | None] = dict.fromkeys(sorted(starts))
        todo: list[tuple[End, str]] = [(start, "") for start in found]
        seen = set(todo)
        for here, by_contact_of in todo:
            if stops is not None and stops(here):
                continue
            for way in self.at.get(here, ()):
                is_contact = way.kind == "contact"
                if not passes(way, here) or (is_contact and way.part == by_contact_of):
                    continue
                there = way.other(here)
                found.setdefault(there, way)
                state = (there, way.part if is_contact else "")
                if state not in seen:
                    seen.add(state)
                    todo.append(state)
        return found

    def way_back(self, tree: dict[End, Way | None], end: End) -> list[Way]:
        """The ways from the start of a walk to ``end``, start first."""
        found: list[Way] = []
        way = tree[end]
        while way is not None:
            found.append(way)
            end = way.other(end)
            way = tree[end]
        return found[::-1]

    def charge_way(self, end: End) -> list[Way]:
        """The ways from a generator's live terminal to the nearest live post; [] where none leads there."""
        tree = self.reach([end], conducts, stops=self.is_low)
        post = next((post for post in tree if post in self.live_posts), None)
        return self.way_back(tree, post) if post is not None else []

    # --- posts ----------------------------------------------------------------------------------------------

    @cached_property
    def batteries(self) -> list[Part]:
        return self.parts(traits.is_battery)

    @cached_property
    def alternators(self) -> list[Part]:
        return self.parts(traits.is_alternator)

    @cached_property
    def starters(self) -> list[Part]:
        return self.parts(traits.is_starter)

    def _posts(self, sign: str) -> list[End]:
        return [End("part", part.name, sign) for part in self.batteries]

    @property
    def chassis_sign(self) -> str:
        """Sign of the battery post that goes to the chassis."""
        return "-" if self.machine.chassis_post == "negative" else "+"

    @property
    def live_sign(self) -> str:
        return "+" if self.machine.chassis_post == "negative" else "-"

    @cached_property
    def mid_posts(self) -> frozenset[End]:
        """Posts that join two batteries in series, over an isolator too: part of the volts, and live."""

        def passes(way: Way, here: End) -> bool:
            return _metal(way, here) or (
                way.kind == "contact" and traits.is_isolator(self.machine.parts[way.part])
            )

        live = self._posts(self.live_sign)
        low = set(self._posts(self.chassis_sign))
        found: set[End] = set()
        for post in live:
            tied = low & self.reach([post], passes, stops=lambda end: end.kind == "body").keys()
            found |= {post, *tied} if tied else set()
        return frozenset(found)

    @cached_property
    def live_posts(self) -> frozenset[End]:
        """Posts at full system voltage against the chassis."""
        return frozenset(self._posts(self.live_sign)) - self.mid_posts

    @cached_property
    def return_posts(self) -> frozenset[End]:
        """Posts everything has to come back to; without a battery the alternator's own."""
        if not self.batteries:
            return frozenset(
                part_end(part, link.a if part_end(part, link.b) == end else link.b)
                for part, end in self.alternator_outputs()
                for link in part.links
                if link.kind == "source"
            )
        return frozenset(self._posts(self.chassis_sign)) - self.mid_posts

    def alternator_outputs(self) -> list[tuple[Part, End]]:
        """Live terminal of every alternator or dynamo: on positive ground its minus, unless it has none."""
        positive = self.machine.chassis_post == "positive"
        return [
            (part, part_end(part, link.b if positive and link.b != "case" else link.a))
            for part in self.alternators
            for link in part.links
            if link.kind == "source"
        ]

    def converter_outputs(self) -> list[tuple[Part, End]]:
        """Live output of every voltage converter."""
        return [
            (part, part_end(part, link.a if self.live_sign == "+" else link.b))
            for part in self.parts(traits.is_converter)
            for link in part.links
            if link.kind == "source"
        ]

    def starter_mains(self) -> list[tuple[Part, Link]]:
        """Every starter with the load of its motor."""
        return [(part, main) for part in self.starters if (main := traits.main_load(part)) is not None]

    # --- what is fed, what returns ---------------------------------------------------------------------

    def is_low(self, end: End) -> bool:
        """Whether a point is chassis: a body, a ground point or the return post."""
        at_ground = end.kind == "part" and self.machine.parts[end.name].role == "ground"
        return end.kind == "body" or at_ground or end in self.return_posts

    def is_live_post(self, end: End) -> bool:
        return end in self.live_posts or end in self.mid_posts

    @cached_property
    def sources(self) -> frozenset[End]:
        """Live posts of batteries, the middle of a pair included, alternator and converter outputs."""
        made = {end for _, end in (*self.alternator_outputs(), *self.converter_outputs())}
        return self.live_posts | self.mid_posts | made

    @cached_property
    def fed(self) -> dict[End, Way | None]:
        """Points that get full voltage with every contact closed, nearest to a source first."""
        return self.reach(self.sources, conducts, stops=self.is_low)

    @cached_property
    def from_battery(self) -> dict[End, Way | None]:
        """The same from the batteries alone: tells which side of a fuse is the source's."""
        return self.reach(self.live_posts | self.mid_posts, conducts, stops=self.is_low)

    @cached_property
    def returned(self) -> dict[End, Way | None]:
        """Points from which current gets back to the battery through metal, with every contact closed."""
        return self.reach(self.return_posts, conducts, stops=self.is_live_post)

    def downstream(self, part: str, link: Link) -> tuple[End, End] | None:
        """A link's ends, source side first; None when neither is fed."""
        order = self._nearness
        way = self._inner[part, link.name]
        if way.a not in order and way.b not in order:
            return None
        far = len(order)
        return (way.a, way.b) if order.get(way.a, far) <= order.get(way.b, far) else (way.b, way.a)

    @cached_property
    def _nearness(self) -> dict[End, int]:
        """Fed points by how near a source they are, what the batteries feed first."""
        return {end: at for at, end in enumerate(dict.fromkeys([*self.from_battery, *self.fed]))}

    @cached_property
    def _inner(self) -> dict[tuple[str, str], Way]:
        """The inner links of parts, by part and link."""
        return {(way.part, way.link.name): way for way in self.ways if way.link is not None}
