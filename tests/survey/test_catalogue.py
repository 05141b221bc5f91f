"""A shop's own catalogue is read in its units, and every mistake in it is told at its line and column."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harness.catalogue import KINDS
from harness.model.catalogue import Catalogue
from harness.model.problem import SurveyWrong
from harness.survey import read, read_catalogue
from harness.tables import OWN, extended, load
from tests.survey.texts import TROLLEY, changed

SAMPLE = Path(__file__).parents[2] / "samples" / "counter" / "catalogue.yaml"
SEVERAL = """\
gromets: [{hole: 27 mm}]
grommets:
  - {hole: 27 mm, inisde: 19 mm}
  - {hole: 27 A, inside: 19}
  - {hole: 10 mm, inside: 19 mm}
  - 27 mm
heat-shrink:
  - {kind: adhesive 6:1, expanded: 33 mm, recovered: 15 mm}
  - {kind: glue, expanded: 33 mm, recovered: 15 mm}
  - {kind: adhesive 3:1, expanded: 33 mm}
  - {kind: adhesive 3:1, expanded: [1, 2], recovered: 11 mm}
lugs:
  - {wire: 5/0 AWG, studs: [M8, M7], barrel outside: 13 mm, barrel length: 24 mm}
ring terminals:
  - {colour: bleu, stud: 3/8}
packs:
  - {of: tie, amount: 25}
  - {of: ties, amount: some}
not stocked:
  ties: [{width: 3.7 mm}]
  clmaps: all
  ring terminals: all
  lugs: [{wire: 42 mm2}]
