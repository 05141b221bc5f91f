"""Where a command may write: not over what it reads, nor over what is no output of its own."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from harness.cli import main
from tests.survey.texts import TROLLEY

ROOT = Path(__file__).parents[2]
LONG = "x" * 300  # more than the 255 bytes a name may have on the common file systems (POSIX NAME_MAX)

# Every command that writes a file to a name of the user's, with the ending of what it writes; and those that
# write several into a folder, with the name of one of them.
FILES = {
    "draw survey.yaml circuit -o": ".svg",
    "draw survey.yaml cab -o": ".pdf",
    "netlist survey.yaml --mode parked --out": ".cir",
    "schema design -o": ".json",
    "survey-sheets survey.yaml --quick -o": ".pdf",
    "as-built survey.yaml --force -o": ".yaml",
    "convert survey.yaml --force": ".xlsx",
    "compare survey.yaml other.yaml -o": ".svg",
    "record page survey.yaml -o": ".html",
}
FOLDERS = {
    "build {} --no-paper --out": "harness.xlsx",
    "quote {} --prices prices.csv --out": "quote.xlsx",
}


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a survey, another, a price list and a record; the one the command runs in."""
    (tmp_path / "survey.yaml").write_text(TROLLEY, encoding="utf-8")
    (tmp_path / "other.yaml").write_text(TROLLEY.replace("6 A", "7 A"), encoding="utf-8")
    shutil.copy(ROOT / "samples" / "prices-one.csv", tmp_path / "prices.csv")
    (tmp_path / "photo.jpg").write_bytes(b"\xff\xd8")
    monkeypatch.chdir(tmp_path)
    run("record add survey.yaml note --text", "begun", 0)
    return tmp_path


def run(command: str, last: str, code: int) -> str:
    """What is said; the command must end with ``code``."""
    found = CliRunner().invoke(main, [*command.split(), last], input="")
    assert found.exception is None or isinstance(found.exception, SystemExit), found.exception
    assert found.exit_code == code, found.output
    return found.output


def contents() -> dict[str, bytes | None]:
    """All that is in the folder by name: what files hold, None for anything else."""
    return {
        str(path): path.read_bytes() if path.is_file() else None
        for path in sorted(Path().rglob("*"))
        if path.is_symlink() or not path.is_dir()
    }


@pytest.mark.parametrize("command", [*FILES])
def test_what_a_command_reads_is_never_written_over(command: str, place: Path) -> None:
    ending = FILES[command]
    Path(f"link{ending}").symlink_to("survey.yaml")
    Path(f"hard{ending}").hardlink_to("survey.yaml")
    before = contents()
    if command != "schema design -o":  # it reads nothing
        for name in (f"link{ending}", f"hard{ending}"):
            said = run(command, name, 2)
            assert f"{name} is the same file as survey.yaml, and that is read by this command" in said
    said = run(command, "survey.yaml", 2)
    told = ("is read by this command", "is there already and is no", "must be a workbook", "ends in .svg")
    assert any(one in said for one in told), said
    assert contents() == before


@pytest.mark.parametrize("command", [*FILES])
def test_what_is_no_output_is_not_written_over(command: str, place: Path) -> None:
    before = contents()
    said = run(command, "photo.jpg", 2)
    assert "photo.jpg" in said or "must be a workbook" in said or "ends in .svg" in said
    assert contents() == before


@pytest.mark.parametrize(
    ("command", "survey"), [(command, "harness.xlsx") for command in FOLDERS if command.startswith("build")]
)
def test_a_survey_of_the_name_of_a_result_is_not_written_over(command: str, survey: str, place: Path) -> None:
    run("convert survey.yaml", survey, 0)
    before = contents()
    said = run(command.format(survey), ".", 2)
    assert f"{survey} is read by this command; write to another place" in said
    assert contents() == before


def a_fifo(name: str) -> None:
    os.mkfifo(name)


def a_loop(name: str) -> None:
    Path(name).symlink_to(name)


def a_link_to_nothing(name: str) -> None:
    Path(name).symlink_to("nowhere")


def nothing(name: str) -> None:
    pass


# what is there, the name, the exit code, and words of the message
ODD: list[tuple[Callable[[str], None], str, int, str]] = [
    (os.mkdir, "folder{}", 3, "is a folder: name a file"),
    (a_fifo, "fifo{}", 3, "is no plain file: name another one"),
    (a_loop, "loop{}", 3, "a link leads in circles"),
    (a_link_to_nothing, "gone{}", 3, "is a link that leads nowhere: take it away, or name another file"),
    (nothing, LONG + "{}", 3, "the name is too long for this disk: name a shorter one"),
    (nothing, "/".join([LONG[:200]] * 25) + "{}", 3, "the name is too long for this disk"),
    (nothing, "photo.jpg/x{}", 3, "there is a file where a folder should be: name another place"),
]


@pytest.mark.parametrize("command", [*FILES])
def test_a_file_in_an_odd_place(command: str, place: Path) -> None:
    for make, name, code, words in ODD:
        name = name.format(FILES[command])
        make(name)
        before = contents()
        assert words in run(command, name, code)
        assert contents() == before


@pytest.mark.parametrize("command", [*FOLDERS])
def test_a_folder_in_an_odd_place(command: str, place: Path) -> None:
    command = command.format("survey.yaml")
    for make, name, code, words in [
        (nothing, "photo.jpg", 3, "there is a file where a folder should be: name another place"),
        (a_fifo, "fifo", 3, "there is a file where a folder should be: name another place"),
        (a_loop, "loop", 3, "a link leads in circles"),
        (a_link_to_nothing, "gone", 3, "something else has this name: take it away"),
        (nothing, LONG, 3, "the name is too long for this disk: name a shorter one"),
        (nothing, "photo.jpg/x", 3, "there is a file where a folder should be: name another place"),
    ]:
        make(name)
        before = contents()
        assert words in run(command, name, code)
        assert contents() == before


@pytest.mark.parametrize("command", [*FILES])
def test_a_link_stays_a_link_and_what_it_leads_to_is_written(command: str, place: Path) -> None:
    ending = FILES[command]
    Path("real").mkdir()
    real = Path("real", f"file{ending}")
    real.write_bytes(b"old")
    Path(f"out{ending}").symlink_to(real)
    run(command, f"out{ending}", 0)
    assert Path(f"out{ending}").is_symlink()
    assert real.read_bytes() != b"old"
    assert sorted(path.name for path in real.parent.iterdir()) == [real.name]


def test_a_pipe_is_no_file_of_matches(place: Path) -> None:
    a_fifo("pipe")
    said = run("prices match survey.yaml --prices prices.csv --matches", "pipe", 3)
    assert "pipe: is no plain file: name another one" in said


def test_a_word_of_the_command_line_is_no_name(place: Path) -> None:
    before = contents()
    said = run("build survey.yaml --no-paper --out", "--rules", 2)
    assert "--rules names no file or folder here; write ./--rules if it is meant" in said
    assert "--out names no file" in run("schema design -o", "--out", 2)
    assert contents() == before


@pytest.mark.parametrize(
    "command",
    [
        "schema design -o",
        "netlist survey.yaml --mode parked --out",
        "draw survey.yaml circuit -o",
        "record page survey.yaml -o",
    ],
)
def test_a_dash_is_standard_output(command: str, place: Path) -> None:
    before = contents()
    printed = run(command, "-", 0)
    assert contents() == before
    ending = FILES[command]
    run(command, f"out{ending}", 0)
    assert Path(f"out{ending}").read_text(encoding="utf-8") in printed
    assert f"wrote out{ending}" not in printed
