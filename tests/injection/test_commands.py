"""Every command on one small machine with each text somewhere in it: JSON whole, the terminal not steered."""

from __future__ import annotations

import json
import re
import subprocess
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from playwright.sync_api import Browser

from harness import pipeline
from harness.cli import main
from harness.survey import read
from harness.survey.located import canonical
from tests.injection.chosen import SMALL, dealt, dealt_texts, harmless, squeezed, taken
from tests.injection.fields import ONCE, survey
from tests.injection.pages import Page, opened
from tests.running import made_once

FILES = {
    "tracks.svg", "circuit-sheets.svg", "loom.svg", "fuses.svg", "harness.xlsx", "design.json", "book.html",
    "book.pdf",
}  # fmt: skip


def part(k: int) -> str:
    return canonical(f"{dealt(k, ('parts', ''))} {k}")


MODE = canonical(f"{dealt(0, ('modes', ''))} 0")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """The small machine twice, the second time with other texts; designed once for all commands."""
    place = tmp_path_factory.mktemp("small")
    text, _ = survey(SMALL, dealt, looms=True)
    (place / "one.yaml").write_text(text, encoding="utf-8")
    other, _ = survey(SMALL, lambda k, slot: dealt(k if slot in ONCE else (k + 1) % SMALL, slot), looms=True)
    (place / "two.yaml").write_text(other, encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(place)
        patch.setattr(pipeline, "designed", made_once(pipeline.designed))
        patch.setattr("harness.making.second.cores", lambda: 1)
        yield place


def run(*words: str, codes: tuple[int, ...] = (0, 1)) -> Result:
    """A command; it ends well, and what it shows steers nothing."""
    done = CliRunner().invoke(main, list(words), color=True)
    assert done.exit_code in codes, (words, done.output)
    harmless(done.output)
    return done


def test_every_text_stands_somewhere(folder: Path) -> None:
    assert dealt_texts() == set(taken())


@pytest.fixture(scope="module")
def built(folder: Path) -> Path:
    run("build", "one.yaml", "--out", "out")
    return folder / "out"


def test_a_build_writes_the_usual_files_alone(built: Path) -> None:
    assert {path.name for path in built.iterdir()} == FILES
    assert {path.name for path in built.parent.iterdir()} >= {"one.yaml", "two.yaml", "out"}


def test_the_pdf_has_no_action_and_shows_the_names(built: Path) -> None:
    data = (built / "book.pdf").read_bytes()
    for act in (b"/JavaScript", b"/Launch", b"/URI", b"/SubmitForm", b"/EmbeddedFile"):
        assert act not in data
    done = subprocess.run(["pdftotext", "-enc", "UTF-8", str(built / "book.pdf"), "-"], capture_output=True)
    seen = re.sub("[\u00ad\u2010-]", "", squeezed(done.stdout.decode("utf-8")))
    names = [part(k) for k in range(SMALL) if part(k).isascii() and len(part(k)) < 40]
    assert names
    assert [text for text in names if squeezed(text).replace("-", "") not in seen] == []


@pytest.mark.parametrize(
    "words",
    [
        ("check", "one.yaml"),
        ("size", "one.yaml"),
        ("assumed", "one.yaml"),
        ("old-wires", "one.yaml"),
        ("tests", "one.yaml"),
        ("trace", "one.yaml", part(1)),
        ("without", "one.yaml", part(2)),
        ("explain", "one.yaml", part(3)),
        ("explain", "one.yaml", MODE),
        ("diagnose", "one.yaml", "--mode", MODE, "--reading", f"{part(0)} = dead"),
        ("compare", "one.yaml", "two.yaml"),
    ],
    ids=lambda words: words[0],
)
def test_what_a_command_tells_steers_no_terminal_and_its_json_is_whole(
    folder: Path, words: tuple[str, ...]
) -> None:
    assert run(*words).output.strip()
    told = json.loads(run(*words, "--json").output)
    assert told


def test_names_of_nothing_are_answered_harmlessly(folder: Path) -> None:
    """A name that nobody knows, typed or pasted: the answer does not pass on what is in it."""
    for name in ("\x1b[31mred", "turn\u202eround", "a\nb", "<b>", "-x"):
        for words in (
            ("trace", "one.yaml", "--", name),
            ("without", "one.yaml", "--", name),
            ("explain", "one.yaml", "--", name),
            ("reading", "add", "one.yaml", "--", name, "1 V"),
            ("diagnose", "one.yaml", "--mode", name, "--reading", "x = dead"),
            ("netlist", "one.yaml", "--mode", name),
        ):
            run(*words, codes=(1, 2, 3))


def test_a_netlist_holds_names_in_comments_alone(folder: Path) -> None:
    said = run("netlist", "one.yaml", "--mode", MODE).output
    assert said.isascii()
    for line in said.splitlines():
        assert re.match(
            r"[*]|[RVIBGEDX][\w]+ |\.(op|nodeset|end|print|options?|temp|save|control|endc)\b|[a-z]+ ?|$",
            line,
        ), line
        assert line.startswith("*") or "include" not in line
    assert not re.search(r"^\.include", said, re.MULTILINE)


def test_a_survey_goes_through_a_workbook_and_back_whole(folder: Path) -> None:
    run("convert", "one.yaml", "there.xlsx")
    run("convert", "there.xlsx", "back.yaml")
    assert (folder / "back.yaml").read_bytes() == (folder / "one.yaml").read_bytes()
    with zipfile.ZipFile(folder / "there.xlsx") as book:
        assert not [name for name in book.namelist() if b"<f>" in book.read(name)]
    # without the text it was made from, the cells alone say the same
    from openpyxl import load_workbook

    bare = load_workbook(folder / "there.xlsx")
    del bare["As typed"]
    bare.save(folder / "bare.xlsx")
    run("convert", "bare.xlsx", "bare.yaml")
    one, other = read(folder / "bare.yaml"), read(folder / "one.yaml")
    assert (one.parts.keys(), one.notes, one.name) == (other.parts.keys(), other.notes, other.name)


def test_a_survey_is_laid_out_without_loss(folder: Path) -> None:
    (folder / "tidy.yaml").write_bytes((folder / "one.yaml").read_bytes())
    run("tidy", "tidy.yaml")
    assert (
        read(folder / "tidy.yaml", text=(folder / "tidy.yaml").read_bytes()).parts.keys()
        == read(folder / "one.yaml").parts.keys()
    )


def test_old_wires_are_told_with_all_that_was_said_of_them(folder: Path) -> None:
    seen = squeezed(run("old-wires", "one.yaml").output)
    for key in ("tag", "why", "photo"):
        lost = [text for k in range(SMALL) if squeezed(text := dealt(k, ("old wires", key))) not in seen]
        assert [ascii(text) for text in lost] == [], key


def test_a_comparison_as_page_and_drawing(folder: Path, browser: Browser) -> None:
    run("compare", "one.yaml", "two.yaml", "-o", "changes.html")
    run("compare", "one.yaml", "two.yaml", "-o", "changes.svg")
    page = Page()
    page.feed((folder / "changes.html").read_text(encoding="utf-8"))
    page.holds_nothing_that_acts()
    for name in ("changes.html", "changes.svg"):
        with opened(browser, folder / name):
            pass


def test_an_export_holds_plain_names_and_pages_that_run_nothing(folder: Path, browser: Browser) -> None:
    run("export", "one.yaml", "--no-paper", "-o", "all.zip")
    with zipfile.ZipFile(folder / "all.zip") as whole:
        names = whole.namelist()
        assert len(names) == len(set(names))
        assert len({name.casefold() for name in names}) == len(names)
        for name in names:
            assert re.fullmatch(r"[a-z]+(/[a-z-]+)?\.[a-z0-9]+", name) or name.startswith("drawings/"), name
        whole.extractall(folder / "all")
    for page in (folder / "all").rglob("*.*"):
        if page.suffix in (".html", ".svg"):
            with opened(browser, page):
                pass
    with opened(browser, folder / "all" / "index.html") as tab:
        assert squeezed(dealt(0, ("machine", "name"))) in squeezed(tab.inner_text("body"))
