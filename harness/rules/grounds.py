"""The way home: what each body's loads send back, and what every strap carries, loses and lets sneak."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from harness.model.grounds import Ground, GroundCable, Sneak
from harness.model.machine import End, Link, Part
from harness.rules import traits
from harness.rules.bridges import Bridges, bridges
from harness.rules.case import Case, Way, conducts, part_end

PASSIVE = ("wire", "bus", "fuse", "joint")
BACKWARDS = ("lamp", "heater", "coil", "motor")  # natures that pass current either way


@dataclass(frozen=True, slots=True)
class Outlet:
    """Where one load's or source's current comes out, by the point of the ground side it hangs on."""

    part: Part
    link: Link
    anchor: End


def _steady_a(outlet: Outlet) -> float:
    return outlet.link.load.steady_a if outlet.link.load is not None else 0.0


class GroundSide:
    """The metal between the loads' outlets and the chassis post, worked out once for a case."""

    def __init__(self, case: Case) -> None:
        self.case = case

    @cached_property
    def points(self) -> frozenset[End]:
        """What leads home and is not fed; a changeover contact that grounds a live point does not count."""
        return frozenset(
            end for end in self.case.returned if end not in self.case.fed or self.case.is_low(end)
        )

    @cached_property
    def ways(self) -> tuple[Way, ...]:
        """Every way for current with both ends on the ground side."""
        return tuple(
            way
            for way in self.case.ways
            if conducts(way, way.a) and way.a in self.points and way.b in self.points and way.a != way.b
        )

    @cached_property
    def found(self) -> Bridges:
        homes = [end for end in sorted(self.case.return_posts) if end in self.points]
        return bridges([(way.a, way.b) for way in self.ways], homes)

    @cached_property
    def passive(self) -> frozenset[End]:
        """Points that lead home with every switch open but an isolator."""

        def passes(way: Way, _: End) -> bool:
            shut = way.kind == "contact" and traits.is_isolator(self.case.machine.parts[way.part])
            return way.kind in PASSIVE or shut

        return frozenset(self.case.reach(self.case.return_posts, passes, stops=self.case.is_live_post))

    @cached_property
    def outlets(self) -> tuple[Outlet, ...]:
        """Every wired load, alternator and dynamo with the point of the ground side it hangs on."""
        return tuple(self._outlets())

    def _outlets(self) -> Iterator[Outlet]:
        case = self.case
        live = {end for _, end in case.alternator_outputs()}
        for part in case.machine.parts.values():
            for link in part.links:
                gives = link.kind == "source" and traits.is_alternator(part)
                if not (link.kind == "load" or gives) or not case.is_wired(part, link):
                    continue
                turned = link.kind == "source" and part_end(part, link.b) in live
                anchor = self._anchor(part_end(part, link.a if turned else link.b))
                if anchor is not None:
                    yield Outlet(part, link, anchor)

    def _anchor(self, end: End) -> End | None:
        """The first point of the ground side on the way home; past a contact that may be live."""
        while end in self.case.returned and end not in self.points:
            way = self.case.returned[end]
            if way is None:
                return None
            end = way.other(end)
        return end if end in self.points else None

    # --- straps ---------------------------------------------------------------------------------------------

    @cached_property
    def lost(self) -> dict[int, dict[str, float]]:
        """Wire without a way round -> what has no way home when it is open, with its steady amperes [A]."""
        found: dict[int, dict[str, float]] = {}
        for outlet in self.outlets:
            for edge in self.found.chain(outlet.anchor):
                wire = self.ways[edge].wire
                if wire is not None:
                    mine = found.setdefault(wire, {})
                    mine[outlet.part.name] = mine.get(outlet.part.name, 0.0) + _steady_a(outlet)
        return found

    @cached_property
    def feeds(self) -> dict[End, int]:
        """Points behind switches, numbered by what hangs together with every contact open; no live ones.

        A lamp whose feed is switched off hangs on its neighbours of the same feed and on nothing else.
        """
        case, found, live = self.case, dict[End, int](), set[int]()

        def passes(way: Way, _: End) -> bool:
            return way.kind in PASSIVE

        for start in case.at:
            if start in found or start in self.points:
                continue
            island = case.reach([start], passes, stops=lambda end: end in self.points)
            number = len(found)
            inside = [end for end in island if end not in self.points]
            found.update(dict.fromkeys(inside, number))
            if any(end in case.sources for end in inside):
                live.add(number)
        return {end: number for end, number in found.items() if number not in live}

    @cached_property
    def sneaks(self) -> dict[int, list[Sneak]]:
        """Wire without a way round -> the ways home through loads that its loss opens."""
        groups: dict[int, list[Outlet]] = {}
        for outlet in self.outlets:
            number = self.feeds.get(part_end(outlet.part, outlet.link.a))
            if number is not None and self._passes_back(outlet):
                groups.setdefault(number, []).append(outlet)
        found: dict[int, list[Sneak]] = {}
        for group in groups.values():
            inside: dict[int, list[Outlet]] = {}
            for outlet in group:
                for edge in self.found.chain(outlet.anchor):
                    inside.setdefault(edge, []).append(outlet)
            for edge, through in inside.items():
                wire = self.ways[edge].wire
                sneak = self._sneak(wire, through, group)
                if wire is not None and sneak is not None and sneak not in found.setdefault(wire, []):
                    found[wire].append(sneak)
        return found

    def _passes_back(self, outlet: Outlet) -> bool:
        load = outlet.link.load
        lets = load is not None and load.nature in BACKWARDS and not outlet.part.needs_polarity
        return lets and part_end(outlet.part, outlet.link.b) in self.passive

    def _sneak(self, wire: int | None, through: list[Outlet], group: list[Outlet]) -> Sneak | None:
        """A way back through some loads of a feed and out by the others; None when nothing drives it.

        Drivers, loads taken backwards and loads behind lie in series, each as a resistance by its current.
        """
        if wire is None or len(through) == len(group):
            return None
        names = dict.fromkeys(outlet.part.name for outlet in through)
        out = dict.fromkeys(one.part.name for one in group if one.part.name not in names)
        amps = [
            sum(amps for name, amps in self.lost.get(wire, {}).items() if name not in names),
            *(sum(_steady_a(one) for one in group if one.part.name in mine) for mine in (names, out)),
        ]
        if not out or min(amps) <= 0:
            return None
        return Sneak(list(names), list(out), (1 / amps[2]) / sum(1 / each for each in amps))

    # --- ways round -----------------------------------------------------------------------------------------

    @cached_property
    def _meshed(self) -> dict[End, list[Way]]:
        """The part of the ground side where every way has a way round."""
        only = self.found.span.keys()
        found: dict[End, list[Way]] = {}
        for at, way in enumerate(self.ways):
            if at not in only:
                found.setdefault(way.a, []).append(way)
                found.setdefault(way.b, []).append(way)
        return found

    def way_round(self, wire: int) -> list[int]:
        """Wires of the shortest way from one end of a strap to the other without it; [] without one."""
        spec = self.case.machine.wires[wire]
        came: dict[End, Way | None] = {spec.a: None}
        for here in (order := [spec.a]):
            for way in self._meshed.get(here, ()):
                other = way.other(here)
                if way.wire != wire and other not in came:
                    came[other] = way
                    order.append(other)
            if spec.b in came:
                break
        steps = self.case.way_back(came, spec.b) if spec.b in came else []
        return [step.wire for step in steps if step.wire is not None]


