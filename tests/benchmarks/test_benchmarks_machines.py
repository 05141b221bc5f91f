"""A generated machine of 300 wires is designed whole and right."""

from __future__ import annotations

import pytest

from harness.pipeline import design
from harness.survey import read, yamltext
from tests.benchmarks.machines import survey


def test_a_machine_of_300_wires_is_designed_right(monkeypatch: pytest.MonkeyPatch) -> None:
    """Proven, every load within its allowance, every wire within what it may carry."""
    monkeypatch.setattr(yamltext, "MOST_NODES", 500_000)  # far above what a person writes
    made = design(read("generated.yaml", text=survey(300).encode()))
    assert 250 <= len(made.wires) <= 350
    assert made.totals.proven_gap == 0
    assert made.totals.copper_kg <= made.totals.baseline_copper_kg
    assert [load.part for load in made.loads if load.freeing] == []
    for load in made.loads:
        assert all(volts.judged_v <= load.allowance_v + 1e-6 for volts in load.modes), load.part
    assert [wire.number for wire in made.wires if wire.continuous_a > wire.ampacity_a] == []
    assert len({wire.number for wire in made.wires}) == len(made.wires)
