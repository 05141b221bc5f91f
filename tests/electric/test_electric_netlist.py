"""The nodal solve against ngspice, and names that try to break out of a netlist."""

from __future__ import annotations

import re
import subprocess
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings

from harness.electric.currents import Plant
from harness.electric.laws import Draw, Giver
from harness.electric.netlist import comment, netlist, node_numbers
from harness.electric.network import Branch
from harness.electric.operating import Bench, Model, OperatingPoint, model_of, operating_point
from harness.electric.ruleset import rule_set
from harness.electric.sizing import size_machine
from harness.loom.routing import route
from harness.survey import read
from tests.electric.test_electric_operating import machines
from tests.published.recorder import beside

SAMPLES = Path(__file__).parents[2] / "samples"


def spice_volts(text: str) -> dict[int, float]:
    """Volts of every node as ngspice finds them; where it is missing the test is skipped, by conftest."""
    ran = subprocess.run(
        ["ngspice", "-b", "/dev/stdin"], input=text, capture_output=True, text=True, timeout=60, check=False
    )
    found = {int(at): float(volts) for at, volts in re.findall(r"^v?\(?(\d+)\)? = (\S+)", ran.stdout, re.M)}
    assert found, ran.stdout + ran.stderr
    return found


def assert_agrees(model: Model, point: OperatingPoint) -> None:
    """Every node within 1 mV or 0.01 %."""
    other = spice_volts(netlist(model, "test"))
    for node, at in node_numbers(model).items():
        if at:
            assert point.volts[node] == pytest.approx(other[at], rel=1e-4, abs=1e-3), node


def limited(most_a: float, drawn_a: float, takes_ohm: float | None) -> Model:
    """A battery, an alternator at the far end of the feed, a motor, a lamp and a radio between."""
    branches = (Branch("post", "bar", 0.01), Branch("bar", "stud", 0.02), Branch("home", "0", 0.005))
    givers = (
        Giver("battery", "post", "0", 12.4, 0.005, None, True, takes_ohm),
        Giver("alternator", "stud", "home", 13.8, 1e-3, most_a, True),
    )
    draws = (
        Draw("motor", "bar", "home", "current", drawn_a, 12.0),
        Draw("lamp", "stud", "home", "lamp", 4.6, 12.0),
        Draw("radio", "bar", "0", "power", 3.0, 12.0),
    )
    return Model("limited", "0", branches, (0, 1, 2), givers, draws)


@beside("ngspice", "volts of every node of a network")
@pytest.mark.parametrize(
    ("most_a", "drawn_a", "states"),
    [
        (20.0, 30.0, ["holds", "limit"]),  # the battery helps
        (20.0, 8.0, ["idle", "limit"]),  # all that is left goes into the battery
        (90.0, 8.0, ["idle", "holds"]),  # it takes what it will, the regulator holds
        (0.0, 5.0, ["holds", "limit"]),  # a dynamo at idle
    ],
)
def test_ngspice_finds_the_same_volts_on_every_piece_of_a_sources_line(
    most_a: float, drawn_a: float, states: list[str]
) -> None:
    model = limited(most_a, drawn_a, 0.05)
    point = operating_point(model)
    assert [one.state(point.volts[one.a] - point.volts[one.b]) for one in model.givers] == states
    assert_agrees(model, point)


@beside("ngspice", "volts of every node of a network")
@settings(max_examples=30, deadline=None)
@given(machines())
def test_ngspice_finds_the_same_volts_on_any_network(model: Model) -> None:
    assert_agrees(model, operating_point(model))


@cache
def sized(name: str) -> tuple[Plant, dict[int, float]]:
    machine = read(str(SAMPLES / f"{name}.yaml"))
    sizing = size_machine(machine, route(machine), rule_set(machine.rules, machine.cable))
    return Plant(machine, sizing.edges), dict(sizing.ohms)


@beside("ngspice", "volts of every node of a network")
@pytest.mark.parametrize("inrush", [False, True], ids=["steady", "inrush"])
@pytest.mark.parametrize("name", ["pump", "roller", "orchard", "grader"])
def test_ngspice_finds_the_same_volts_in_every_mode_of_the_samples(name: str, inrush: bool) -> None:
    plant, ohms = sized(name)
    assert len(plant.activities) >= 3
    for found in plant.activities:
        bench = Bench(plant, found, ohms)
        model = bench.model("inrush" if inrush else "all on")
        assert_agrees(model, bench.point(model))
        if found.mode.engine == "running":
            slow = bench.model("lasting", idle=True)
            assert_agrees(slow, bench.point(slow))


def test_a_cold_start_pulls_the_roller_lower_than_a_warm_one() -> None:
    plant, ohms = sized("roller")
    cranking = next(found for found in plant.activities if found.mode.engine == "cranking")
    posts = []
    for coldest_c in (-18.0, 20.0):
        plant.machine = replace(plant.machine, coldest_c=coldest_c)
        model = model_of(plant, cranking, ohms)
        assert model is not None
        point = operating_point(model)
        posts.append(point.volts[plant.batteries[0].live])
    assert posts[0] < posts[1] - 0.3


@pytest.mark.parametrize(
    "word", ["a\n.end", "b\r+ R9 1 0 0", "c\u2028.end", "d\u202e<&\"'=", "🚜 lamp", "x" * 999]
)
def test_no_name_breaks_out_of_its_comment(word: str) -> None:
    line = comment(word)
    assert line.startswith("* ") and line.isascii() and line.isprintable() and len(line) < 200
