"""A kit added to a survey that is there: set in at the end of each section, all other lines untouched."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from harness.kits.form import SIZES, Kit, KitCircuit, KitPart, NewPlace, Sort, SortRun
from harness.kits.paths import CABLE_STUD, FEEDS, GROUND, Token, before, rewritten, split_item
from harness.kits.plan import RINGS, CannotPlan, Chosen, PlannedCircuit, PlannedPart
from harness.kits.sorts import sorts
from harness.kits.written import circuit_lines, heading, part_line
from harness.kits.yamlwords import scalar
from harness.model.machine import End, Machine
from harness.survey.located import Mapping as Tree
from harness.survey.located import Sequence as Items
from harness.survey.yamltext import compose

STARTED = "# started as: "
LIVE_ONLY = {"battery feed": True, "key feed": False}


@dataclass(slots=True)
class _Adder:
    """Puts one kit on a machine whose survey is read."""

    machine: Machine
    chosen: Chosen
    places: Mapping[str, str]  # place of the kit -> place of the survey, as the user says
    names: dict[str, str] = field(default_factory=dict)  # part of the kit -> its name in the survey
    rings: dict[str, int] = field(default_factory=dict)
    landed: dict[str, str] = field(default_factory=dict)  # what lands on a ground -> the ground
    grounds: list[PlannedPart] = field(default_factory=list)
    ways: dict[str, str] = field(default_factory=dict)
    grown: dict[str, list[str]] = field(default_factory=dict)  # panel -> ways it gets beyond its own
    sort: Sort | None = None  # what the survey was started as
    size: int = 1
    runs: list[SortRun] = field(default_factory=list)  # of the sort, which the survey does not have yet

    @property
    def new_places(self) -> dict[str, NewPlace]:
        return {place.name: place for each in self.chosen.contents for place in each.places}

    def place(self, name: str) -> str:
        """Where in the survey a place of the kit is; raises CannotPlan where nobody can know."""
        known = self.machine.place_zones
        if name in self.places:
            if self.places[name] not in known:
                raise CannotPlan(f"the survey has no place {self.places[name]!r}; it has: {', '.join(known)}")
            return self.places[name]
        if name in known or name in self.new_places:
            return name
        if self.sort is not None:
            there = self.sort.instead.get(name, name)
            if there in known or self._reach(there):
                return there
        for sort in sorts().values():
            if sort.instead.get(name) in known:
                return sort.instead[name]
        raise CannotPlan(
            f"the kit {self.chosen.kit.name!r} has something at {name!r}, and the survey has no such place; "
            f"say which of its places that is, as --at '{name}=PLACE'. It has: {', '.join(known)}"
        )

    def _reach(self, place: str) -> bool:
        """Whether the machine that the survey was started as has the place; its runs are then added."""
        if self.sort is None or place not in self.sort.place_bodies:
            return False
        came: dict[str, tuple[str, SortRun] | None] = {place: None}
        todo = [place]
        while todo:
            here = todo.pop(0)
            if here in self.machine.place_zones or any(here in (run.start, run.end) for run in self.runs):
                while (step := came[here]) is not None:
                    here, run = step
                    self.runs.append(run)
                return True
            for run in self.sort.runs:
                for near, far in ((run.start, run.end), (run.end, run.start)):
                    if near == here and far not in came:
                        came[far] = (here, run)
                        todo.append(far)
        return False

    def zone(self, place: str) -> str:
        """The zone of a place of the survey, or of one that comes with a run of the sort."""
        if place in self.machine.place_zones:
            return self.machine.place_zones[place]
        return self.zone_of(next(run for run in self.runs if place in (run.start, run.end)))

    def zone_of(self, run: SortRun) -> str:
        """The zone of a run of the sort as the survey has it, or its first."""
        return run.zone if run.zone in self.machine.zones else next(iter(self.machine.zones), "")

    # --------------------------------------------------------------------------------------------- names

    def free(self, name: str, taken: set[str]) -> str:
        found = next(
            each for at in range(1, 1000) if (each := name if at == 1 else f"{name} {at}") not in taken
        )
        taken.add(found)
        return found

    def parts(self) -> Iterator[PlannedPart]:
        taken = set(self.machine.parts) | set(self.machine.bodies)
        for part in self.chosen.parts:
            there = self.machine.parts.get(part.name)
            if part.shared and there is not None and there.kind == part.kind:
                self.names[part.name] = part.name
                continue
            self.names[part.name] = self.free(part.name, taken)
            yield self._part(part)

    def _part(self, part: KitPart) -> PlannedPart:
        place = self.place(part.place)
        body = self.body(place) if part.body == "here" else part.body
        if body and body not in self.machine.bodies:
            body = self.body(place)
        volts = self.machine.voltage_v
        values = tuple((key, self._text(figure.by_volts[volts])) for key, figure in part.figures.items())
        return PlannedPart(self.names[part.name], part.kind, place, body, values, self.chosen.kit.name)

    def _text(self, texts: tuple[str, ...]) -> str:
        return texts[self.size] if len(texts) == len(SIZES) else texts[0]

    def body(self, place: str) -> str:
        """The metal at a place: of a ground point there, else what most are on. Raises CannotPlan."""
        if self.sort is not None and self.sort.place_bodies.get(place) in self.machine.bodies:
            return self.sort.place_bodies[place]
        found = [part for part in self.machine.parts.values() if part.role == "ground" and part.body]
        near = [part.body for part in found if part.place == place]
        bodies = near or sorted(
            (part.body or "" for part in found), key=[part.body for part in found].count, reverse=True
        )
        if not bodies or not bodies[0]:
            raise CannotPlan("the survey has no ground point yet; write one, and add the kit then")
        return bodies[0]

    # --------------------------------------------------------------------------------------------- paths

    def circuits(self) -> Iterator[PlannedCircuit]:
        taken = {circuit.name for circuit in self.machine.circuits}
        modes = {mode.name for mode in self.machine.modes}
        for circuit in self.chosen.circuits:
            paths = tuple(rewritten(path.text, self._change(circuit)) for path in circuit.paths)
            works = tuple(mode for mode in circuit.works_in if mode in modes)
            yield PlannedCircuit(
                self.free(circuit.name, taken), works, circuit.drop, paths, self.chosen.kit.name
            )

    def _change(self, circuit: KitCircuit) -> _Change:
        return _Change(self, circuit)

    def feed(self, word: str, key: str) -> str:
        """A way that nothing hangs on yet, of a panel that is live as the word says. Raises CannotPlan."""
        if key in self.ways:
            return self.ways[key]
        for wire in self.machine.wires:  # a part that kits share may be fed already
            fed = self.machine.parts.get(wire.a.name) if wire.a.kind == "part" else None
            if fed is not None and fed.role == "fuse" and key == f"{word} {wire.b}":
                return str(wire.a)
        live = self._live()
        used = {end for wire in self.machine.wires for end in (wire.a, wire.b)}
        panels: list[tuple[str, list[str]]] = []
        for part in self.machine.parts.values():
            ways = [link.b for link in part.links if link.kind == "fuse"]
            if (
                part.role != "fuse"
                or len(ways) < 2
                or (End("part", part.name, "bus") in live) != LIVE_ONLY[word]
            ):
                continue
            panels.append((part.name, ways))
            for way in ways:
                if End("part", part.name, way) not in used and f"{part.name} {way}" not in self.ways.values():
                    self.ways[key] = f"{part.name} {way}"
                    return self.ways[key]
        if panels:
            panel, ways = panels[0]
            letters = ways[-1].rstrip("0123456789")
            at = len(ways) + len(self.grown.get(panel, ())) + 1
            self.grown.setdefault(panel, []).append(f"{letters}{at}")
            self.ways[key] = f"{panel} {letters}{at}"
            return self.ways[key]
        kind = "that is always live" if LIVE_ONLY[word] else "that the key turns on"
        raise CannotPlan(f"the survey has no fuse panel {kind}; add this circuit by hand")

    def _live(self) -> set[End]:
        """What the batteries reach through wires, fuses and bars alone."""
        around: dict[End, list[End]] = {}
        for wire in self.machine.wires:
            around.setdefault(wire.a, []).append(wire.b)
            around.setdefault(wire.b, []).append(wire.a)
        for part in self.machine.parts.values():
            for link in part.links if part.role != "source" else ():
                if link.kind in ("fuse", "bus"):
                    a, b = End("part", part.name, link.a), End("part", part.name, link.b)
                    around.setdefault(a, []).append(b)
                    around.setdefault(b, []).append(a)
        post = "+" if self.machine.chassis_post == "negative" else "-"
        todo = [
            End("part", part.name, post) for part in self.machine.parts.values() if part.kind == "battery"
        ]
        found: set[End] = set()
        while todo:
            end = todo.pop()
            grounded = end.kind == "body" or self._is_ground(end)
            if end not in found and not grounded:
                found.add(end)
                todo += around.get(end, [])
        return found

    def _is_ground(self, end: End) -> bool:
        return end.kind == "part" and self.machine.parts[end.name].role == "ground"

    def ground(self, part: KitPart, who: str) -> str:
        """A ground point at the place of a part, with room for one more ring."""
        if who in self.landed:
            return self.landed[who]
        place = self.place(part.place)
        there = [
            each.name for each in self.machine.parts.values() if each.role == "ground" and each.place == place
        ]
        for name in [*there, *(each.name for each in self.grounds if each.place == place)]:
            wires = sum(name in (wire.a.name, wire.b.name) for wire in self.machine.wires)
            # a wire that ends on the body alone may land here too, so keep clear of bodies named in paths
            if wires + self.rings.get(name, 0) < RINGS - 1:
                break
        else:
            taken = set(self.machine.parts) | {each.name for each in self.grounds} | set(self.names.values())
            name = self.free(f"{place} ground", taken)
            self.grounds.append(
                PlannedPart(name, "ground point", place, self.body(self._near(place)), (("stud", "M8"),), "")
            )
        self.rings[name] = self.rings.get(name, 0) + 1
        self.landed[who] = name
        return name

    def _near(self, place: str) -> str:
        new = self.new_places.get(place)
        return self.place(new.near) if new is not None else place

    def post(self, side: str) -> str:
        minus = (side == "chassis") == (self.machine.chassis_post == "negative")
        post = "-" if minus else "+"
        found = [part.name for part in self.machine.parts.values() if part.kind == "battery"]
        names = [
            name
            for name in found
            if len(found) == 1 or name == ("high" if side == "live" else "low") + " battery"
        ]
        if not names:
            raise CannotPlan(
                "the survey has several batteries; add this kit by hand, `harness kits` shows its paths"
            )
        return f"{names[0]} {post}"


@dataclass(frozen=True, slots=True)
class _Change:
    """What the words of a kit's path are in the survey."""

    adder: _Adder
    circuit: KitCircuit

    def __call__(self, found: list[Token], at: int) -> str:
        adder, text = self.adder, found[at].text
        if text in FEEDS:
            following = found[at + 2] if len(found) > at + 2 and not found[at + 2].is_sign else None
            return adder.feed(
                text, f"{text} {following.text.split('/')[0] if following else self.circuit.name}"
            )
        if text == GROUND:
            token = before(found, at)
            name, rest = split_item(token.text if token else "", adder.names)
            part = next(part for part in adder.chosen.parts if part.name == name)
            return adder.ground(part, f"{name} {rest.split('/')[-1]} {at > 1 and found[at - 2].text == ')'}")
        if found[at].is_spot:
            return f"at {adder.place(text.removeprefix('at ').strip())}"
        if text in ("battery live", "battery chassis"):
            return adder.post(text.rsplit(" ", 1)[1])
        if text == CABLE_STUD:
            return "foot switch 1" if "foot switch" in adder.machine.parts else "starter 30"
        name, rest = split_item(text, adder.names)
        return f"{adder.names[name]} {rest}".strip() if name else text


