"""The assumed figures of a machine, each with a way to make the same machine with that figure changed."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

from harness.kinds import find
from harness.model.doubts import Doubt
from harness.model.machine import Link, Load, Machine, Part
from harness.model.problem import Where
from harness.model.sensitivity import Assumption

Change = Callable[[Machine, float], Machine]  # the machine and a factor, to the machine with it
BASE_C = 20.0  # a temperature is wrong by a share of how far it lies from this, the tables' own base
_CONTACT = re.compile(r"contact (?P<links>.+?) (?P<mohm>[\d.e+-]+) mohm(?:, rated (?P<amps>[\d.e+-]+) A)? \(")


@dataclass(frozen=True, slots=True)
class Figure:
    """An assumption, what sort of figure it is, and how to change it."""

    assumption: Assumption
    sort: str  # figures of one sort pull the same way
    change: Change | None


def figures(machine: Machine) -> list[Figure]:
    """Every assumed figure, in the order of the survey's sections; those marked ``?`` go before."""
    marked = [_doubted(machine, doubt) for doubt in machine.doubts]
    said = {(each.section, each.name, each.key) for each in machine.doubts}
    filled = [*_machine_wide(machine, said), *_zones(machine, said)]
    for part in machine.parts.values():
        filled += _filled(part)
    return [*marked, *filled]


def _figure(
    section: str,
    name: str,
    what: str,
    value: str,
    sort: str,
    change: Change | None,
    of: Doubt | Part,
) -> Figure:
    assumption = Assumption(section, name, what, value, of.where, isinstance(of, Doubt), change is not None)
    return Figure(assumption, sort, change)


# --------------------------------------------------------------------------------------- machine and zones


def _warmer(value_c: float, factor: float) -> float:
    return BASE_C + (value_c - BASE_C) * factor


def _colder(machine: Machine, factor: float) -> Machine:
    return replace(machine, coldest_c=_warmer(machine.coldest_c, factor))


def _zone(name: str) -> Change:
    def change(machine: Machine, factor: float) -> Machine:
        zone = machine.zones[name]
        hotter = replace(zone, ambient_c=_warmer(zone.ambient_c, factor))
        return replace(machine, zones={**machine.zones, name: hotter})

    return change


def _machine_wide(machine: Machine, said: set[tuple[str, str, str]]) -> Iterator[Figure]:
    for words in machine.assumed:
        if words.startswith("coldest start") and ("machine", "", "coldest") not in said:
            about = Assumption("machine", "", "coldest", f"{machine.coldest_c:g} °C", Where(machine.file))
            yield Figure(about, "coldest", _colder)


def _zones(machine: Machine, said: set[tuple[str, str, str]]) -> Iterator[Figure]:
    for zone in machine.zones.values():
        if zone.assumed and ("zones", zone.name, "ambient") not in said:
            about = Assumption("zones", zone.name, "ambient", f"{zone.ambient_c:g} °C", zone.where)
            yield Figure(about, "ambient", _zone(zone.name))


# ------------------------------------------------------------------------------------------------ parts


def _links(name: str, picked: Callable[[int, Link], bool], turn: Callable[[Link, float], Link]) -> Change:
    def change(machine: Machine, factor: float) -> Machine:
        part = machine.parts[name]
        links = [turn(link, factor) if picked(at, link) else link for at, link in enumerate(part.links)]
        return _with(machine, replace(part, links=tuple(links)))

    return change


def _with(machine: Machine, part: Part) -> Machine:
    return replace(machine, parts={**machine.parts, part.name: part})


def _loaded(turn: Callable[[Load, float], Load]) -> Callable[[Link, float], Link]:
    def change(link: Link, factor: float) -> Link:
        return link if link.load is None else replace(link, load=turn(link.load, factor))

    return change


def _steady(load: Load, factor: float) -> Load:
    """A load that draws more; its watts, if it has any, follow."""
    watts = None if load.power_w is None else load.power_w * factor
    return replace(load, steady_a=load.steady_a * factor, power_w=watts)


def _whole(load: Load, factor: float) -> Load:
    """The same where the peak is known only as so many times the steady current."""
    return _peak(_steady(load, factor), factor)


def _peak(load: Load, factor: float) -> Load:
    return load if load.peak_a is None else replace(load, peak_a=max(load.peak_a * factor, load.steady_a))


def _spell(load: Load, factor: float) -> Load:
    return load if load.steady_s is None else replace(load, steady_s=load.steady_s * factor)


