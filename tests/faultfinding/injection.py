"""Faults put into a machine and looked for by a symptom and what the program then says to measure.

The faulty machine is solved by ngspice, not by us, and read as a meter shows it. ``python -m
tests.faultfinding.injection NAME`` prints the figures of a sample.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from harness.electric.graph import EdgeKey, Node
from harness.electric.netlist import netlist, node_numbers
from harness.faultfinding.asked import amps_at, meterable, reachable
from harness.faultfinding.diagnose import Explanation, Ward
from harness.faultfinding.faults import Suspect
from harness.faultfinding.nextstep import next_readings
from harness.faultfinding.patient import Change, Patient
from harness.faultfinding.readings import DIM, WORKS, Reading, Seen, Volts
from harness.pipeline import bedded
from harness.survey import read
from tests.electric.test_electric_netlist import spice_volts

SAMPLES = Path(__file__).parents[2] / "samples"
MOST_READINGS = 4
AMONG = 3
LOST_SHARE = 0.35  # of a load's volts that a bad joint takes when it is injected
SURE = 0.9
SOURCES = ("flat battery", "tired battery", "no charge", "overcharge")


@cache
def wards(name: str) -> dict[str, Ward]:
    return {mode: Ward(patient) for mode, patient in bedded(read(SAMPLES / f"{name}.yaml"))[1].items()}


def true_volts(patient: Patient, change: Change) -> dict[Node, float]:
    """Volts of every point as ngspice finds them."""
    model = patient.whole(change)
    found = spice_volts(netlist(model, "fault"))
    numbers = node_numbers(model)
    return {node: found[at] if at else 0.0 for node, at in numbers.items() if isinstance(node, Node)}


@dataclass(frozen=True)
class Case:
    """A fault of a certain size, in the mode in which it shows most, and the load that shows it."""

    mode: str
    suspect: Suspect
    value: float
    load: str


@dataclass(frozen=True)
class Outcome:
    """How the search went."""

    case: Case
    readings: int
    rank: int  # of the true fault, 1 the likeliest; 99 when it is not among the explanations
    first: str  # what was thought likeliest


def cases(name: str) -> Iterator[Case]:
    """Every wire, joint, contact, fuse and coupler way open, and bad, wherever some load shows it."""
    keys = {suspect.fault.key for ward in wards(name).values() for suspect in ward._suspects}
    for key in sorted((key for key in keys if key is not None), key=str):
        for bad in (False, True):
            shown = [found for ward in wards(name).values() if (found := _shown(ward, key, bad))]
            if shown:
                yield max(shown, key=lambda each: each[0])[1]


def more_cases(name: str) -> Iterator[Case]:
    """Sources that are weak, dead or high, feeds that are wrong, leaks that empty the battery overnight."""
    found: dict[object, tuple[float, Case]] = {}
    for ward in wards(name).values():
        stopped = ward.patient.activity.mode.engine == "stopped"
        for suspect in ward._suspects:
            fault = suspect.fault
            if fault.key is not None and fault.kind != "stuck contact":
                continue
            if fault.kind == "leak" and not stopped:
                continue
            value = suspect.values[len(suspect.values) // 2] if suspect.values else 0.0
            find = _leaks if fault.kind == "leak" else _posts if fault.kind in SOURCES else _changed
            shown = find(ward, suspect, value)
            spot = (fault.kind, fault.key, fault.node, fault.name)
            if shown is not None and (spot not in found or shown[0] > found[spot][0]):
                found[spot] = shown
    yield from (case for _, case in found.values())


def _leaks(ward: Ward, suspect: Suspect, value: float) -> tuple[float, Case] | None:
    """A leak that draws current at rest."""
    state, mode = ward.state(suspect, value), ward.patient.activity.mode.name
    amps = abs(state.amps(post_cable(ward.patient)))
    calm = abs(ward.patient.healthy.amps(post_cable(ward.patient)))
    return (amps, Case(mode, suspect, value, "")) if amps > calm + 0.05 else None


def _posts(ward: Ward, suspect: Suspect, value: float) -> tuple[float, Case] | None:
    """A source that shows at the battery posts."""
    live = ward.patient.givers[0].a
    assert isinstance(live, Node)
    moved = abs(ward.state(suspect, value).volts(live) - ward.patient.healthy.volts(live))
    case = Case(ward.patient.activity.mode.name, suspect, value, "")
    return (moved, case) if moved > 0.03 * ward.patient.plant.machine.voltage_v else None


def post_cable(patient: Patient) -> int:
    """The cable on the chassis post, where current at rest is measured."""
    found = [key for key in meterable(patient) if isinstance(key, int)]
    ends = {key: {patient.edges[key].a, patient.edges[key].b} for key in found}
    return next((key for key in found if patient.reference in ends[key]), found[0])


def _changed(ward: Ward, suspect: Suspect, value: float) -> tuple[float, Case] | None:
    """The load that a fault feeds or lifts or starves the most."""
    state, mode = ward.state(suspect, value), ward.patient.activity.mode.name
    found = []
    for draw in ward.patient.draws:
        healthy, now = ward.patient.healthy.load_v(draw.name), state.point.draw_v.get(draw.name, 0.0)
        found.append((abs(now - healthy) / draw.rated_v, draw.name))
    moved, load = max(found, default=(0.0, ""))
    return (moved, Case(mode, suspect, value, load)) if moved > 1 - WORKS else None


def _shown(ward: Ward, key: object, bad: bool) -> tuple[float, Case] | None:
    """How much of its volts the worst load loses, and the case."""
    patient = ward.patient
    for suspect in ward._suspects:
        kind = suspect.fault.kind
        if suspect.fault.key != key or suspect.adds_ohm != bad or kind in ("stuck contact",):
            continue
        if kind == "open inside" or (bad and abs(patient.healthy.amps(key)) < 0.05):  # type: ignore[arg-type]
            continue
        value = _value(ward, suspect) if bad else 0.0
        state = ward.state(suspect, value)
        found = [
            (1 - state.point.draw_v.get(draw.name, 0.0) / healthy, draw.name)
            for draw in patient.draws
            if (healthy := patient.healthy.load_v(draw.name)) > DIM * draw.rated_v
        ]
        lost, load = max(found, default=(0.0, ""))
        if lost > 1 - WORKS:
            return lost, Case(patient.activity.mode.name, suspect, value, load)
    return None


def _value(ward: Ward, suspect: Suspect) -> float:
    """A resistance that takes about ``LOST_SHARE`` of what it could."""
    key = suspect.fault.key
    assert key is not None
    edge, gone = ward.patient.edges[key], ward._open(suspect)
    inner = abs(gone.volts(edge.a, edge.b)) / abs(ward.patient.healthy.amps(key))
    return inner * LOST_SHARE / (1 - LOST_SHARE)


def looked_for(name: str, case: Case, *, battery: float = 1.0) -> Outcome:
    """Search as the program says, reading what ngspice finds; the battery may differ from the assumed."""
    ward = wards(name)[case.mode]
    patient = ward.patient
    change = case.suspect.change(case.value)
    volts = true_volts(patient, change)
    readings: list[Reading] = [_symptom(patient, case, change, volts, battery)]
    keys: list[EdgeKey] = list(meterable(patient)) if case.suspect.fault.kind == "leak" else []
    found = ward.explanations(readings)
    points = [node for node in reachable(patient) if node != patient.reference]
    for _ in range(MOST_READINGS):
        steps = next_readings(patient, found, points, 1, keys)
        if not steps or found[0].share > SURE:
            break
        node, key = steps[0].node, steps[0].key
        if key is not None:
            keys.remove(key)
            readings.append(amps_at(key, round(_true_amps(patient, change, volts, key), 2), patient))
            found = ward.explanations(readings)
            continue
        assert node is not None
        points.remove(node)
        readings.append(Volts(node, None, round(volts[node] * battery, 2)))
        found = ward.explanations(readings)
    return Outcome(case, len(readings) - 1, _rank(found, case), str(_first(found)))


def _true_amps(patient: Patient, change: Change, volts: dict[Node, float], key: EdgeKey) -> float:
    edge = patient.edges[key]
    return abs(volts[edge.a] - volts[edge.b]) * patient.siemens(key, change)


def _symptom(
    patient: Patient, case: Case, change: Change, volts: dict[Node, float], battery: float
) -> Reading:
    """What the owner comes with: a load that is dead, dim, or on by itself; too high; or current at rest."""
    if case.suspect.fault.kind in SOURCES:
        live = patient.givers[0].a
        assert isinstance(live, Node)
        return Volts(live, None, round(volts[live] * battery, 2))
    if not case.load:
        key = post_cable(patient)
        return amps_at(key, round(_true_amps(patient, change, volts, key), 2), patient)
    draw = next(one for one in patient.draws if one.name == case.load)
    healthy = patient.healthy.load_v(draw.name)
    rated = abs(healthy) > DIM * draw.rated_v
    alive = case.load not in change.dead
    share = abs(volts[draw.a] - volts[draw.b]) / (abs(healthy) if rated else draw.rated_v) if alive else 0.0
    if rated and share > 1:  # nobody sees 20 % too much: the meter at the battery is what tells
        live = patient.givers[0].a
        assert isinstance(live, Node)
        return Volts(live, None, round(volts[live] * battery, 2))
    look = "dead" if share < DIM else "dim" if share < WORKS else "works"
    return Seen(draw.name, look, healthy, draw.rated_v)


def _first(found: list[Explanation]) -> object:
    return found[0].suspect.fault if found[0].suspect else "nothing"


def _rank(found: list[Explanation], case: Case) -> int:
    """Place of the true one; open and bad at the same spot are one, for both are mended there."""
    places: list[object] = []
    for one in found:
        spot = None if one.suspect is None else _spot(one.suspect)
        if spot not in places:
            places.append(spot)
    true = _spot(case.suspect)
    return places.index(true) + 1 if true in places else 99


def _spot(suspect: Suspect) -> object:
    """Where it is mended: a battery that is flat or worn out is one spot, an alternator's faults another."""
    fault = suspect.fault
    return (fault.key, fault.node, fault.name if fault.key is None and fault.node is None else "")


