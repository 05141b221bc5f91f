"""`harness start` and `harness kits`: questions, options, files, messages and exit codes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import harness.cli.start as started
from harness.cli import main
from tests.docs.pages import marked

pytestmark = pytest.mark.usefixtures("blank_paper")


def _run(*words: str, text: str | None = None) -> Result:
    return CliRunner().invoke(main, list(words), input=text)


def test_a_started_survey_is_checked_and_built_at_once(tmp_path: Path) -> None:
    folder = tmp_path / "crusher"
    result = _run("start", str(folder), "--yes", "--machine", "stationary", "--name", "Crusher: no. 1 <b>")
    assert result.exit_code == 0, result.output
    survey = folder / "survey.yaml"
    assert _run("check", str(survey)).exit_code == 0
    built = _run("build", str(survey), "--out", str(tmp_path / "out"))
    assert built.exit_code == 0, built.output
    data = json.loads((tmp_path / "out" / "design.json").read_text(encoding="utf-8"))
    assert data["machine"]["name"] == "Crusher: no. 1 <b>"
    assert "run battery box - starter: length 0.9 m (marked ? in the survey)" in data["machine"]["assumed"]


def test_the_workbook_holds_the_same_machine_with_its_question_marks(tmp_path: Path) -> None:
    words = ["--yes", "--machine", "stationary", "--kit", "warning lamps"]
    assert _run("start", str(tmp_path / "book"), "--workbook", *words).exit_code == 0
    assert _run("start", str(tmp_path / "text"), *words).exit_code == 0
    assert [path.name for path in (tmp_path / "book").iterdir()] == ["survey.xlsx"]
    book, text = (
        json.loads(_run("check", str(path), "--json").output)
        for path in (tmp_path / "book" / "survey.xlsx", tmp_path / "text" / "survey.yaml")
    )
    assert book == text and any("marked ?" in each for each in book["assumed"])
    assert _run("start", str(tmp_path / "book"), "--yes").exit_code == 3


def test_the_same_answers_give_the_same_bytes(tmp_path: Path) -> None:
    for folder in ("a", "b"):
        assert _run("start", str(tmp_path / folder), "--yes").exit_code == 0
    first, second = ((tmp_path / each / "survey.yaml").read_bytes() for each in ("a", "b"))
    assert first == second


def test_a_survey_that_is_there_is_never_written_over(tmp_path: Path) -> None:
    (tmp_path / "survey.yaml").write_text("mine", encoding="utf-8")
    result = _run("start", str(tmp_path), "--yes")
    assert result.exit_code == 3
    assert "is there already and stays as it is" in result.output
    assert (tmp_path / "survey.yaml").read_text(encoding="utf-8") == "mine"
    assert [path.name for path in tmp_path.iterdir()] == ["survey.yaml"]


def test_questions_are_asked_with_what_the_words_mean(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("harness.cli.start.is_terminal", lambda: True)
    answers = [
        "Old dumper",
        "dumper",
        "small",
        "12",
        "negative",
        "intake",
        "",
        "cable",
        "mm2",
        "horn, 1, all usual",
    ]
    result = _run("start", str(tmp_path), text="\n".join(answers) + "\n")
    assert result.exit_code == 0, result.output
    assert "do not ask" in result.output and "* horn: Horn with relay and button" in result.output
    text = (tmp_path / "survey.yaml").read_text(encoding="utf-8")
    assert "name: Old dumper" in text and "intake heater:" in text and "sizes: mm2" in text
    assert "pull cable at the pump" in text and "horn button:" in text


def test_nothing_is_asked_of_what_an_option_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("harness.cli.start.is_terminal", lambda: True)
    result = _run(
        *("start", str(tmp_path), "--name", "X", "--machine", "tractor", "--size", "small", "--voltage", "6"),
        *(
            "--post",
            "positive",
            "--engine",
            "spark",
            "--charging",
            "dynamo",
            "--sizes",
            "AWG",
            "--kit",
            "none",
        ),
    )
    assert result.exit_code == 0, result.output
    assert "chassis post: positive" in (tmp_path / "survey.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--kit", "hron"], "did you mean 'horn'?"),
        (["--kit", "head lamps=laser"], "it has: one beam, dipped and main beam"),
        (["--voltage", "6"], "6 V is for a tractor or an engine set"),
        (["--post", "positive", "--charging", "alternator"], "take dynamo"),
        (["--voltage", "24", "--post", "positive", "--kit", "twelve volts"], "leave it out"),
        (["--engine", "spark", "--stop", "run"], "stopped by its ignition"),
        (["--name", "two\nlines"], "one line of plain text"),
    ],
)
def test_answers_that_do_not_go_together(words: list[str], said: str, tmp_path: Path) -> None:
    result = _run("start", str(tmp_path), "--yes", *words)
    assert result.exit_code == 2, result.output
    assert said in result.output
    assert list(tmp_path.iterdir()) == []


def test_a_dynamo_that_is_too_small_is_told(tmp_path: Path) -> None:
    result = _run("start", str(tmp_path), "--yes", "--machine", "loader", "--charging", "dynamo")
    assert result.exit_code == 0
    assert "the battery will run down" in result.output


@pytest.mark.parametrize("where", ["beside", "option", "environment"])
def test_the_guides_own_kit_is_found_and_built(
    where: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (block,) = marked("example: kit")
    folder, own = tmp_path / "crusher", tmp_path / ("crusher/kits" if where == "beside" else "mine")
    own.mkdir(parents=True)
    (own / "dust spray.yaml").write_text(block.text, encoding="utf-8")
    words = ["--kits", str(own)] if where == "option" else []
    if where == "environment":
        monkeypatch.setenv("HARNESS_KITS", str(own))
    result = _run("start", str(folder), "--yes", "--machine", "stationary", "--kit", "dust spray", *words)
    assert result.exit_code == 0, result.output
    text = (folder / "survey.yaml").read_text(encoding="utf-8")
    assert "spray pump" in text and "the water tank on the side" in text
    assert _run("build", str(folder / "survey.yaml"), "--out", str(tmp_path / "out")).exit_code == 0


def test_a_wrong_kit_of_ones_own_is_told_and_nothing_written(tmp_path: Path) -> None:
    (tmp_path / "kits").mkdir()
    (tmp_path / "kits" / "bad.yaml").write_text("title: x\nfor: y\npartz: {}\n", encoding="utf-8")
    result = _run("start", str(tmp_path), "--yes")
    assert result.exit_code == 2
    assert f"{tmp_path / 'kits' / 'bad.yaml'}:3:1: kit 'bad' has no key 'partz'" in result.output
    assert not (tmp_path / "survey.yaml").exists()


def test_the_guides_command_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import shlex

    monkeypatch.chdir(tmp_path)
    (block,) = marked("start: crusher")
    result = _run(*shlex.split(block.text)[1:])
    assert result.exit_code == 0, result.output
    assert (tmp_path / "crusher" / "survey.yaml").exists()


def test_kits_are_listed_and_shown() -> None:
    listed = _run("kits")
    assert listed.exit_code == 0 and "horn" in listed.output
    shown = _run("kits", "horn")
    assert "key feed" not in shown.output and "battery feed > (horn relay 30/87" in shown.output
    assert "5 A for 5 s at 12 V" in shown.output and "measure:" in shown.output
    data = json.loads(_run("kits", "--json").output)
    assert data["kits"]["horn"]["content"]["parts"][2]["kind"] == "horn"
    wrong = _run("kits", "hron")
    assert wrong.exit_code == 2 and "did you mean 'horn'?" in wrong.output


def test_the_questions_know_the_words_of_the_options() -> None:
    params = {param.name: param for param in main.commands["start"].params}
    assert set(params["engine"].type.choices) == set(started.ENGINES)  # type: ignore[attr-defined]
    assert set(params["charging"].type.choices) == set(started.CHARGING)  # type: ignore[attr-defined]
    assert set(params["stop"].type.choices) == set(started.STOPS)  # type: ignore[attr-defined]


def test_what_is_not_in_the_machine_is_answered_with_its_parts(tmp_path: Path) -> None:
    """A newcomer does not know what the kits called his parts."""
    survey = str(tmp_path / "survey.yaml")
    assert CliRunner().invoke(main, ["start", str(tmp_path), "--yes", "--kit", "none"]).exit_code == 0
    for words in (
        ["trace", survey, "zzzz"],
        ["without", survey, "zzzz"],
        ["record", "add", survey, "repair", "--subject", "zzzz", "--text", "x"],
    ):
        result = CliRunner().invoke(main, words)
        assert result.exit_code == 2
        assert "'zzzz'" in result.output and "'battery'" in result.output


def test_an_export_is_named_for_the_folder_of_a_started_survey(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert CliRunner().invoke(main, ["start", "mill", "--yes", "--kit", "none"]).exit_code == 0
    assert CliRunner().invoke(main, ["export", "mill/survey.yaml", "--no-paper"]).exit_code == 0
    assert (tmp_path / "exports" / "mill-all.zip").exists()
