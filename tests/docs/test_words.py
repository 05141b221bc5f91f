"""The guide tells every word that screens, files and keys use, every key, and every table."""

from __future__ import annotations

import re

import pytest
from openpyxl import load_workbook

from harness.rules import register
from harness.survey.schema import SECTION_FORMS, SurveyForm, keys_of
from harness.tables import CERTAINTIES, names
from tests.docs.pages import ROOT
from tests.docs.words_table import words

GUIDE = ROOT / "harness" / "guide"
SECTIONS = [field.alias or name for name, field in SurveyForm.model_fields.items()]
NO_TERMS = {"notes"}  # everybody's word
SHEETS = {  # what the sheets of harness.xlsx that are no term by themselves are about
    "By branch": "branch", "Assembly": "trunk", "Buying": "basket", "Tools": "die",
    "Hook-up by part": "hook-up", "Loads": "settles at",
}  # fmt: skip
OF_THE_TRADE = (
    "AWG", "accepted", "alternate", "ampacity", "as built", "barrel", "boot", "chassis lead", "crimp",
    "current tracks", "cut length", "drop", "ferrule", "fusible link", "grommet", "inrush", "isolator", "kit",
    "live side", "offcut", "price break", "pull test", "quote", "reading", "record", "relay", "return",
    "revision", "rule set", "selectivity", "slack", "spool", "strap", "substitution", "tracer",
    "wire number", "yard",
)  # fmt: skip


def singular(word: str) -> str:
    return re.sub(r"ies$", "y", word) if word.endswith("ies") else word.removesuffix("s")


def has(word: str) -> bool:
    known = {each.casefold() for each in words()}
    return word.casefold() in known or singular(word.casefold()) in known


def columns(page: str) -> set[str]:
    """The first column of every table of a page."""
    lines = (GUIDE / page).read_text(encoding="utf-8").splitlines()
    return {line.split("|")[1].strip(" `") for line in lines if line.startswith("| ")}


@pytest.mark.parametrize("word", [*OF_THE_TRADE, *(each for each in SECTIONS if each not in NO_TERMS)])
def test_a_word_of_the_trade_is_told(word: str) -> None:
    assert has(word)


def test_what_every_sheet_is_called_is_told() -> None:
    for sheet in load_workbook(ROOT / "exports" / "pump" / "harness.xlsx").sheetnames:
        assert has(SHEETS.get(sheet, sheet)), sheet


def test_severities_are_told() -> None:
    assert all(has(severity) for _, severity, _, _, _ in register())


def test_a_word_that_is_not_there_would_be_missed() -> None:
    assert not has("gizmo")


def test_no_word_is_told_by_itself_alone() -> None:
    for word, meaning in words().items():
        assert len(meaning.split()) > 3
        assert "|" not in meaning, word


def test_every_key_of_every_section_is_in_the_reference() -> None:
    text = (GUIDE / "keys.md").read_text(encoding="utf-8")
    tables = dict(re.findall(r"<!-- table: keys of ([\w ]+) -->\n((?:\|.*\n)+)", text))
    assert set(tables) == set(SECTION_FORMS)
    for section, form in SECTION_FORMS.items():
        for key in keys_of(form):
            assert f"\n| `{key}` | " in tables[section], f"{section}: {key}"


def test_every_table_is_in_the_guide_with_a_certainty_that_is_told() -> None:
    shown = columns("tables.md")
    assert set(names()) <= shown
    assert set(CERTAINTIES) <= shown
