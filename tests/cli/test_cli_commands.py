"""The commands as a user calls them: what they print, what they write, and their exit codes."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import jsonschema
import pytest

from harness.cli.build import default_out
from tests.running import run

ROOT = Path(__file__).parents[2]
SAMPLES = ROOT / "samples"
SLOW = {"scipy", "numpy", "pint", "openpyxl", "networkx", "pydantic", "rich", "ruamel"}
FILES = [
    "book.html",
    "book.pdf",
    "circuit-sheets.svg",
    "design.json",
    "fuses.svg",
    "harness.xlsx",
    "loom.svg",
    "tracks.svg",
]
# A bus bar fed straight from the battery: a live feed without any fuse.
UNFUSED = """
machine: {name: bare feed, voltage: 12 V, chassis post: negative}
zones: {deck: {ambient: 40 °C}}
runs:
  - {from: box, to: post, length: 2 m, zone: deck}
parts:
  battery: {is: battery, at: box, capacity: 70 Ah, cranking: 540 A}
  switch: {is: switch, at: post}
  lamp: {is: work lamp, at: post, power: 55 W}
  ground: {is: ground point, at: post, on: frame}
  box ground: {is: ground point, at: box, on: frame}
circuits:
  Lamp:
    paths: [battery + > switch > lamp > frame, frame > battery -]