# ------------------------------------------------------------------------------------------- for the design


def _worst(amps: dict[str, float]) -> tuple[str, float]:
    mode = max(amps, key=lambda name: amps[name], default="")
    return mode, amps.get(mode, 0.0)


def ground_cables(side: GroundSide) -> list[GroundCable]:
    """Every strap and battery cable of the ground side, and every wire that several parts return by."""
    case = side.case
    only = {way.wire for at, way in enumerate(side.ways) if at in side.found.span and way.wire is not None}
    order = {end: at for at, end in enumerate(case.returned)}
    found = []
    for spec, wire in case.wires():
        lost = list(side.lost.get(spec.index, ()))
        strap = case.is_strap(spec)
        if not (strap or len(lost) > 1):
            continue
        far, near = sorted((spec.a, spec.b), key=lambda end: -order.get(end, len(order)))
        mode, amps = _worst(wire.current_a)
        round_it = side.way_round(spec.index) if strap and spec.index not in only else []
        found.append(
            GroundCable(
                wire.number, case.say_end(far), case.say_end(near), mode, amps, wire.short_a, wire.short_s,
                wire.ampacity_a, case.joined_drop_v(spec.index, amps), lost,
                [case.number(at) for at in round_it], side.sneaks.get(spec.index, []),
            )
        )  # fmt: skip
    return found