def _resistance(link: Link, factor: float) -> Link:
    return replace(link, resistance_ohm=link.resistance_ohm * factor)


def _rating(link: Link, factor: float) -> Link:
    return link if link.rating_a is None else replace(link, rating_a=link.rating_a * factor)


def _scaled(name: str, *fields: str, most: float | None = None) -> Change:
    """Change numbers of a part itself."""

    def change(machine: Machine, factor: float) -> Machine:
        part = machine.parts[name]
        for field in fields:
            value = getattr(part, field)
            if value is not None:
                scaled = value * factor
                part = replace(part, **{field: scaled if most is None else min(scaled, most)})
        return _with(machine, part)

    return change


def _takes(part: Part) -> Mapping[int, str]:
    """Which links are its main load and which are its coil, as its kind says, in the kind's order."""
    kind = find(part.kind)
    if kind is None:
        return {}
    return {
        at: one.load.takes
        for at, one in enumerate(kind.links)
        if one.load is not None and at < len(part.links) and part.links[at].load is not None
    }


def _filled(part: Part) -> Iterator[Figure]:
    """What was filled in from the kind of a part."""
    takes = _takes(part)
    for words in part.assumed:
        if words.endswith("(marked ? in the survey)"):
            continue
        yield from _worded(part, words, takes)


def _worded(part: Part, words: str, takes: Mapping[int, str]) -> Iterator[Figure]:
    name = part.name
    contact = _CONTACT.match(words)
    if contact:
        yield from _contact(part, contact)
        return
    plain = words.split(" (", 1)[0]
    scaled = _own(part, words)
    if scaled is not None:
        what, value, change = scaled
        yield _figure("parts", name, what, value, what, change, part)
        return
    for at, link in enumerate(part.links):
        if link.load is None or at not in takes:
            continue
        label = "coil current" if takes[at] == "coil" else "current"
        alike = sum(1 for each in takes.values() if each == takes[at])
        label = f"{label} at {_said(part, at)}" if alike > 1 else label
        if words.startswith(f"peak {label} "):
            value = plain.removeprefix(f"peak {label} ")
            yield _figure("parts", name, f"peak {label}", value, "peak", _at(name, at, _peak), part)
            return
        if words.startswith(f"{label} for "):
            value = plain.removeprefix(f"{label} for ")
            yield _figure("parts", name, f"{label} for", value, "spell", _at(name, at, _spell), part)
            return
        if words.startswith(f"{label} ") and "(typical" in words:
            typical = any(each.startswith(f"peak {label} ") for each in part.assumed)
            turn = _whole if typical else _steady
            value = plain.removeprefix(f"{label} ")
            yield _figure("parts", name, label, value, f"steady {takes[at]}", _at(name, at, turn), part)
            return
    yield _figure("parts", name, plain, "", "", None, part)


def _said(part: Part, at: int) -> str:
    """The terminal as the kind names it: a positive-ground machine has turned its own about."""
    kind = find(part.kind)
    return kind.links[at].a if kind is not None else part.links[at].a


def _at(name: str, at: int, turn: Callable[[Load, float], Load]) -> Change:
    return _links(name, lambda index, link: index == at, _loaded(turn))


def _own(part: Part, words: str) -> tuple[str, str, Change] | None:
    name = part.name
    if words.startswith("capacity ") and part.capacity_ah is not None:
        return "capacity", f"{part.capacity_ah:g} Ah", _scaled(name, "capacity_ah")
    if words.startswith("idle output ") and part.idle_output_a is not None:
        return "idle output", f"{part.idle_output_a:.3g} A", _scaled(name, "idle_output_a")
    if words.startswith("output ") and part.output_a is not None:
        assumed = any(each.startswith("idle output ") for each in part.assumed)
        fields = ("output_a", "idle_output_a") if assumed else ("output_a",)
        return "output", f"{part.output_a:g} A", _scaled(name, *fields)
    if words.startswith("charged to ") and part.charge is not None:
        return "charge", f"{part.charge:.0%}", _scaled(name, "charge", most=1.0)
    if words.startswith("pins rated ") and part.pin_a is not None:
        return "rating of its pins", f"{part.pin_a:g} A", _scaled(name, "pin_a")
    if words.startswith("at most ") and part.way_a is not None:
        return "rating of its ways", f"{part.way_a:g} A", _ways(name)
    return None