def figures(name: str, chosen: Iterable[Case]) -> tuple[int, int, list[Outcome]]:
    """How many were looked for, how many found among the first three, and those missed."""
    outcomes = [looked_for(name, case) for case in chosen]
    missed = [one for one in outcomes if one.rank > AMONG]
    return len(outcomes), len(outcomes) - len(missed), missed


def sorts(outcomes: Iterable[Outcome]) -> dict[str, tuple[int, int]]:
    """Kind of fault -> how many were looked for, how many found."""
    found: dict[str, tuple[int, int]] = {}
    for one in outcomes:
        tried, good = found.get(one.case.suspect.fault.kind, (0, 0))
        found[one.case.suspect.fault.kind] = (tried + 1, good + (one.rank <= AMONG))
    return found


def main(name: str, most: int | None) -> None:
    """Print the figures of one sample; ``most``: so many of the wires and joints, chosen by a seed."""
    chosen = list(cases(name))
    if most is not None and most < len(chosen):
        chosen = random.Random(1).sample(chosen, most)
    outcomes = [looked_for(name, case) for case in (*chosen, *more_cases(name))]
    for kind, (tried, good) in sorted(sorts(outcomes).items()):
        print(f"{name}: {kind}: {good} of {tried}", flush=True)
    print(f"{name}: all: {sum(one.rank <= AMONG for one in outcomes)} of {len(outcomes)}")
    for one in outcomes:
        if one.rank > AMONG:
            print(
                "missed",
                one.case.mode,
                one.case.suspect.fault,
                one.case.load,
                one.readings,
                one.rank,
                one.first,
            )


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else None)
