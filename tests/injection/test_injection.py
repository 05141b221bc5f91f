"""Hostile texts in every field of free text: refused at their line, or the same text in every output.

Each text has a lamp of its own with all its fields, in one machine, so that one build tries them all.
"""

from __future__ import annotations

import csv
import json
import re
import zipfile
from io import BytesIO, StringIO
from xml.etree import ElementTree

import pytest
from openpyxl import load_workbook
from playwright.sync_api import Browser

from harness.book.shop.paper import paper_pdf
from harness.drawing import engine
from harness.drawing.letters import printable
from harness.drawing.tracks.sheets import tracks_svg
from harness.keeping.parcel import wires_csv
from harness.making.outputs import OUTPUTS, output
from harness.model.design import Design
from harness.model.problem import SurveyWrong
from harness.pipeline import design
from harness.signs import unseen
from harness.survey import read
from harness.survey.located import canonical
from harness.survey.schema import SECTION_FORMS
from tests.injection.chosen import refused, squeezed, taken, tried
from tests.injection.fields import ONCE, PLAIN, REPEATED, Slot, free_fields, own_fields, quoted, survey
from tests.injection.pages import Page, opened
from tests.injection.words import WORDS

SVGS = ("tracks.svg", "circuit-sheets.svg", "loom.svg", "fuses.svg")
TAGS = {
    "svg", "g", "path", "text", "tspan", "rect", "line", "circle", "title", "desc", "style", "polyline",
    "polygon", "ellipse", "defs", "use",
}  # fmt: skip
FORMULAS = ("=", "+", "-", "@", "\t", "\r")  # what spreadsheets work out when a cell begins with it
LISTS = ("runs", "old wires", "spare wires")
ALONE = {("modes", ""), ("places", "loom")}  # tried elsewhere: one machine has few of them
# What a design does not hold: it is in the survey's own sheets and in what is told of its old wires.
NOT_IN_DESIGN = {("old wires", "tag"), ("old wires", "why"), ("old wires", "photo")}
NAMES: list[Slot] = [
    ("machine", "name"), ("machine", "revision"), ("parts", ""), ("circuits", ""), ("bodies", ""),
    ("places", ""), ("zones", ""), ("runs", "name"), ("parts", "ways"),
]  # fmt: skip


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
        assert re.search(r"nobody sees|line break or a tab|has a meaning in paths|longer than", said), said
    if unseen(word) is not None:
        assert set(refused(word)) == set(own_fields())
    if not refused(word):
        text, _ = survey(1, lambda k, slot: word)
        machine = read("a.yaml", text=text)
        assert machine.name == canonical(word)
        assert canonical(f"{word} 0") in machine.parts


def test_a_field_that_names_something_tells_of_a_hostile_name() -> None:
    """Each text in every field at once that has to name what stands elsewhere: told, each told harmlessly."""
    for word in WORDS:
        lines = ["machine: {name: x, voltage: 12 V, chassis post: negative}"]
        for section in SECTION_FORMS:
            keys = [key for name, key in sorted(REPEATED) if name == section and key]
            own = ", ".join(f"{key}: {quoted(word)}" for key in keys)
            if section == "machine" or not keys:
                continue
            lines.append(
                f"{section}: " + (f"[{{{own}}}]" if section in LISTS else f"{{{quoted(word)}: {{{own}}}}}")
            )
        with pytest.raises(SurveyWrong) as caught:
            read("a.yaml", text="\n".join(lines))
        assert len(caught.value.problems) >= 4
        for problem in caught.value.problems:
            assert all(each == "\n" or each.isprintable() for each in str(problem)), ascii(str(problem))


@pytest.fixture(scope="module")
def texts() -> str:
    return survey(len(taken()), tried)[0]


@pytest.fixture(scope="module")
def drawn() -> list[str]:
    """What went to the layout engine."""
    return []


@pytest.fixture(scope="module")
def made(texts: str) -> Design:
    return design(read("full.yaml", text=texts))


@pytest.fixture(scope="module")
def built(made: Design, drawn: list[str]) -> dict[str, bytes]:
    """Every output but the print, which is made of a smaller machine, and the wires of an export."""
    found: dict[str, bytes] = {"wires.csv": wires_csv(made)}
    real = engine.dot
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(engine, "dot", lambda graph: drawn.append(str(source := real(graph))) or source)
        for name in OUTPUTS:
            if not name.endswith(".pdf"):
                found[name] = output(name, made, found)
    return found