"""
# line, column, words of the complaint, words of the cure; counted by hand, the first column is 1
EXPECTED = [
    (1, 1, "no kind of items 'gromets'", "did you mean 'grommets'?"),
    (3, 19, "no key 'inisde'", "did you mean 'inside'?"),
    (4, 12, "'27 A' is a current", "27 mm"),
    (4, 26, "'19' has no unit", "27 mm"),
    (5, 5, "inside 19 mm is not smaller than hole 10 mm", "measure both again"),
    (6, 5, "written in braces", "{hole: 27 mm, inside: 19 mm}"),
    (8, 5, "called 6:1, its sizes are 2.2:1", "sheet"),
    (9, 12, "'glue' is not a kind of heat-shrink", "adhesive 3:1"),
    (10, 5, "does not say 'recovered'", "recovered: 5.5 mm"),
    (11, 36, "'expanded' takes one value", "expanded: 33 mm"),
    (13, 12, "'5/0 AWG' is not a gauge", "2/0 AWG"),
    (13, 28, "'M7' is not the thread of a stud", "M8"),
    (15, 14, "'bleu' is not one of the words", "did you mean 'blue'?"),
    (17, 10, "'tie' is not one of the words", "did you mean 'ties'?"),
    (18, 24, "'some' is neither a count nor a length", "write 25, or 1.2 m"),
    (20, 10, "no ties with width 3.7 mm", "3.6 mm, 4.8 mm"),
    (21, 3, "no kind of items 'clmaps'", "did you mean 'clamps'?"),
    (22, 19, "cannot all be left out", "name them"),
    (23, 10, "no lugs with wire 42 mm2", "35 mm2, 50 mm2"),
]


def mistakes(text: str) -> list[tuple[int, int, str, str]]:
    with pytest.raises(SurveyWrong) as caught:
        read_catalogue(text, "own.yaml")
    return [(one.where.line, one.where.column, one.what, one.fix) for one in caught.value.problems]


def rows(found: Catalogue, table: str) -> list[dict[str, str]]:
    return [row for row in found.rows[table] if row["certainty"] == OWN]


def test_every_mistake_is_told_at_once_at_its_place() -> None:
    told = mistakes(SEVERAL)
    assert [one[:2] for one in told] == [one[:2] for one in EXPECTED]
    for (_, _, what, fix), (_, _, said, cure) in zip(told, EXPECTED, strict=True):
        assert said in what
        assert cure in fix


@pytest.mark.parametrize("text", ["", "# nothing\n", "grommets\n", "- grommets\n", "not stocked: grommets\n"])
def test_a_file_that_is_no_catalogue_is_refused(text: str) -> None:
    assert mistakes(text)


def test_lengths_are_read_in_either_system() -> None:
    """1-1/8 in is 28.575 mm and 7/8 in 22.225 mm (1 in is 25.4 mm by definition)."""
    found = read_catalogue("grommets: [{hole: 1-1/8 in, inside: 2.2225 cm}]", "own.yaml")
    for row in rows(found, "grommets"):
        assert float(row["panel_hole_mm"]) == 28.575
        assert float(row["panel_hole_in"]) == 1.125
        assert float(row["inside_dia_mm"]) == 22.225


def test_an_own_item_says_where_it_stands() -> None:
    found = read_catalogue(SAMPLE.read_text(encoding="utf-8"), "catalogue.yaml")
    lines = SAMPLE.read_text(encoding="utf-8").splitlines()
    assert len(found.own) == 15
    for item in found.own:
        line = int(item.source.removeprefix("your own catalogue catalogue.yaml line "))
        assert lines[line - 1].lstrip().startswith("- {")


def test_the_sample_has_an_item_of_every_kind() -> None:
    found = read_catalogue(SAMPLE.read_text(encoding="utf-8"), "catalogue.yaml")
    assert [kind.name for kind in KINDS] == list(dict.fromkeys(item.kind for item in found.own))


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_the_example_of_a_kind_can_be_read_and_taken_off_again(kind: object) -> None:
    kind = next(each for each in KINDS if each is kind)
    added = read_catalogue(f"{kind.name}: [{kind.example}]", "own.yaml")
    assert added.own
    assert rows(added, kind.table) or kind.cell
    if kind.cell:
        return
    gone = read_catalogue(f"{kind.name}: [{kind.example}]\nnot stocked: {{{kind.name}: all}}", "own.yaml")
    assert gone.rows[kind.table] == tuple(rows(added, kind.table))


def test_what_is_not_stocked_is_gone_and_the_rest_is_there() -> None:
    before = load("cable_tie_lengths").rows
    found = read_catalogue("not stocked: {ties: [{width: 3.6 mm}]}", "own.yaml")
    with extended(found.rows):
        after = load("cable_tie_lengths").rows
    assert {row["tie_width_mm"] for row in before} - {row["tie_width_mm"] for row in after} == {"3.6"}
    assert all(row in after for row in before if row["tie_width_mm"] != "3.6")
    assert load("cable_tie_lengths").rows == before


def test_an_item_of_the_same_sizes_takes_the_place_of_the_published_one() -> None:
    """3/8 in, 9.525 mm, stands in the table of grommets as 9.52 mm; hole 1/2 in."""
    found = read_catalogue("grommets: [{hole: 1/2 in, inside: 3/8 in}]", "own.yaml")
    same = [row for row in found.rows["grommets"] if abs(float(row["panel_hole_mm"]) - 12.7) < 0.1]
    assert {row["certainty"] for row in same} == {OWN}


# ------------------------------------------------------------------------------------- beside a survey

NAMED = changed(("  chassis post: negative", "  chassis post: negative\n  catalogue: my-items.yaml"))


def beside(folder: Path, name: str = "my-items.yaml", text: str = "ties: all\n") -> Path:
    (folder / name).write_text(text, encoding="utf-8")
    survey = folder / "trolley.yaml"
    survey.write_text(NAMED, encoding="utf-8")
    return survey


def test_a_survey_names_a_catalogue_beside_it(tmp_path: Path) -> None:
    survey = beside(tmp_path, text="grommets: [{hole: 27 mm, inside: 19 mm}]\n")
    assert [item.words for item in read(survey).catalogue.own] == ["hole 27 mm, inside 19 mm"]


def test_mistakes_of_survey_and_catalogue_are_told_together(tmp_path: Path) -> None:
    survey = beside(tmp_path)
    survey.write_text(NAMED.replace("length: 1.2 m", "length: 1.2"), encoding="utf-8")
    with pytest.raises(SurveyWrong) as caught:
        read(survey)
    assert {Path(one.where.file).name for one in caught.value.problems} == {"trolley.yaml", "my-items.yaml"}


def test_a_catalogue_that_is_not_there_is_blamed_on_the_line_that_names_it(tmp_path: Path) -> None:
    survey = beside(tmp_path, name="other.yaml")
    with pytest.raises(SurveyWrong, match="1 problems") as caught:
        read(survey)
    (problem,) = caught.value.problems
    assert (problem.where.line, problem.where.column) == (5, 14)
    assert "there is no such file" in problem.what


def test_a_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    away = tmp_path / "away.yaml"
    away.write_text("grommets: [{hole: 27 mm, inside: 19 mm}]\n", encoding="utf-8")
    folder = tmp_path / "machine"
    folder.mkdir()
    survey = beside(folder)
    (folder / "my-items.yaml").unlink()
    (folder / "my-items.yaml").symlink_to(away)
    with pytest.raises(SurveyWrong) as caught:
        read(survey)
    assert "leads out of the survey's folder" in caught.value.problems[0].what


def test_a_pipe_or_folder_of_that_name_is_not_read(tmp_path: Path) -> None:
    for make in (os.mkfifo, os.mkdir):
        survey = beside(tmp_path, name="other.yaml")
        odd = tmp_path / "my-items.yaml"
        make(odd)
        with pytest.raises(SurveyWrong) as caught:
            read(survey)
        assert "is no file" in caught.value.problems[0].what
        odd.rmdir() if odd.is_dir() else odd.unlink()


@pytest.mark.parametrize(
    "name",
    ["../my-items.yaml", "/etc/passwd", "a/../../b.yaml", "C:\\own.yaml", "~/own.yaml", "own.csv", "''"],
)
def test_a_catalogue_elsewhere_is_refused(name: str, tmp_path: Path) -> None:
    survey = tmp_path / "trolley.yaml"
    survey.write_text(NAMED.replace("my-items.yaml", name), encoding="utf-8")
    with pytest.raises(SurveyWrong) as caught:
        read(survey)
    assert [one.where.line for one in caught.value.problems] == [5]


def test_a_survey_from_nowhere_cannot_name_a_file() -> None:
    with pytest.raises(SurveyWrong) as caught:
        read("standard input", text=NAMED)
    assert "--catalogue" in caught.value.problems[0].fix


def test_a_catalogue_given_goes_before_the_one_named() -> None:
    given = read_catalogue("grommets: [{hole: 27 mm, inside: 19 mm}]", "given.yaml")
    assert read("trolley.yaml", text=NAMED, catalogue=given).catalogue is given
    assert read("trolley.yaml", text=TROLLEY).catalogue == Catalogue()


# -------------------------------------------------------------------------------------------- hostile

PIECES = st.sampled_from(
    [
        *(kind.name for kind in KINDS), *(key.word for kind in KINDS for key in kind.keys), "not stocked",
        "all",
        ": ", "- ", "\n", "\n  ", "{", "}", "[", "]", ", ", "27 mm", "-1 in", "0 mm", "1e9 m", "adhesive 6:1",
        "thin 2:1", "14 AWG", "9/0 AWG", "M8", "*a", "&a ", "<<", "!!python/object:os.system ",
        "'", '"', "#", "\t",
        "=1+1", "<b>", "\u202e", "red", "ties", "١٢", "NaN mm", "1/0 in", "null", "~",
    ]
)  # fmt: skip


@given(st.lists(PIECES, max_size=30).map("".join))
@settings(max_examples=150, deadline=None)
def test_any_text_is_read_or_refused_with_its_places(text: str) -> None:
    try:
        found = read_catalogue(text, "own.yaml")
    except SurveyWrong as wrong:
        assert wrong.problems
        assert all(one.where.file == "own.yaml" and one.what and one.fix for one in wrong.problems)
    else:
        assert isinstance(found, Catalogue)


@given(st.binary(max_size=60))
@settings(max_examples=100, deadline=None)
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    try:
        read_catalogue(data, "own.yaml")
    except SurveyWrong as wrong:
        assert wrong.problems


def test_a_thousand_mistakes_are_left_after_two_hundred() -> None:
    text = "grommets:\n" + "  - {hole: 27 A, inside: 19}\n" * 1000
    assert len(mistakes(text)) <= 202


def test_a_catalogue_of_a_thousand_items_is_read_in_a_moment() -> None:
    text = "ties:\n" + "".join(
        f"  - {{length: {100 + at} mm, width: 4.8 mm, bundle: {20 + at / 10:g} mm}}\n" for at in range(1000)
    )
    assert len(read_catalogue(text, "own.yaml").own) == 1000
