"""From answers and kits to the parts, circuits, grounds and runs of one machine."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import partial

from harness.kinds import find as find_kind
from harness.kits.form import Content, Kit, KitCircuit, KitPart, NewPlace, Sort, SortRun, Variant
from harness.kits.loads import draws_a, part_a
from harness.kits.paths import CABLE_STUD, FEEDS, GROUND, Token, before, rewritten, split_item, tokens

RINGS = 4  # to a stud, no more
ENGINE_STUD = "engine stud"  # takes the battery cable and the straps
MOST_OF_OUTPUT = 0.75  # what a generator is asked for at most while it runs; 80 % gets advice
RELAY = "ignition relay"  # variant of the kit of key and fuses
MOST_ON_KEY_A = 10.0  # what the key carries itself; above it a relay does
SPARE_SHARE, LEAST_SPARE = 0.2, 2  # of all fuse ways


class CannotPlan(Exception):
    """These kits cannot be put on this machine; says why and what would do."""


@dataclass(frozen=True, slots=True)
class Wish:
    """The answers a survey is started from."""

    name: str
    volts: float
    post: str  # on the chassis
    sizes: str  # "AWG" or "mm2"
    sort: Sort
    size: int  # 0 small, 1 medium, 2 large
    picks: Mapping[str, str]  # kit -> variant, "" for the usual one


@dataclass(frozen=True, slots=True)
class Chosen:
    """A kit with the variant that is taken of it."""

    kit: Kit
    variant: Variant | None
    wanted: bool  # asked for, or only needed by another

    @property
    def contents(self) -> tuple[Content, ...]:
        return (self.kit.content, *((self.variant.content,) if self.variant else ()))

    @property
    def parts(self) -> list[KitPart]:
        return [part for each in self.contents for part in each.parts]

    @property
    def circuits(self) -> list[KitCircuit]:
        return [circuit for each in self.contents for circuit in each.circuits]


@dataclass(frozen=True, slots=True)
class PlannedPart:
    """A part as it will stand in the survey."""

    name: str
    kind: str
    place: str
    body: str
    values: tuple[tuple[str, str], ...]
    kit: str  # "" for ground points


@dataclass(frozen=True, slots=True)
class PlannedCircuit:
    """A circuit as it will stand in the survey."""

    name: str
    works_in: tuple[str, ...]
    drop: str
    paths: tuple[str, ...]
    kit: str


@dataclass(frozen=True, slots=True)
class Plan:
    """All of a started survey, still without its words."""

    wish: Wish
    chosen: tuple[Chosen, ...]
    parts: tuple[PlannedPart, ...]
    grounds: tuple[PlannedPart, ...]
    circuits: tuple[PlannedCircuit, ...]
    runs: tuple[SortRun, ...]
    places: Mapping[str, str]  # place -> what it is
    load_a: float  # what stays on while the engine runs
    warnings: tuple[str, ...]


def choose(wish: Wish, kits: Mapping[str, Kit]) -> list[Chosen]:
    """The kits that are asked for and those they need, each with its variant, in the order of the shelf.

    Raises CannotPlan where a kit is not for these volts or this post.
    """
    wanted: dict[str, str] = {}
    todo = [(name, variant) for name, variant in wish.picks.items()]
    while todo:
        name, variant = todo.pop(0)
        if name in wanted and (not variant or wanted[name]):
            continue
        wanted[name] = variant or wanted.get(name, "")
        taken = _taken(kits[name], wanted[name], wish)
        needs = [*kits[name].content.needs, *(taken.content.needs if taken else ())]
        todo += [(need, wish.picks.get(need, "")) for need in needs]
    return [
        Chosen(kit, _taken(kit, wanted[name], wish), name in wish.picks)
        for name, kit in kits.items()
        if name in wanted
    ]


def _taken(kit: Kit, variant: str, wish: Wish) -> Variant | None:
    if wish.volts not in kit.volts:
        known = " and ".join(f"{each:g} V" for each in kit.volts)
        raise CannotPlan(
            f"the kit {kit.name!r} is for {known}, and the machine has {wish.volts:g} V; leave it out"
        )
    if wish.post not in kit.posts:
        raise CannotPlan(f"the kit {kit.name!r} is not for the {wish.post} post on the chassis; leave it out")
    if not kit.variants:
        return None
    there = kit.variants_for(wish.volts, wish.post)
    if variant:
        found = next((each for each in kit.variants if each.name == variant), None)
        if found is None:
            known = ", ".join(each.name for each in kit.variants)
            raise CannotPlan(f"the kit {kit.name!r} has no variant {variant!r}; it has: {known}")
        if found not in there:
            others = ", ".join(each.name for each in there) or "none of its others either"
            raise CannotPlan(
                f"{kit.name}, {variant}: not on a {wish.volts:g} V machine with the {wish.post} post on the "
                f"chassis; take {others}"
            )
        return found
    usual = wish.sort.choices.get(kit.name)
    if not there:
        raise CannotPlan(
            f"no variant of the kit {kit.name!r} is for {wish.volts:g} V with the {wish.post} post on the "
            "chassis; leave it out"
        )
    return next((each for each in there if each.name == usual), there[0])


@dataclass(slots=True)
class _Grounds:
    """Ground points as they are called for, four rings to a stud."""

    bodies: Mapping[str, str]
    rings: dict[str, list[list[str]]] = field(default_factory=dict)  # place -> point -> who lands on it

    def name(self, place: str, who: str) -> str:
        points = self.rings.setdefault(place, [])
        for at, landed in enumerate(points):
            if who in landed:
                return _ground_name(place, at)
        at = next((at for at, landed in enumerate(points) if len(landed) < RINGS), len(points))
        if at == len(points):
            points.append([])
        points[at].append(who)
        return _ground_name(place, at)

    def parts(self) -> Iterable[PlannedPart]:
        for place, points in self.rings.items():
            for at in range(len(points)):
                name, stud = _ground_name(place, at), (("stud", "M8"),)
                yield PlannedPart(name, "ground point", place, self.bodies[place], stud, "")


def _ground_name(place: str, at: int) -> str:
    return f"{place} ground" + (f" {at + 1}" if at else "")


class _Planner:
    """Puts the chosen kits on one machine."""

    def __init__(self, wish: Wish, chosen: list[Chosen]) -> None:
        self.wish, self.chosen = wish, chosen
        new = [place for each in chosen for content in each.contents for place in content.places]
        self.new = {place.name: place for place in new}
        self.bodies = dict(wish.sort.place_bodies)
        for place in new:
            self.bodies[place.name] = self.bodies.get(self.place(place.near), "frame")
        self.grounds = _Grounds(self.bodies)
        self.ways: dict[str, dict[tuple[str, ...], str]] = {panel: {} for panel in FEEDS.values()}
        self.names: dict[str, str] = {}  # kit part -> its name here, of the kit at hand
        self.drafts: list[tuple[KitPart, str, str]] = []  # part, name, kit

    def place(self, name: str) -> str:
        """Where on this machine a place of the kits is."""
        return self.wish.sort.instead.get(name, name)

    # -------------------------------------------------------------------------------------------- parts

    def draft(self) -> None:
        for each in self.chosen:
            for part in each.parts:
                if part.place not in self.new and self.place(part.place) not in self.bodies:
                    raise CannotPlan(
                        f"the kit {each.kit.name!r} puts {part.name!r} at {part.place!r}, which this sort of "
                        "machine does not have; say under places: of the kit what it is near"
                    )
                twin = next((other for other, _, _ in self.drafts if other.name == part.name), None)
                if twin is None:
                    self.drafts.append((part, part.name, each.kit.name))
                elif not (twin.shared and part.shared):
                    raise CannotPlan(
                        f"two kits have a part {part.name!r}; call one of them otherwise, or say shared: yes "
                        "of both"
                    )

    def value(self, part: KitPart, key: str) -> str:
        figure = part.figures[key]
        texts = figure.by_volts[self.wish.volts]
        if figure.least_of:
            asked = self.load_a / MOST_OF_OUTPUT
            return next((text for text in texts if part_a(text) >= asked), texts[-1])
        return texts[self.wish.size] if len(texts) > 1 else texts[0]

    def planned_part(self, part: KitPart, name: str, kit: str) -> PlannedPart:
        values = []
        for key in part.figures:
            counted = key == "ways" and name in self.ways
            text = self._ways(name) if counted else self.value(part, key)
            values.append((key, text))
        place = self.place(part.place)
        body = self.bodies[place] if part.body == "here" else part.body
        return PlannedPart(name, part.kind, place, body, tuple(values), kit)

    def _ways(self, panel: str) -> str:
        used = len(self.ways[panel])
        total = used + LEAST_SPARE
        while total - used < SPARE_SHARE * total:
            total += 1
        letter = _LETTERS[panel]
        return "{" + ", ".join(f"{letter}{at + 1}: " for at in range(total)) + "}"

    # ----------------------------------------------------------------------------------------- circuits

    def paths(self, circuit: KitCircuit) -> tuple[str, ...]:
        known = [part.name for part, _, _ in self.drafts]
        batteries = [name for name in known if name in ("battery", "low battery", "high battery")]

        def change(found: list[Token], at: int) -> str:
            text = found[at].text
            if text in FEEDS:
                return self._feed(FEEDS[text], found, at, circuit.name, known)
            if text == GROUND:
                return self._ground(found, at, known)
            if found[at].is_spot:
                return f"at {self.place(text.removeprefix('at ').strip())}"
            if text == CABLE_STUD:
                return "foot switch 1" if "foot switch" in known else "starter 30"
            name, rest = split_item(text, batteries or known)
            if (name in batteries and rest in ("live", "chassis")) or text in (
                "battery live",
                "battery chassis",
            ):
                return self._post(text.rsplit(" ", 1)[1], name, batteries)
            return text

        return tuple(rewritten(path.text, change) for path in circuit.paths)

    def _post(self, side: str, name: str, batteries: list[str]) -> str:
        if not name:
            name = (
                batteries[0]
                if len(batteries) == 1
                else {"live": "high battery", "chassis": "low battery"}[side]
            )
        minus = (side == "chassis") == (self.wish.post == "negative")
        return f"{name} {'-' if minus else '+'}"

    def _feed(self, panel: str, found: list[Token], at: int, circuit: str, known: list[str]) -> str:
        following = found[at + 2] if len(found) > at + 2 else None
        key: tuple[str, ...] = (circuit,)
        if following is not None and not following.is_sign:
            name, rest = split_item(following.text, known)
            key = (name, rest.split("/")[0])
        way = self.ways[panel].setdefault(key, f"{_LETTERS[panel]}{len(self.ways[panel]) + 1}")
        return f"{panel} {way}"

    def _ground(self, found: list[Token], at: int, known: list[str]) -> str:
        token = before(found, at)
        name, rest = split_item(token.text if token else "", known)
        part = next((part for part, _, _ in self.drafts if part.name == name), None)
        if part is None:
            raise CannotPlan(f"nothing stands before 'ground' in {' '.join(each.text for each in found)!r}")
        joined = found[at - 2].text == ")" if at > 1 else False
        who = f"joint of {token.text if token else ''}" if joined else f"{name} {rest.split('/')[-1]}"
        return self.grounds.name(self.place(part.place), who)

    # -------------------------------------------------------------------------------------------- loads

    load_a = 0.0

    def loads(self) -> tuple[float, float]:
        """What stays on while the engine runs, and what of it the key turns on [A]."""
        parts = {part.name: part for part, _, _ in self.drafts}
        ends: dict[str, set[str]] = {}
        on: dict[str, set[str]] = {"running": set(), "key feed": set()}
        for circuit in (circuit for each in self.chosen for circuit in each.circuits):
            if not {"running", "night work"} & set(circuit.works_in or ("running",)):
                continue
            for path in circuit.paths:
                words = [token.text for token in tokens(path.text) if not token.is_sign]
                for name, rest in (split_item(word, parts) for word in words):
                    ends.setdefault(name, set()).add(rest.split("/")[0])
                    on["running"].add(name)
                    if words[0] == "key feed":
                        on["key feed"].add(name)
        amps = {
            name: draws_a(parts[name], found, partial(self.value, parts[name]), self.wish.volts)
            for name, found in ends.items()
            if name
        }
        return sum(amps.values()), sum(amps[name] for name in on["key feed"] if name)


_LETTERS = {"panel": "F", "key panel": "K"}


def plan(wish: Wish, kits: Mapping[str, Kit]) -> Plan:
    """Put the kits on the machine. Raises CannotPlan, which says what would do."""
    if wish.volts not in wish.sort.volts:
        raise CannotPlan(
            f"{wish.sort.title}: not with {wish.volts:g} V, whose wires would be as thick as a thumb; "
            "6 V is for a tractor or an engine set"
        )
    chosen = choose(wish, kits)
    first = _Planner(wish, chosen)
    first.draft()
    _, keyed_a = first.loads()
    relay = any(each.name == RELAY for each in kits["key and fuses"].variants_for(wish.volts, wish.post))
    if keyed_a > MOST_ON_KEY_A and relay and not wish.picks.get("key and fuses"):
        chosen = choose(replace(wish, picks={**wish.picks, "key and fuses": RELAY}), kits)
    planner = _Planner(wish, chosen)
    planner.draft()
    load_a, _ = planner.loads()
    planner.load_a = load_a
    circuits = [
        PlannedCircuit(circuit.name, circuit.works_in, circuit.drop, planner.paths(circuit), each.kit.name)
        for each in chosen
        for circuit in each.circuits
    ]
    parts = [planner.planned_part(part, name, kit) for part, name, kit in planner.drafts]
    studs, straps = _straps(wish, {part.place for part in parts} | set(planner.grounds.rings), planner)
    grounds = [*studs, *planner.grounds.parts()]
    used = {part.place for part in [*parts, *grounds]}
    spots = {
        token.text.removeprefix("at ").strip()
        for c in circuits
        for p in c.paths
        for token in tokens(p)
        if token.is_spot
    }
    runs = _runs(wish, planner.new.values(), used | spots, planner)
    places = {place: _word(place, wish.sort, planner.new) for run in runs for place in (run.start, run.end)}
    warnings = _warnings(planner)
    return Plan(
        wish,
        tuple(chosen),
        tuple(parts),
        tuple(grounds),
        (*_first(circuits, straps),),
        runs,
        places,
        load_a,
        warnings,
    )


def _first(circuits: list[PlannedCircuit], straps: PlannedCircuit | None) -> Iterable[PlannedCircuit]:
    yield from circuits[:1]
    yield from [straps] if straps is not None else []
    yield from circuits[1:]


def _straps(wish: Wish, used: set[str], planner: _Planner) -> tuple[list[PlannedPart], PlannedCircuit | None]:
    """Studs for the battery cable and the straps, and the circuit of the straps."""
    bodies = {planner.bodies[place] for place in used}
    for part, _, _ in planner.drafts:
        bodies |= {part.body} - {"", "here"}
    studs = {
        ENGINE_STUD: PlannedPart(ENGINE_STUD, "ground point", "starter", "engine", (("stud", "M10"),), "")
    }
    paths = []
    for strap in wish.sort.straps:
        if strap.start not in bodies | {"engine"} or not bodies - {"engine"}:
            continue
        if strap.end not in bodies and strap.start != "engine" and strap.end != "frame":
            continue
        ends = []
        for body, place in ((strap.start, strap.start_place), (strap.end, strap.end_place)):
            taken = [name for name in studs if name.startswith(f"{body} stud")]
            name = (
                ENGINE_STUD if body == "engine" else f"{body} stud" + (f" {len(taken) + 1}" if taken else "")
            )
            if body != "engine":
                studs[name] = PlannedPart(name, "ground point", place, body, (("stud", "M10"),), "")
            ends.append(name)
        paths.append(" > ".join(ends))
    circuit = PlannedCircuit("Straps", (), "", tuple(paths), "") if paths else None
    return list(studs.values()), circuit


def _runs(wish: Wish, new: Iterable[NewPlace], used: set[str], planner: _Planner) -> tuple[SortRun, ...]:
    """The runs that lie between used places; ends at which nothing sits are cut off again and again."""
    runs = list(wish.sort.runs)
    for place in new:
        near = planner.place(place.near)
        zone = place.zone if place.zone in wish.sort.zones else _zone_at(near, wish.sort)
        runs.append(SortRun(near, place.name, (place.length,) * 3, zone))
    while True:
        ends = [end for run in runs for end in (run.start, run.end)]
        left = [
            run
            for run in runs
            if not any(ends.count(end) == 1 and end not in used for end in (run.start, run.end))
        ]
        if len(left) == len(runs):
            return tuple(runs)
        runs = left


def _zone_at(place: str, sort: Sort) -> str:
    return next((run.zone for run in sort.runs if place in (run.end, run.start)), next(iter(sort.zones)))


def _word(place: str, sort: Sort, new: Mapping[str, NewPlace]) -> str:
    return sort.place_words.get(place) or (new[place].what if place in new else "")


def _warnings(planner: _Planner) -> tuple[str, ...]:
    """What cannot be made right by choosing sizes."""
    for part, _, _ in planner.drafts:
        kind = find_kind(part.kind)
        if kind is None or "output" not in part.figures or not part.figures["output"].least_of:
            continue
        gives = part_a(planner.value(part, "output"))
        if planner.load_a > gives:
            return (
                f"what stays on while the engine runs takes about {planner.load_a:.0f} A, and the largest "
                f"usual {kind.name} gives {gives:g} A: the battery will run down. Leave circuits out, or "
                "choose another way of charging",
            )
    return ()
