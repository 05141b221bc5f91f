"""Hostile texts in every field of free text: refused at their line, or the same text in every output.

Texts that every field takes stand in one machine at once, one lamp a text, so that one build tries them all.
"""

from __future__ import annotations

import json
import re
import subprocess
import unicodedata
import zipfile
from collections.abc import Iterator
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner
from openpyxl import load_workbook
from playwright.sync_api import Browser

from harness.book.shop.paper import paper_pdf
from harness.cli import main
from harness.drawing import engine
from harness.drawing.letters import printable
from harness.drawing.tracks.sheets import tracks_svg
from harness.model.problem import SurveyWrong
from harness.pipeline import design
from harness.survey import read
from harness.survey.located import canonical
from tests.injection.fields import NOT_IN_RESULT, ONCE, PLAIN, Slot, free_fields, own_fields, survey
from tests.injection.words import WORDS

SVGS = ("tracks.svg", "circuit-sheets.svg", "loom.svg", "fuses.svg")
TAGS = {
    "svg", "g", "path", "text", "tspan", "rect", "line", "circle", "title", "desc", "style", "polyline",
    "polygon", "ellipse", "defs", "use",
}  # fmt: skip
FILES = {*SVGS, "harness.xlsx", "design.json", "book.html", "book.pdf"}


@cache
def refused(word: str) -> dict[Slot, str]:
    """The fields that do not take a text, with what is said; found with the text in all of them at once."""
    text, at = survey(1, lambda k, slot: word)
    try:
        read("a.yaml", text=text)
    except SurveyWrong as wrong:
        found = {}
        for problem in wrong.problems:
            assert problem.where.line > 0 and problem.where.column > 0, problem
            said = str(problem)
            assert all(each == "\n" or each.isprintable() for each in said), ascii(said)
            if problem.where.line in at:
                found[at[problem.where.line][1]] = said
        assert found, wrong.problems
        return found
    return {}


@cache
def batch() -> list[str]:
    """Every other text that all fields take: what one machine can hold and still be built in seconds."""
    return [word for word in WORDS if not refused(word)][::2]


def tried(k: int, slot: Slot) -> str:
    """The text of lamp ``k`` where the field takes it, else a plain one."""
    word = batch()[k % len(batch())]
    return f"{PLAIN}{k}" if slot in refused(word) else word


def test_enough_texts_and_all_fields() -> None:
    assert len(WORDS) >= 60
    assert len(own_fields()) >= 16
    assert len(free_fields()) >= 36
    text, at = survey(1, lambda k, slot: PLAIN)
    assert {slot for _, slot in at.values()} == set(own_fields()), "a field is not tried"
    assert read("a.yaml", text=text)


@pytest.mark.parametrize("word", WORDS, ids=lambda word: ascii(word)[1:30])
def test_a_text_is_refused_at_its_line_or_taken(word: str) -> None:
    """What is refused is refused for a reason; what cannot be seen or steers a terminal is never taken."""
    for said in refused(word).values():
        assert re.search(r"cannot be printed|line break or a tab|has a meaning in paths|longer than", said), (
            said
        )
    steers = any(
        unicodedata.category(each) in ("Cc", "Cs", "Zl", "Zp") or each in "\u202e\u2066\ufffe"
        for each in word
    )
    if steers:
        assert {("parts", ""), ("circuits", ""), ("machine", "name")} <= set(refused(word))
    if not refused(word):
        text, _ = survey(1, lambda k, slot: word)
        machine = read("a.yaml", text=text)
        assert machine.name == canonical(word)
        assert canonical(f"{word} 0") in machine.parts


@pytest.fixture(scope="module")
def texts() -> str:
    text, _ = survey(len(batch()), tried)
    return text


@pytest.fixture(scope="module")
def built(texts: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, str]]:
    """The folder of results of the machine with every text, and what the terminal showed."""
    folder = tmp_path_factory.mktemp("injected")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("harness.cli.second.cores", lambda: 1)
        done = CliRunner().invoke(main, ["build", "-", "--out", str(folder / "out")], input=texts.encode())
    assert done.exit_code in (0, 1), done.output
    yield folder / "out", done.output


def wanted(slot: Slot) -> list[str]:
    """Every text that a field took."""
    count = 1 if slot in ONCE else len(batch())
    return [text for k in range(count) if (text := tried(k, slot)) != f"{PLAIN}{k}"]


def squeezed(text: str) -> str:
    """Without spaces, which lines may break at, and without marks that show nothing by themselves."""
    return "".join(each for each in "".join(canonical(text).split()) if unicodedata.category(each) != "Cf")


