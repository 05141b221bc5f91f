"""`harness diagnose` and `harness without`: what they say, and of readings that make no sense."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.running import run

PUMP = str(Path(__file__).parents[2] / "samples" / "pump.yaml")
ROLLER = str(Path(__file__).parents[2] / "samples" / "roller.yaml")


def test_a_bad_joint_is_found_between_two_readings_and_its_resistance_told() -> None:
    """By hand: 55 W at 12 V is 4.58 A; 13.2 V before the joint, 9.1 V behind it: some 4.1 V at about 4 A."""
    told = run(
        "diagnose", ROLLER, "--mode", "night work", "--json",
        "--reading", "hinge coupler 1B = 13.1 V", "--reading", "left head lamp 56b = 9.1 V",
    )  # fmt: skip
    assert told.exit_code == 0, told.output
    first = json.loads(told.output)["faults"][0]
    assert "from hinge coupler 1B to left head lamp 56b" in first["what"]
    assert first["kind"] == "bad wire"
    assert 0.8 < first["value"] < 1.3
    assert first["share"] > 0.9


def test_words_come_with_cautions_and_the_next_reading() -> None:
    told = run("diagnose", ROLLER, "--mode", "night work", "--reading", "left head lamp = dim")
    assert told.exit_code == 0, told.output
    assert "chocked" in told.output
    assert "likeliest first:" in told.output
    assert "measure next" in told.output
    assert "%" in told.output


@pytest.mark.parametrize(
    ("mode", "reading", "words"),
    [
        ("nite work", "left head lamp = dim", "did you mean 'night work'?"),
        ("night work", "left haed lamp = dim", "did you mean 'left head lamp'?"),
        ("night work", "left head lamp", "is no reading"),
        ("night work", "left head lamp 56b = 9.1", "neither volts, amperes nor works"),
        ("night work", "left head lamp 56x = 9.1 V", "did you mean 'left head lamp 56"),
        ("night work", "wire 999 = 2 A", "no current of 'wire 999' is known"),
        ("night work", "left head lamp 56b = =1 V", "there is no point"),
        ("night work", "F33 = blown", "there is no fuse 'F33'; did you mean 'F3'?"),
        ("night work", "left head lamp = blown", "there is no fuse 'left head lamp'"),
    ],
)
def test_what_cannot_be_understood_is_said_with_what_is_near(mode: str, reading: str, words: str) -> None:
    told = run("diagnose", ROLLER, "--mode", mode, "--reading", reading)
    assert told.exit_code == 2
    assert words in told.output


def test_all_wrong_readings_are_told_at_once() -> None:
    told = run("diagnose", PUMP, "--mode", "running", "--reading", "x = 1 V", "--reading", "y")
    assert told.exit_code == 2
    assert "'x'" in told.output
    assert "'y'" in told.output


def test_without_a_fuse_its_lamp_stops_and_nothing_else() -> None:
    told = run("without", ROLLER, "F3", "--json")
    rows = json.loads(told.output)["affected"]
    assert [(row["mode"], row["effect"]) for row in rows] == [("night work", "stops")]
    assert rows[0]["load"].startswith("left head lamp")


def test_a_lost_ground_feeds_a_load_through_others_the_wrong_way(tmp_path: Path) -> None:
    """Two lamps on one ground, cut: current goes back through the one that is off and the bell beside it."""
    survey = tmp_path / "shed.yaml"
    survey.write_text(
        """
machine: {name: shed, voltage: 12 V, chassis post: negative}
zones: {in: {ambient: 30 °C}}
runs: [{from: box, to: wall, length: 2 m, zone: in}]
parts:
  battery: {is: battery, at: box, capacity: 60 Ah, cranking: 400 A}
  F1: {is: fuse, at: box}
  day switch: {is: switch, at: box}
  night switch: {is: switch, at: box}
  day lamp: {is: lamp, at: wall, power: 55 W}
  night lamp: {is: lamp, at: wall, power: 5 W}
  bell: {is: horn, at: wall, current: 2 A}
  joint: {is: terminal stud, at: wall}
  stud: {is: ground point, at: box, on: frame}
circuits:
  Ground: {paths: frame > battery -}
  Day: {works in: running, paths: [battery + > F1 > day switch > day lamp > joint > frame]}
  Night: {works in: night work, paths: [F1 > night switch > night lamp > joint]}
  Bell: {works in: cranking, paths: [night switch > bell > frame]}
