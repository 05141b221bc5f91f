"""Surveys, kits and results under hostile names: worked with as any other, and told harmlessly."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from harness.cli import main
from tests.injection.chosen import harmless
from tests.injection.words import WORDS

PUMP = Path(__file__).parents[2] / "samples" / "pump.yaml"
STEMS = (
    "-x", "--help", "a b", "ü", "<b>", "$(x)", "`x`", "a\nb", "\x1b[31mred", "turn\u202eround", "CON", "nul",
    "'q'", "%s%n", "a;b", "..", "zero\u200bwidth", "[red]x", "x" * 200, "\udcff\udcfe", "{{7*7}}", "#a",
)  # fmt: skip


def run(*words: str, codes: tuple[int, ...] = (0,)) -> Result:
    done = CliRunner().invoke(main, list(words), color=True)
    assert done.exit_code in codes, (words, done.output)
    harmless(done.output)
    return done


@pytest.mark.parametrize("stem", STEMS, ids=ascii)
def test_a_survey_of_any_name_is_worked_with(
    stem: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    name = f"{stem}.yaml"
    Path(name).write_bytes(PUMP.read_bytes())
    assert "no mistakes found" in run("check", "--", name).output
    json.loads(run("check", "--json", "--", name).output)
    run("tidy", "--check", "--", name, codes=(0, 1))
    run("convert", "--", name, f"{stem}.xlsx")
    run("record", "add", "--text=x", "--other", "--subject=y", "--", name, "note")
    run("record", "show", "--", name)
    run("draw", "--", name, "circuits")
    json.loads(run("size", "--json", "--", name).output)
    run("quote", "--", name)
    there = {path.name for path in tmp_path.iterdir()}
    bare = Path(name).stem  # of "...yaml" all of it from Python 3.14 on, which sees no ending in it
    assert there == {name, f"{stem}.xlsx", f"{bare}-record", "exports"}
    assert [path.name for path in (tmp_path / "exports").iterdir()] == [
        tmp_path.name if bare == ".." else bare
    ]
    Path(name).write_text("machine: [\n")
    run("check", "--", name, codes=(2,))
    json.loads(run("check", "--json", "--", name, codes=(2,)).output)


@pytest.mark.parametrize("stem", STEMS, ids=ascii)
def test_what_is_not_there_is_told_harmlessly(
    stem: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for words in (
        ("check",), ("size",), ("prices", "check"), ("quote",), ("record", "show"), ("record", "verify"),
        ("export",), ("tidy",), ("book",), ("build",),
    ):  # fmt: skip
        run(*words, "--", f"{stem}/{stem}.yaml", codes=(0, 2, 3))
    run("kits", "--", stem, codes=(0, 2))
    run("guide", "--", stem, codes=(0, 2))
    assert list(tmp_path.iterdir()) == []


def test_a_machine_of_any_name_is_started_in_its_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The name goes into the survey alone; the folder is the one that was given."""
    monkeypatch.chdir(tmp_path)
    for at, word in enumerate(WORDS):
        done = CliRunner().invoke(main, ["start", f"m{at}", f"--name={word}"], color=True)
        harmless(done.output)
        assert done.exit_code in (0, 2), done.output
        if done.exit_code == 0:
            assert {path.name for path in (tmp_path / f"m{at}").iterdir()} == {"survey.yaml"}
        else:
            assert not (tmp_path / f"m{at}").exists()
    assert {path.name for path in tmp_path.iterdir()} <= {f"m{at}" for at in range(len(WORDS))}


@pytest.mark.parametrize("stem", [stem for stem in STEMS if stem != ".."], ids=ascii)
def test_a_folder_of_any_name_is_started_in(
    stem: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    run("start", "--name=x", "--", stem)
    assert [path.name for path in tmp_path.iterdir()] == [stem]
