"""Odd words of a call: names that break a line or are no text, `-`, options as names, what is not there."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from tests.running import run

PUMP = Path(__file__).parents[2] / "samples" / "pump.yaml"
BROKEN = "a\nb"  # a name that a file system takes, and that would begin a line of its own


@pytest.mark.parametrize(
    "call",
    [
        ["draw", "{}.yaml", "loom"],
        ["netlist", "{}.yaml", "--mode", "running", "-o", "{}.cir"],
        ["convert", "{}.yaml", "{}.xlsx"],
        ["tidy", "{}.yaml"],
        ["tidy", "{}.yaml", "--check"],
        ["schema", "design", "-o", "{}.json"],
        ["start", "{}", "--yes"],
        ["as-wired", "{}.yaml"],
        ["as-built", "{}.yaml", "-o", "{}2.yaml"],
        ["quote", "{}.yaml"],
    ],
    ids=lambda call: call[0],
)
def test_a_written_file_is_told_on_its_line(
    call: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path(f"{BROKEN}.yaml").write_bytes(PUMP.read_bytes())
    told = run(*(word.replace("{}", BROKEN) for word in call))
    assert told.exit_code in (0, 1), told.output
    assert "a[U+000A]b" in told.stdout
    assert BROKEN not in told.output


def test_a_kit_that_was_added_is_told_on_its_line(tmp_path: Path) -> None:
    folder = tmp_path / BROKEN
    run("start", folder, "--yes", "--kit", "none")
    told = run("start", folder, "--add", "horn")
    assert told.exit_code == 0, told.output
    assert BROKEN not in told.output


@pytest.mark.parametrize("call", [["build", str(PUMP), "-o"], ["export", str(PUMP), "-o"], ["start"]])
def test_a_folder_is_not_made_of_standard_output(
    call: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    told = run(*call, "-")
    assert told.exit_code == 2
    assert "write ./- if" in told.output
    assert not list(tmp_path.iterdir())


def test_an_option_that_an_export_has_swallowed_is_no_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    told = run("export", PUMP, "-o", "--no-paper")
    assert told.exit_code == 2
    assert "write ./--no-paper if it is meant" in told.output
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["nowhere.yaml"], "nowhere.yaml: there is no such file"),
        (["."], "is no plain file"),
        (["-"], "standard input cannot be watched"),
        (["pump.yaml", "--prices", "nowhere.csv"], "nowhere.csv: there is no such file"),
        (["pump.yaml", "--choices", "nowhere.yaml"], "nowhere.yaml: there is no such file"),
    ],
)
def test_what_cannot_be_watched_is_not_waited_for(
    words: list[str], said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("pump.yaml").write_bytes(PUMP.read_bytes())
    told = run("watch", *words, "--port", "0")
    assert told.exit_code == 3, told.output
    assert said in told.output


def test_a_survey_that_is_a_link_to_itself_is_told(tmp_path: Path) -> None:
    survey = tmp_path / "survey.yaml"
    survey.symlink_to(survey)
    told = run("build", survey)
    assert told.exit_code == 3
    assert "its links lead in circles" in told.output


def test_a_photo_and_a_folder_of_any_name_come_into_the_page(tmp_path: Path) -> None:
    """Names of bytes that are no text; a page names the folder from where it lies (RFC 3986, 2.1)."""
    survey = tmp_path / os.fsdecode(b"\xff.yaml")
    try:
        survey.write_bytes(PUMP.read_bytes())
    except OSError:
        pytest.skip("this disk takes only names that are text")
    photo = tmp_path / os.fsdecode(b"\xfe.jpg")
    photo.write_bytes(b"x")
    assert run("record", "add", survey, "photo", "--attach", photo).exit_code == 0
    told = run("record", "page", survey, "-o", tmp_path / "page.html")
    assert told.exit_code == 0, told.output
    assert 'src="%FF-record/attachments/' in (tmp_path / "page.html").read_text(encoding="utf-8")


def test_json_of_one_kind_is_json() -> None:
    (told,) = json.loads(run("kinds", "relay", "--json").output)["kinds"].values()
    assert told["name"] == "relay" and [one["name"] for one in told["terminals"]] == ["30", "87", "86", "85"]
    assert json.loads(run("kinds", "mini relay", "--json").output)["kinds"]["relay"] == told


def test_a_kind_is_found_in_capitals_too_as_in_a_survey() -> None:
    assert run("kinds", "Mini  Relay").output == run("kinds", "relay").output


def test_a_page_that_is_not_there_is_told_in_one_sentence() -> None:
    assert "there is no page 'zzz'; there are: catalogue" in run("guide", "zzz").output


@pytest.mark.parametrize(
    "words", [["tests"], ["netlist"], ["diagnose", "--reading", "x = dead"], ["trace", "key"]]
)
def test_a_mode_that_is_not_there_is_answered_with_the_near_one(words: list[str]) -> None:
    name, *more = words
    told = run(name, PUMP, *more, "--mode", "runing")
    assert told.exit_code == 2
    assert "there is no mode 'runing'; did you mean 'running'?" in told.output


def test_hours_are_typed_alike_for_a_reading_and_an_entry(tmp_path: Path) -> None:
    survey = tmp_path / "pump.yaml"
    survey.write_bytes(PUMP.read_bytes())
    for call in (["record", "add", survey, "hours"], ["reading", "add", survey, "rest:battery", "12.6 V"]):
        assert run(*call, "--hours", "4210.5 h").exit_code == 0
        assert "write it as 4210.5" in run(*call, "--hours", "many").output
    entries = json.loads(run("record", "show", survey, "--json").output)["entries"]
    assert [one["hours"] for one in entries] == [4210.5, 4210.5]


@pytest.mark.parametrize(
    "call",
    [
        ["size", str(PUMP), "--choices", "."],
        ["size", str(PUMP), "--prices", "."],
        ["quote", str(PUMP), "--prices", str(PUMP.with_name("prices-one.csv")), "--terms", "."],
        ["reading", "import", str(PUMP), "."],
        ["compare", str(PUMP), "."],
    ],
    ids=lambda call: f"{call[0]} {call[-2]}" if call[-2][0] == "-" else call[0],
)
def test_a_folder_in_place_of_a_file_is_one_that_cannot_be_read(call: list[str], tmp_path: Path) -> None:
    """Exit code 3 with what to do, as for one that is not there, whichever option it is."""
    told = run(*call)
    assert told.exit_code == 3, told.output
    assert ".: is a folder; name the file in it" in told.output
