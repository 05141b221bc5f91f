"""A machine with a fault in it: the solve against ngspice, and the fault found by what ngspice reads."""

from __future__ import annotations

import random

import pytest

from harness.electric.graph import Node
from harness.faultfinding.faults import Suspect
from harness.faultfinding.patient import Patient
from tests.faultfinding.injection import cases, figures, true_volts, wards
from tests.published.recorder import beside

NEAR_V = 0.02  # of a meter; ngspice is let stop where we stop


def some(patient: Patient, suspects: tuple[Suspect, ...], count: int) -> list[tuple[Suspect, float]]:
    """Suspects of every kind in turn, each at a value in the middle of its own."""
    chosen: list[tuple[Suspect, float]] = []
    for kind in dict.fromkeys(one.fault.kind for one in suspects):
        own = [one for one in suspects if one.fault.kind == kind]
        for one in random.Random(kind).sample(own, min(count, len(own))):
            value = 1.0 if one.adds_ohm else one.values[len(one.values) // 2] if one.values else 0.0
            chosen.append((one, value))
    return chosen


@beside("ngspice", "volts of every node of a machine with a fault in it")
@pytest.mark.parametrize(("name", "mode", "count"), [("pump", "running", 2), ("roller", "night work", 1)])
def test_ngspice_finds_the_same_volts_with_a_fault_of_every_kind(name: str, mode: str, count: int) -> None:
    ward = wards(name)[mode]
    patient = ward.patient
    for suspect, value in some(patient, ward._suspects, count):
        other = true_volts(patient, suspect.change(value))
        state = ward.state(suspect, value)
        assert state.point.settled, suspect.fault
        for node in patient.nodes:
            mine, theirs = state.volts(node), other[node] - other[patient.reference]
            assert mine == pytest.approx(theirs, abs=NEAR_V, rel=2e-3), (suspect.fault, node)


@pytest.mark.parametrize(("name", "tried"), [("pump", None), ("orchard", 30), ("roller", 12)])
def test_the_true_fault_is_among_the_first_three_after_four_readings(name: str, tried: int | None) -> None:
    """In 95 % of cases, which is what is asked; ``python -m tests.faultfinding.injection`` runs them all."""
    chosen = list(cases(name))
    if tried is not None:
        chosen = random.Random(1).sample(chosen, tried)
    count, good, missed = figures(name, chosen)
    assert count == len(chosen)
    assert good >= 0.95 * count, missed


def test_a_sound_machine_is_said_to_be_sound() -> None:
    from harness.faultfinding.readings import Volts

    ward = wards("pump")["running"]
    patient = ward.patient
    nodes = [node for node in patient.nodes if isinstance(node, Node) and node != patient.reference]
    readings = [Volts(node, None, round(patient.healthy.volts(node), 2)) for node in nodes[:12]]
    assert ward.explanations(readings)[0].suspect is None
