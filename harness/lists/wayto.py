"""The way of the current from the battery to a load and back to the chassis post, point by point."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from heapq import heappop, heappush

from harness.model.design import Design, Fuse, InnerLink, PartResult, Point, Splice, Wire
from harness.model.operating import Operating

Spot = tuple[str, str, str]  # kind (part, splice, body), name, terminal
Key = tuple[str, str]  # ("wire", its number) or (part, link)
Cost = tuple[int, int, float, int]  # contacts that rest in the mode, contacts, ohm, steps
LINK_OHM = 1e-3  # of the inside of a part, so that a way through fewer parts is taken
NEAR: Cost = (0, 0, 0.0, 0)
FAR: Cost = (1000, 0, 0.0, 0)  # taken only where nothing else leads
PASSING = ("fuse", "bus", "contact")


@dataclass(frozen=True, slots=True)
class Stretch:
    """One way for current between two points: a wire, or the inside of a part."""

    key: Key
    kind: str  # wire, fuse, contact, bus, coupler, ground, load
    a: Spot
    b: Spot
    wire: Wire | None = None


@dataclass(frozen=True, slots=True)
class Leg:
    """A stretch as it is passed, and the point behind it."""

    stretch: Stretch
    forward: bool  # from a to b
    at: Spot  # the point it leads to


@dataclass(frozen=True, slots=True)
class WayTo:
    """The whole way of one load: feed, the load itself, and return."""

    part: str
    link: str
    start: Spot  # the live post
    feed: tuple[Leg, ...]
    load: Leg
    back: tuple[Leg, ...]  # () where no way leads back
    rests: tuple[Key, ...]  # contacts on it that no circuit of the mode is drawn through

    @property
    def legs(self) -> tuple[Leg, ...]:
        """Everything passed, from the live post to the chassis post."""
        return (*self.feed, self.load, *self.back)

    @property
    def whole(self) -> bool:
        """Whether it comes back to the chassis post."""
        return bool(self.back)


@dataclass
class Atlas:
    """The stretches of a design in one mode, and the shortest ways over them."""

    design: Design
    mode: str

    @cached_property
    def operating(self) -> Operating | None:
        """What the mode settles at, at working speed."""
        found = [each for each in self.design.operating if each.mode == self.mode]
        return next((each for each in found if each.speed != "idle"), found[0] if found else None)

    @cached_property
    def parts(self) -> Mapping[str, PartResult]:
        """Parts by name."""
        return {part.name: part for part in self.design.parts}

    @cached_property
    def splices(self) -> Mapping[str, Splice]:
        """Splices by name."""
        return {splice.name: splice for splice in self.design.splices}

    @cached_property
    def fuses(self) -> Mapping[Key, Fuse]:
        """Fuses by the part and link they sit in."""
        return {(fuse.part, fuse.link): fuse for fuse in self.design.fuses}

    @cached_property
    def wires(self) -> Mapping[str, Wire]:
        """Wires by number."""
        return {wire.number: wire for wire in self.design.wires}

    @cached_property
    def used(self) -> frozenset[Key]:
        """Ways through parts that the circuits of this mode are drawn through."""
        return frozenset(
            (step.part, step.link)
            for circuit in self.design.circuits
            if self.mode in circuit.modes
            for path in circuit.paths
            for step in path
            if step.part is not None and step.link is not None
        )

    def spot(self, part: PartResult, terminal: str) -> Spot:
        """The point of a terminal; a case is the body it sits on."""
        if terminal == "case" and part.body is not None:
            return ("body", part.body, "")
        return ("part", part.name, terminal)

    @cached_property
    def stretches(self) -> tuple[Stretch, ...]:
        """Every way for current, wires first; loads and sources are no way through."""
        return tuple(self._stretches())

    def _stretches(self) -> Iterator[Stretch]:
        for wire in self.design.wires:
            yield Stretch(("wire", wire.number), "wire", _end(wire.from_), _end(wire.to), wire)
        for part in self.design.parts:
            for link in part.links:
                if link.kind in PASSING:
                    kind = "coupler" if part.role == "coupler" else link.kind
                    yield self.inside(part, link, kind)
            if part.role == "ground" and part.body is not None:
                for use in part.terminals:
                    here = ("part", part.name, use.terminal)
                    yield Stretch((part.name, use.terminal), "ground", here, ("body", part.body, ""))

    def inside(self, part: PartResult, link: InnerLink, kind: str) -> Stretch:
        """The stretch of a link."""
        return Stretch((part.name, link.name), kind, self.spot(part, link.a), self.spot(part, link.b))

    @cached_property
    def around(self) -> Mapping[Spot, list[tuple[Stretch, Spot]]]:
        """Point -> stretches from it, with their other end."""
        found: dict[Spot, list[tuple[Stretch, Spot]]] = {}
        for one in self.stretches:
            found.setdefault(one.a, []).append((one, one.b))
            found.setdefault(one.b, []).append((one, one.a))
        return found

    def _reach(
        self, starts: Mapping[Spot, Cost], *, bodies: bool
    ) -> tuple[dict[Spot, Cost], dict[Spot, Leg]]:
        """The cheapest way from any start to every point: its cost, and the leg that leads there."""
        cost: dict[Spot, Cost] = dict(starts)
        came: dict[Spot, Leg] = {}
        heap = [(value, spot) for spot, value in cost.items()]
        while heap:
            value, here = heappop(heap)
            if value > cost[here]:
                continue
            for one, other in self.around.get(here, ()):
                if other[0] == "body" and not bodies:
                    continue
                contact = one.kind == "contact"
                rests = contact and one.key not in self.used
                ohm = one.wire.resistance_ohm if one.wire is not None else LINK_OHM
                step = (value[0] + rests, value[1] + contact, value[2] + ohm, value[3] + 1)
                if other not in cost or step < cost[other]:
                    cost[other], came[other] = step, Leg(one, one.a == here, other)
                    heappush(heap, (step, other))
        return cost, came

    @cached_property
    def posts(self) -> tuple[tuple[Spot, ...], tuple[Spot, ...]]:
        """Live posts and chassis posts: of the batteries, else of what generates."""
        sources = [part for part in self.design.parts if part.role == "source"]
        batteries = [part for part in sources if part.kind == "battery"] or sources
        sign = "-" if self.design.machine.chassis_post == "negative" else "+"
        live, home = [], []
        for part in batteries:
            for link in part.links:
                if link.kind == "source":
                    chassis = link.b if link.b in (sign, "case") else link.a
                    home.append(self.spot(part, chassis))
                    live.append(self.spot(part, link.a if chassis == link.b else link.b))
        top = max((abs(self.volts(spot) or 0.0) for spot in live), default=0.0)
        return (
            tuple(spot for spot in live if abs(self.volts(spot) or 0.0) > 0.75 * top or not top),
            tuple(spot for spot in home if abs(self.volts(spot) or 0.0) < 0.25 * top or not top),
        )

    @cached_property
    def _feeds(self) -> tuple[dict[Spot, Cost], dict[Spot, Leg]]:
        starts: dict[Spot, Cost] = dict.fromkeys(self._converted(), FAR)
        return self._reach(starts | dict.fromkeys(self.posts[0], NEAR), bodies=False)

    def _converted(self) -> Iterator[Spot]:
        """Terminals of the other sources: where a way begins that no battery reaches, behind a converter."""
        for part in self.design.parts:
            if part.role == "source" and part.kind != "battery":
                for link in part.links:
                    if link.kind == "source":
                        spots = (self.spot(part, end) for end in (link.a, link.b))
                        yield from (spot for spot in spots if spot[0] == "part" and self.volts(spot))

    @cached_property
    def _returns(self) -> tuple[dict[Spot, Cost], dict[Spot, Leg]]:
        return self._reach(dict.fromkeys(self.posts[1], NEAR), bodies=True)

    def volts(self, spot: Spot) -> float | None:
        """What a meter shows from the chassis post to a point when all is well [V]; None: nothing."""
        if self.operating is None:
            return None
        sign = -1.0 if self.design.machine.chassis_post == "positive" else 1.0
        found = self.operating.points_v.get(point_name(spot))
        return None if found is None else sign * found + 0.0

    def amps(self, stretch: Stretch) -> float | None:
        """What flows in a wire when all is well [A]; None for the inside of a part."""
        if self.operating is None or stretch.wire is None:
            return None
        found = self.operating.wires_a.get(stretch.wire.number)
        return None if found is None else abs(found)

    def place(self, spot: Spot) -> str:
        """Where a point is, "" for a body."""
        kind, name, _ = spot
        if kind == "splice":
            splice = self.splices.get(name)
            return "" if splice is None else splice.spot or splice.place
        part = self.parts.get(name) if kind == "part" else None
        return "" if part is None else part.place

    def load(self, part: PartResult, link: InnerLink) -> WayTo | None:
        """The way of one load; None where no battery reaches it."""
        one = self.inside(part, link, "load")
        cost, came = self._feeds
        near = [spot for spot in (one.a, one.b) if spot in cost]
        if not near:
            return None
        feed = min(near, key=lambda spot: cost[spot][:2])
        other = one.b if feed == one.a else one.a
        there = []
        here = feed
        while here in came:
            leg = came[here]
            there.append(leg)
            here = leg.stretch.a if leg.forward else leg.stretch.b
        back, at = [], other
        home = self._returns[1]
        while at in home:
            leg = home[at]
            before = leg.stretch.a if leg.forward else leg.stretch.b
            back.append(Leg(leg.stretch, not leg.forward, before))
            at = before
        through = Leg(one, feed == one.a, other)
        legs = [*reversed(there), through, *back]
        rest = tuple(
            leg.stretch.key
            for leg in legs
            if leg.stretch.kind == "contact" and leg.stretch.key not in self.used
        )
        return WayTo(part.name, link.name, here, tuple(reversed(there)), through, tuple(back), rest)

    @cached_property
    def loads(self) -> tuple[WayTo, ...]:
        """The ways of all loads, in the order of the survey."""
        found = (
            self.load(part, link) for part in self.design.parts for link in part.links if link.kind == "load"
        )
        return tuple(way for way in found if way is not None)

    @cached_property
    def on(self) -> frozenset[Key]:
        """Loads that draw in this mode, by part and link."""
        if self.operating is None:
            return frozenset()
        return frozenset((one.part, one.link) for one in self.operating.loads)

    @cached_property
    def sharing(self) -> Mapping[Key, tuple[str, ...]]:
        """Stretch -> parts whose current passes it in this mode, in the order of the survey."""
        found: dict[Key, dict[str, None]] = {}
        for way in self.loads:
            if (way.part, way.link) in self.on:
                for leg in (*way.feed, *way.back):
                    found.setdefault(leg.stretch.key, {})[way.part] = None
        return {key: tuple(names) for key, names in found.items()}

    @cached_property
    def closed(self) -> frozenset[Key]:
        """Contacts that are closed in this mode: drawn so, or on the way of a load that is on."""
        return self.used | {key for way in self.loads if (way.part, way.link) in self.on for key in way.rests}

    def open(self, way: WayTo) -> tuple[Key, ...]:
        """Contacts on a way that are open in this mode."""
        return tuple(key for key in way.rests if key not in self.closed)

    def through(self, keys: Iterable[Key], spots: Iterable[Spot] = ()) -> list[WayTo]:
        """The ways that pass any of some stretches or points; those that are on in this mode first."""
        wanted, touched = set(keys), set(spots)
        found = [
            way
            for way in self.loads
            if any(leg.stretch.key in wanted or leg.at in touched for leg in way.legs)
        ]
        return sorted(found, key=lambda way: ((way.part, way.link) not in self.on, len(self.open(way))))


def point_name(spot: Spot) -> str:
    """A point by the name its volts go under in the design: "key 15", "splice S1", "body cab"."""
    kind, name, terminal = spot
    return f"{name} {terminal}".rstrip() if kind == "part" else f"{kind} {name}"


def _end(point: Point) -> Spot:
    return (point.kind, point.part, point.terminal)


def best_mode(design: Design, part: str) -> str:
    """The mode in which most of a part's loads draw; the last of the design where none does."""
    counts = {
        state.mode: sum(one.part == part and one.current_a > 0 for one in state.loads)
        for state in design.operating
    }
    return max(counts, key=lambda mode: counts[mode], default=design.modes[-1].name if design.modes else "")


def modes_of(design: Design) -> Sequence[str]:
    """Names of the modes."""
    return [mode.name for mode in design.modes]
