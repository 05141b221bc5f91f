"""From what a person types of a reading to the reading: points, wires and loads by their names."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from difflib import get_close_matches

from harness.electric.graph import EdgeKey, Node
from harness.faultfinding.patient import Patient
from harness.faultfinding.readings import SERIES_A, Amps, Blown, Look, Reading, Seen, Volts
from harness.faultfinding.words import points_of
from harness.model.design import Wire

LOOKS: Mapping[str, Look] = {
    "works": "works", "ok": "works", "bright": "works", "dim": "dim", "slow": "dim", "weak": "dim",
    "dead": "dead", "off": "dead", "nothing": "dead",
}  # fmt: skip
BLOWN: Mapping[str, bool] = {"blown": False, "burnt": False, "blows": True, "blows again": True}
_VALUE = re.compile(r"(?P<number>[-+]?\d{1,5}(?:[.,]\d{1,6})?)\s*(?P<milli>m?)(?P<unit>[VA])")
SIZE_ALONE = 0.05  # of the system's volts: beyond, a plus on a positive-ground machine is a minus left out
EXAMPLES = "'left lamp + = 9.1 V', 'battery - to engine = 0.4 V', 'F4 = 3.2 A', 'horn = dead' or 'F3 = blown'"


class BadReading(Exception):
    """A reading that cannot be understood; the message says what was expected."""


def read_reading(text: str, patient: Patient, wires: Sequence[Wire]) -> Reading:
    """Read "POINT = VOLTS", "POINT to POINT = VOLTS", "WIRE or FUSE = AMPERES", "LOAD = dead", "F3 = blown".

    A load works, is dim or dead; a fuse is blown, or a new one blows too. Raises BadReading.
    """
    what, equals, value = text.rpartition("=")
    what, value = what.strip(), value.strip()
    if not equals or not what or not value:
        raise BadReading(f"{text!r} is no reading; write {EXAMPLES}")
    if value.lower() in LOOKS:
        return _seen(what, LOOKS[value.lower()], patient)
    if value.lower() in BLOWN:
        return _blown(what, BLOWN[value.lower()], patient, wires)
    found = _VALUE.fullmatch(value)
    if found is None:
        raise BadReading(
            f"{value!r} is neither volts, amperes nor works, dim, dead or blown; write {EXAMPLES}"
        )
    number = float(found["number"].replace(",", ".")) * (0.001 if found["milli"] else 1.0)
    if found["unit"] == "A":
        return amps_at(_key(what, patient, wires), abs(number), patient)
    return _volts(what, number, patient)


def amps_at(key: EdgeKey, value: float, patient: Patient) -> Amps:
    """A reading of current: with the engine stopped by a meter in the way of it, else by a clamp."""
    series = patient.activity.mode.engine == "stopped" and key in meterable(patient)
    return Amps(key, value, SERIES_A) if series else Amps(key, value)


def meterable(patient: Patient) -> list[EdgeKey]:
    """Where a meter is put in the way of the current: for a fuse, and at a battery post."""
    batteries = {each.part for each in patient.plant.batteries}
    return [
        edge.key
        for edge in patient.edges.values()
        if edge.key in patient.conducting
        and (edge.kind == "fuse" or (edge.kind == "wire" and {edge.a.name, edge.b.name} & batteries))
    ]


def _nearest(word: str, words: Sequence[str]) -> str:
    near = get_close_matches(word, words, n=1, cutoff=0.5)
    return f"did you mean {near[0]!r}?" if near else f"there are, among others: {', '.join(words[:6])}"


def meter_sign(patient: Patient) -> int:
    """-1 on a positive-ground machine: the network counts towards the live post, a meter shows a minus."""
    return -1 if patient.plant.machine.chassis_post == "positive" else 1


def _volts(what: str, volts: float, patient: Patient) -> Volts:
    points = points_of(patient.nodes)
    volts *= meter_sign(patient)
    if what in points:
        # Many write the size alone: nothing on a positive-ground machine stands so far above its chassis.
        lost = meter_sign(patient) < 0 and volts < -SIZE_ALONE * patient.plant.machine.voltage_v
        return Volts(points[what], None, -volts if lost else volts)
    at = what.find(" to ")
    while at >= 0:
        a, b = what[:at].strip(), what[at + 4 :].strip()
        if a in points and b in points:
            return Volts(points[b], points[a], volts)
        at = what.find(" to ", at + 1)
    raise BadReading(f"there is no point {what!r}; {_nearest(what, list(points))}")


def _keys(patient: Patient, wires: Sequence[Wire]) -> dict[str, EdgeKey]:
    """Every wire, and every fuse, contact and bar that conducts, by the words a person would type for it."""
    named: dict[str, EdgeKey] = {f"wire {wire.number}": at for at, wire in enumerate(wires)}
    inside: dict[str, list[EdgeKey]] = {}
    for key in patient.conducting:
        if isinstance(key, tuple):
            named[" ".join(key)] = key
            named.setdefault(key[1].rpartition("/")[2] if "bus/" in key[1] else " ".join(key), key)
            inside.setdefault(key[0], []).append(key)
    return named | {name: keys[0] for name, keys in inside.items() if len(keys) == 1 and name not in named}


def _key(what: str, patient: Patient, wires: Sequence[Wire]) -> EdgeKey:
    named = _keys(patient, wires)
    if what not in named:
        raise BadReading(f"no current of {what!r} is known; {_nearest(what, list(named))}")
    return named[what]


def _blown(what: str, again: bool, patient: Patient, wires: Sequence[Wire]) -> Blown:
    fuses = {name: key for name, key in _keys(patient, wires).items() if patient.edges[key].kind == "fuse"}
    if what not in fuses:
        raise BadReading(f"there is no fuse {what!r}; {_nearest(what, list(fuses))}")
    return Blown(fuses[what], again)


def _seen(what: str, look: Look, patient: Patient) -> Seen:
    loads = {draw.name: draw for draw in patient.draws}
    own: dict[str, list[str]] = {}
    for name, edge in (
        (" ".join(map(str, key)), key) for key in patient.load_edges if isinstance(key, tuple)
    ):
        own.setdefault(edge[0], []).append(name)
    on = {draw.name for draw in patient.bench.model().draws}
    alike = [each for each in {*own, *loads} if each.casefold() == what.casefold()]
    if what not in loads and what not in own and len(alike) == 1:
        what = alike[0]  # capitals aside
    names = [name for name in own.get(what, []) if name in loads]
    chosen = [name for name in names if name in on] or names
    if what in loads:
        chosen = [what]
    if len(chosen) != 1:
        words = [*own, *(name for each in own.values() for name in each)]
        more = f"say which: {', '.join(chosen)}" if chosen else _nearest(what, words)
        raise BadReading(f"no load {what!r} is there to look at; {more}")
    draw = loads[chosen[0]]
    return Seen(draw.name, look, patient.healthy.load_v(draw.name), draw.rated_v)


def reachable(patient: Patient) -> list[Node]:
    """Points a probe reaches without cutting into the loom: splices lie under shrink, pigtails in joints."""
    parts = patient.plant.machine.parts
    found = []
    for node in patient.nodes:
        if node.kind == "splice":
            continue
        part = parts.get(node.name) if node.kind == "terminal" else None
        fittings = {terminal.name: terminal.fitting for terminal in part.terminals} if part else {}
        if fittings.get(node.terminal) != "pigtail":
            found.append(node)
    return found
