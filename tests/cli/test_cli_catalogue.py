"""The list of items on the terminal, and surveys designed with a user's own items."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from openpyxl import load_workbook

from harness.catalogue import KINDS
from tests.running import run

pytestmark = pytest.mark.usefixtures("blank_paper")

SAMPLES = Path(__file__).parents[2] / "samples"
OWN = SAMPLES / "counter" / "catalogue.yaml"


def test_every_kind_is_listed_with_the_number_of_its_items() -> None:
    lines = run("catalogue").output.splitlines()
    assert len(lines) == len(KINDS)
    for kind, line in zip(KINDS, lines, strict=True):
        assert line.startswith(kind.name)
        assert kind.what in line


def test_the_items_of_a_kind_carry_their_source_and_certainty() -> None:
    """AN931-16-22: 1 in inside, 1-3/8 in hole, in an owners' club's copy of the chart."""
    lines = run("catalogue", "grommets").output.splitlines()
    (line,) = [line for line in lines if line.startswith("hole 34.92 mm, inside 25.4 mm")]
    assert line.endswith("AN931 and MS35489 chart quoted by an owners' club (read)")


def test_own_items_are_among_them_and_what_is_not_stocked_is_not() -> None:
    with_own = run("catalogue", "ties", "--catalogue", str(OWN), "--json")
    items = json.loads(with_own.output)["kinds"]["ties"]["items"]
    assert "your own catalogue catalogue.yaml line 19" in {item["source"] for item in items}
    assert not [item for item in items if "width 3.6 mm" in item["item"]]
    assert [item for item in json.loads(run("catalogue", "--json").output)["kinds"]["ties"]["items"]
            if "width 3.6 mm" in item["item"]]  # fmt: skip


def test_an_own_stud_of_a_ring_says_where_it_is_from() -> None:
    lines = run("catalogue", "ring terminals", "--catalogue", str(OWN)).output.splitlines()
    (red,) = [line for line in lines if line.startswith("colour red, ")]
    assert "M12: your own catalogue catalogue.yaml line 25" in red
    assert " 3/8 " not in red


def test_an_amount_is_a_count_or_a_length() -> None:
    """A roll of 100 ft is 30.48 m."""
    output = run("catalogue", "packs").output
    assert "of wire, amount 30.48 m, name roll of 100 ft" in output
    assert "of ties, amount 100, name pack of 100" in output


def test_a_kind_that_is_not_there_gets_the_nearest() -> None:
    result = run("catalogue", "grommet")
    assert result.exit_code == 2
    assert "did you mean 'grommets'?" in result.output


def test_a_wrong_catalogue_stops_every_command_that_takes_one(tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.yaml"
    wrong.write_text("gromets: []\n", encoding="utf-8")
    pump = str(SAMPLES / "pump.yaml")
    for words in (
        ["check", pump],
        ["size", pump],
        ["build", pump, "--out", str(tmp_path / "out")],
        ["catalogue"],
    ):
        result = run(*words, "--catalogue", str(wrong))
        assert result.exit_code == 2, words
        assert f"{wrong}:1:1: a catalogue has no kind of items 'gromets'" in result.output
    assert not (tmp_path / "out").exists()


def test_mistakes_of_survey_and_catalogue_are_told_in_one_go(tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.yaml"
    wrong.write_text("gromets: []\n", encoding="utf-8")
    result = run("check", str(SAMPLES / "wrong" / "zero.yaml"), "--catalogue", str(wrong), "--json")
    problems = json.loads(result.output)["problems"]
    assert {Path(one["file"]).name for one in problems} == {"zero.yaml", "wrong.yaml"}


def test_a_file_that_is_not_there_is_exit_code_3(tmp_path: Path) -> None:
    assert run("check", str(SAMPLES / "pump.yaml"), "--catalogue", str(tmp_path / "none.yaml")).exit_code == 3


def test_check_says_how_many_own_items_there_are() -> None:
    output = run("check", str(SAMPLES / "pump.yaml"), "--catalogue", str(OWN)).output
    assert "catalogue.yaml: 15 items of your own, 6 not stocked." in output
    told = json.loads(run("check", str(SAMPLES / "pump.yaml"), "--catalogue", str(OWN), "--json").output)
    assert len(told["catalogue"]["own"]) == 15
    assert "ties: width 3.6 mm" in told["catalogue"]["not_stocked"]


def test_names_of_own_items_are_only_text_in_every_output(tmp_path: Path) -> None:
    """What somebody calls his tube goes into drawings, workbook and data as it stands, and does nothing."""
    name = "=HYPERLINK(\"http://x\")<script>alert('1')</script>&"
    own = tmp_path / "own.yaml"
    own.write_text(
        "not stocked: {split tube: all}\nsplit tube:\n"
        f"  - {{inside: 60 mm, outside: 70 mm, name: {json.dumps(name)}}}\n",
        encoding="utf-8",
    )
    out = tmp_path / "out"
    result = run("build", str(SAMPLES / "pump.yaml"), "--catalogue", str(own), "--out", str(out))
    assert result.exit_code in (0, 1), result.output
    assert name in json.loads((out / "design.json").read_text(encoding="utf-8"))["runs"][0]["covering"]
    assert "<script" not in (out / "loom.svg").read_text(encoding="utf-8")
    book = load_workbook(out / "harness.xlsx")
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert not [cell for cell in cells if cell.data_type == "f" and "HYPERLINK" in str(cell.value)]


def test_an_offcut_of_an_own_tube_is_known(tmp_path: Path) -> None:
    own = tmp_path / "own.yaml"
    own.write_text("split tube: [{inside: 60 mm, outside: 70 mm, name: NW60}]\n", encoding="utf-8")
    item = "split corrugated tube, NW60 (60 mm inside), polyethylene or nylon"
    shelf = tmp_path / "shelf.csv"
    shelf.write_text(f'item,length\n"{item}",2 m\n', encoding="utf-8")
    words = ["build", str(SAMPLES / "pump.yaml"), "--offcuts", str(shelf), "--out", str(tmp_path / "out")]
    assert run(*words).exit_code == 2
    assert run(*words, "--catalogue", str(own)).exit_code in (0, 1)
