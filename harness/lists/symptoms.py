"""Symptoms of this machine with the tests in order and what is healthy, read off the ways of its design.

The order of tests is common practice in the trade: at the part first, then back towards the battery, return
side apart. Volts are those the design settles at.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from harness.digits import plain
from harness.lists.wayto import Atlas, Key, Spot, WayTo, best_mode
from harness.lists.waywords import inside_name, named_point
from harness.model.design import Design, Fuse

TO_RUN = ("fuel solenoid", "stop solenoid", "ignition coil")  # without them the engine does not fire, or stop
GENERATORS = ("alternator", "dynamo")


@dataclass(frozen=True, slots=True)
class Test:
    """One test: where the probes go, what is healthy, and what to do where it is not."""

    what: str
    where: str
    healthy: str
    if_not: str


@dataclass(frozen=True, slots=True)
class Symptom:
    """One complaint with its tests in order."""

    title: str
    mode: str
    tests: tuple[Test, ...]


@dataclass(frozen=True, slots=True)
class LoadTests:
    """How to look for the fault of one load that is dead or dim."""

    load: str
    mode: str
    at_it: str
    live_side: str
    return_side: str


@dataclass(frozen=True, slots=True)
class FuseFacts:
    """What hangs on a fuse: what dies with it, the contacts behind it, and what may be added."""

    fuse: str
    dies: str
    contacts: str  # the first on every way behind it
    spare_a: float
    held_by: str  # what sets that limit


def _volts(atlas: Atlas, spot: Spot) -> str:
    found = atlas.volts(spot)
    return "no volts" if found is None else f"{found:.2f} V"


def _at(atlas: Atlas, spot: Spot) -> str:
    place = atlas.place(spot)
    return named_point(spot) + (f" ({place})" if place else "")


def _spots(way: WayTo) -> list[Spot]:
    return [way.start, *(leg.at for leg in way.feed)]


def _probing(way: WayTo) -> list[Spot]:
    """Points of the live side from the load back, splices left out: they lie under shrink."""
    return [spot for spot in reversed(_spots(way)) if spot[0] != "splice"]


def _modes(design: Design, engine: str) -> list[str]:
    return [mode.name for mode in design.modes if mode.engine == engine]


def _of_kind(design: Design, *kinds: str) -> list[str]:
    return [part.name for part in design.parts if part.kind in kinds]


def _back_tests(atlas: Atlas, way: WayTo, what: str) -> Iterator[Test]:
    """From the part back to the battery: where volts come back, the fault lies just behind."""
    spots = _probing(way)
    for at, (spot, nearer) in enumerate(zip(spots, [None, *spots], strict=False)):
        here = _at(atlas, spot)
        cure = (
            f"measure the next point; if that is right, what lies between is at fault: {what}"
            if at == 0
            else f"next point; if this one is right, mend between it and {named_point(nearer or spot)}"
        )
        yield Test("volts", f"red on {here}, black on the chassis post", _volts(atlas, spot), cure)


def _drop(atlas: Atlas, a: Spot, b: Spot) -> float | None:
    first, second = atlas.volts(a), atlas.volts(b)
    return None if first is None or second is None else abs(first - second)


def _drop_tests(atlas: Atlas, way: WayTo) -> Iterator[Test]:
    """Every wire and joint of a heavy way, meter across it."""
    spots = [way.start, *(leg.at for leg in way.legs)]
    for leg, (a, b) in zip(way.legs, pairwise(spots), strict=True):
        lost = _drop(atlas, a, b)
        if leg.stretch.kind == "load" or lost is None:
            continue
        wire = leg.stretch.wire
        name = f"wire {wire.number}" if wire is not None else inside_name(atlas, leg.stretch)
        yield Test(
            f"drop of {name}", f"from {_at(atlas, a)} to {_at(atlas, b)}, while it works",
            f"{lost:.2f} V",
            f"much more: clean and tighten both ends, then renew {name}" if wire is not None
            else "much more: part it, scrape it bright, tighten",
        )  # fmt: skip


def symptoms(design: Design) -> list[Symptom]:
    """The complaints that this machine can have."""
    found = [*_starting(design), *_firing(design), *_charging(design), *_standing(design)]
    return [one for one in found if one.tests]


def _starting(design: Design) -> Iterator[Symptom]:
    starters = set(_of_kind(design, "starter motor"))
    for mode in _modes(design, "cranking")[:1]:
        atlas = Atlas(design, mode)
        ways = [way for way in atlas.loads if way.part in starters]
        heavy = [way for way in ways if len(way.feed) == min(len(one.feed) for one in ways)]
        coils = [way for way in ways if way not in heavy]
        tests: list[Test] = []
        if ways:
            post = ways[0].start
            tests.append(
                Test("volts", f"{_at(atlas, post)} to the other post, key at start", _volts(atlas, post),
                     "charge or test the battery first")
            )  # fmt: skip
        for way in coils:
            tests += _back_tests(atlas, way, "its push-on or the wire")
            relays = [leg.stretch.key[0] for leg in way.feed if leg.stretch.kind == "contact"]
            for coil in (load for relay in relays for load in atlas.loads if load.part == relay):
                tests += _back_tests(atlas, coil, f"then the return of {coil.part}")
        if coils or heavy:
            yield Symptom("Does not crank", mode, tuple(tests))
        for way in heavy[:1]:
            post_test = tests[:1]
            yield Symptom("Cranks slowly", mode, (*post_test, *_drop_tests(atlas, way)))


def _firing(design: Design) -> Iterator[Symptom]:
    stoppers = set(_of_kind(design, *TO_RUN))
    for mode in _modes(design, "cranking")[:1]:
        atlas = Atlas(design, mode)
        for way in atlas.loads:
            if way.part in stoppers and (way.part, way.link) in atlas.on:
                yield Symptom(
                    f"Cranks but does not fire: {way.part}", mode,
                    tuple(_back_tests(atlas, way, "its push-on or the wire")),
                )  # fmt: skip
    for mode in _modes(design, "stopped")[:1]:
        atlas = Atlas(design, mode)
        tests = [
            Test(
                "volts", f"red on {_at(atlas, spot)}, black on the chassis post, key off",
                _volts(atlas, spot), "with volts there something feeds back: take fuses out until it drops",
            )
            for way in atlas.loads
            if way.part in stoppers and (way.part, way.link) not in atlas.on
            for spot in _probing(way)[:1]
        ]  # fmt: skip
        yield Symptom("Engine does not stop with the key off", mode, tuple(tests))


def _charging(design: Design) -> Iterator[Symptom]:
    generators = set(_of_kind(design, *GENERATORS))
    for mode in _modes(design, "running")[:1]:
        atlas = Atlas(design, mode)
        post = next(iter(atlas.posts[0]), None)
        if post is None or not generators:
            continue
        usual = f"{_volts(atlas, post)} at working speed"
        tests = [
            Test("volts", f"{_at(atlas, post)} to the other post", usual, "below: go on; above: overcharged")
        ]
        for name in generators:
            tests.append(
                Test("look", f"charge lamp of {name}, if it has one", "lit with the key on, out when it runs",
                     "never lit: lamp, its fuse or its wire is open, and nothing wakes the generator")
            )  # fmt: skip
            for link in atlas.parts[name].links:
                if link.kind != "source":
                    continue
                for spot in [("part", name, end) for end in (link.a, link.b) if end != "case"]:
                    tests.append(
                        Test("volts", f"red on {_at(atlas, spot)}, black on the chassis post",
                             _volts(atlas, spot), "right here, low at the battery: its cable and fuse; low "
                             "here: its belt, brushes, regulator")
                    )  # fmt: skip
            body = atlas.parts[name].body
            if body is not None:
                case = ("body", body, "")
                tests.append(
                    Test("drop", f"case of {name} to the chassis post", _volts(atlas, case),
                         "much more: straps and the chassis cable")
                )  # fmt: skip
        yield Symptom("Does not charge", mode, tuple(tests))
        yield Symptom(
            "Overcharges, lamps burn out", mode,
            (
                tests[0],
                Test("drop", "sense or regulator terminal to the battery post", "next to nothing",
                     "a lossy sense wire makes the regulator charge too high; else the regulator itself"),
            ),
        )  # fmt: skip


def _standing(design: Design) -> Iterator[Symptom]:
    for stand in design.standing[:1]:
        atlas = Atlas(design, stand.mode)
        drawing = atlas.operating.loads if atlas.operating else ()
        live, draws = [], []
        fuses, ways = _fuses_of(atlas), {one.key: one for one in reversed(atlas.stretches)}
        for fuse in design.fuses:
            stretch = ways.get((fuse.part, fuse.link))
            if stretch is not None and any(atlas.volts(spot) for spot in (stretch.a, stretch.b)):
                live.append(f"{fuse.name} ({fuse.place})")
                names = [one.part for one in drawing if stretch.key in fuses.get(one.part, ())]
                draws += [f"{fuse.name}: {', '.join(names)}"] if names else []
        tests = (
            Test("current", "meter in the chassis lead, everything off", f"{plain(stand.drawn_a)} A",
                 "more: go on with the fuses"),
            Test("current", f"meter in place of each fuse that is live at rest: {', '.join(live)}",
                 f"draws at rest: {'; '.join(draws)}" if draws else "0 A at each",
                 "the leak is behind the fuse that carries it; unplug what hangs there, one after the other"),
            Test("current", "all fuses out, still more", "0 A",
                 "a cable before the fuses, the alternator's diodes or a dirty battery top"),
        )  # fmt: skip
        yield Symptom(f"Battery flat after standing: {stand.days:.0f} days are healthy", stand.mode, tests)


def _fuses_of(atlas: Atlas) -> dict[str, set[Key]]:
    """The fuses that feed each part."""
    found: dict[str, set[Key]] = {}
    for way in atlas.loads:
        keys = {leg.stretch.key for leg in way.feed if leg.stretch.kind == "fuse"}
        found.setdefault(way.part, set()).update(keys)
    return found


def load_tests(design: Design) -> list[LoadTests]:
    """Every load that draws in some mode, each in the mode in which it draws."""
    atlases = {mode.name: Atlas(design, mode.name) for mode in design.modes}
    ways: dict[tuple[str, str], list[WayTo]] = {}
    for name, atlas in atlases.items():
        for way in atlas.loads:
            ways.setdefault((name, way.part), []).append(way)
    found = []
    for part in design.parts:
        if part.role == "source" or not any(link.kind == "load" for link in part.links):
            continue
        mode = best_mode(design, part.name)
        atlas = atlases[mode]
        for way in ways.get((mode, part.name), ()):
            if (way.part, way.link) in atlas.on:
                found.append(_load(atlas, way))
    return found


def _chain(atlas: Atlas, spots: Sequence[Spot]) -> str:
    return "; ".join(f"{_at(atlas, spot)} {_volts(atlas, spot)}" for spot in spots)


def _load(atlas: Atlas, way: WayTo) -> LoadTests:
    live, *behind = _probing(way)
    home = way.load.at
    back = [leg.at for leg in way.back if leg.at[0] != "splice"]
    return LoadTests(
        f"{way.part} {way.link}", atlas.mode,
        f"live side {named_point(live)} {_volts(atlas, live)}, "
        f"return {named_point(home)} {_volts(atlas, home)}",
        _chain(atlas, behind[: _own(way)]),
        _chain(atlas, [spot for spot in back if spot[1] != way.start[1]][:4]),
    )  # fmt: skip


def _own(way: WayTo) -> int:
    """How many points back the live side is listed: to its fuse and the bar before it."""
    count = 0
    for leg in reversed(way.feed):
        before = leg.stretch.a if leg.forward else leg.stretch.b
        count += before[0] != "splice"
        if leg.stretch.kind == "fuse":
            break
    return count


def fuse_facts(design: Design) -> list[FuseFacts]:
    """Fuse by fuse what dies, when it blows, and how much may be added behind it."""
    atlases = [Atlas(design, mode.name) for mode in design.modes]
    fed = [_fed(atlas) for atlas in atlases]
    return [_facts(design, [*zip(atlases, fed, strict=True)], fuse) for fuse in design.fuses]


def _fed(atlas: Atlas) -> dict[Key, list[tuple[WayTo, int]]]:
    """Ways of loads that draw, by what their feed passes, and the first leg that does."""
    found: dict[Key, dict[int, tuple[WayTo, int]]] = {}
    for which, way in enumerate(atlas.loads):
        if (way.part, way.link) in atlas.on:
            for at, leg in enumerate(way.feed):
                found.setdefault(leg.stretch.key, {}).setdefault(which, (way, at))
    return {key: [*ways.values()] for key, ways in found.items()}


def _facts(
    design: Design, atlases: Sequence[tuple[Atlas, Mapping[Key, Sequence[tuple[WayTo, int]]]]], fuse: Fuse
) -> FuseFacts:
    key = (fuse.part, fuse.link)
    dies: dict[str, None] = {}
    contacts: dict[str, None] = {}
    feeds: tuple[WayTo, ...] = ()
    for atlas, fed in atlases:
        for way, at in fed.get(key, ()):
            dies[way.part] = None
            feeds = feeds or (way,)
            first = next((leg for leg in way.feed[at:] if leg.stretch.kind == "contact"), None)
            contacts[inside_name(atlas, first.stretch) if first else ""] = None
    spare, by = _spare(design, feeds, key, fuse)
    named = ", ".join(one for one in contacts if one) or "none"
    gone = ", ".join([*dies, *(f"charging by {name}" for name in _charged_through(design, fuse))])
    return FuseFacts(fuse.name, gone or "nothing that draws", named, spare, by)


def _charged_through(design: Design, fuse: Fuse) -> list[str]:
    """The generators whose way to the battery passes this fuse."""
    link = next(
        one for part in design.parts if part.name == fuse.part for one in part.links if one.name == fuse.link
    )
    wires = {wire.number: (wire.from_, wire.to) for wire in design.wires}
    return [
        line.part
        for line in design.charge_lines
        if {link.a, link.b}
        <= {end.terminal for number in line.wires for end in wires[number] if end.part == fuse.part}
    ]


def _spare(design: Design, feeds: Sequence[WayTo], key: Key, fuse: Fuse) -> tuple[float, str]:
    """The least left over of fuses and wires from the battery to this fuse, and of what is generated [A]."""
    fuses = {(one.part, one.link): one for one in design.fuses}
    left = [(fuse.rating_a * fuse.continuous_share - fuse.load_a, fuse.name)]
    for way in feeds:
        for leg in way.feed:
            wire, other = leg.stretch.wire, fuses.get(leg.stretch.key)
            if wire is not None:
                left.append((wire.ampacity_a - wire.continuous_a, f"wire {wire.number}"))
            if other is not None:
                left.append((other.rating_a * other.continuous_share - other.load_a, other.name))
            if leg.stretch.key == key:
                break
    charge = [
        (one.charging_most_a - one.load_a, f"charging in {one.mode}")
        for one in design.charge_balance
        if one.speed != "idle"
    ]
    amps, by = min([*left, *charge])
    return max(amps, 0.0), by
