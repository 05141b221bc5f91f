"""Hostile kits, catalogues, files of choices and of matches: refused at their line, or shown harmlessly."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from harness.cli import main
from harness.kits.reading import read_kit
from harness.model.problem import SurveyWrong
from harness.signs import unseen
from harness.survey import read
from harness.survey.located import canonical
from tests.injection.chosen import harmless
from tests.injection.fields import quoted
from tests.injection.words import WORDS

# Fields of a kit that hold a text of their own; and what may break out of the braces it is written into.
BREAKING = ("5 % # x", "1 m}, x: {", "a, power: 5 W", "x: y", "{a: b}", "[a", "- a", "? a", "'", '"')
KIT = """title: {0}
for: {0}
measure: [{0}]
cautions: [{0}]
figures: [{0}]
notes: [{0}]
places:
  {1}: {{near: dash, length: 1 m}}
parts:
  {2}: {{is: horn, at: {1}, current: 5 A}}
circuits:
  {3}:
    works in: running
    paths: [{4}]
"""


def run(*words: str, codes: tuple[int, ...] = (0, 1)) -> Result:
    """A command with colours on, which takes no escapes of a terminal out of what is shown."""
    done = CliRunner().invoke(main, list(words), color=True)
    assert done.exit_code in codes, (words, done.output)
    harmless(done.output)
    return done


def kit_text(word: str) -> str:
    names = [quoted(f"{word} {at}") for at in ("place", "part", "circuit")]
    return KIT.format(quoted(word), *names, quoted(f"key feed > {word} part > ground"))


def taken(word: str) -> bool:
    """Whether a kit of this text is read; one that is not is refused at its lines."""
    try:
        kit = read_kit(kit_text(word), "own.yaml", "own")
    except SurveyWrong as wrong:
        for problem in wrong.problems:
            assert problem.where.line > 0
            said = str(problem)
            assert unseen(said) is None and "\t" not in said, ascii(said)
        return False
    assert kit.title == kit.purpose == canonical(" ".join(word.split()))
    return True


def test_a_kit_is_refused_at_its_lines_or_read() -> None:
    fit = [word for word in WORDS if taken(word)]
    assert len(fit) > 30
    assert not [word for word in fit if unseen(word) is not None]


@pytest.mark.parametrize("third", range(3))
def test_own_kits_are_shown_and_started_from_harmlessly(third: int, tmp_path: Path) -> None:
    """A machine of a third of them: its survey reads, and holds every part under its name."""
    folder, place = tmp_path / "own", tmp_path / "m"
    folder.mkdir()
    some = [word for word in WORDS[third::3] if taken(word)]
    for at, word in enumerate(some):
        (folder / f"own {at}.yaml").write_text(kit_text(word), encoding="utf-8")
    said = run("kits", "--kits", str(folder), "--json").output
    assert json.loads(said)["kits"]["own 0"]["title"] == some[0]
    run("kits", "--kits", str(folder))
    run("kits", f"own {third}", "--kits", str(folder))
    run(
        "start",
        str(place),
        "--name=x",
        "--kits",
        str(folder),
        *[f"--kit=own {at}" for at in range(1, len(some))],
    )
    run("start", str(place), "--kits", str(folder), "--add=own 0")
    made = read(place / "survey.yaml")
    assert {canonical(f"{word} part") for word in some} <= set(made.parts)
    assert {canonical(f"{word} circuit") for word in some} <= {each.name for each in made.circuits}
    assert {canonical(" ".join(word.split())) for word in some[1:]} <= set(made.notes)


@pytest.mark.parametrize("field", ["drop", "terminals", "ways", "length", "current"])
def test_no_value_of_a_kit_gets_out_of_its_place(field: str, tmp_path: Path) -> None:
    """A kit says what a part is; it cannot write other keys or a remark into the survey with it."""
    folder = tmp_path / "kits"
    folder.mkdir()
    for at, word in enumerate(BREAKING):
        text = KIT.format("x", "nose", "bell", "Bell", "key feed > bell > ground")
        text = {
            "drop": lambda text=text, word=word: text + f"    drop: {quoted(word)}\n",
            "terminals": lambda text=text, word=word: text.replace(
                "current: 5 A", f"current: 5 A, terminals: {{{quoted(word)}: {quoted(word)}}}"
            ),
            "ways": lambda text=text, word=word: text.replace("is: horn", "is: fuse panel").replace(
                "current: 5 A", f"ways: {quoted(word)}"
            ).replace("> bell >", "> bell F1 >"),
            "length": lambda text=text, word=word: text.replace("1 m", quoted(word)),
            "current": lambda text=text, word=word: text.replace("5 A", quoted(word)),
        }[field]()  # fmt: skip
        (folder / "own.yaml").write_text(text, encoding="utf-8")
        done = run(
            "start", str(tmp_path / f"m{at}"), "--name=x", "--kits", str(folder), "--kit=own", codes=(0, 2)
        )
        assert done.exit_code == 2, (word, (tmp_path / f"m{at}" / "survey.yaml").read_text(encoding="utf-8"))
        told = [str(folder / "own.yaml")] + ["has no terminal"] * (field == "terminals")
        assert any(each in done.output for each in told), (word, done.output)


@pytest.mark.parametrize("stem", ["\x1b[31mred", "turn\u202eround", "a\nb", "zero\u200bwidth", "\udcff"])
def test_kits_in_files_of_hostile_names_are_told_of_harmlessly(stem: str, tmp_path: Path) -> None:
    folder = tmp_path / "kits"
    folder.mkdir()
    (folder / f"{stem}.yaml").write_text(KIT.format("x", "nose", "bell", "Bell", "key feed > bell > ground"))
    run("kits", "--kits", str(folder), codes=(0, 2))
    run("kits", stem, "--kits", str(folder), codes=(0, 2))
    run("start", str(tmp_path / "m"), "--name=x", "--kits", str(folder), f"--kit={stem}", codes=(0, 2))
    (folder / f"{stem}.yaml").write_text("title: [\n")
    run("kits", "--kits", str(folder), codes=(2,))