""",
        encoding="utf-8",
    )
    told = run("without", str(survey), "joint > frame", "--json")
    assert told.exit_code == 2  # a wire is named by its number
    wires = json.loads(run("size", str(survey), "--json").output)["wires"]
    lost = next(wire["number"] for wire in wires if wire["from"]["part"] == "joint")
    rows = json.loads(run("without", str(survey), lost, "--json").output)["affected"]
    running = {row["load"].rpartition(" ")[0]: row["effect"] for row in rows if row["mode"] == "running"}
    wrong_way = "is fed the wrong way"
    assert running == {"day lamp": "stops", "night lamp": wrong_way, "bell": wrong_way}


def test_a_name_that_is_not_there_is_told_with_the_nearest() -> None:
    told = run("without", ROLLER, "hinge grund")
    assert told.exit_code == 2
    assert "did you mean 'hinge ground'?" in told.output


def test_a_spare_loss_changes_nothing() -> None:
    told = run("without", ROLLER, "F12")
    assert told.exit_code == 0
    assert "nothing changes" in told.output


def test_a_dim_lamp_alone_asks_for_a_resistance_that_dims_it() -> None:
    """None at all dims no lamp: a value between two that were solved was once taken for the lower of them."""
    told = run("diagnose", PUMP, "--mode", "running", "--reading", "oil lamp = dim", "--json")
    assert told.exit_code == 0, told.output
    sizes = [one["value"] for one in json.loads(told.output)["faults"] if one["value"] is not None]
    assert sizes and all(size > 0 for size in sizes)


BLOWN = """
machine: {name: shed, voltage: 12 V, chassis post: negative}
zones: {in: {ambient: 30 °C}, rain: {ambient: 30 °C, wet: yes}}
runs:
  - {from: box, to: desk, length: 2 m, zone: in}
  - {from: desk, to: mast, length: 2 m, zone: rain, hinge: yes}
parts:
  battery: {is: battery, at: box, capacity: 60 Ah, cranking: 400 A}
  F1: {is: fuse, at: box}
  F2: {is: fuse, at: desk}
  switch: {is: switch, at: desk}
  lamp: {is: lamp, at: mast, power: 55 W}
  horn: {is: horn, at: mast, current: 4 A}
  stud: {is: ground point, at: mast, on: frame}
  home: {is: ground point, at: box, on: frame}
circuits:
  Ground: {paths: frame > battery -}
  Lamp: {works in: night work, paths: [battery + > F1 > switch > lamp > frame]}
  Horn: {works in: [running, night work], paths: [F1 > F2 > horn > frame]}
"""


def test_a_blown_fuse_is_told_with_the_stretches_that_may_have_blown_it(tmp_path: Path) -> None:
    """By the paths: behind F1 lie the way to the switch and F2, and with the switch closed the lamp's wire,
    which is wet and moves; behind F2, which guards it, the horn's alone. With the switch open no short behind
    it blows anything, and of age no new fuse blows."""
    survey = tmp_path / "shed.yaml"
    survey.write_text(BLOWN, encoding="utf-8")

    def found(mode: str, reading: str) -> list[str]:
        told = run("diagnose", str(survey), "--mode", mode, "--reading", reading, "--json")
        assert told.exit_code == 0, told.output
        assert json.loads(told.output)["next"] == []
        return [f"{one['kind']} {one['what']}" for one in json.loads(told.output)["faults"]]

    def starts(told: list[str]) -> list[str]:
        return sorted(each.removeprefix("short the stretch ").split(" ")[0] for each in told)

    night = found("night work", "F1 = blown")
    assert starts(night) == ["F1", "open", "switch"]
    assert night.index(next(each for each in night if "switch 2" in each)) < night.index(
        next(each for each in night if "stretch F1 2" in each)
    )
    assert starts(found("night work", "F1 = blows")) == ["F1", "switch"]
    assert starts(found("running", "F1 = blows")) == ["F1"]
    (horn,) = found("running", "F2 = blows")
    assert horn.startswith("short the stretch F2 2 - horn +")
    words = run("diagnose", str(survey), "--mode", "running", "--reading", "F2 = blown")
    assert "measure ohms" in " ".join(words.output.split()) and "measure next" not in words.output
