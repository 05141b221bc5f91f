"""Spare wires: which bundles get how many, where they lie, how they end, and what they must not change."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from harness.lists.cutlist import cut_list
from harness.loom.bundle import bundle_diameter_mm
from harness.loom.spares import LEAST_M, LEAST_WIRES, spares_for
from harness.model.design import Design
from harness.model.machine import Machine
from harness.model.spares import SpareWireRule
from harness.pipeline import design, designed
from harness.survey import read
from tests.benchmarks.machines import survey
from tests.samples import made as samples

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.fixture(scope="module", params=["roller", "grader", "many"])
def made(request: pytest.FixtureRequest) -> tuple[Machine, Design]:
    if request.param == "many":
        return designed(read("many.yaml", text=survey(100)))
    return designed(read(SAMPLES / f"{request.param}.yaml"))


def test_one_spare_for_eight_to_ten_wires_and_none_in_a_thin_bundle() -> None:
    """1 spare for 8 to 10 wires, 1 to 2 in a long branch (common practice)."""
    assert [spares_for(wires, 10) for wires in (0, 1, 7)] == [0, 0, 0]
    assert {spares_for(wires, 10) for wires in (8, 9, 10)} == {1}
    assert spares_for(20, 10) == 2
    assert spares_for(8, 20) == 1  # a bundle thick enough has one, whatever the share
    assert spares_for(40, 0) == 0


def test_the_roller_by_hand() -> None:
    """From its runs: 13, 13, 11, 13 and 8 wires from the console to the engine, 22 at the dash, 8 to levers.

    To the engine 0.80 + 20 in + 0.85 + 0.40 + 0.45 + 0.40 = 3.408 m; with 5 % slack and 0.3 m at both ends
    4.178, up to 4.20. To the lever 0.80 + 0.65 = 1.45; 2.1225, up to 2.15. Most wires end at the dash.
    """
    spares = samples.design("roller").spares
    found = {(wire.from_.place, wire.to.place): (wire.length_m, wire.size, wire.colour) for wire in spares}
    assert found == {
        ("dash", "engine block"): (4.20, "18 AWG", "BN/WH"),
        ("dash", "travel lever"): (2.15, "18 AWG", "BN/WH"),
    }


@pytest.mark.parametrize("name", ["pump", "orchard"])
def test_a_small_machine_is_left_alone(name: str) -> None:
    small = samples.design(name)
    assert max(len(run.wires) for run in small.runs) < LEAST_WIRES
    assert small.spares == []


def _places(machine: Machine, start: str, runs: list[str]) -> list[str]:
    ends = {run.name: (run.start, run.end) for run in machine.runs}
    found = [start]
    for name in runs:
        a, b = ends[name]
        assert found[-1] in (a, b)  # each run goes on from where the last one ended
        found.append(b if found[-1] == a else a)
    return found


def test_every_spare_goes_along_the_runs_within_one_loom_from_part_to_part(
    made: tuple[Machine, Design],
) -> None:
    machine, found = made
    assert found.spares
    parts = {part.place for part in machine.parts.values()}
    couplers = {part.place for part in machine.parts.values() if part.kind == "multi-way coupler"}
    length = {run.name: run.length_m for run in machine.runs}
    for wire in found.spares:
        places = _places(machine, wire.from_.place, wire.runs)
        assert places[-1] == wire.to.place
        assert len(set(places)) == len(places)
        assert not couplers & set(places[1:-1])
        assert wire.to.place in parts
        way_m = sum(length[name] for name in wire.runs)
        assert way_m >= LEAST_M
        assert wire.length_m >= way_m * (1 + machine.slack) + 0.6 - 1e-9
        assert wire.length_m == pytest.approx(way_m + sum(each.length_m for each in wire.additions))


def test_thick_bundles_have_what_the_rule_asks_for(made: tuple[Machine, Design]) -> None:
    """But where a spare would be short, or where a ring of runs has a shorter side."""
    machine, found = made
    asked = {run.name: spares_for(len(run.wires), machine.spare_wires.per) for run in found.runs}
    short = {run.name for run in found.runs if len(run.spares) < asked[run.name]}
    thick = {name for name, count in asked.items() if count}
    assert len(short) <= len(thick) / 3
    for run in found.runs:
        if run.name in short and not run.spares:
            assert run.length_m < LEAST_M or _closes_a_ring(machine, run.name)
    thin = [wire.number for wire in found.spares if not thick & set(wire.runs)]
    assert thin == []


def _closes_a_ring(machine: Machine, name: str) -> bool:
    """Whether its places still hang together without a run, found by walking."""
    gone = next(run for run in machine.runs if run.name == name)
    seen, todo = {gone.start}, [gone.start]
    while todo:
        here = todo.pop()
        for run in machine.runs:
            if run.name != name and here in (run.start, run.end):
                there = run.end if here == run.start else run.start
                if there not in seen:
                    seen.add(there)
                    todo.append(there)
    return gone.end in seen


def test_a_spare_counts_in_every_bundle_it_lies_in(made: tuple[Machine, Design]) -> None:
    _, found = made
    outside = {wire.number: wire.outside_mm for wire in (*found.wires, *found.spares)}
    for run in found.runs:
        assert run.spares == [wire.number for wire in found.spares if run.name in wire.runs]
        diameter, _ = bundle_diameter_mm([outside[name] for name in (*run.wires, *run.spares)])
        assert run.bundle_mm == pytest.approx(diameter)


def test_spares_are_cut_labelled_and_capped_but_never_connected(made: tuple[Machine, Design]) -> None:
    _, found = made
    cut = Counter(line.number for spool in cut_list(found) for line in spool.lines)
    for wire in found.spares:
        assert cut[wire.number] == 1
        for end in (wire.from_end, wire.to_end):
            assert end.label == wire.number
            assert "adhesive" in end.shrink
            assert end.shrink_mm >= 25  # over the wire, and past its end
            assert (end.terminal, end.strip_mm) == ("", 0.0)
    spare = {wire.number for wire in found.spares}
    landed = {name for part in found.parts for use in part.terminals for name in use.wires}
    assert not spare & (landed | {name for circuit in found.circuits for name in circuit.wires})
    assert not spare & {wire.number for wire in found.wires}
    assert {wire.circuit for wire in found.spares} == {"spare"}


def test_spares_change_nothing_electric(made: tuple[Machine, Design]) -> None:
    """Nothing flows in them: sizes, factors, fuses, volts and lengths are those of a machine without."""
    machine, found = made
    plain = design(replace(machine, spare_wires=SpareWireRule(per=0)))
    assert plain.spares == []
    assert plain.wires == found.wires
    assert (plain.fuses, plain.loads, plain.operating) == (found.fuses, found.loads, found.operating)
    thicker = [a.name for a, b in zip(found.runs, plain.runs, strict=True) if a.bundle_mm > b.bundle_mm]
    assert thicker


def test_spares_are_bought_weighed_and_covered(made: tuple[Machine, Design]) -> None:
    machine, found = made
    plain = design(replace(machine, spare_wires=SpareWireRule(per=0)))
    more_m = sum(wire.length_m for wire in found.spares)
    for group, extra in (("wire", more_m), ("labels", 2 * len(found.spares))):
        need = [
            sum(line.quantity for line in each.materials if line.group == group) for each in (found, plain)
        ]
        assert need[0] - need[1] == pytest.approx(extra, abs=0.002)
    bought = sum(line.need for line in found.buying if line.group == "wire")
    assert bought - sum(line.need for line in plain.buying if line.group == "wire") == pytest.approx(more_m)
    heavier = sum(loom.weight_kg for loom in found.looms) - sum(loom.weight_kg for loom in plain.looms)
    assert heavier > sum(wire.length_m * wire.area_mm2 for wire in found.spares) * 8.96e-3 * 0.99


ASKED = """
spares: {wires: none}
spare wires:
  - {from: dash, to: cab roof, size: 16 AWG, colour: WH, count: 2}
  - {from: hinge front, to: dash}
