"""`harness trace`: what it prints, of what kinds of names, and what it says of names that are not there."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pytest

from harness.cli.trace import traced
from harness.faultfinding.asked import read_reading
from harness.faultfinding.patient import Patient
from harness.faultfinding.readings import Volts
from harness.lists.wayto import Atlas
from harness.lists.waywords import named_point
from harness.model.design import Design
from harness.pipeline import bedded
from harness.survey import read
from tests.running import run

SAMPLES = Path(__file__).parents[2] / "samples"
ROLLER = str(SAMPLES / "roller.yaml")

HOSTILE = ["-x", "--mode", "a = b", '<b>&"', "lamp\u202eevil", "bell\x1b[31m", "=1+1", "[red]x", "../up"]


@cache
def roller() -> tuple[Design, dict[str, Patient]]:
    return bedded(read(ROLLER))


def test_a_relay_shows_the_way_of_its_coil_and_of_its_contact() -> None:
    told = json.loads(run("trace", ROLLER, "horn relay", "--json").output)
    assert [(way["part"], way["link"]) for way in told["ways"]] == [("horn relay", "86/85")]
    assert [way["part"] for way in told["through"]] == ["horn"]
    assert "horn relay 30/87" in [leg["what"] for leg in told["through"][0]["legs"]]


@pytest.mark.parametrize("name", ["F3", "panel F3", "light switch", "wire 30b", "30B", "S1", "hinge coupler",
                                  "drum ground", "drum frame", "left head relay 87",
                                  "LEFT HEAD LAMP"])  # fmt: skip
def test_what_is_named_lies_on_the_way_that_is_shown(name: str) -> None:
    told = traced(roller()[0], name, None, as_json=False)
    assert "battery +, battery box" in told
    assert "battery -, battery box" in told


def test_the_points_are_those_that_diagnose_takes() -> None:
    design, patients = roller()
    atlas = Atlas(design, "night work")
    for way in atlas.loads:
        for leg in way.legs:
            reading = read_reading(f"{named_point(leg.at)} = 9 V", patients["night work"], design.wires)
            assert isinstance(reading, Volts)
            assert (reading.node.name, reading.node.terminal) == leg.at[1:]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["left haed lamp"], "did you mean 'left head lamp'?"),
        (["left head lamp", "--mode", "nite work"], "did you mean 'night work'?"),
        (["--colour", "PURPLE"], "no wire has the colour"),
        (["--place", "drum te"], "did you mean 'drum tee'?"),
        ([], "give a PART"),
        (["horn", "--label", "1a"], "give a PART"),
    ],
)
def test_what_is_not_there_is_told_in_one_line(words: list[str], said: str) -> None:
    told = run("trace", ROLLER, *words)
    assert told.exit_code == 2
    assert said in told.output


def test_a_found_wire_is_told_by_what_is_seen_of_it() -> None:
    told = json.loads(run("trace", ROLLER, "--colour", "BU", "--place", "drum tee", "--json").output)
    assert [row["wire"] for row in told["wires"]] == ["30b", "33b"]
    one = json.loads(run("trace", ROLLER, "--colour", "BU", "--place", "front left", "--json").output)
    assert one["about"].startswith("wire 30b")


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_come_back_harmless(name: str, tmp_path: Path) -> None:
    """Names that a terminal, an option parser or a reader of text could trip over."""
    survey = tmp_path / "hostile.yaml"
    quoted = json.dumps(name)
    survey.write_text(
        f"""
machine: {{name: hostile, voltage: 12 V, chassis post: negative}}
zones: {{deck: {{ambient: 40 °C}}}}
runs: [{{from: box, to: far, length: 2 m, zone: deck}}]
parts:
  battery: {{is: battery, at: box, capacity: 70 Ah, cranking: 540 A}}
  F1: {{is: fuse, at: box}}
  {quoted}: {{is: work lamp, at: far, power: 55 W}}
  ground: {{is: ground point, at: far, on: frame}}
  home: {{is: ground point, at: box, on: frame}}
circuits:
  Lamp: {{works in: running, paths: [{json.dumps(f"battery + > F1 > {name} > frame")}, "frame > battery -"]}}
""",
        encoding="utf-8",
    )
    if run("check", str(survey)).exit_code == 2:
        return  # refused at the door, which tests/cli/test_cli_hostile.py looks at
    for words in (
        ["trace", str(survey), "--", name],
        ["trace", str(survey), "--place", "far"],
        ["without", str(survey), "--", name],
        ["without", str(survey), "F1"],
        ["diagnose", str(survey), "--mode", "running", "--reading", f"{name} = dead"],
        [
            "diagnose",
            str(survey),
            "--mode",
            "running",
            "--reading",
            f"{name} + = 9 V",
            "--reading",
            "F1 = 2 A",
        ],
        ["old-wires", str(survey)],
        ["assumed", str(survey)],
        ["trace", str(survey), "nothing like it"],
    ):
        told = run(*words)
        assert told.exit_code in (0, 2), (words, told.output)
        assert not set(told.output) & set("\x1b\u202e"), words
        assert "Traceback" not in told.output
    data = run("trace", str(survey), "--json", "--", name)
    assert json.loads(data.output)["ways"][0]["part"] == name