def test_only_the_usual_files_are_written(built: tuple[Path, str]) -> None:
    folder, _ = built
    assert {path.name for path in folder.iterdir()} == FILES
    assert [path.name for path in folder.parent.iterdir()] == ["out"]


def test_the_terminal_gets_no_sign_that_steers_it(built: tuple[Path, str], texts: str) -> None:
    for call in (["check", "-"], ["size", "-"], ["assumed", "-", "--plain"], ["old-wires", "-"]):
        done = CliRunner().invoke(main, call, input=texts.encode())
        for each in (built[1], done.output):
            bad = {sign for sign in each if unicodedata.category(sign) in ("Cc", "Zl", "Zp") and sign != "\n"}
            assert bad == set()
            assert not set(each) & set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def test_every_mode_comes_through() -> None:
    """One lamp in a mode for each text: the data and the page have them all."""
    text, _ = survey(1, tried, modes=len(batch()))
    made = design(read("modes.yaml", text=text))
    slot = ("modes", "")
    names = [canonical(f"{tried(k, slot)} {k}") for k in range(len(batch()))]
    assert [mode.name for mode in made.modes] == names
    assert [state.mode for state in made.operating] == names


@pytest.mark.parametrize(
    "slot", [each for each in own_fields() if each not in (("modes", ""), ("places", "loom"))], ids=" ".join
)
def test_the_data_holds_every_text_as_it_is(built: tuple[Path, str], slot: Slot) -> None:
    texts_in: set[str] = set()

    def walk(value: object) -> None:
        if isinstance(value, str):
            texts_in.add(canonical(value))
        elif isinstance(value, dict):
            for key, each in value.items():
                walk(key)
                walk(each)
        elif isinstance(value, list):
            for each in value:
                walk(each)

    walk(json.loads((built[0] / "design.json").read_text(encoding="utf-8")))
    if slot in NOT_IN_RESULT:
        return
    together = "\n".join(texts_in)
    assert [text for text in wanted(slot) if canonical(text) not in together] == []


def test_drawings_hold_the_names_and_nothing_that_acts(built: tuple[Path, str]) -> None:
    seen = ""
    for name in SVGS:
        root = ElementTree.parse(built[0] / name).getroot()
        for each in root.iter():
            tag = each.tag.rpartition("}")[2]
            assert tag in TAGS, tag
            for key, value in each.attrib.items():
                assert not key.lower().startswith("on"), key
                assert "href" not in key or value.startswith("#"), value
        seen += squeezed("".join(root.itertext()))
    for slot in (("parts", ""), ("circuits", "")):
        lost = [text for text in wanted(slot) if squeezed(text) not in seen]
        assert lost == [], ascii(lost)


