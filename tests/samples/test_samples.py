"""The shipped surveys are what they are said to be, and good designs."""

from __future__ import annotations

from pathlib import Path

import pytest

from harness.model.machine import Machine
from harness.survey import read
from tests.samples import made as samples

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
NAMES = sorted(path.stem for path in SAMPLES.glob("*.yaml"))


@pytest.fixture(scope="module")
def roller() -> Machine:
    return read(SAMPLES / "roller.yaml")


def test_all_samples_are_here() -> None:
    assert NAMES == ["grader", "orchard", "pump", "roller"]


def test_the_roller_is_a_whole_machine(roller: Machine) -> None:
    assert len(roller.circuits) >= 24
    assert len(roller.wires) >= 70
    assert len(roller.place_zones) >= 25
    assert len(roller.runs) >= 26
    assert sum(run.hole_mm is not None for run in roller.runs) >= 4
    assert len(roller.bodies) >= 3
    assert any(run.moves for run in roller.runs)


def test_the_roller_keeps_two_old_cables(roller: Machine) -> None:
    kept = [wire for wire in roller.wires if wire.keep]
    assert sorted((str(wire.a), str(wire.b)) for wire in kept) == [
        ("battery +", "starter 30"),
        ("engine", "battery -"),
    ]
    assert {wire.size for wire in kept} == {"2/0 AWG"}


def test_the_roller_has_spare_ways(roller: Machine) -> None:
    used = {(end.name, end.terminal) for wire in roller.wires for end in (wire.a, wire.b)}
    ways = [(panel, link.b) for panel in ("panel", "key panel") for link in roller.parts[panel].links]
    spare = [way for way in ways if way not in used]
    assert len(spare) >= 2
    assert len(spare) / len(ways) >= 0.20  # 20 to 25 % left empty (common practice)


def test_the_stop_solenoid_holds_with_one_ampere_and_pulls_with_thirty_six(roller: Machine) -> None:
    (load,) = [link.load for link in roller.parts["stop solenoid"].links if link.load]
    assert (load.steady_a, load.peak_a, load.peak_s) == (1.0, 36.0, 0.5)


def test_the_pump_set_is_read_in_a_minute() -> None:
    machine = read(SAMPLES / "pump.yaml")
    assert 11 <= len(machine.wires) <= 14
    assert len((SAMPLES / "pump.yaml").read_text(encoding="utf-8").splitlines()) <= 60


def test_the_small_samples_show_the_other_ways_of_building() -> None:
    orchard, grader = (read(SAMPLES / f"{name}.yaml") for name in ("orchard", "grader"))
    assert (orchard.voltage_v, orchard.chassis_post) == (6.0, "positive")
    assert (grader.voltage_v, grader.sizes, grader.rules) == (24.0, "mm2", "iso")


@pytest.mark.parametrize("name", NAMES)
def test_a_sample_is_a_design_without_danger(name: str) -> None:
    result = samples.design(name)
    assert [finding.text for finding in result.findings if finding.severity == "danger"] == []


@pytest.mark.parametrize("name", NAMES)
def test_every_load_of_a_sample_keeps_its_allowance(name: str) -> None:
    result = samples.design(name)
    for load in result.loads:
        assert all(volts.judged_v <= load.allowance_v + 1e-6 for volts in load.modes), load.part


@pytest.mark.parametrize("name", ["pump", "roller"])
def test_the_fuse_before_a_solenoid_outlasts_its_pull_in(name: str) -> None:
    """ISO 8820-3 blade band, shortest times (memory): 110 % for 100 h, 135 % for 0.75 s, 160 % for 0.25 s,
    200 % for 0.15 s, 350 % for 0.04 s. Both solenoids pull in for 0.3 s: no more than 135 % will do."""
    result = samples.design(name)
    pull = next(load for load in result.loads if load.part == "starter" and load.peak_a)
    (fuse,) = [fuse for fuse in result.fuses if fuse.name == pull.fuse]
    assert fuse.form.startswith("blade")
    assert pull.peak_s == pytest.approx(0.3)
    assert pull.peak_a is not None
    assert pull.peak_a <= 1.35 * fuse.rating_a


def test_the_grader_and_the_orchard_tractor_are_whole_machines() -> None:
    grader, orchard = (read(SAMPLES / f"{name}.yaml") for name in ("grader", "orchard"))
    assert len(grader.wires) >= 110
    assert 15 <= len(orchard.wires) <= 25
    assert [part.rated_v for part in grader.parts.values() if part.kind == "battery"] == [12.0, 12.0]
    assert sum(part.kind == "fuse panel" for part in grader.parts.values()) == 2
    assert set(grader.bodies) >= {"engine", "frame", "cab"}


def test_the_graders_converter_gives_its_own_volts() -> None:
    """Twelve volts regulated are 13.8 V, 2.3 V a cell (common practice), less what the wiring loses."""
    loads = {load.part: load for load in samples.design("grader").loads}
    for name in ("radio", "socket"):
        assert all(13.8 - 0.36 <= seen.volts_v <= 13.8 for seen in loads[name].modes)
    assert all(seen.volts_v > 26 for seen in loads["converter"].modes)


@pytest.mark.parametrize("name", NAMES)
def test_a_sample_has_no_fault(name: str) -> None:
    result = samples.design(name)
    assert [finding.text for finding in result.findings if finding.severity != "advice"] == []
