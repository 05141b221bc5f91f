"""Half a letter (a surrogate alone), which no file of text can hold: refused with its place."""

from __future__ import annotations

import json
import re
import zipfile
from io import BytesIO

import pytest

from harness.cli.read import tell
from harness.counter.pricelist import read_price_list
from harness.model.problem import SurveyWrong
from harness.survey import read, workbook_of
from harness.survey.catalogue import read_catalogue
from tests.injection.fields import survey

HALF = "half a letter (U+D8"
PLAIN, _ = survey(1, lambda k, slot: "plain")
LINES = PLAIN.split("\n")


def told(wrong: SurveyWrong) -> list[str]:
    said = [str(problem) for problem in wrong.problems]
    for each in said:
        each.encode()
    return [each for each in said if HALF in each]


@pytest.mark.parametrize("shape", ["key", "value", "inside", "list"])
def test_one_in_yaml_is_refused_at_its_line(shape: str) -> None:
    """In each ninth line of a survey in turn, as key, as value and deeper."""
    tried = 0
    for at, line in list(enumerate(LINES))[::9]:
        found = re.match(r"^(\s*(?:- )?)([^:#]+): ?(.*)$", line)
        if not found:
            continue
        indent, key, value = found.groups()
        new = {
            "key": f'{indent}"x\\ud800": {value}',
            "value": f'{indent}{key}: "\\ud801"',
            "inside": f'{indent}{key}: {{"\\ud800": {{"a\\ud800": x}}}}',
            "list": f'{indent}{key}: ["\\ud800", "\\ud801"]',
        }[shape]
        with pytest.raises(SurveyWrong) as caught:
            read("a.yaml", text="\n".join([*LINES[:at], new, *LINES[at + 1 :]]))
        assert any(each.startswith(f"a.yaml:{at + 1}:") for each in told(caught.value)), new
        tried += 1
    assert tried > 4


def test_one_in_a_cell_is_refused_at_the_cell() -> None:
    """ISO/IEC 29500-1, 22.4.2.4: a cell writes what XML cannot hold as _xHHHH_."""
    with zipfile.ZipFile(BytesIO(workbook_of(PLAIN, "a.yaml"))) as book:
        parts = {name: book.read(name) for name in book.namelist()}
    cells = [
        (name, each.encode())
        for name, content in parts.items()
        if name.endswith(".xml")
        for each in sorted(
            set(re.findall(r">(plain[^<]*|box|frame|lamp|name|yard|is|at)<", content.decode()))
        )
    ]
    assert len(cells) > 5
    seen = 0
    for name, text in cells[::4]:
        raw = BytesIO()
        with zipfile.ZipFile(raw, "w") as book:
            for each, content in parts.items():
                book.writestr(
                    each,
                    content.replace(b">" + text + b"<", b">" + text + b"_xD800_<")
                    if each == name
                    else content,
                )
        try:
            read("a.xlsx", text=raw.getvalue())
        except SurveyWrong as wrong:
            for problem in wrong.problems:
                str(problem).encode()
            seen += any("!" in each for each in told(wrong))
    assert seen > 1


def test_one_in_a_catalogue_is_refused_and_one_in_a_price_list_left_out() -> None:
    with pytest.raises(SurveyWrong) as caught:
        read_catalogue('packs:\n  - {of: ties, amount: 25, name: "a\\ud800"}\n', "own.yaml")
    assert told(caught.value)[0].startswith("own.yaml:2:")
    text = "Part number,Description,Unit,Price\nA1,red\ud800 cable,m,1.20\n"
    try:
        found = read_price_list(text.encode("utf-8", "surrogatepass"), "a.csv")
    except SurveyWrong as wrong:  # such bytes are no UTF-8 (RFC 3629, section 3)
        assert all(str(problem).encode() for problem in wrong.problems)
    else:
        assert all(each.description.encode() for each in found.offers)


def test_one_in_the_name_of_a_file_is_told_by_its_number(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SurveyWrong) as caught:
        read("\ud800.yaml", text="machine: [\n")
    tell(caught.value.problems, as_json=True)
    tell(caught.value.problems, as_json=False)
    told = capsys.readouterr()
    assert json.loads(told.out)["problems"][0]["file"] == "\ud800.yaml" and told.out.isascii()
    assert told.err.startswith("[U+D800].yaml:")
