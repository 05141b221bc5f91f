"""Signs that nobody sees are told by name at their place by every reader; names that look alike, as two."""

from __future__ import annotations

import sys
import unicodedata
from pathlib import Path
from typing import SupportsIndex

import pytest
from click.testing import CliRunner

from harness.cli import main
from harness.counter.pricelist import read_price_list
from harness.model.problem import Problem, SurveyWrong
from harness.signs import alike, shown, sign_name, unseen, without
from harness.survey import read
from harness.survey.catalogue import read_catalogue
from harness.survey.csvtext import table_rows

# Unicode's property Default_Ignorable_Code_Point (DerivedCoreProperties.txt, 14.0, read in the data of a
# program that holds it), typed by hand.
IGNORABLE = (
    (0xAD, 0xAD), (0x34F, 0x34F), (0x61C, 0x61C), (0x115F, 0x1160), (0x17B4, 0x17B5), (0x180B, 0x180F),
    (0x200B, 0x200F), (0x202A, 0x202E), (0x2060, 0x206F), (0x3164, 0x3164), (0xFE00, 0xFE0F),
    (0xFEFF, 0xFEFF), (0xFFA0, 0xFFA0), (0xFFF0, 0xFFF8), (0x1BCA0, 0x1BCA3), (0x1D173, 0x1D17A),
    (0xE0000, 0xE0FFF),
)  # fmt: skip

# Pairs that confusables.txt of Unicode Technical Standard #39 (18.0) maps on one another, and such as its
# NFKC makes one; read in a program's copy.
PAIRS = (
    ("lamp", "l\u0430mp"), ("key", "k\u0435y"), ("pump", "\u0440um\u0440"), ("KEY", "\u039a\u0415\u03a5"),
    ("horn", "h\u043ern"), ("stop", "st\u03bfp"), ("B7", "\uff22\uff17"), ("fine", "\ufb01ne"),
    ("left lamp", "Left  Lamp"), ("e\u0301clair", "\u00e9clair"), ("F-1", "F\u20131"),
    ("lamp's", "lamp\u2019s"), ("می\u200cخواهم", "میخواهم"),
    ("jaw", "\u0458\u0430w"), ("six", "\u0455i\u0445"),
)  # fmt: skip


def survey(one: str = "left lamp", other: str = "right lamp", remark: str = "") -> str:
    return f"""machine: {{name: Trolley, voltage: 12 V, chassis post: negative}}
zones: {{yard: {{ambient: 40 °C}}}}
runs:
  - {{from: box, to: dash, length: 1 m, zone: yard}}
parts:
  battery: {{is: battery, at: box, capacity: 70 Ah, cranking: 540 A}}
  ground: {{is: ground point, at: dash, on: frame}}
  box ground: {{is: ground point, at: box, on: frame}}
  F1: {{is: fuse, at: box}}
  "{one}": {{is: lamp, at: dash, power: 20 W}}  # {remark}
  "{other}": {{is: lamp, at: dash, power: 20 W}}
bodies: {{frame: }}
circuits:
  Lamps:
    paths:
      - "battery + > F1 > {one} > frame"
      - "F1 > {other} > frame"
      - frame > battery -
"""


def problems(text: str) -> list[str]:
    with pytest.raises(SurveyWrong) as caught:
        read("a.yaml", text=text)
    return [str(problem).replace("\n", " ") for problem in caught.value.problems]


def test_every_sign_that_shows_nothing_is_seen_by_the_rule() -> None:
    """All of Unicode, sign by sign, between two letters of ours."""
    ignorable = {code for first, last in IGNORABLE for code in range(first, last + 1)}
    wrong = []
    for code in range(sys.maxunicode + 1):
        letter = chr(code)
        control = unicodedata.category(letter) in ("Cc", "Cs", "Zl", "Zp") and letter not in "\t\n"
        nothing = code & 0xFFFE == 0xFFFE or 0xFDD0 <= code <= 0xFDEF
        if (unseen(f"a{letter}b") is not None) != (code in ignorable or control or nothing):
            wrong.append(hex(code))
    assert wrong == []


@pytest.mark.parametrize(
    "text",
    [
        "👩\u200d🔧 🚜 🇬🇧",
        "❤\ufe0f\u200d🔥",
        "1\ufe0f\u20e3",
        "می\u200cخواهم",
        "क\u094d\u200dष",
        "☎\ufe0e",
        "two\n\tlines",
    ],
)
def test_joiners_and_selectors_stay_where_a_script_or_a_picture_needs_them(text: str) -> None:
    assert unseen(text) is None
    assert shown(text) == text


def test_a_selector_of_nothing_is_no_key() -> None:
    assert unseen("\ufe0f\u20e3") == 0


class Counted(str):
    """A text that counts the letters which are taken out of it."""

    taken = 0

    def __getitem__(self, key: SupportsIndex | slice) -> str:
        found = super().__getitem__(key)
        Counted.taken += len(found)
        return found


def test_a_text_with_many_joiners_is_looked_at_once() -> None:
    """Two million letters of Hindi in a remark took a minute: each joiner looked at all before it."""
    text = Counted("क\u094d\u200dष" * 2_000)
    assert unseen(text) is None
    for work in (unseen, shown, without):
        Counted.taken = 0
        work(text)
        assert 0 < Counted.taken < 5 * len(text), work


def test_signs_are_told_by_their_names_in_unicode() -> None:
    assert sign_name("\u202e") == "RIGHT-TO-LEFT OVERRIDE (U+202E)"
    for letter in "\x00\x07\x08\x0b\x0c\r\x1b\x7f\x85":
        assert unicodedata.lookup(sign_name(letter).partition(" (")[0]) == letter
    assert shown("a\u200bb\x1b") == "a[U+200B]b[U+001B]"


