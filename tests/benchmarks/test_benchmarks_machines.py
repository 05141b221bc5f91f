"""Generated machines are hard, the same every time, and designed whole and right."""

from __future__ import annotations

import pytest

from harness.model.design import Design
from harness.pipeline import design
from harness.survey import read
from tests.benchmarks.machines import survey


@pytest.fixture(scope="module")
def made() -> Design:
    return design(read("generated.yaml", text=survey(200).encode()))


def test_the_same_number_and_seed_give_the_same_survey_and_another_seed_another() -> None:
    assert survey(200) == survey(200) != survey(200, seed=2)


def test_it_has_all_that_makes_a_machine_hard(made: Design) -> None:
    assert 180 <= len(made.wires) <= 220
    kinds = {part.kind for part in made.parts}
    assert {"battery", "alternator", "starter motor", "relay", "fuse panel", "bus stud"} <= kinds
    assert sum(part.kind == "battery" for part in made.parts) == 2
    assert {part.body for part in made.parts} >= {"engine", "frame", "cab 4"}
    assert any(load.peak_a for load in made.loads) and len(made.splices) > 10
    inner = {splice.name for splice in made.splices}
    assert any(wire.from_.part in inner and wire.to.part in inner for wire in made.wires)
    used = [{step.wire for path in one.paths for step in path if step.wire} for one in made.circuits]
    assert sum(map(len, used)) > len(set().union(*used))  # wires that two circuits share


def test_every_load_is_fed_and_every_wire_carries_what_it_may(made: Design) -> None:
    assert made.totals.copper_kg <= made.totals.baseline_copper_kg
    assert [load.part for load in made.loads if load.freeing] == []
    for load in made.loads:
        assert load.modes, load.part
        assert all(volts.judged_v <= load.allowance_v + 1e-6 for volts in load.modes), load.part
    assert [wire.number for wire in made.wires if wire.continuous_a > wire.ampacity_a] == []
    assert len({wire.number for wire in made.wires}) == len(made.wires)
