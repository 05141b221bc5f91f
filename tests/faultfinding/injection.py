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

from harness.electric.graph import Node
from harness.electric.netlist import netlist, node_numbers
from harness.faultfinding.asked import reachable
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
    draw = next(one for one in patient.draws if one.name == case.load)
    healthy = patient.healthy.load_v(draw.name)
    alive = case.load not in change.dead
    share = (volts[draw.a] - volts[draw.b]) / healthy if alive else 0.0
    look = "dead" if share < DIM else "dim" if share < WORKS else "works"
    readings: list[Reading] = [Seen(draw.name, look, healthy, draw.rated_v)]
    found = ward.explanations(readings)
    points = [node for node in reachable(patient) if node != patient.reference]
    for _ in range(MOST_READINGS):
        steps = next_readings(patient, found, points, 1)
        if not steps or found[0].share > SURE:
            break
        node = steps[0].node
        points.remove(node)
        readings.append(Volts(node, None, round(volts[node] * battery, 2)))
        found = ward.explanations(readings)
    return Outcome(case, len(readings) - 1, _rank(found, case), str(_first(found)))


def _first(found: list[Explanation]) -> object:
    return found[0].suspect.fault if found[0].suspect else "nothing"


def _rank(found: list[Explanation], case: Case) -> int:
    """Place of the true one; open and bad at the same spot are one, for both are mended there."""
    places: list[object] = []
    for one in found:
        spot = None if one.suspect is None else (one.suspect.fault.key, one.suspect.fault.node)
        if spot not in places:
            places.append(spot)
    true = (case.suspect.fault.key, case.suspect.fault.node)
    return places.index(true) + 1 if true in places else 99


def figures(name: str, chosen: Iterable[Case]) -> tuple[int, int, list[Outcome]]:
    """How many were looked for, how many found among the first three, and those missed."""
    outcomes = [looked_for(name, case) for case in chosen]
    missed = [one for one in outcomes if one.rank > AMONG]
    return len(outcomes), len(outcomes) - len(missed), missed


if __name__ == "__main__":
    everything = list(cases(sys.argv[1]))
    picked = everything if len(sys.argv) < 3 else random.Random(1).sample(everything, int(sys.argv[2]))
    count, good, missed = figures(sys.argv[1], picked)
    print(f"{sys.argv[1]}: {len(everything)} cases, {count} tried, {good} among the first {AMONG}")
    for one in missed:
        print(one.case.mode, one.case.suspect.fault, one.case.load, one.readings, one.rank, one.first)