@pytest.mark.parametrize(("one", "other"), PAIRS)
def test_names_that_look_alike_are_told_with_both_lines(one: str, other: str) -> None:
    assert alike(one) == alike(other)
    if unicodedata.normalize("NFC", one) == unicodedata.normalize("NFC", other):
        assert any("stands twice: here and at line 10" in each for each in problems(survey(one, other)))
        return
    (told,) = (each for each in problems(survey(one, other)) if "looks like" in each)
    assert told.startswith("a.yaml:11:3: part or body")
    assert "line 10" in told


@pytest.mark.parametrize(("one", "other"), [("lamp 1", "lamp 2"), ("F2", "F22"), ("l1", "I1"), ("Ω", "O")])
def test_names_that_can_be_told_apart_are_two(one: str, other: str) -> None:
    assert alike(one) != alike(other)
    assert read("a.yaml", text=survey(one, other))


def test_the_letter_that_makes_two_names_of_one_is_named() -> None:
    said = problems(survey("lamp", "l\u0430mp"))
    assert any("CYRILLIC SMALL LETTER A (U+0430)" in each for each in said)
    text = survey().replace("F1 > right lamp", "F1 > right l\u0430mp")
    assert any("did you mean 'right lamp'? What differs is CYRILLIC" in each for each in problems(text))


@pytest.mark.parametrize(
    "sign", ["\u200b", "\u00ad", "\u202e", "\u2066", "\u2060", "\U000e0041", "\u200f", "\u3164"]
)
def test_readers_of_text_tell_the_sign_with_its_line_and_column(sign: str) -> None:
    name = sign_name(sign)
    (told,) = (each for each in problems(survey("le" + sign + "ft")) if ":10:" in each and name in each)
    assert told.startswith("a.yaml:10:6: the text holds a sign that nobody sees: " + name)
    (told,) = problems(survey(remark="turned " + sign))
    assert told.startswith("a.yaml:10:") and name in told
    with pytest.raises(SurveyWrong) as caught:
        read_catalogue(f"cables:\n  - item: 'a{sign}b'\n".encode(), "own.yaml")
    assert any(str(each).startswith("own.yaml:2:") and name in str(each) for each in caught.value.problems)


def test_a_workbook_tells_the_sign_with_its_cell(tmp_path: Path) -> None:
    from openpyxl import load_workbook

    yaml = tmp_path / "a.yaml"
    yaml.write_text(survey(), encoding="utf-8")
    done = CliRunner().invoke(main, ["convert", str(yaml), str(tmp_path / "a.xlsx")])
    assert done.exit_code == 0, done.output
    book = load_workbook(tmp_path / "a.xlsx")
    for row in book["Parts"].iter_rows():
        for cell in row:
            if cell.value == "right lamp":
                cell.value, at = "right\u200b lamp", cell.coordinate
    book.save(tmp_path / "a.xlsx")
    with pytest.raises(SurveyWrong) as caught:
        read(tmp_path / "a.xlsx")
    said = [str(each) for each in caught.value.problems]
    assert any(
        f"Parts!{at}: the text holds a sign that nobody sees: ZERO WIDTH SPACE (U+200B)" in each
        for each in said
    )


HEADS = "Supplier: {}\nPart number,Description,Unit,Price\n"


def test_a_price_list_is_read_without_them_and_says_so() -> None:
    """Whoever reads a list has not written it: the signs are left out, and a note tells where."""
    text = HEADS.format("Yard\u200b One") + "A\u00ad1,\u202ered cable,m,1.20\nB2,blue,m,1.30\n"
    found = read_price_list(text.encode(), "a.csv")
    assert found.supplier == "Yard One"
    assert [(offer.part_number, offer.description) for offer in found.offers] == [
        ("A1", "red cable"),
        ("B2", "blue"),
    ]
    (note,) = (note for note in found.notes if "nobody sees" in note)
    assert "ZERO WIDTH SPACE (U+200B) at line 1" in note and "SOFT HYPHEN (U+00AD) at line 3" in note


def test_part_numbers_and_suppliers_that_look_alike_are_told(tmp_path: Path) -> None:
    text = HEADS.format("Yard") + "A1,red,m,1.20\n\u04101,blue,m,1.30\na1,green,m,1.40\n"
    with pytest.raises(SurveyWrong) as caught:
        read_price_list(text.encode(), "a.csv")
    (told,) = map(str, caught.value.problems)
    assert told.startswith("a.csv:4:1: part number '\u04101' looks like 'A1' at a.csv:3:1")
    assert "CYRILLIC CAPITAL LETTER A (U+0410)" in told
    for name, supplier in (("a.csv", "Yard"), ("b.csv", "Y\u0430rd ")):
        (tmp_path / name).write_text(HEADS.format(supplier) + "A1,red,m,1.20\n", encoding="utf-8")
    done = CliRunner().invoke(main, ["prices", "check", str(tmp_path / "a.csv"), str(tmp_path / "b.csv")])
    assert done.exit_code == 2
    assert "looks like 'Yard'" in done.output and "CYRILLIC SMALL LETTER A (U+0430)" in done.output


def test_lists_a_person_typed_are_refused_at_the_cell() -> None:
    found: list[Problem] = []
    text, heads = "one,two\nx,a\u200bb\n", ("one", "two")
    rows = list(table_rows(text, "a.csv", found, columns=heads, needed=(), what="x", example="x"))
    assert [str(each).partition("\n")[0] for each in found] == [
        "a.csv:2:3: the cell holds a sign that nobody sees: ZERO WIDTH SPACE (U+200B)"
    ]
    assert len(rows) == 1
