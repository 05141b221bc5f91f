"""Times solve, sizing and design of the roller and of generated machines, and the solve beside ngspice.

Not part of the suite: ``python -m pytest tests/benchmarks/bench_machines.py --benchmark-only
--benchmark-disable-gc``. The tables in DEVELOPERS.md are printed by ``python -m tests.benchmarks.table``.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from harness.electric.currents import Plant
from harness.electric.ruleset import rule_set
from harness.electric.sizing import size_machine
from harness.loom.routing import route
from harness.model.machine import Machine
from harness.pipeline import design
from harness.survey import read
from tests.benchmarks import side_by_side
from tests.benchmarks.machines import survey

ROLLER = Path(__file__).parents[2] / "samples" / "roller.yaml"
SIZES = (100, 1_000, 10_000)
each_size = pytest.mark.parametrize("wires", SIZES)


def _roller() -> Machine:
    return read("roller.yaml", text=ROLLER.read_bytes())


def test_sizing_of_the_roller_to_a_proven_optimum(benchmark: BenchmarkFixture) -> None:
    machine = _roller()
    routed, rules = route(machine), rule_set(machine.rules, machine.cable)
    benchmark(size_machine, machine, routed, rules)


def test_design_of_the_roller(benchmark: BenchmarkFixture) -> None:
    benchmark(design, _roller())


def test_whole_build_of_the_roller_as_a_process(benchmark: BenchmarkFixture, tmp_path: Path) -> None:
    """Every output, with the start of Python."""
    command = [sys.executable, "-m", "harness", "build", str(ROLLER), "--out", str(tmp_path)]
    benchmark.pedantic(
        subprocess.run, args=(command,), kwargs={"check": True, "capture_output": True}, rounds=5
    )


@each_size
def test_reading_of_a_survey(benchmark: BenchmarkFixture, wires: int) -> None:
    text = survey(wires).encode()
    benchmark.pedantic(read, args=("generated.yaml",), kwargs={"text": text}, rounds=2)


@each_size
def test_solve_of_design_currents_in_every_mode(benchmark: BenchmarkFixture, wires: int) -> None:
    sizing = side_by_side.sizing_of(wires)
    plant = Plant(side_by_side.machine_of(wires), sizing.edges)
    benchmark(plant.solve, sizing.ohms)


@each_size
def test_sizing_of_a_generated_machine(benchmark: BenchmarkFixture, wires: int) -> None:
    machine = side_by_side.machine_of(wires)
    routed, rules = route(machine), rule_set(machine.rules, machine.cable)
    benchmark.pedantic(size_machine, args=(machine, routed, rules), rounds=2)


@each_size
def test_design_of_a_generated_machine(benchmark: BenchmarkFixture, wires: int) -> None:
    benchmark.pedantic(design, args=(side_by_side.machine_of(wires),), rounds=1)


@each_size
class TestSolveBesideNgspice:
    """The operating point of one mode; ours and theirs must agree before a time means anything."""

    def test_ours_within_the_process(self, benchmark: BenchmarkFixture, wires: int) -> None:
        benchmark(side_by_side.by_us, side_by_side.model_of(wires))

    def test_ours_as_a_process(self, benchmark: BenchmarkFixture, wires: int, tmp_path: Path) -> None:
        _, ours = side_by_side.written(wires, tmp_path)
        benchmark.pedantic(side_by_side.by_our_process, args=(ours,), rounds=5)

    def test_ngspice_as_a_process(self, benchmark: BenchmarkFixture, wires: int, tmp_path: Path) -> None:
        spice, _ = side_by_side.written(wires, tmp_path)
        printed = benchmark.pedantic(side_by_side.by_ngspice, args=(spice,), rounds=5)
        assert side_by_side.furthest_apart_v(side_by_side.model_of(wires), printed) < 1e-3
