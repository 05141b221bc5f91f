"""What no fuse guards, what each fuse guards, which cable is the starter's: the walks behind protection."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from harness.model.design import Fuse
from harness.model.machine import End
from harness.rules import traits
from harness.rules.case import Case, Way, before_fuse, part_end
from harness.rules.figures import BARE_M, FROM_BATTERY_M, SHEATHED_M
from harness.rules.flows import blocks_at


@dataclass(frozen=True, slots=True)
class Group:
    """Wires that hang together without a fuse: the first one, and those behind it."""

    first: int
    behind: tuple[int, ...]
    ends_at: tuple[str, ...]  # what they feed


@dataclass(frozen=True, slots=True)
class Lead:
    """Unfused wires from a take-off to some point."""

    wires: tuple[int, ...]
    start: End
    distance_m: float  # along the runs
    allowed_m: float
    sheathed: bool


def starter_cables(case: Case) -> frozenset[int]:
    """Wires of the main cable from a battery to a starter, and between two batteries: left unfused by custom.

    Any wire on a simple way from a live post to the starter's main terminal counts, over studs, isolators and
    heavy relays; not over an ammeter or a key.
    """
    return case.once(_starter_cables)


def _starter_cables(case: Case) -> frozenset[int]:
    joined: list[tuple[End, End]] = []
    for way in case.ways:
        through = way.kind in ("wire", "bus") or (way.kind == "contact" and _carries_cranking(case, way))
        if through and not (case.is_low(way.a) or case.is_low(way.b)):
            joined.append((way.a, way.b))
    source = End("splice", "", "every live post")
    mains = {part_end(part, link.a) for part, link in case.starter_mains()}
    joined += [(source, end) for end in sorted(case.live_posts | case.mid_posts | mains)]
    blocks = blocks_at(source, joined)
    inside = {end for block in blocks if block & mains for end in block} - {source}
    found = {way.wire for way in case.ways if way.wire is not None and {way.a, way.b} <= inside}
    return frozenset(found) | _battery_links(case)


def _battery_links(case: Case) -> frozenset[int]:
    """Cables between two batteries, over an isolator between two of a row too."""
    posts = case.live_posts | case.mid_posts
    found = {way.wire for way in case.ways if way.wire is not None and {way.a, way.b} <= posts}
    for isolator in case.parts(traits.is_isolator):
        for link in isolator.links:
            sides = [case.wires_at(part_end(isolator, end)) for end in (link.a, link.b)]
            if all(any(_ends_on(case, wire, case.mid_posts) for wire in side) for side in sides):
                found.update(wire for side in sides for wire in side if _ends_on(case, wire, case.mid_posts))
    return frozenset(found)


def _ends_on(case: Case, wire: int, posts: frozenset[End]) -> bool:
    spec = case.machine.wires[wire]
    return spec.a in posts or spec.b in posts


def _carries_cranking(case: Case, way: Way) -> bool:
    """Whether a contact may lie in the starter cable: isolator, foot switch, relay between no batteries."""
    part = case.machine.parts[way.part]
    in_cable = traits.is_isolator(part) or traits.is_starter_switch(part)
    if in_cable or part.role != "relay":
        return in_cable

    def metal(other: Way, _: End) -> bool:
        return other.kind in ("wire", "bus")

    sides = [case.reach([end], metal, stops=case.is_low).keys() for end in (way.a, way.b)]
    posts = case.live_posts | case.mid_posts
    return not all(side & posts for side in sides)


class Unfused:
    """What a live source reaches before any fuse."""

    def __init__(self, case: Case, starts: Iterable[End], cables: frozenset[int]) -> None:
        self.case = case
        self.cables = cables
        self.tree = case.reach(starts, before_fuse, stops=case.is_low)
        self.order = {end: at for at, end in enumerate(self.tree)}
        self.wires = [
            way.wire
            for way in case.ways
            if way.wire is not None and way.a in self.order and way.b in self.order and way.wire not in cables
            and not (case.is_low(way.a) and case.is_low(way.b))
        ]  # fmt: skip
        at_cable = {end for way in case.ways if way.wire in cables for end in (way.a, way.b)}
        self.take_offs = frozenset(starts) | at_cable

    def _far(self, wire: int) -> dict[End, Way | None]:
        """Points past a wire, seen from its source; empty when there is another way round to its start."""
        spec = self.case.machine.wires[wire]
        near, far = sorted((spec.a, spec.b), key=lambda end: self.order[end])
        found = self.case.reach(
            [far], lambda way, here: way.wire != wire and before_fuse(way, here), stops=self._ends
        )
        return {} if near in found else found

    def _ends(self, end: End) -> bool:
        return self.case.is_low(end) or end in self.take_offs

    def _fed_by(self, points: Iterable[End]) -> list[str]:
        """What among these points draws or gives current, or is a bare end."""
        found = []
        for end in points:
            kinds = {way.kind for way in self.case.at.get(end, ())}
            bare_end = kinds == {"wire"} and len(self.case.at[end]) == 1
            if not self.case.is_low(end) and (kinds & {"load", "source"} or bare_end):
                found.append(str(end))
        return found

    def _has_fuse(self, points: Iterable[End]) -> bool:
        return any(way.kind == "fuse" for end in points for way in self.case.at.get(end, ()))

    def _near(self, end: End) -> bool:
        """Whether a point is near enough to its take-off to need no fuse before it."""
        way = self.lead_to(end)
        return way.distance_m <= way.allowed_m

    def groups(self) -> Iterator[Group]:
        """Wires that lead to something other than a fuse, the first of each tree with those behind it."""
        far = {wire: self._far(wire) for wire in self.wires}
        fed = {wire: self._fed_by(points) for wire, points in far.items()}
        flagged = [
            wire
            for wire in self.wires
            if fed[wire] and not (self._has_fuse(far[wire]) and self._near(next(iter(far[wire]))))
        ]
        named: set[int] = set()
        for wire in sorted(flagged, key=self._nearness):
            if wire not in named:
                others = (other for other in flagged if other != wire and other not in named)
                behind = tuple(other for other in others if self._touches(other, far[wire]))
                named |= {wire, *behind}
                yield Group(wire, behind, tuple(dict.fromkeys(fed[wire])))

    def _nearness(self, wire: int) -> tuple[int, int]:
        spec = self.case.machine.wires[wire]
        return min(self.order[spec.a], self.order[spec.b]), wire

    def _touches(self, wire: int, far: dict[End, Way | None]) -> bool:
        spec = self.case.machine.wires[wire]
        return spec.a in far and spec.b in far

    def first_fuses(self) -> Iterator[tuple[str, str, Lead]]:
        """Every fuse met first (part and link), with the lead from its take-off."""
        for way in self.case.ways:
            near = next((end for end in (way.a, way.b) if end in self.order), None)
            if way.kind == "fuse" and way.link is not None and near is not None:
                yield way.part, way.link.name, self.lead_to(near)

    def lead_to(self, end: End) -> Lead:
        """The unfused wires to a point from where they leave a post, a starter stud or an alternator."""
        steps = self.case.way_back(self.tree, end)
        wires: list[int] = []
        for step in reversed(steps):
            if end in self.take_offs:
                break
            if step.wire is not None:
                wires.append(step.wire)
            end = step.other(end)
        laid = [self.case.design.wires[wire] for wire in wires]
        sheathed = all(self._is_sheathed(run) for wire in laid for run in wire.runs)
        post = end in self.case.live_posts or end in self.case.mid_posts
        allowed = (FROM_BATTERY_M if post else SHEATHED_M) if sheathed else BARE_M
        return Lead(tuple(reversed(wires)), end, sum(wire.run_length_m for wire in laid), allowed, sheathed)

    def _is_sheathed(self, name: str) -> bool:
        """Inside a covering, or inside a closed box, dash or cab."""
        run, filled = self.case.runs_by_name[name]
        return bool(filled.covering) or self.case.machine.zones[run.zone].closed


def guarded(case: Case, fuse: Fuse) -> list[int]:
    """Indexes of the wires a fuse guards: behind it, up to the next fuse, load or body."""
    link = next((link for link in case.machine.parts[fuse.part].links if link.name == fuse.link), None)
    ends = case.downstream(fuse.part, link) if link is not None else None
    if ends is None:
        return []
    tree = case.reach([ends[1]], before_fuse, stops=lambda end: case.is_low(end) or end in case.sources)
    inside = {end for end in tree if not case.is_low(end)}
    wires = {way.wire for end in inside for way in case.at.get(end, ()) if way.other(end) in inside}
    return sorted(wire for wire in wires if wire is not None)