class Page(HTMLParser):
    """Texts and tags of a page, as a browser would part them."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: list[str] = []
        self.tags: set[str] = set()
        self.keys: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.keys |= {key for key, _ in attrs}

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


@pytest.mark.parametrize(
    "slot",
    [
        ("parts", ""),
        ("circuits", ""),
        ("parts", "notes"),
        ("notes", ""),
        ("machine", "name"),
        ("old wires", "tag"),
    ],
    ids=" ".join,
)
def test_the_page_shows_every_text(built: tuple[Path, str], slot: Slot) -> None:
    page = Page()
    page.feed((built[0] / "book.html").read_text(encoding="utf-8"))
    assert not page.tags & {"iframe", "img", "object", "embed", "foreignobject", "textarea"}
    assert not {key for key in page.keys if key.startswith("on")}
    seen = squeezed("".join(page.texts))
    assert [text for text in wanted(slot) if squeezed(text) not in seen] == []


def test_the_page_runs_nothing_and_asks_for_nothing(built: tuple[Path, str], browser: Browser) -> None:
    """Opened in Chromium; its own policy is strict, and the browser tells of every breach of it."""
    html = (built[0] / "book.html").read_text(encoding="utf-8")
    (policy,) = re.findall(r'http-equiv="Content-Security-Policy" content="([^"]*)"', html)
    assert "default-src &#39;none&#39;" in policy or "default-src 'none'" in policy
    page = browser.new_context().new_page()
    wrong: list[str] = []
    asked: list[str] = []
    page.on("console", lambda said: wrong.append(said.text) if said.type == "error" else None)
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("request", lambda request: asked.append(request.url))
    page.on("dialog", lambda dialog: wrong.append(dialog.message))
    page.goto((built[0] / "book.html").as_uri())
    for sign in ("parts", "part", "wire"):
        for each in page.locator(f".view [data-{sign}]").all()[:3]:
            each.click(force=True)
    assert page.evaluate("window.hurt") is None
    assert page.locator("[onerror], [onload], [onmouseover], [onfocus], [autofocus]").count() == 0
    assert [each for each in asked if not each.startswith("file:")] == []
    assert len(asked) == 1
    assert wrong == []
    page.context.close()


def test_the_pdf_has_no_action_and_shows_the_names(built: tuple[Path, str]) -> None:
    data = (built[0] / "book.pdf").read_bytes()
    for act in (b"/JavaScript", b"/Launch", b"/URI", b"/SubmitForm", b"/EmbeddedFile"):
        assert act not in data
    done = subprocess.run(
        ["pdftotext", "-enc", "UTF-8", str(built[0] / "book.pdf"), "-"], capture_output=True
    )
    seen = squeezed(done.stdout.decode("utf-8"))
    # a word may be parted by a hyphen at the end of a line, and a text of other scripts is shaped
    seen = seen.replace("\u00ad", "").replace("\u2010", "").replace("-", "")
    names = [text for text in wanted(("parts", "")) if text.isascii() and len(text) < 40]
    assert len(names) > 12
    assert [text for text in names if squeezed(text).replace("-", "") not in seen] == []


@pytest.mark.parametrize(
    "slot", [("parts", ""), ("circuits", ""), ("notes", ""), ("parts", "notes")], ids=" ".join
)
def test_the_workbook_holds_texts_and_no_formula(built: tuple[Path, str], slot: Slot) -> None:
    with zipfile.ZipFile(built[0] / "harness.xlsx") as book:
        for name in book.namelist():
            assert b"<f>" not in book.read(name)
            assert "externalLink" not in name
            if name.endswith(".rels"):
                assert b"External" not in book.read(name)
    seen = []
    for sheet in load_workbook(built[0] / "harness.xlsx"):
        for row in sheet.iter_rows():
            for cell in row:
                assert cell.data_type != "f", cell.value
                if isinstance(cell.value, str):
                    seen.append(squeezed(cell.value))
    together = "\n".join(seen)
    assert [text for text in wanted(slot) if squeezed(text) not in together] == []


def test_a_netlist_holds_names_in_comments_alone(texts: str) -> None:
    done = CliRunner().invoke(main, ["netlist", "-", "--mode", f"{PLAIN}0 0"], input=texts.encode())
    if done.exit_code == 2:  # the first mode took its text
        mode = canonical(f"{tried(0, ('modes', ''))} 0")
        done = CliRunner().invoke(main, ["netlist", "-", "--mode", mode], input=texts.encode())
    assert done.exit_code == 0, done.output
    assert done.output.isascii()
    for line in done.output.splitlines():
        assert re.match(
            r"[*]|[RVIBGEDX][\w]+ |\.(op|nodeset|end|print|options?|temp|save|control|endc)\b|[a-z]+ ?|$",
            line,
        ), line
        assert line.startswith("*") or "include" not in line
    assert not re.search(r"^\.include", done.output, re.MULTILINE)


def test_no_text_reaches_the_layout_engine(
    texts: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """DOT has escapes of its own (\\N, \\G) and labels of markup: ours holds names of ours alone."""
    seen: list[str] = []
    real = engine.dot
    monkeypatch.setattr(engine, "dot", lambda graph: seen.append(str(made := real(graph))) or made)
    done = CliRunner().invoke(
        main, ["draw", "-", "loom", "-o", str(tmp_path / "loom.svg")], input=texts.encode()
    )
    assert done.exit_code == 0, done.output
    assert seen
    for source in seen:
        assert source.isascii()
        assert not any(word in source for word in WORDS if len(word) > 4)


def test_wide_and_hard_spaces_in_a_name_are_spaces_in_its_path() -> None:
    """A part called with one could not be named in a path before: no path is parted at letters of spaces."""
    assert refused("\u00a0 spaced \u3000") == {}
    assert canonical("left\u00a0lamp") == canonical("left\u3000 lamp") == "left lamp"


def test_the_mark_of_byte_order_does_not_stop_the_pdf() -> None:
    """The typesetter refuses U+FEFF under PDF/UA-1, and the whole build failed for one name."""
    assert printable("zero\ufeffwidth") == "zerowidth"


def test_marks_and_joiners_in_a_drawing_do_not_stop_the_pdf() -> None:
    """A drawing with a mark that composes with no letter, or a joiner of signs, was refused whole."""
    words = ["storm o\u0301\u0327\u0327", "x\u0302 lamp", "👩\u200d🔧 🚜"]
    text, _ = survey(len(words), lambda k, slot: words[k])
    made = design(read("marks.yaml", text=text))
    assert paper_pdf(made, {"tracks.svg": tracks_svg(made)}).startswith(b"%PDF")
