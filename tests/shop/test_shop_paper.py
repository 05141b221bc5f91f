"""The shop book on paper, looked at with poppler: pages, fonts, texts, nothing outside the page."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Sequence
from pathlib import Path
from xml.etree import ElementTree

import pytest

from harness import pipeline
from harness.book.shop.paper import PAPERS, paper_pdf
from harness.model.design import Design
from harness.survey import read
from tests.book.factories import renamed
from tests.docs.pages import marked
from tests.shop.conftest import drawings

SLEDGE = next(block.text for block in marked("example: survey") if block.page == "survey.md")

# ISO 216 A4 is 210 by 297 mm, ANSI/ASME Y14.1 A is 8.5 by 11 in; in points of 1/72 in
SIZES = {"A4": (595.28, 841.89), "Letter": (612.0, 792.0)}
SIDES = ("xMin", "yMin", "xMax", "yMax")
HTML = "{http://www.w3.org/1999/xhtml}"


def poppler(program: str, *arguments: str) -> str:
    done = subprocess.run([program, *arguments], capture_output=True, text=True, check=True)
    return done.stdout


@pytest.fixture(scope="module")
def pump(designs: dict[str, Design], tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("paper") / "book.pdf"
    path.write_bytes(paper_pdf(designs["pump"], drawings(designs["pump"]), paper=PAPERS["A4"]))
    return path


def boxes(path: Path) -> list[tuple[float, float, list[Sequence[float]]]]:
    """Width and height of every page, and the box of every word on it."""
    root = ElementTree.fromstring(poppler("pdftotext", "-bbox", str(path), "-"))
    return [
        (
            float(page.attrib["width"]),
            float(page.attrib["height"]),
            [[float(word.attrib[side]) for side in SIDES] for word in page.iter(f"{HTML}word")],
        )
        for page in root.iter(f"{HTML}page")
    ]


def test_every_font_is_in_the_file(pump: Path) -> None:
    rows = poppler("pdffonts", str(pump)).splitlines()[2:]
    assert rows
    assert all(row.split()[-5] == "yes" for row in rows)  # emb sub uni object ID


def test_no_word_lies_outside_its_page(pump: Path) -> None:
    pages = boxes(pump)
    assert len(pages) > 10
    for wide, high, words in pages:
        assert {round(wide), round(high)} == {round(side) for side in SIZES["A4"]}
        for left, top, right, low in words:
            assert left >= 0 and top >= 0 and right <= wide and low <= high


def test_a_chapter_that_runs_on_leaves_no_hole_above_its_heading(pump: Path) -> None:
    """Headings of chapters are the only words of 17 pt on upright pages but the first; 25 mm are 71 pt."""
    found = 0
    for wide, high, words in boxes(pump)[1:]:
        for _, top, _, low in words if wide < high else ():
            if low - top > 17:
                above = max(other[3] for other in words if other[3] < top)
                assert top - above < 71
                found += 1
    assert found > 10


def test_every_wire_part_and_finding_is_on_paper(pump: Path, designs: dict[str, Design]) -> None:
    text = " ".join(poppler("pdftotext", str(pump), "-").split())
    design = designs["pump"]
    for wire in design.wires:
        assert re.search(rf"\b{wire.number}\b", text)
    for name in [part.name for part in design.parts] + [f.subject for f in design.findings]:
        assert name in text
    assert design.machine.digest in text and "Skid pump set" in text
    assert f"1 of {len(boxes(pump))}" in text


def test_contents_and_bookmarks_lead_to_the_chapters(pump: Path) -> None:
    first = poppler("pdftotext", "-l", "1", "-layout", str(pump), "-")
    pages = {int(one) for one in re.findall(r"\.\s\W*(\d+)$", first, re.M)}
    assert len(pages) > 10
    chapter = next(line for line in first.splitlines() if "First power" in line)
    at = int(re.findall(r"\d+", chapter)[-1])
    there = poppler("pdftotext", "-f", str(at), "-l", str(at), str(pump), "-")
    assert "First power" in there
    assert b"/Outlines" in pump.read_bytes()


def test_the_same_design_gives_the_same_bytes_and_no_date(pump: Path, designs: dict[str, Design]) -> None:
    again = paper_pdf(designs["pump"], drawings(designs["pump"]), paper=PAPERS["A4"])
    assert again == pump.read_bytes()
    assert "CreationDate" not in poppler("pdfinfo", str(pump))


def test_letter_is_taken_where_gauges_are_used(designs: dict[str, Design], tmp_path: Path) -> None:
    assert designs["pump"].machine.sizes == "AWG"
    path = tmp_path / "letter.pdf"
    path.write_bytes(paper_pdf(designs["pump"], {}))
    assert {(round(wide), round(high)) for wide, high, _ in boxes(path)} == {(612, 792)}


HOSTILE = '#set page(paper: "a0") *bold* $x^2$ `raw` @label <tag> \\ // [x] "quoted" 100 % #panic("no")'


def test_hostile_names_stay_text(designs: dict[str, Design], tmp_path: Path) -> None:
    path = tmp_path / "hostile.pdf"
    path.write_bytes(paper_pdf(renamed(designs["pump"], HOSTILE), {}, paper="a4"))
    text = " ".join(poppler("pdftotext", str(path), "-").split())
    assert HOSTILE in text
    assert {round(wide) for wide, _, _ in boxes(path)} == {595}


def test_a_machine_whose_metal_no_cable_ties_has_its_book() -> None:
    """The list of grounds then holds headings alone, and a table needs a column all the same."""
    text = SLEDGE.replace("      - sledge > battery -\n", "")
    assert text != SLEDGE
    untied = pipeline.design(read("sledge.yaml", text=text.encode()))
    assert not untied.ground_cables
    assert paper_pdf(untied, drawings(untied)).startswith(b"%PDF-")


def test_a_screen_reader_finds_headings_tables_and_pictures(pump: Path) -> None:
    """PDF/UA-1 (ISO 14289-1): tagged, with a title, a language, header rows and words for each picture."""
    told = poppler("pdfinfo", str(pump))
    assert re.search(r"Tagged:\s+yes", told)
    assert re.search(r"Title:\s+Skid pump set: shop book", told)
    raw = pump.read_bytes()
    assert b"/Lang" in raw and b"pdfuaid:part" in raw
    structure = poppler("pdfinfo", "-struct", str(pump))
    tags = re.findall(r"^\s*(\w+)", structure, re.M)
    assert {"H1", "H2", "Table", "THead", "TH", "TBody", "TD", "Figure", "Link", "TOC"} <= set(tags)
    assert tags.count("Figure") >= 3  # the standard asked of the typesetter refuses one without words for it


@pytest.mark.parametrize("name", ["Лев 压路机 12", "מכבש 🚜"])
def test_letters_that_the_paper_lacks_stand_as_their_numbers(
    name: str, designs: dict[str, Design], tmp_path: Path
) -> None:
    """A letter without a face may not vanish; Unicode: 压 is U+538B, the tractor U+1F69C."""
    path = tmp_path / "letters.pdf"
    design = renamed(designs["pump"], name)
    path.write_bytes(paper_pdf(design, {}, paper="a4"))
    text = " ".join(poppler("pdftotext", str(path), "-").split())
    number = "U+538B" if "压" in name else "U+1F69C"
    assert f"[{number}]" in text
    assert "Letters this paper cannot show" in text
    plain = renamed(designs["pump"], "Łódź Ωμέγα")
    path.write_bytes(paper_pdf(plain, {}, paper="a4"))
    text = " ".join(poppler("pdftotext", str(path), "-").split())
    assert "Łódź Ωμέγα" in text
    assert "cannot show" not in text


def test_plates_fill_their_paper(pump: Path) -> None:
    """A sheet that is drawn for the paper stands on it at full size: its frame is 8 mm from the edge."""
    pages = boxes(pump)
    flat = [(wide, high, words) for wide, high, words in pages if wide > high]
    assert flat
    wide, _, words = flat[0]
    assert max(right for _, _, right, _ in words) > wide - 72 * 40 / 25.4
