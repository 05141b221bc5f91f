"""The order of assembly: what must come before what, for the samples, and old wires that draw new ones in."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace

import networkx as nx
import pytest

from harness.lists.assembly import assembly
from harness.lists.couplers import couplers
from harness.lists.cutlist import made
from harness.model.assembly import AssemblyStep
from harness.model.design import Design
from harness.model.machine import Machine
from harness.model.spares import USUAL
from harness.pipeline import designed
from harness.survey import read
from tests.docs.pages import ROOT
from tests.published.recorder import beside

SAMPLES = ("pump", "roller", "grader", "orchard")
OLD = """
old wires:
  - {from: dash, to: fuel tank, colour: grey, pull-through: yes}
  - {from: starter, to: alternator, through: [engine tee - starter, engine tee - engine block,
     engine block - alternator], colour: BN, pull-through: yes}
  - {from: dash, to: cab roof, colour: GN}
"""


def sample(name: str, more: str = "") -> tuple[Machine, Design]:
    text = (ROOT / "samples" / f"{name}.yaml").read_text(encoding="utf-8")
    return designed(read(f"{name}.yaml", text=text + more))


@pytest.fixture(scope="module", params=SAMPLES)
def build(request: pytest.FixtureRequest) -> tuple[Machine, Design]:
    return sample(request.param)


def where(steps: list[AssemblyStep], pattern: str) -> list[int]:
    return [step.number for step in steps if re.search(pattern, step.what)]


def test_steps_are_counted_and_the_stages_follow_one_another(build: tuple[Machine, Design]) -> None:
    steps = build[1].assembly
    assert [step.number for step in steps] == list(range(1, len(steps) + 1))
    stages = list(dict.fromkeys(step.stage for step in steps))
    assert stages == ["on the board", "on the machine", "at the end"]
    order = [stages.index(step.stage) for step in steps]
    assert order == sorted(order)


def test_every_new_wire_is_laid_once_and_joined_after_that(build: tuple[Machine, Design]) -> None:
    design = build[1]
    laid = [step for step in design.assembly if re.match(r"lay (the|what)", step.what)]
    at = {number: step.number for step in laid for number in step.wires}
    new = {wire.number for wire in made(design) if not wire.kept}
    assert Counter(number for step in laid for number in step.wires) == dict.fromkeys(new, 1)
    for splice in design.splices:
        (made_at,) = where(design.assembly, rf"^make splice {splice.name} ")
        assert made_at > max(at[number] for number in splice.wires if number in at)


def test_what_is_slid_on_comes_before_the_ends_and_covers_after(build: tuple[Machine, Design]) -> None:
    steps = build[1].assembly
    for loom in {step.loom for step in steps if step.stage == "on the board"}:
        mine = [step for step in steps if step.loom == loom and step.stage == "on the board"]
        (ends,) = where(mine, "^finish the ends")
        assert all(number < ends for number in where(mine, "slide onto the bundle|^lay |^make splice"))
        assert all(number > ends for number in where(mine, "^cover with|^fit half|^test each"))


def test_every_grommet_clamp_and_covering_has_its_step(build: tuple[Machine, Design]) -> None:
    design = build[1]
    new = {wire.number for wire in made(design) if not wire.kept}
    texts = "\n".join(step.what for step in design.assembly)
    for run in design.runs:
        if not new & {*run.wires, *run.spares}:
            continue
        if run.grommet:
            assert f"hole of {run.name}: {run.grommet}" in texts
        if run.clamps and run.clamp:
            assert f"{run.clamps} x {run.clamp} along {run.name}" in texts
        if run.covering:
            assert f"{run.name} {run.length_m:.2f} m" in texts


def test_the_battery_comes_off_first_and_goes_on_last_by_the_chassis_post(
    build: tuple[Machine, Design],
) -> None:
    """Chassis lead off first and on last: garden and turf machine manuals, generalised to either post."""
    design = build[1]
    chassis = design.machine.chassis_post
    other = {"negative": "positive", "positive": "negative"}[chassis]
    machine = [step for step in design.assembly if step.stage == "on the machine"]
    assert f"the {chassis} lead first" in machine[0].what
    (last,) = where(design.assembly, "^battery last")
    step = design.assembly[last - 1]
    assert step.what.index(f"the {other} side") < step.what.index(f"the {chassis} lead")
    assert step.caution
    assert all(number < last for number in where(design.assembly, "^(lay|make|lead|mate|scrape|at .* land)"))
    landed = {number for one in design.wires for number in [one.number]
              if {"battery"} & {one.from_.part, one.to.part}}  # fmt: skip
    assert not landed or set(step.wires) >= landed


def test_couplers_are_filled_on_the_board_and_mated_on_the_machine() -> None:
    _, design = sample("roller")
    assert design.couplers
    for coupler in design.couplers:
        halves = where(design.assembly, rf"^fit half [AB] of {coupler.name} ")
        (mated,) = where(design.assembly, rf"^mate {coupler.name} ")
        assert len(halves) == 2 and max(halves) < mated
        for step in (design.assembly[number - 1] for number in halves):
            for number in step.wires:
                way = next(way for way in coupler.ways if number in (way.wire_a, way.wire_b))
                assert f"{number} into way {way.way}" in step.what


@beside("networkx", "shortest ways along the runs")
def test_old_wires_draw_in_what_lies_along_them() -> None:
    """The way from dash to fuel tank by networkx; the second as the survey has it; the third not sound."""
    machine, design = sample("roller", OLD)
    graph = nx.Graph()
    for run in design.runs:
        graph.add_edge(run.start, run.end, name=run.name, length=run.length_m)
    way = nx.shortest_path(graph, "dash", "fuel tank", weight="length")
    first = {graph.edges[pair]["name"] for pair in zip(way, way[1:], strict=False)}  # noqa: RUF007
    new = {wire.number: wire for wire in made(design) if not wire.kept}
    drawn = [step for step in design.assembly if step.what.startswith("with the old")]
    assert [step.where for step in drawn] == [
        "old GY wire from dash to fuel tank", "old BN wire from starter to alternator",
    ]  # fmt: skip
    along = {number for number, wire in new.items() if first & set(wire.runs)}
    assert set(drawn[0].wires) == along
    for name in first:
        hole = next(run.hole_mm for run in design.runs if run.name == name)
        assert (
            (f"the {hole:g} mm hole of {name}" in drawn[0].what)
            if hole
            else f"of {name}" not in drawn[0].what
        )
    assert set(drawn[1].wires) == {
        number for number, wire in new.items() if set(machine.old_wires[1].through) & set(wire.runs)
    }
    (out,) = [step for step in design.assembly if step.where == "old GN wire from dash to cab roof"]
    assert out.what.startswith("take the old GN wire from dash to cab roof out")


def test_an_old_wire_on_a_way_of_its_own_is_taken_out() -> None:
    text = (ROOT / "samples" / "roller.yaml").read_text(encoding="utf-8")
    runs = "runs:\n  - {from: wiper, to: shed, length: 1 m, zone: cab}\n"
    old = "\nold wires:\n  - {from: wiper, to: shed, pull-through: yes}\n"
    text = text.replace("runs:\n", runs, 1).replace("places:\n", "places:\n  shed: {zone: cab}\n", 1)
    _, design = designed(read("roller.yaml", text=text + old))
    (step,) = [one for one in design.assembly if one.where == "old wire from wiper to shed"]
    assert step.what.startswith("no new wire takes the way")


def test_nothing_made_new_needs_no_steps() -> None:
    machine, design = sample("pump")
    kept = replace(design, wires=[replace(wire, kept=True) for wire in design.wires], spares=[])
    assert assembly(machine, kept) == []


def test_the_cable_between_two_batteries_is_no_lead_to_the_chassis() -> None:
    """Of 24 V out of two batteries: the chassis lead goes on last, through the lamp (common practice)."""
    design = sample("grader")[1]
    batteries = {part.name for part in design.parts if part.kind == "battery"}
    ends = {wire.number: {wire.from_.part, wire.to.part} & batteries for wire in design.wires}
    (link,) = (number for number, there in ends.items() if len(there) == 2)
    (last,) = (step for step in design.assembly if step.what.startswith("battery last"))
    before, after = last.what.split("then the negative lead")
    assert link in re.findall(r"[\w-]+", before) and link not in re.findall(r"[\w-]+", after)
    assert set(last.wires) == {number for number, there in ends.items() if there}


def test_every_open_hole_of_a_coupler_gets_a_plug_and_every_wire_a_seal() -> None:
    """A sealed coupler is tight only where each hole of both halves holds a seal or a plug."""
    design = sample("roller")[1]
    (coupler,) = design.couplers
    for ways in (coupler.ways, [replace(coupler.ways[0], wire_b=""), *coupler.ways[1:]]):
        lines = couplers(replace(design, couplers=[replace(coupler, ways=list(ways))]), USUAL)
        plugs, seals = (
            sum(int(line.quantity) for line in lines if line.item.startswith(word))
            for word in ("sealing plug", "wire seal")
        )
        wires = [number for way in ways for number in (way.wire_a, way.wire_b) if number]
        assert (seals, plugs + seals) == (len(wires), 2 * len(ways))
