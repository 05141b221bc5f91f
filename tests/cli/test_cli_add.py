"""`harness start FOLDER --add KIT`: a kit set into a survey, every other line as it was."""

from __future__ import annotations

import json
from difflib import ndiff
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from harness.cli import main
from harness.survey import read
from tests.docs.pages import ROOT, marked

pytestmark = pytest.mark.usefixtures("blank_paper")


def _run(*words: str) -> Result:
    return CliRunner().invoke(main, list(words))


def _started(folder: Path, *words: str) -> str:
    assert _run("start", str(folder), "--yes", "--kit", "none", *words).exit_code == 0
    return (folder / "survey.yaml").read_text(encoding="utf-8")


def _wrong(survey: Path, folder: Path) -> list[str]:
    assert _run("build", str(survey), "--out", str(folder)).exit_code in (0, 1)
    data = json.loads((folder / "design.json").read_text(encoding="utf-8"))
    return [each["text"] for each in data["findings"] if each["severity"] != "advice"]


def test_kits_are_added_and_the_machine_stays_sound(tmp_path: Path) -> None:
    before = _started(tmp_path)
    result = _run("start", str(tmp_path), *("--add", "horn", "--add", "head lamps", "--add", "tail lamps"))
    assert result.exit_code == 0, result.output
    after = (tmp_path / "survey.yaml").read_text(encoding="utf-8")
    gone = [line for line in ndiff(before.splitlines(), after.splitlines()) if line.startswith("- ")]
    assert [line.split(":")[0].strip("- ") for line in gone] == ["panel"]  # which gets more ways
    assert after.count("panel F3 > light switch") == 2  # both kits hang on the one switch and its fuse
    assert _wrong(tmp_path / "survey.yaml", tmp_path / "out") == []


def test_names_that_are_taken_get_a_number(tmp_path: Path) -> None:
    _started(tmp_path)
    first = _run("start", str(tmp_path), "--add", "horn")
    assert first.exit_code == 0 and "twice" not in first.output
    second = _run("start", str(tmp_path), "--add", "horn")
    assert second.exit_code == 0 and "now it is there twice" in second.output
    assert "horn 2 beside horn" in second.output
    machine = read(tmp_path / "survey.yaml")
    assert {"horn", "horn 2", "horn relay 2"} <= set(machine.parts)
    assert {"Horn", "Horn 2"} <= {circuit.name for circuit in machine.circuits}


def test_a_kit_goes_into_a_survey_that_was_written_by_hand(tmp_path: Path) -> None:
    text = (ROOT / "samples" / "roller.yaml").read_text(encoding="utf-8")
    (tmp_path / "survey.yaml").write_text(text, encoding="utf-8")
    result = _run("start", str(tmp_path), "--add", "radio")
    assert result.exit_code == 0, result.output
    after = (tmp_path / "survey.yaml").read_text(encoding="utf-8")
    assert [line for line in ndiff(text.splitlines(), after.splitlines()) if line.startswith("- ")] == []
    assert "key panel F30 > radio" in after and "current: 4 A?" in after
    assert _wrong(tmp_path / "survey.yaml", tmp_path / "out") == []


@pytest.mark.parametrize(
    ("words", "said", "code"),
    [
        (["--add", "hron"], "did you mean 'horn'?", 2),
        (["--add", "twelve volts"], "not for 12 V", 2),
        (["--add", "head lamps=laser"], "one beam", 2),
        (["--add", "work lamps"], "--at 'dash=PLACE'", 2),
        (["--add", "work lamps", "--at", "dash=attic"], "no place 'attic'", 2),
        (["--add", "horn", "--at", "roof"], "front left=nose", 2),
    ],
)
def test_what_cannot_be_added_is_told_and_nothing_written(
    words: list[str], said: str, code: int, tmp_path: Path
) -> None:
    text = (ROOT / "samples" / "pump.yaml").read_text(encoding="utf-8")
    (tmp_path / "survey.yaml").write_text(text, encoding="utf-8")
    result = _run("start", str(tmp_path), *words)
    assert result.exit_code == code, result.output
    assert said in result.output
    assert (tmp_path / "survey.yaml").read_text(encoding="utf-8") == text


def test_there_must_be_a_survey_to_add_to(tmp_path: Path) -> None:
    result = _run("start", str(tmp_path / "new"), "--add", "horn")
    assert result.exit_code == 3 and "leave --add out to start it" in result.output


def test_a_kit_for_a_workbook_is_told_the_way_by_the_text_form(tmp_path: Path) -> None:
    assert _run("start", str(tmp_path), "--yes", "--kit", "none", "--workbook").exit_code == 0
    result = _run("start", str(tmp_path), "--add", "horn")
    assert result.exit_code == 3
    assert "harness convert" in result.output and "survey.xlsx" in result.output
    assert _run("convert", str(tmp_path / "survey.xlsx"), str(tmp_path / "survey.yaml")).exit_code == 0
    assert _run("start", str(tmp_path), "--add", "horn").exit_code == 0


def test_the_kit_of_the_guide_goes_beyond_the_places_a_survey_has(tmp_path: Path) -> None:
    """Its new place is near one that the survey does not have yet, and that comes with a run of the sort."""
    _started(tmp_path, "--machine", "stationary")
    assert "working end" not in (tmp_path / "survey.yaml").read_text(encoding="utf-8")
    (tmp_path / "kits").mkdir()
    (kit,) = marked("example: kit")
    (tmp_path / "kits" / "dust spray.yaml").write_text(kit.text, encoding="utf-8")
    result = _run("start", str(tmp_path), "--add", "dust spray")
    assert result.exit_code == 0, result.output
    assert {"working end", "spray tank"} <= set(read(tmp_path / "survey.yaml").place_zones)