"""


@pytest.mark.parametrize("name", ["roller", "pump", "grader", "orchard"])
def test_build_writes_every_file_and_nothing_else(
    name: str, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    if name == "roller":  # the first command of the README prints it, which .ci/run tries
        request.getfixturevalue("blank_paper")
    result = run("build", SAMPLES / f"{name}.yaml", "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == FILES
    assert "0 danger" in result.output


@pytest.mark.usefixtures("blank_paper")
def test_danger_exits_1_with_the_files_written(tmp_path: Path) -> None:
    survey = tmp_path / "bare.yaml"
    survey.write_text(UNFUSED, encoding="utf-8")
    result = run("build", survey, "--out", tmp_path / "out")
    assert result.exit_code == 1
    assert "unfused feed" in result.output
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == FILES


def test_a_wrong_survey_exits_2_with_its_places_and_writes_nothing(tmp_path: Path) -> None:
    result = run("build", SAMPLES / "wrong" / "everything.yaml", "--out", tmp_path / "out")
    assert result.exit_code == 2
    assert not (tmp_path / "out").exists()
    assert f"{SAMPLES / 'wrong' / 'everything.yaml'}:" in result.output
    assert "nothing was written" in result.output


def test_problems_as_json() -> None:
    result = run("check", SAMPLES / "wrong" / "everything.yaml", "--json")
    assert result.exit_code == 2
    rows = json.loads(result.output)["problems"]
    assert len(rows) > 12
    assert all(row["line"] > 0 and row["column"] > 0 and row["what"] and row["fix"] for row in rows)


@pytest.mark.usefixtures("blank_paper")
def test_a_survey_from_standard_input_gives_the_same_design(tmp_path: Path) -> None:
    text = (SAMPLES / "pump.yaml").read_bytes()
    run("build", SAMPLES / "pump.yaml", "--out", tmp_path / "file")
    result = run("build", "-", "--out", tmp_path / "pipe", stdin=text)
    assert result.exit_code == 0
    one, other = (
        json.loads((tmp_path / name / "design.json").read_text(encoding="utf-8")) for name in ("file", "pipe")
    )
    assert one["wires"] == other["wires"]
    assert other["machine"]["file"] == "standard input"


def test_results_do_not_depend_on_where_the_survey_lies(tmp_path: Path) -> None:
    for folder in ("one", "another/deeper"):
        (tmp_path / folder).mkdir(parents=True)
        (tmp_path / folder / "pump.yaml").write_bytes((SAMPLES / "pump.yaml").read_bytes())
        run("build", tmp_path / folder / "pump.yaml", "--out", tmp_path / folder / "out")
    for name in FILES:
        one, other = (tmp_path / folder / "out" / name for folder in ("one", "another/deeper"))
        assert one.read_bytes() == other.read_bytes(), name


@pytest.mark.usefixtures("blank_paper")
def test_the_committed_export_is_what_the_program_makes(tmp_path: Path) -> None:
    run("build", SAMPLES / "pump.yaml", "--out", tmp_path)
    for name in (name for name in FILES if not name.startswith("book.")):  # half a megabyte each: not kept
        made, kept = tmp_path / name, ROOT / "exports" / "pump" / name
        if name != "harness.xlsx":  # compressed alike only by one version of zlib
            assert made.read_text(encoding="utf-8") == kept.read_text(encoding="utf-8"), name
            continue
        with zipfile.ZipFile(made) as new, zipfile.ZipFile(kept) as old:
            assert new.namelist() == old.namelist()
            assert all(new.read(part) == old.read(part) for part in new.namelist())


def test_another_rule_set_on_demand() -> None:
    result = run("size", SAMPLES / "pump.yaml", "--rules", "iso", "--json")
    assert result.exit_code == 0
    sizes = {wire["size"] for wire in json.loads(result.output)["wires"]}
    assert all(size.endswith(" mm2") for size in sizes)


def test_size_lists_every_wire() -> None:
    data = json.loads(run("size", SAMPLES / "roller.yaml", "--json").output)
    table = run("size", SAMPLES / "roller.yaml").output
    assert all(wire["number"] in table for wire in data["wires"])


def test_explain_shows_limits_and_every_addition_to_the_length() -> None:
    data = json.loads(run("size", SAMPLES / "pump.yaml", "--json").output)
    wire = next(wire for wire in data["wires"] if wire["runs"] and not wire["kept"])
    text = run("explain", SAMPLES / "pump.yaml", wire["number"]).output
    for limit in wire["limits"]:
        assert limit["name"] in text
    assert "slack 5% of the runs" in text
    assert f"{wire['length_m']:.3f} m  in all" in text
    lengths = [float(line.split()[0]) for line in text.splitlines() if " m  " in line]
    assert sum(lengths[:-1]) == pytest.approx(lengths[-1], abs=0.0025)


def test_explain_says_what_a_thinner_wire_would_break() -> None:
    data = json.loads(run("size", SAMPLES / "pump.yaml", "--json").output)
    wire = next(wire for wire in data["wires"] if any(one["load"] for one in wire["next_down"]["breaks"]))
    text = run("explain", SAMPLES / "pump.yaml", wire["number"]).output
    assert f"{wire['next_down']['size']} (" in text
    assert "breaks drop: " in text
    assert all(load["load"] in text for load in wire["loads"])
    whole = json.loads(run("explain", SAMPLES / "pump.yaml", wire["number"], "--json").output)
    assert whole["wire"]["next_down"] == wire["next_down"]
    assert whole["cut_length"][0]["length_m"] >= 0
    assert whole["not_fed"] == []


def test_explain_of_a_strap_says_what_loses_its_ground_and_of_a_charging_wire_what_it_would_stand() -> None:
    data = json.loads(run("size", SAMPLES / "pump.yaml", "--json").output)
    ends = {(wire["from"]["part"], wire["to"]["part"]): wire["number"] for wire in data["wires"]}
    strap = run("explain", SAMPLES / "pump.yaml", ends["engine ground", "battery"]).output
    text = " ".join(strap.split())
    assert "brings home" in text and "when open" in text
    assert "starter, alternator" in text and "lose their ground" in text
    charge = " ".join(run("explain", SAMPLES / "pump.yaml", ends["alternator", "charge fuse"]).output.split())
    assert "alternator gives 35 A; this wire would do for" in charge


def test_explain_of_an_unknown_wire_offers_those_near_it() -> None:
    result = run("explain", SAMPLES / "pump.yaml", "1z")
    assert result.exit_code == 2
    assert "1a" in result.output


@pytest.mark.usefixtures("blank_paper")
def test_the_schemas_hold_for_what_they_describe(tmp_path: Path) -> None:
    run("build", SAMPLES / "grader.yaml", "--out", tmp_path)
    schema = json.loads(run("schema", "design").output)
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(json.loads((tmp_path / "design.json").read_text(encoding="utf-8")), schema)
    jsonschema.Draft202012Validator.check_schema(json.loads(run("schema", "survey").output))


@pytest.mark.parametrize("words", [["kinds", "lampp"], ["guide", "saftey"]])
def test_a_misspelt_word_is_answered_with_the_near_one(words: list[str]) -> None:
    result = run(*words)
    assert result.exit_code == 2
    assert "did you mean" in result.output


def test_a_file_that_is_not_there_is_said_so() -> None:
    result = run("check", "nowhere.yaml")
    assert result.exit_code == 3
    assert "nowhere.yaml: there is no such file" in result.output


@pytest.mark.usefixtures("blank_paper")
def test_a_folder_that_cannot_be_made_leaves_things_as_they_were(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    result = run("build", SAMPLES / "pump.yaml", "--out", tmp_path / "file" / "out")
    assert result.exit_code == 3
    assert "cannot be written" in result.output
    assert (tmp_path / "file").read_text(encoding="utf-8") == "in the way"


@pytest.mark.usefixtures("blank_paper")
def test_a_full_disk_leaves_the_previous_version_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run("build", SAMPLES / "pump.yaml", "--out", tmp_path)
    before = {name: (tmp_path / name).read_bytes() for name in FILES}
    written = []

    def fails_at_the_third(handle: int) -> None:
        written.append(handle)
        if len(written) == 3:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", fails_at_the_third)
    result = run("build", SAMPLES / "orchard.yaml", "--out", tmp_path)
    assert result.exit_code == 3
    assert "the disk is full: make room" in result.output
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


def test_a_fault_of_the_program_is_one_line_and_exit_4(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("oops")

    monkeypatch.setattr("harness.pipeline.designed", broken)
    result = run("size", SAMPLES / "pump.yaml")
    assert result.exit_code == 4
    assert "Traceback" not in result.output
    assert "ZeroDivisionError: oops" in result.output


@pytest.mark.usefixtures("blank_paper")
def test_json_of_a_build_is_nothing_but_json(tmp_path: Path) -> None:
    result = run("build", SAMPLES / "orchard.yaml", "--out", tmp_path, "--json")
    data = json.loads(result.output)
    assert [Path(path).name for path in data["files"]] == [
        "circuit-sheets.svg",
        "tracks.svg",
        "loom.svg",
        "fuses.svg",
        "harness.xlsx",
        "design.json",
        "book.html",
        "book.pdf",
    ]
    assert data["totals"]["wires"] > 10


def test_help_and_listing_commands_load_nothing_slow() -> None:
    """Start-up must stay quick: the libraries for sums, sheets and graphs load only where they are used."""
    code = f"import sys, harness.cli; print(sorted({SLOW!r} & set(sys.modules)))"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert out.stdout.strip() == "[]"
    assert run("--help").output.startswith("Usage:")


def test_explain_of_a_mode_and_a_load_says_what_they_settle_at() -> None:
    mode = run("explain", SAMPLES / "pump.yaml", "running").output
    assert "charge balance at idle" in mode and "at the battery" in mode
    assert "V at starter" in run("explain", SAMPLES / "pump.yaml", "cranking").output.replace("\n", " ")
    load = run("explain", SAMPLES / "pump.yaml", "starter")
    assert load.exit_code == 0 and "at its peak" in " ".join(load.output.split())
    rows = json.loads(run("explain", SAMPLES / "pump.yaml", "parked", "--json").output)["settled"]
    assert any(row["about"] == "may stand" for row in rows)
    key = run("explain", SAMPLES / "pump.yaml", "key").output
    assert any(line.startswith("30 ") and "parked 12.44 V" in line for line in key.splitlines())
    wrong = run("explain", SAMPLES / "pump.yaml", "runing")
    assert wrong.exit_code == 2 and "near it: running" in wrong.stderr


def test_a_spare_wire_is_explained_by_its_lengths() -> None:
    """Runs from dash to engine block added by hand: 0.80 + 0.508 + 0.85 + 0.40 + 0.45 + 0.40 m."""
    answer = run("explain", SAMPLES / "roller.yaml", "SPARE 1", "--json")
    assert answer.exit_code == 0, answer.output
    rows = [(row["about"], row["words"]) for row in json.loads(answer.stdout)["settled"]]
    lengths = [float(about.removesuffix(" m")) for about, _ in rows[2:]]
    assert lengths[0] == pytest.approx(3.408, abs=0.001)
    assert sum(lengths[:-1]) == pytest.approx(lengths[-1], abs=0.005)


def test_a_survey_only_called_so_gives_its_folder_s_name_from_wherever_it_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "crusher" / "notes").mkdir(parents=True)
    monkeypatch.chdir(tmp_path / "crusher" / "notes")
    assert default_out(Path("../survey.yaml")) == Path("exports/crusher")
    assert default_out(Path("survey.yaml")) == Path("exports/notes")
    assert default_out(Path("../pump.yaml")) == Path("exports/pump")
