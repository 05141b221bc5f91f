"""Hostile texts in a shop's own catalogue: refused at their line, or the same text in what is built."""

from __future__ import annotations

import json
import re
import subprocess
import zipfile
from io import BytesIO
from pathlib import Path

import pytest
from openpyxl import load_workbook
from playwright.sync_api import Browser

from harness.book.shop.paper import paper_pdf
from harness.making.outputs import OUTPUTS, output
from harness.model.design import Design
from harness.model.problem import SurveyWrong
from harness.pipeline import design
from harness.signs import unseen
from harness.survey import read
from harness.survey.catalogue import read_catalogue
from harness.survey.itemvalues import LONGEST_NAME
from harness.survey.located import canonical
from tests.docs.pages import ROOT
from tests.injection.chosen import squeezed
from tests.injection.fields import quoted
from tests.injection.pages import Page, opened
from tests.injection.words import WORDS

EVERY = """split tube:
  - {{inside: 20 mm, outside: 25 mm, name: {0}}}
braided sleeve:
  - {{from: 15 mm, to: 38 mm, name: {0}}}
coupler contacts:
  - {{size: {0}, from: 10 AWG, to: 8 AWG, current: 60 A}}
packs:
  - {{of: ties, amount: 25, name: {0}, with: {0}}}
"""
# The worst of each sort, by what is sold in packs: each stands in the sheet Buying once.
WORST = {
    "terminals": "<script>window.hurt=1</script>", "splices": '" autofocus onfocus="window.hurt=6',
    "fuses": "=cmd|' |C calc'!A0", "labels": '#read["x.txt"] #eval', "ties": "{{ 7*7 }} {% x %}",
    "heat-shrink": "[red]rich[/red] [link=x]y", "grommets": "\\N \\G \\E",
}  # fmt: skip


def test_a_text_is_refused_at_its_lines_or_taken() -> None:
    taken = []
    for word in WORDS:
        try:
            found = read_catalogue(EVERY.format(quoted(word)), "own.yaml")
        except SurveyWrong as wrong:
            for problem in wrong.problems:
                assert problem.where.line > 0 and unseen(str(problem)) is None, ascii(str(problem))
            assert unseen(word) is not None or len(word) > LONGEST_NAME
            continue
        assert unseen(word) is None
        taken.append(word)
        said = canonical(" ".join(word.split()))
        assert [item.kind for item in found.own if said not in canonical(item.words)] == [], (said, found.own)
    assert len(taken) > 70


@pytest.fixture(scope="module")
def made() -> Design:
    packs = [
        f"  - {{of: {group}, amount: {'1 m' if group == 'heat-shrink' else 10}, name: {quoted(word)}}}"
        for group, word in WORST.items()
    ]
    own = read_catalogue("\n".join(["packs:", *packs]), "\x1b[31m<b>.yaml")
    file = ROOT / "samples" / "pump.yaml"
    return design(read("pump.yaml", text=file.read_bytes(), catalogue=own))


@pytest.fixture(scope="module")
def built(made: Design) -> dict[str, bytes]:
    found: dict[str, bytes] = {}
    for name in OUTPUTS:
        if not name.endswith(".pdf"):
            found[name] = output(name, made, found)
    return found


def test_data_and_workbook_hold_them_as_texts(built: dict[str, bytes]) -> None:
    bought = json.loads(built["design.json"])["buying"]
    sold = {lot["unit"] for line in bought for lot in line["lots"]}
    assert [word for word in WORST.values() if not any(word in each for each in sold)] == []
    seen = []
    with zipfile.ZipFile(BytesIO(built["harness.xlsx"])) as book:
        assert not [name for name in book.namelist() if b"<f>" in book.read(name)]
    for sheet in load_workbook(BytesIO(built["harness.xlsx"]), read_only=True):
        seen += [str(cell.value) for row in sheet.iter_rows() for cell in row if cell.data_type == "s"]
    assert [word for word in WORST.values() if not any(word in each for each in seen)] == []
    assert not [each for each in seen if unseen(each) is not None]


def test_the_page_runs_nothing(built: dict[str, bytes], browser: Browser, tmp_path: Path) -> None:
    page = Page()
    page.feed(built["book.html"].decode())
    page.holds_nothing_that_acts()
    (tmp_path / "book.html").write_bytes(built["book.html"])
    with opened(browser, tmp_path / "book.html"):
        pass


def test_the_paper_shows_them_and_runs_nothing(made: Design) -> None:
    data = paper_pdf(made, {})
    done = subprocess.run(
        ["pdftotext", "-enc", "UTF-8", "-", "-"], input=data, capture_output=True, check=True
    )
    seen = re.sub("[\u00ad\u2010-]", "", squeezed(done.stdout.decode()))
    assert [word for word in WORST.values() if squeezed(word).replace("-", "") not in seen] == []
