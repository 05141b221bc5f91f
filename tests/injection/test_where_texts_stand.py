"""Every text that a survey takes stands in what is made of it: data, workbook, page and paper."""

from __future__ import annotations

import json
import subprocess
from io import BytesIO
from pathlib import Path

import pytest
from click.testing import CliRunner
from openpyxl import load_workbook
from playwright.sync_api import Browser

from harness.book.data import design_json
from harness.book.shop.page import page_html
from harness.book.shop.paper import paper_pdf
from harness.book.workbook import workbook_bytes
from harness.cli import main
from harness.model.design import Design
from harness.pipeline import design
from harness.survey import read
from tests.injection.chosen import squeezed
from tests.injection.fields import Slot, own_fields, survey
from tests.injection.pages import opened

SPARE: Slot = ("machine", "spare")  # a remark, told of no single lamp
# What is told of wires that are replaced: `harness old-wires` and the survey's own sheets.
OLD: set[Slot] = {("old wires", "tag"), ("old wires", "why"), ("old wires", "photo")}
TEXTS: list[Slot] = [*own_fields(), SPARE]
LINES = ("notes", ""), ("parts", "notes"), SPARE  # take several lines, and keep them


def word(slot: Slot) -> str:
    """A text of its own for every field, in two lines where it may have them."""
    first = f"mark{TEXTS.index(slot)}of"
    return f"{first}\n{slot[0].replace(' ', '')}" if slot in LINES else f"{first} {slot[0]}"


@pytest.fixture(scope="module")
def text() -> str:
    found, _ = survey(1, lambda k, slot: word(slot))
    return found.replace("machine:\n", f"machine:\n  spare: {json.dumps(word(SPARE))}\n", 1)


@pytest.fixture(scope="module")
def made(text: str) -> Design:
    return design(read("a.yaml", text=text))


def lost(seen: str) -> list[Slot]:
    """Fields whose text is not to be found."""
    flat = squeezed(seen)
    return [slot for slot in TEXTS if slot not in OLD and squeezed(word(slot)) not in flat]


def test_data_and_workbook_hold_every_text(made: Design) -> None:
    data = json.loads(design_json(made))
    assert lost(json.dumps(data, ensure_ascii=False).replace("\\n", "")) == []
    book = load_workbook(BytesIO(workbook_bytes(made)), read_only=True)
    cells = [str(cell.value) for sheet in book for row in sheet.iter_rows() for cell in row]
    assert lost(" ".join(cells)) == []
    first = [str(cell.value) for row in book.worksheets[0].iter_rows() for cell in row]
    assert word(("notes", "")) in first and word(SPARE) in first


def test_the_page_shows_every_text_and_keeps_its_lines(
    made: Design, browser: Browser, tmp_path: Path
) -> None:
    (tmp_path / "book.html").write_bytes(page_html(made, {}))
    with opened(browser, tmp_path / "book.html") as tab:
        assert lost(str(tab.locator("body").evaluate("body => body.textContent"))) == []
        for slot in LINES:
            (shown,) = tab.locator("dd, p.notes").filter(has_text=word(slot).partition("\n")[0]).all()
            assert shown.evaluate("one => getComputedStyle(one).whiteSpace") == "pre-line"
            assert str(shown.evaluate("one => one.textContent")) == word(slot)


def test_the_paper_shows_every_text_and_keeps_its_lines(made: Design) -> None:
    words = ["pdftotext", "-layout", "-enc", "UTF-8", "-", "-"]
    done = subprocess.run(words, input=paper_pdf(made, {}), capture_output=True, check=True)
    seen = done.stdout.decode()
    lines = [" ".join(line.split()) for line in seen.splitlines()]
    for slot in LINES:
        first, second = word(slot).split("\n")
        at = next(at for at, line in enumerate(lines) if line.endswith(first))
        assert second in [line for line in lines[at + 1 :] if line][:1], slot
    for slot in LINES:
        seen = seen.replace(word(slot).split("\n")[1], "", 1)
    assert [slot for slot in lost(seen) if slot not in LINES] == []


def test_what_is_told_of_old_wires_is_told(text: str, tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(text, encoding="utf-8")
    done = CliRunner().invoke(main, ["old-wires", str(tmp_path / "a.yaml")])
    assert done.exit_code == 0, done.output
    assert [slot for slot in OLD if squeezed(word(slot)) not in squeezed(done.output)] == []