def added(text: str, file: str, machine: Machine, kit: Kit, variant: str, places: Mapping[str, str]) -> str:
    """The survey with the kit in it. Raises CannotPlan, which says why not and what would do."""
    if machine.voltage_v not in kit.volts or machine.chassis_post not in kit.posts:
        raise CannotPlan(
            f"the kit {kit.name!r} is not for {machine.voltage_v:g} V, {machine.chassis_post} on the chassis"
        )
    there = kit.variants_for(machine.voltage_v, machine.chassis_post)
    taken = next((each for each in there if each.name == variant or not variant), None)
    if kit.variants and taken is None:
        raise CannotPlan(
            f"the kit {kit.name!r} has for this machine: {', '.join(v.name for v in there) or 'no variant'}"
        )
    chosen = Chosen(kit, taken, True)
    sort, size = started_as(text)
    adder = _Adder(machine, chosen, places, sort=sort, size=size)
    parts = list(adder.parts())
    circuits = list(adder.circuits())
    runs = [
        f"  - {{from: {scalar(adder.place(place.near))}, to: {scalar(place.name)}, length: {place.length}?, "
        f"zone: {scalar(adder.zone(adder.place(place.near)))}}}"
        for place in adder.new_places.values()
        if place.name not in machine.place_zones
    ]
    runs += [
        f"  - {{from: {scalar(run.start)}, to: {scalar(run.end)}, length: {run.lengths[adder.size]}?, "
        f"zone: {scalar(adder.zone_of(run))}}}"
        for run in dict.fromkeys(adder.runs)
    ]
    lines = [
        *heading(chosen),
        *(f"  {scalar(part.name)}: {part_line(part)}" for part in [*parts, *adder.grounds]),
    ]
    for panel, ways in adder.grown.items():
        text = _grow(text, machine.parts[panel].where.line, panel, ways)
    text = _set_in(text, file, "circuits", [line for each in circuits for line in circuit_lines(each)])
    text = _set_in(text, file, "parts", lines)
    return _set_in(text, file, "runs", runs)


