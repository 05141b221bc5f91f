"""Times sizing and design of the roller and of generated machines.

Not part of the suite: ``python -m pytest tests/benchmarks/bench_machines.py --benchmark-only``.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from harness.electric.currents import Plant
from harness.electric.graph import edges
from harness.electric.ruleset import rule_set
from harness.electric.sizing import size_machine
from harness.loom.routing import route
from harness.model.machine import Machine
from harness.pipeline import design
from harness.survey import read, yamltext
from tests.benchmarks.machines import survey

ROLLER = Path(__file__).parents[2] / "samples" / "roller.yaml"
SIZES = (100, 1_000, 10_000)


def _machine(wires: int, patch: pytest.MonkeyPatch) -> Machine:
    patch.setattr(yamltext, "MOST_NODES", 500_000)  # a survey a person writes stays far below the real limit
    return read("generated.yaml", text=survey(wires).encode())


def _roller() -> Machine:
    return read("roller.yaml", text=ROLLER.read_bytes())


def test_sizing_of_the_roller_to_a_proven_optimum(benchmark: BenchmarkFixture) -> None:
    machine = _roller()
    routed, rules = route(machine), rule_set(machine.rules, machine.cable)
    assert benchmark(size_machine, machine, routed, rules).proven_gap == 0


def test_design_of_the_roller(benchmark: BenchmarkFixture) -> None:
    benchmark(design, _roller())


@pytest.mark.parametrize("wires", SIZES)
def test_solve_of_a_generated_machine(
    benchmark: BenchmarkFixture, monkeypatch: pytest.MonkeyPatch, wires: int
) -> None:
    machine = _machine(wires, monkeypatch)
    routed = route(machine)
    plant = Plant(machine, edges(machine, routed))
    benchmark(plant.solve, {wire.index: 0.01 * wire.length_m for wire in routed.wires})


@pytest.mark.parametrize("wires", SIZES)
def test_design_of_a_generated_machine(
    benchmark: BenchmarkFixture, monkeypatch: pytest.MonkeyPatch, wires: int
) -> None:
    benchmark.pedantic(design, args=(_machine(wires, monkeypatch),), rounds=1)
