"""`harness compare` as it is typed: words, data, exit codes, and hostile surveys and designs."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from harness.book.data import design_json
from harness.cli import main
from harness.pipeline import design
from harness.survey import read

from .test_comparing import SURVEY, made

NASTY = "<script>alert(1)</script> \u202e=1+1 ]]> ${HOME} 'é🚜"


def run(*words: str | Path, code: int = 0) -> Result:
    result = CliRunner().invoke(main, ["compare", *map(str, words)])
    assert result.exit_code == code, result.output
    return result


@pytest.fixture
def both(tmp_path: Path) -> tuple[Path, Path]:
    old, new = tmp_path / "old.yaml", tmp_path / "new.yaml"
    old.write_text(SURVEY, encoding="utf-8")
    new.write_text(SURVEY.replace("35 W", "75 W"), encoding="utf-8")
    return old, new


def test_equal_ones_print_nothing(both: tuple[Path, Path]) -> None:
    assert run(both[0], both[0]).output == ""
    assert run(both[0], both[0], "--exit-code").output == ""


def test_what_differs_is_printed_the_weighty_first(both: tuple[Path, Path]) -> None:
    out = run(*both).stdout
    assert (
        out.index("\nFuses") < out.index("\nWires") < out.index("\nWhat loads draw") < out.index("\nTo buy")
    )
    assert "left lamp went from 35 W to 75 W" in out
    run(*both, "--exit-code", code=1)


def test_a_design_against_a_survey(both: tuple[Path, Path], tmp_path: Path) -> None:
    stored = tmp_path / "design.json"
    stored.write_text(design_json(made()), encoding="utf-8")
    assert run(stored, both[0]).stdout == run(both[0], both[0]).stdout == ""
    assert "Fuses" in run(stored, both[1]).stdout


def test_as_data(both: tuple[Path, Path]) -> None:
    rows = json.loads(run(*both, "--json").stdout)
    assert rows["changes"] and rows["buy"] and rows["same"] is False
    assert json.loads(run(both[0], both[0], "--json").stdout)["same"] is True


def test_what_a_choice_would_change_is_told_before_it_is_made(
    both: tuple[Path, Path], tmp_path: Path
) -> None:
    """The same survey twice; only NEW is held to the file, and what it leaves out no wire is cut of."""
    wire = made().wires[0]
    file = tmp_path / "tried.yaml"
    file.write_text(f"leave out sizes:\n- {wire.cable} {wire.size}\n", encoding="utf-8")
    told = run(both[0], both[0], "--choices", file, "--json").stdout
    sized = [row["text"] for row in json.loads(told)["changes"] if row["group"] == "wires"]
    assert any(f"size from {wire.size} to" in text for text in sized)
    assert not any(f" to {wire.size}," in text for text in sized)
    stored = tmp_path / "design.json"
    stored.write_text(design_json(made()), encoding="utf-8")
    again = json.loads(run(stored, both[0], "--choices", file, "--json").stdout)["changes"]
    assert [row["text"] for row in again if row["group"] == "wires"] == sized
    assert "NEW where it is a survey" in run(both[0], stored, "--choices", file, code=2).stderr
    run(both[0], both[0], "--choices", tmp_path / "none.yaml", code=3)


def test_both_are_made_of_the_catalogue_that_is_named(both: tuple[Path, Path], tmp_path: Path) -> None:
    """Ties are in every machine: those of 290 mm alone are taken, on both sides, and so nothing differs."""
    own = tmp_path / "own.yaml"
    own.write_text(
        "not stocked: {ties: all}\nties: [{length: 290 mm, width: 4.8 mm, bundle: 75 mm}]\n", encoding="utf-8"
    )
    stored = tmp_path / "design.json"
    stored.write_text(design_json(made()), encoding="utf-8")
    assert run(both[0], both[0], "--catalogue", own).stdout == ""
    assert "290" in run(stored, both[0], "--catalogue", own).stdout
    assert "sized already" in run(stored, stored, "--catalogue", own, code=2).stderr


def test_what_is_wrong_is_told_with_its_place(both: tuple[Path, Path], tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text(SURVEY.replace("35 W", "35 potatoes"), encoding="utf-8")
    assert "bad.yaml:13:" in run(both[0], bad, code=2).stderr
    broken = tmp_path / "design.json"
    broken.write_text("{", encoding="utf-8")
    assert "design.json:1:" in run(broken, both[0], code=2).stderr
    run(both[0], tmp_path / "none.yaml", code=3)
    run(both[0], tmp_path, code=3)
    run("-", "-", code=2)


def test_hostile_names_do_no_harm(tmp_path: Path) -> None:
    old, new = tmp_path / "old.json", tmp_path / "new.json"
    for path, watts in ((old, "35 W"), (new, "75 W")):
        text = design_json(design(read("trailer.yaml", text=SURVEY.replace("35 W", watts))))
        data = json.loads(text.replace("left lamp", "left lamp <b>&amp;").replace("Horn", "=1+1"))
        data["parts"][0]["notes"] = NASTY + watts + "\x1b[2J\x07\n\u2028"
        data["machine"]["name"] = NASTY + "\ud800"
        path.write_text(json.dumps(data), encoding="utf-8")
    for words in ((), ("--json",)):
        out = run(old, new, *words).output
        assert not set(out) & set("\x1b\x07")
        if not words:
            assert "\u202e" not in out and "\u2028" not in out
        assert "left lamp <b>&amp;" in out
