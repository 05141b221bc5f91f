"""Sizes that are in the machine are kept in the file of choices, follow it, and hold in every command."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from tests.docs.pages import ROOT
from tests.running import run


@pytest.fixture
def pump(tmp_path: Path) -> Path:
    return Path(shutil.copy(ROOT / "samples" / "pump.yaml", tmp_path / "pump.yaml"))


def _sizes(survey: Path) -> dict[str, str]:
    wires = json.loads(run("size", survey, "--json").stdout)["wires"]
    return {wire["number"]: wire["size"] for wire in wires}


def test_sizes_are_kept_beside_the_survey_and_hold(pump: Path) -> None:
    before = _sizes(pump)
    result = run("as-wired", pump)
    assert result.exit_code == 0, result.output
    choices = pump.with_name("pump-choices.yaml")
    assert f"wrote {choices}: " in result.stdout and "wires as wired" in result.stdout
    text = choices.read_text(encoding="utf-8")
    thicker = text.replace("'S1 > charge lamp +': 'GXL 18 AWG'", "charge lamp + > S1: GXL 16 AWG")
    assert thicker != text
    choices.write_text(thicker, encoding="utf-8")
    after = _sizes(pump)
    assert {number: size for number, size in after.items() if size != before[number]} == {"7c": "16 AWG"}
    again = run("as-wired", pump)
    assert "0 otherwise than before" in again.stdout
    assert "'S1 > charge lamp +': 'GXL 16 AWG'" in choices.read_text(encoding="utf-8")


def test_what_was_accepted_stays_in_the_file(pump: Path) -> None:
    choices = pump.with_name("pump-choices.yaml")
    choices.write_text("leave out sizes: [GXL 16 AWG]\n", encoding="utf-8")
    assert run("as-wired", pump).exit_code == 0
    assert "leave out sizes: [GXL 16 AWG]" in choices.read_text(encoding="utf-8")


def test_as_built_takes_them_along_but_writes_over_none(pump: Path) -> None:
    run("as-wired", pump)
    today = pump.with_name("today.yaml")
    result = run("as-built", pump, "-o", today)
    assert result.exit_code == 0, result.output
    kept = pump.with_name("pump-choices.yaml").read_bytes()
    assert today.with_name("today-choices.yaml").read_bytes() == kept
    today.with_name("today-choices.yaml").write_text("as wired: {}\n", encoding="utf-8")
    assert run("as-built", pump, "-o", today, "--force").exit_code == 0
    assert today.with_name("today-choices.yaml").read_text(encoding="utf-8") == "as wired: {}\n"


@pytest.mark.parametrize(
    ("text", "place", "words"),
    [
        ("as wired:\n  battery +: GXL 2 AWG\n", ":2:3:", "names no wire by its two ends"),
        ("as wired:\n  a > b: GXL 7 AWG\n", ":2:10:", "is no cable and size of this machine"),
        ("as wired:\n  a > b: [x]\n", ":2:10:", "a text belongs here"),
        ("as wired: [x]\n", ":1:11:", "'as wired' is not written as it should be"),
        ("as wird: {}\n", ":1:1:", "did you mean 'as wired'"),
    ],
)
def test_a_wrong_line_is_told_with_its_place(pump: Path, text: str, place: str, words: str) -> None:
    choices = pump.with_name("pump-choices.yaml")
    choices.write_text(text, encoding="utf-8")
    result = run("size", pump)
    assert result.exit_code == 2
    assert f"{choices}{place}" in result.stderr and words in result.stderr


def test_standard_input_has_no_place_for_them() -> None:
    result = run("as-wired", "-", stdin="")
    assert result.exit_code == 2 and "--choices" in result.output


def test_an_export_can_be_built_again(pump: Path) -> None:
    """The survey of an export finds its catalogue and its choices beside it, under the names it looks for."""
    shutil.copy(ROOT / "samples" / "counter" / "catalogue.yaml", pump.with_name("shop.yaml"))
    text = pump.read_text(encoding="utf-8").replace("machine:\n", "machine:\n  catalogue: shop.yaml\n", 1)
    pump.write_text(text, encoding="utf-8")
    run("as-wired", pump)
    result = run("export", pump, "-o", pump.with_name("all"), "--no-paper")
    assert result.exit_code == 0, result.output
    survey = pump.with_name("all") / "survey" / "survey.yaml"
    assert {each.name for each in survey.parent.iterdir()} == {
        "survey.yaml", "survey-choices.yaml", "shop.yaml",
    }  # fmt: skip
    index = (pump.with_name("all") / "index.html").read_text(encoding="utf-8")
    assert 'href="survey/shop.yaml"' in index and 'href="survey/survey-choices.yaml"' in index
    assert _sizes(survey) == _sizes(pump)