def _ways(name: str) -> Change:
    links = _links(name, lambda at, link: link.kind == "bus", _rating)
    scaled = _scaled(name, "way_a")
    return lambda machine, factor: links(scaled(machine, factor), factor)


def _contact(part: Part, said: re.Match[str]) -> Iterator[Figure]:
    """Resistance and rating of contacts that are alike."""
    kind = find(part.kind)
    names = set(said["links"].split(", "))
    own = {f"{one.a}/{one.b}" for one in (kind.links if kind else ()) if one.kind == "contact"} & names
    hit = {at for at, one in enumerate(kind.links if kind else ()) if f"{one.a}/{one.b}" in own}
    about = f"contact {said['links']}"

    def picked(at: int, link: Link) -> bool:
        return at in hit and link.kind == "contact"

    ohm = _links(part.name, picked, _resistance)
    yield _figure("parts", part.name, f"resistance of {about}", f"{said['mohm']} mohm", "contact", ohm, part)
    if said["amps"]:
        rated = _links(part.name, picked, _rating)
        yield _figure(
            "parts", part.name, f"rating of {about}", f"{said['amps']} A", "contact rating", rated, part
        )


# ------------------------------------------------------------------------------- marked with a question mark


def _doubted(machine: Machine, doubt: Doubt) -> Figure:
    change = _of_doubt(machine, doubt)
    return _figure(
        doubt.section, doubt.name, doubt.key, doubt.value, f"{doubt.section} {doubt.key}", change, doubt
    )


def _of_doubt(machine: Machine, doubt: Doubt) -> Change | None:
    name, key = doubt.name, doubt.key
    if doubt.section == "machine":
        return {"coldest": _colder, "altitude": _higher}.get(key)
    if doubt.section == "zones" and name in machine.zones:
        return _zone(name)
    if doubt.section == "runs":
        return _run(
            name, {"length": "length_m", "hole": "hole_mm", "plate": "plate_mm", "edge": "edge_m"}[key]
        )
    if doubt.section == "circuits":
        return _allowed(name)
    if doubt.section == "parts" and name in machine.parts:
        return _of_part(machine.parts[name], key)
    return None


def _higher(machine: Machine, factor: float) -> Machine:
    return replace(machine, altitude_m=machine.altitude_m * factor)


def _run(name: str, field: str) -> Change:
    def change(machine: Machine, factor: float) -> Machine:
        runs = []
        for run in machine.runs:
            value = getattr(run, field)
            hit = run.name == name and value is not None
            runs.append(replace(run, **{field: value * factor}) if hit else run)
        return replace(machine, runs=tuple(runs))

    return change


def _allowed(name: str) -> Change:
    def change(machine: Machine, factor: float) -> Machine:
        circuits = [
            replace(each, allowance_v=each.allowance_v * factor)
            if each.name == name and each.allowance_v is not None
            else each
            for each in machine.circuits
        ]
        return replace(machine, circuits=tuple(circuits))

    return change


def _of_part(part: Part, key: str) -> Change | None:
    """How one key of a part acts on its figures; None for what no size follows."""
    name, takes = part.name, _takes(part)

    def of(which: str, turn: Callable[[Load, float], Load]) -> Change:
        return _links(name, lambda at, link: takes.get(at) == which, _loaded(turn))

    def follows(label: str) -> bool:
        return any(each.startswith(f"peak {label}") for each in part.assumed)

    own = {
        "capacity": ("capacity_ah",), "cranking": ("cranking_a",), "idle output": ("idle_output_a",),
        "output": ("output_a",),
    }  # fmt: skip
    if key in own:
        both = key == "output" and any(each.startswith("idle output ") for each in part.assumed)
        return _scaled(name, *own[key], *(("idle_output_a",) if both else ()))
    if key == "charge":
        return _scaled(name, "charge", most=1.0)
    if key in ("power", "current"):
        return of("main", _whole if follows("current") else _steady)
    if key == "coil":
        return of("coil", _whole if follows("coil current") else _steady)
    if key in ("peak", "coil peak"):
        return of("main" if key == "peak" else "coil", _peak)
    if key == "duty":
        return of("main", _spell)
    if key == "resistance":
        return _links(name, lambda at, link: link.kind == "contact", _resistance)
    if key == "rating":
        return _rated(name)
    return None


def _rated(name: str) -> Change:
    links = _links(name, lambda at, link: link.kind in ("contact", "fuse", "bus"), _rating)
    own = _scaled(name, "way_a", "pin_a")
    return lambda machine, factor: links(own(machine, factor), factor)
