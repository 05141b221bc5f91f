"""Files that are no workbook, or one made to do harm: one clear problem, quickly, and nothing is unpacked."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from harness.model.problem import SurveyWrong
from harness.survey import read
from harness.survey.sheets.package import MOST_CELLS, MOST_PARTS, MOST_XML_BYTES
from tests.survey.sheets.test_sheets_reading import alike, made, problems
from tests.survey.texts import TROLLEY

FEW = settings(max_examples=30, suppress_health_check=[HealthCheck.too_slow], derandomize=True)
Change = Callable[[bytes], bytes]


def packed(changes: dict[str, bytes | Change]) -> bytes:
    """The workbook of the trolley with some parts changed or added."""
    source = zipfile.ZipFile(io.BytesIO(made(TROLLEY)))
    parts: dict[str, bytes] = {name: source.read(name) for name in source.namelist()}
    for name, change in changes.items():
        parts[name] = change(parts[name]) if callable(change) else change
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as book:
        for name, content in parts.items():
            book.writestr(name, content)
    return target.getvalue()


def part_of(title: str) -> str:
    """The part a sheet lies in: they are numbered in the order of the book."""
    book = zipfile.ZipFile(io.BytesIO(made(TROLLEY))).read("xl/workbook.xml").decode()
    names = re.findall(r'<sheet [^>]*name="([^"]+)"', book)
    return f"xl/worksheets/sheet{names.index(title) + 1}.xml"


def inserted(words: bytes, before: bytes) -> Change:
    return lambda content: content.replace(before, words + before, 1)


_TEXTS = b"""<Relationship Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/\
sharedStrings" Target="sharedStrings.xml" Id="rIdS"/>"""


def with_texts(content: bytes) -> dict[str, bytes | Change]:
    """A table of shared texts, which our own workbooks do without."""
    rels = inserted(_TEXTS, b"</Relationships>")
    return {"xl/sharedStrings.xml": content, "xl/_rels/workbook.xml.rels": rels}


def as_utf16(content: bytes) -> bytes:
    return content.decode().replace("<workbook", ENTITIES.decode() + "<workbook", 1).encode("utf-16")


def too_many_cells(content: bytes) -> bytes:
    return content.replace(
        b"<sheetData>", b"<sheetData><row r='9'>" + b"<c/>" * (MOST_CELLS + 1) + b"</row>", 1
    )


def huge_dimension(content: bytes) -> bytes:
    return re.sub(rb'<dimension ref="[^"]*"', b'<dimension ref="A1:XFD1048576"', content)


def blank_far_below(content: bytes) -> bytes:
    return content.replace(b"</sheetData>", b'<row r="1048576"><c r="A1048576" s="1"/></row></sheetData>')


ENTITIES = b'<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;&a;">]>'
HARMFUL: list[tuple[dict[str, bytes | Change], str]] = [
    ({"xl/vbaProject.bin": b"x"}, "holds macros"),
    (with_texts(ENTITIES + b"<sst><si><t>&b;</t></si></sst>"), "document type definition"),
    (
        {"xl/workbook.xml": inserted(b'<!DOCTYPE x SYSTEM "file:///etc/passwd">', b"<workbook")},
        "document type definition",
    ),
    ({"xl/workbook.xml": as_utf16}, "document type definition"),
    (with_texts(b"<sst>" + b" " * (MOST_XML_BYTES + 1) + b"</sst>"), "unpacks to more than"),
    ({"xl/workbook.xml": b"not xml"}, "damaged"),
    ({"xl/workbook.xml": lambda content: content[:-40]}, "damaged"),
    ({"xl/workbook.xml": b"<?xml version='1.0' encoding='none'?><workbook/>"}, "no workbook is written in"),
    ({"mimetype": b"application/vnd.oasis.opendocument.spreadsheet"}, "OpenDocument"),
    ({part_of("Notes"): too_many_cells}, "cells"),
]


@pytest.mark.parametrize(("changes", "what"), HARMFUL)
def test_a_harmful_workbook_is_refused(changes: dict[str, bytes | Change], what: str) -> None:
    (found,) = problems(packed(changes))
    assert what in found.what
    assert str(found).startswith("survey.xlsx: ")
    assert found.fix


def test_one_long_text_used_without_end_is_refused() -> None:
    text = b"<si><t>" + b"x" * 32_000 + b"</t></si>"
    cells = b"".join(b'<row><c t="s"><v>0</v></c></row>' for _ in range(1000))
    sheet = b"<worksheet><sheetData>" + cells + b"</sheetData></worksheet>"
    texts = with_texts(b"<sst>" + text + b"</sst>")
    (found,) = problems(packed({**texts, part_of("Notes"): sheet}))
    assert "more text than any survey" in found.what


def test_many_parts_are_refused_before_they_are_listed() -> None:
    (found,) = problems(packed({f"x/{number}": b"" for number in range(MOST_PARTS + 1)}))
    assert "packed in a way no workbook is" in found.what


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 512, "old kind (.xls), or one locked with a password"),
        (TROLLEY.encode(), "this is not a workbook"),
        (b"", "this is not a workbook"),
        (b"PK\x03\x04", "damaged"),
    ],
)
def test_what_is_no_workbook_is_told(data: bytes, what: str) -> None:
    (found,) = problems(data)
    assert what in found.what


def test_a_packed_file_that_is_something_else() -> None:
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w") as book:
        book.writestr("word/document.xml", "<x/>")
    (found,) = problems(target.getvalue())
    assert "not a workbook" in found.what


@pytest.mark.parametrize(
    "changes",
    [
        {part_of("Parts"): huge_dimension},
        {"xl/externalLinks/externalLink1.xml": b"<externalLink/>"},
        {"xl/media/photo.jpg": b"\xff\xd8" * 2_000_000},
        {part_of("Parts"): blank_far_below},
    ],
    ids=["dimension", "link outside", "photo", "blank far below"],
)  # fmt: skip
def test_what_does_no_harm_is_read(changes: dict[str, bytes | Change]) -> None:
    found = read("a.xlsx", text=packed(changes))
    assert alike(found) == alike(read("a.yaml", text=TROLLEY))


@FEW
@given(st.floats(0, 1), st.binary(min_size=1, max_size=30))
def test_a_workbook_with_any_damage_is_read_or_refused(where: float, bits: bytes) -> None:
    data = made(TROLLEY)
    at = int(where * len(data))
    try:
        read("survey.xlsx", text=data[:at] + bits + data[at + len(bits) :])
    except SurveyWrong as wrong:
        assert wrong.problems
        assert all(str(each).startswith("survey.xlsx") for each in wrong.problems)


PARTS = ["xl/workbook.xml", "xl/styles.xml", part_of("Runs"), "xl/_rels/workbook.xml.rels", "_rels/.rels"]
BITS = [b"", b'"', b"<", b"/>", b' t="s"', b' s="99999"', b"9" * 30, b"-1", b"nan"]


@FEW
@given(st.data())
def test_a_part_with_any_damage_is_read_or_refused(data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(PARTS))
    bits = data.draw(st.sampled_from(BITS))
    where = data.draw(st.floats(0, 1))

    def change(content: bytes) -> bytes:
        at = int(where * len(content))
        return content[:at] + bits + content[at + data.draw(st.integers(0, 12)) :]

    try:
        read("survey.xlsx", text=packed({name: change}))
    except SurveyWrong as wrong:
        assert wrong.problems
