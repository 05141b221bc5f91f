"""Lists of offcuts: what a person may write, every mistake with its spot, and text that means harm."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harness.cli.shelf import known
from harness.model.problem import SurveyWrong
from harness.model.stock import Offcut
from harness.survey.offcuts import Known, read_offcuts

KNOWN = known()
HEAD = "item,size,colour,length,count\n"
TUBE = "heat-shrink, adhesive-lined, 3:1, 9/3 mm"


def offcuts(text: str) -> tuple[Offcut, ...]:
    return read_offcuts(text, "shelf.csv", KNOWN)


def problems(text: str) -> list[str]:
    with pytest.raises(SurveyWrong) as raised:
        offcuts(text)
    return [str(problem) for problem in raised.value.problems]


@pytest.mark.parametrize(
    ("row", "offcut"),
    [
        ("GXL,14 AWG,RD,2.3 m", Offcut("wire, GXL", "14 AWG", "RD", 2.3)),
        ("gxl,14,red,7 ft", Offcut("wire, GXL", "14 AWG", "RD", 7 * 0.3048)),  # a foot is 0.3048 m exactly
        ('"wire, GXL",2/0,bk,"5\' 3"""', Offcut("wire, GXL", "2/0 AWG", "BK", 63 * 0.0254)),
        ("class C,2.5 mm2,BU/WH,230 cm", Offcut("wire, class C", "2.5 mm2", "BU/WH", 2.3)),
        (
            "GXL fine-stranded,10,blue/white,18 in",
            Offcut("wire, GXL fine-stranded", "10 AWG", "BU/WH", 0.4572),
        ),
        (f'"{TUBE}",,,0.5 m', Offcut(TUBE, "", "", 0.5)),
    ],
)
def test_an_offcut_is_written_as_people_write(row: str, offcut: Offcut) -> None:
    (found,) = offcuts(f"{HEAD}{row}\n")
    assert (found.item, found.size, found.colour) == (offcut.item, offcut.size, offcut.colour)
    assert found.length_m == pytest.approx(offcut.length_m, abs=1e-9)


def test_a_count_stands_for_as_many_rows() -> None:
    assert offcuts(HEAD + "GXL,14,RD,2 m,3\n") == offcuts(HEAD + "GXL,14,RD,2 m\n" * 3)


@pytest.mark.parametrize("sign", [";", "\t"])
def test_other_signs_may_part_the_cells(sign: str) -> None:
    text = HEAD + "GXL,14 AWG,RD,2.5 m,2\n"
    assert offcuts(text.replace(",", sign).replace("2.5", "2,5")) == offcuts(text)


def test_windows_line_ends_blank_rows_and_a_byte_order_mark_are_nothing() -> None:
    text = HEAD + "GXL,14,RD,2 m,\n"
    assert offcuts("\ufeff" + text.replace("\n", "\r\n") + ",,,,\r\n\r\n") == offcuts(text)


@pytest.mark.parametrize(
    ("row", "at", "what", "fix"),
    [
        ("GXLL,14,RD,1 m", "2:1", "'GXLL' is nothing that is cut", "did you mean 'GXL'?"),
        ("rope,14,RD,1 m", "2:1", "'rope' is nothing that is cut", "cable is GPT"),
        (",14,RD,1 m", "2:1", "the item is missing", "cable is GPT"),
        ("GXL,13x,RD,1 m", "2:5", "'13x'", "14 AWG"),
        ("GXL,15 AWG,RD,1 m", "2:5", "15 AWG is no size of GXL", "14 AWG"),
        ("GXL,,RD,1 m", "2:5", "the size of this GXL is missing", "AWG"),
        ("GXL,14,REDD,1 m", "2:8", "'REDD' is not a wire colour", "RD"),
        ("GXL,14,,1 m", "2:8", "the colour of this wire is missing", "RD"),
        ("GXL,14,RD,1.2", "2:11", "'1.2' has no unit", "2.3 m"),
        ("GXL,14,RD,", "2:11", "is missing", "2.3 m"),
        ("GXL,14,RD,0 m", "2:11", "is zero", "2.3 m"),
        ("GXL,14,RD,-1 m", "2:11", "is negative", "2.3 m"),
        ("GXL,14,RD,9 km", "2:11", "more than 1000 m", "2.3 m"),
        ("GXL,14,RD,2 kg", "2:11", "'kg' in '2 kg' is not a unit", "2.3 m"),
        ("GXL,14,RD,1e999 m", "2:11", "1e999", "2.3 m"),
        ("GXL,14,RD,1 m,0", "2:15", "'0' is no count", "1 to 1000"),
        ("GXL,14,RD,1 m,99999999", "2:15", "'99999999' is no count", "1 to 1000"),
        ("GXL,14,RD,1 m,1,x", "2:1", "6 cells where the header has 5", "quotes"),
        (f'"{TUBE}",14,,1 m', "2:44", "a size for", "leave this cell empty"),
        ("heat-shrink thin wall,,,1 m", "2:1", "is nothing that is cut", "'heat-shrink, thin wall"),
    ],
)  # fmt: skip
def test_a_mistake_is_named_with_its_spot(row: str, at: str, what: str, fix: str) -> None:
    (found,) = problems(f"{HEAD}{row}\n")
    assert found.startswith(f"shelf.csv:{at}: ")
    assert what in found
    assert fix in found.split("fix: ")[1]