def wanted(slot: Slot) -> list[str]:
    """Every text that a field took."""
    count = 1 if slot in ONCE else len(taken())
    return [text for k in range(count) if not (text := tried(k, slot)).startswith(f"{PLAIN}{k} n")]


def lost(slots: list[Slot], seen: str) -> list[tuple[Slot, str]]:
    """The texts of these fields that are not to be found."""
    return [(slot, ascii(text)) for slot in slots for text in wanted(slot) if squeezed(text) not in seen]


def test_every_mode_comes_through() -> None:
    """One lamp in a mode for each text: the data and the page have them all."""
    text, _ = survey(1, tried, modes=len(taken()))
    found = design(read("modes.yaml", text=text))
    names = [canonical(f"{tried(k, ('modes', ''))} {k}") for k in range(len(taken()))]
    assert [mode.name for mode in found.modes] == names
    assert [state.mode for state in found.operating] == names


def test_the_data_holds_every_text_of_every_field(built: dict[str, bytes]) -> None:
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

    walk(json.loads(built["design.json"]))
    together = "\n".join(texts_in)
    for slot in set(own_fields()) - ALONE - NOT_IN_DESIGN:
        assert [text for text in wanted(slot) if canonical(text) not in together] == [], slot


def test_drawings_hold_the_names_and_nothing_that_acts(built: dict[str, bytes]) -> None:
    seen = ""
    for name in SVGS:
        root = ElementTree.fromstring(built[name])
        for each in root.iter():
            tag = each.tag.rpartition("}")[2]
            assert tag in TAGS, tag
            for key, value in each.attrib.items():
                assert not key.lower().startswith("on"), key
                assert "href" not in key or value.startswith("#"), value
        seen += squeezed("".join(root.itertext()))
    assert lost(NAMES, seen) == []


def test_the_page_shows_every_text(built: dict[str, bytes]) -> None:
    page = Page()
    page.feed(built["book.html"].decode())
    page.holds_nothing_that_acts()
    assert lost(NAMES, squeezed("".join(page.texts))) == []


def test_the_page_runs_nothing_and_asks_for_nothing(
    built: dict[str, bytes], browser: Browser, tmp_path
) -> None:
    """Opened in Chromium; its own policy is strict, and the browser tells of every breach of it."""
    (tmp_path / "book.html").write_bytes(built["book.html"])
    with opened(browser, tmp_path / "book.html") as page:
        for sign in ("parts", "part", "wire"):
            for each in page.locator(f".view [data-{sign}]").all()[:3]:
                each.click(force=True)


def test_the_workbook_holds_texts_and_no_formula(built: dict[str, bytes]) -> None:
    with zipfile.ZipFile(BytesIO(built["harness.xlsx"])) as book:
        for name in book.namelist():
            assert b"<f>" not in book.read(name)
            assert "externalLink" not in name
            if name.endswith(".rels"):
                assert b"External" not in book.read(name)
    seen = []
    for sheet in load_workbook(BytesIO(built["harness.xlsx"]), read_only=True):
        for row in sheet.iter_rows():
            for cell in row:
                assert cell.data_type != "f", cell.value
                if isinstance(cell.value, str):
                    seen.append(squeezed(cell.value))
    assert lost(NAMES, "\n".join(seen)) == []


def test_a_table_of_wires_has_no_formula_and_one_row_a_wire(built: dict[str, bytes], made: Design) -> None:
    """Read by the library's own reader (RFC 4180); before what begins as a formula stands an apostrophe."""
    rows = list(csv.reader(StringIO(built["wires.csv"].decode(), newline="")))
    assert len(rows) == len(made.wires) + 1
    assert {len(row) for row in rows} == {16}
    cells = [cell for row in rows for cell in row]
    assert not [cell for cell in cells if cell.startswith(FORMULAS)]
    assert not [cell for cell in cells if set(cell) & set("\r\n\t")]
    in_wires: list[Slot] = [
        ("parts", ""),
        ("circuits", ""),
        ("places", ""),
        ("runs", "name"),
        ("parts", "ways"),
    ]
    assert lost(in_wires, squeezed("\n".join(cells))) == []


def test_no_text_reaches_the_layout_engine(built: dict[str, bytes], drawn: list[str]) -> None:
    """DOT has escapes of its own (\\N, \\G) and labels of markup: ours holds names of ours alone."""
    assert built and drawn
    for source in drawn:
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