def _grow(text: str, line: int, panel: str, ways: list[str]) -> str:
    """More ways for a panel whose ways stand in braces on its own line."""
    every = text.splitlines(keepends=True)
    more = "".join(f", {way}: " for way in ways)
    grown, count = re.subn(
        r"(ways: \{[^{}]*[^{}\s,:]):? *\}",
        lambda found: f"{found[1]}: {more.removeprefix(' ')}}}",
        every[line - 1],
    )
    if not count:
        raise CannotPlan(f"{panel!r} has no spare way left; give it more ways: in the survey first")
    every[line - 1] = grown
    return "".join(every)


def started_as(text: str) -> tuple[Sort | None, int]:
    """The sort and size of machine that a survey was started as, by the remark in it."""
    remark = next((line for line in text.splitlines() if line.strip().startswith(STARTED)), "")
    title, _, size = remark.strip().removeprefix(STARTED).rpartition(", ")
    found = next((sort for sort in sorts().values() if sort.title == title), None)
    return found, SIZES.index(size) if size in SIZES else 1


def _set_in(text: str, file: str, section: str, lines: list[str]) -> str:
    """The lines at the end of a section, as far in as its own entries."""
    if not lines:
        return text
    root, _ = compose(text, file)
    entry = root.entries.get(section) if isinstance(root, Tree) else None
    if entry is None or not isinstance(root, Tree):
        raise CannotPlan(f"the survey has no section {section!r}; write it first")
    first = _first_spot(entry.value)
    if first is None or first[0] <= entry.key.spot.line:
        raise CannotPlan(
            f"the section {section!r} is written in one line; give each entry a line of its own first"
        )
    every = text.splitlines(keepends=True)
    starts = [
        each.key.spot.line for each in root.entries.values() if each.key.spot.line > entry.key.spot.line
    ]
    end = min(starts, default=len(every) + 1) - 1
    while end > first[0] and (not every[end - 1].strip() or every[end - 1].startswith("#")):
        end -= 1
    if end and not every[end - 1].endswith("\n"):
        every[end - 1] += "\n"
    indent = " " * (first[1] - 1)
    new = [f"{indent}{line[2:]}\n" for line in lines]
    return "".join([*every[:end], *new, *every[end:]])


def _first_spot(node: object) -> tuple[int, int] | None:
    """Line and column of the first entry of a section; of a list, of its dash."""
    if isinstance(node, Tree) and node.entries:
        spot = next(iter(node.entries.values())).key.spot
        return spot.line, spot.column
    if isinstance(node, Items) and node.items:
        return node.items[0].spot.line, max(1, node.items[0].spot.column - 2)
    return None