def test_all_mistakes_come_at_once_in_the_order_they_stand() -> None:
    found = problems(HEAD + "GXX,14,RD,1 m\nGXL,14,RD,1 m\nGXL,14,pinkish,one metre\n")
    assert [one.split(": ")[0] for one in found] == ["shelf.csv:2:1", "shelf.csv:4:8", "shelf.csv:4:16"]


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "the header lacks item, length"),
        ("item;size;colour\nGXL;14;RD\n", "the header lacks length"),
        ("item,size,colour,length,size\n", "'size' stands twice"),
        ("item,sise,colour,length\nGXL,14,RD,1 m\n", "did you mean 'size'?"),
        (HEAD, "no offcut in the list"),
        ("GXL,14,RD,1 m\n", "the header lacks item, length"),
    ],
)
def test_a_wrong_header_is_told_and_the_rows_are_not_blamed(text: str, what: str) -> None:
    found = problems(text)
    assert any(what in one for one in found)
    assert all(one.startswith("shelf.csv:1:") for one in found)


HARMFUL = [
    "=1+1",
    "+1",
    "-2",
    "@SUM(A1)",
    '=HYPERLINK("x")',
    "\x07\x1b[31m",
    "a\x00b",
    "\u202eRD",
    "x" * 5000,
]


@pytest.mark.parametrize("column", range(5))
@pytest.mark.parametrize("word", HARMFUL, ids=range(len(HARMFUL)))
def test_text_that_means_harm_is_refused_and_quoted_harmlessly(word: str, column: int) -> None:
    cells = ["GXL", "14", "RD", "1 m", "1"]
    cells[column] = '"' + word.replace('"', '""') + '"'
    found = "".join(problems(HEAD + ",".join(cells) + "\n"))
    assert not set(found) & {"\x00", "\x07", "\x1b", "\u202e"}
    assert len(found) < 1500


def test_two_hundred_mistakes_are_enough() -> None:
    assert len(problems(HEAD + "GXX,14,RD,1 m\n" * 5000)) <= 202


@given(st.text(max_size=80))
def test_no_text_at_all_breaks_the_reader(text: str) -> None:
    few = Known({"GXL": ("14 AWG",)}, ("tube",))
    for whole in (text, HEAD + text):
        try:
            read_offcuts(whole, "a.csv", few)
        except SurveyWrong as wrong:
            assert wrong.problems


def test_a_mistake_in_a_text_whose_cells_all_stand_in_quotes_is_told_where_it_stands() -> None:
    text = '"item","size","colour","length"\n"GXL","14 AWG","RD","2 mm3"\n'
    (told,) = problems(text)
    column = text.splitlines()[1].index('"2 mm3"') + 1  # counted in the text itself
    assert told.startswith(f"shelf.csv:2:{column}: ")


def test_blank_cells_at_the_end_of_a_row_are_what_spreadsheets_write_and_nothing() -> None:
    assert offcuts("item,size,colour,length,,\nGXL,14,RD,2 m,,\n") == offcuts(f"{HEAD}GXL,14,RD,2 m\n")