"""


def test_spares_by_name_are_parted_at_a_coupler() -> None:
    """The roller's loom parts at the hinge's rear; on either side the spare is capped beside the coupler."""
    text = (SAMPLES / "roller.yaml").read_text(encoding="utf-8") + ASKED
    spares = design(read("asked.yaml", text=text)).spares
    found = [(wire.number, wire.from_.place, wire.to.place, wire.size, wire.colour) for wire in spares]
    assert found[:2] == [
        ("SPARE 1", "dash", "cab roof", "16 AWG", "WH"),
        ("SPARE 2", "dash", "cab roof", "16 AWG", "WH"),
    ]
    assert [each[1:3] for each in found[2:]] == [("hinge front", "hinge rear"), ("hinge rear", "dash")]
    over = spares[2]
    assert over.fine_stranded  # it lies in the run over the hinge, whose strands are fine
    assert any(each.what.startswith("moving joint") for each in over.additions)
    assert {wire.decided_by for wire in spares} == {"asked for in the survey"}


def test_a_spare_alone_in_a_run_is_covered_and_held() -> None:
    well = "  - {from: box, to: float well, length: 2.0 m, zone: skid, hole: 16 mm, plate: 2 mm}\nparts:\n"
    text = (SAMPLES / "pump.yaml").read_text(encoding="utf-8").replace("parts:\n", well, 1)
    text += "places: {float well: {zone: skid}}\nspare wires: [{from: box, to: float well}]\n"
    found = design(read("well.yaml", text=text))
    run = next(each for each in found.runs if each.end == "float well")
    assert (run.wires, run.spares) == ([], ["SPARE 1"])
    assert run.bundle_mm == found.spares[0].outside_mm
    assert run.covering
    assert run.grommet
    assert run.ties
    covering = next(line for line in found.materials if line.item == run.covering)
    assert run.name in covering.used_on
