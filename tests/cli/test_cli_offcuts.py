"""The list of offcuts on the command line: used, told in every output, and refused when it is wrong."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from openpyxl import load_workbook

from harness.cli import main

pytestmark = pytest.mark.usefixtures("blank_paper")

PUMP = Path(__file__).parents[2] / "samples" / "pump.yaml"
HEAD = "item,size,colour,length\n"


def build(out: Path, offcuts: str | Path, **more: object) -> Result:
    command = ["build", str(PUMP), "--out", str(out), "--offcuts", str(offcuts)]
    return CliRunner().invoke(main, command, **more)  # type: ignore[arg-type]


def test_the_shelf_is_used_and_told(tmp_path: Path) -> None:
    plain = build(tmp_path / "plain", "-", input=HEAD + "GXL,14,GN,1 m\n")
    assert plain.exit_code == 0, plain.output
    data = json.loads((tmp_path / "plain" / "design.json").read_text(encoding="utf-8"))
    line = next(one for one in data["buying"] if one["group"] == "wire")
    row = f"{line['item'].removeprefix('wire, ')},{line['size']},{line['colour']},{line['need'] + 1} m\n"
    shelf = tmp_path / "shelf.csv"
    shelf.write_text(HEAD + row + "GXL,14,GN,1 m\n", encoding="utf-8")
    assert build(tmp_path / "out", shelf).exit_code == 0
    data = json.loads((tmp_path / "out" / "design.json").read_text(encoding="utf-8"))
    again = next(one for one in data["buying"] if one["key"] == line["key"])
    assert again["bought"] == 0
    assert again["from_shelf"] == line["need"]
    assert [bool(one["pieces"]) for one in data["offcuts"]] == [True, False]
    rows = list(load_workbook(tmp_path / "out" / "harness.xlsx")["Buying"].iter_rows(values_only=True))
    shelved = [row for row in rows if row[0] == "on the shelf"]
    assert str(shelved[0][6]).startswith("take the offcut of ")
    assert shelved[1][6] == "leave the offcut of 1.00 m (3' 3 1/2\")"
    assert shelved[1][-1] == "not needed: this machine takes nothing of it"


def test_a_wrong_list_writes_nothing_and_says_where(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf.csv"
    shelf.write_text(HEAD + "=1+1,14,RD,1 m\nGXL,14,RD,\x1b[31m\n", encoding="utf-8")
    result = build(tmp_path / "out", shelf)
    assert result.exit_code == 2
    assert f"{shelf}:2:1: '=1+1' is nothing that is cut to length here" in result.output
    assert f"{shelf}:3:11: " in result.output
    assert "\x1b" not in result.output
    assert not (tmp_path / "out").exists()


def test_a_list_that_is_no_text_or_not_there_is_refused(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf.csv"
    shelf.write_bytes(b"item,length\n\xff\xfe\n")
    assert build(tmp_path / "out", shelf).exit_code == 2
    assert build(tmp_path / "out", tmp_path / "none.csv").exit_code == 3
    both = CliRunner().invoke(
        main, ["build", "-", "--offcuts", "-", "--out", str(tmp_path / "out")], input=""
    )
    assert both.exit_code == 2
    assert "only one of survey and offcuts" in both.output
    assert not (tmp_path / "out").exists()


def test_the_list_in_the_guide_is_one_that_is_taken(tmp_path: Path) -> None:
    page = Path(__file__).parents[2] / "harness" / "guide" / "counter.md"
    text = page.read_text(encoding="utf-8").split("```csv\n")[1].split("```")[0]
    result = build(tmp_path / "out", "-", input=text)
    assert result.exit_code == 0, result.output
    data = json.loads((tmp_path / "out" / "design.json").read_text(encoding="utf-8"))
    assert len(data["offcuts"]) == 6