def _lifts(case: Case) -> dict[str, dict[End, float]]:
    """Mode -> volts of each point of the way home above the chassis post, at most, along the shortest way."""
    found: dict[str, dict[End, float]] = {}
    for mode in case.machine.modes:
        lift: dict[End, float] = {}
        for end, way in case.returned.items():  # nearest first, so the next point is there already
            if way is None:
                lift[end] = 0.0
                continue
            onward = way if way.wire is not None else case.returned[way.other(end)]
            amps = 0.0
            if onward is not None and onward.wire is not None:
                amps = case.design.wires[onward.wire].current_a.get(mode.name, 0.0)
            lift[end] = lift[way.other(end)] + case.step_drop_v(way, amps)
        found[mode.name] = lift
    return found


def _sent(side: GroundSide) -> dict[str, dict[str, float]]:
    """Body -> mode -> what loads send into it over their cases and its ground points [A], all on at once."""
    case = side.case
    found: dict[str, dict[str, float]] = {name: {} for name in case.machine.bodies}

    def add(end: End, mode: str, amps: float) -> None:
        part = case.machine.parts.get(end.name) if end.kind == "part" else None
        body = end.name if end.kind == "body" else part.body if part and part.role == "ground" else None
        if body is not None and amps:
            found[body][mode] = found[body].get(mode, 0.0) + amps

    for spec, wire in case.wires():
        ends = [case.machine.parts[end.name] for end in (spec.a, spec.b) if end.kind == "part"]
        if not case.is_strap(spec) and not any(traits.is_alternator(part) for part in ends):
            low = next((end for end in (spec.a, spec.b) if case.is_low(end)), None)
            for mode, amps in wire.current_a.items() if low is not None else ():
                add(low or spec.a, mode, amps)
    for part, link in case.loads():
        result = case.load_results.get((part.name, link.name))
        home = part_end(part, link.b)
        for seen in result.modes if result is not None and home.kind == "body" else ():
            add(home, seen.mode, seen.current_a)
    return found


def grounds(side: GroundSide) -> list[Ground]:
    """Every body with what its loads send into it and how far that lifts it, in the order of the survey."""
    case = side.case
    lifts, sent = _lifts(case), _sent(side)
    cranking = [mode.name for mode in case.machine.modes if mode.engine == "cranking"]
    tied: dict[str, list[str]] = {}
    for spec, wire in case.wires():
        for end in (spec.a, spec.b) if case.is_strap(spec) else ():
            body = case.machine.parts[end.name].body if end.kind == "part" else end.name
            if body is not None:
                tied.setdefault(body, []).append(wire.number)
    found = []
    for body in case.machine.bodies:
        here = End("body", body)
        mode, amps = _worst(sent[body])
        high = {name: lift[here] for name, lift in lifts.items() if here in lift}
        turning = max((high[name] for name in cranking if name in high), default=None)
        calm = {name: lift for name, lift in high.items() if name not in cranking}
        lift_mode, lift = _worst(calm)
        found.append(Ground(body, tied.get(body, []), mode, amps, lift_mode, lift if high else None, turning))
    return found
