"""From what a person types of a reading to the reading: points, wires and loads by their names."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from difflib import get_close_matches

from harness.electric.graph import EdgeKey, Node
from harness.faultfinding.patient import Patient
from harness.faultfinding.readings import SERIES_A, Amps, Look, Reading, Seen, Volts
from harness.faultfinding.words import points_of
from harness.model.design import Wire

LOOKS: Mapping[str, Look] = {
    "works": "works", "ok": "works", "bright": "works", "dim": "dim", "slow": "dim", "weak": "dim",
    "dead": "dead", "off": "dead", "nothing": "dead",
}  # fmt: skip
_VALUE = re.compile(r"(?P<number>[-+]?\d{1,5}(?:[.,]\d{1,6})?)\s*(?P<milli>m?)(?P<unit>[VA])")
SIZE_ALONE = 0.05  # of the system's volts: beyond, a plus on a positive-ground machine is a minus left out
EXAMPLES = "'left lamp + = 9.1 V', 'battery - to engine = 0.4 V', 'wire 12 = 3.2 A' or 'horn = dead'"


class BadReading(Exception):
    """A reading that cannot be understood; the message says what was expected."""


def read_reading(text: str, patient: Patient, wires: Sequence[Wire]) -> Reading:
    """Read "POINT = VOLTS", "POINT to POINT = VOLTS", "WIRE or FUSE = AMPERES", or "LOAD = dead".

    A load works, is dim or dead. Raises BadReading.
    """
    what, equals, value = text.rpartition("=")
    what, value = what.strip(), value.strip()
    if not equals or not what or not value:
        raise BadReading(f"{text!r} is no reading; write {EXAMPLES}")
    if value.lower() in LOOKS:
        return _seen(what, LOOKS[value.lower()], patient)
    found = _VALUE.fullmatch(value)
    if found is None:
        raise BadReading(f"{value!r} is neither volts, amperes nor works, dim or dead; write {EXAMPLES}")
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


def _key(what: str, patient: Patient, wires: Sequence[Wire]) -> EdgeKey:
    named: dict[str, EdgeKey] = {f"wire {wire.number}": at for at, wire in enumerate(wires)}
    inside: dict[str, list[EdgeKey]] = {}
    for key in patient.conducting:
        if isinstance(key, tuple):
            named[" ".join(key)] = key
            named.setdefault(key[1].rpartition("/")[2] if "bus/" in key[1] else " ".join(key), key)
            inside.setdefault(key[0], []).append(key)
    named |= {name: keys[0] for name, keys in inside.items() if len(keys) == 1 and name not in named}
    if what not in named:
        raise BadReading(f"no current of {what!r} is known; {_nearest(what, list(named))}")
    return named[what]


def _seen(what: str, look: Look, patient: Patient) -> Seen:
    loads = {draw.name: draw for draw in patient.draws}
    own: dict[str, list[str]] = {}
    for name, edge in (
        (" ".join(map(str, key)), key) for key in patient.load_edges if isinstance(key, tuple)
    ):
        own.setdefault(edge[0], []).append(name)
    on = {draw.name for draw in patient.bench.model().draws}
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
