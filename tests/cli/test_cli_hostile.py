"""Hostile names from survey to every file: each comes through unharmed, or is refused with its place."""

from __future__ import annotations

import json
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner, Result
from openpyxl import load_workbook

from harness.cli import main

# That hostile names stop no print tests/injection looks at, and a print is most of the work of a build.
pytestmark = pytest.mark.usefixtures("blank_paper")

SURVEY = """
machine: {name: NAME, voltage: 12 V, chassis post: negative}
zones: {deck: {ambient: 40 °C}}
runs:
  - {from: box, to: PLACE, length: 2 m, zone: deck}
parts:
  battery: {is: battery, at: box, capacity: 70 Ah, cranking: 540 A}
  FUSE: {is: fuse, at: box}
  PART: {is: work lamp, at: PLACE, power: 55 W}
  ground: {is: ground point, at: PLACE, on: frame}
  box ground: {is: ground point, at: box, on: frame}
circuits:
  NAME:
    paths: ["battery + > FUSE > PART > frame", "frame > battery -"]
"""
PASS = [
    "=1+1",
    "+1+1",
    "@SUM(A1)",
    "-2+3",
    "=HYPERLINK(\"x\";\"y\")",
    "<script>alert(1)</script>",
    "<b>&\"bold\"'",
    "&lt;&amp;&#60;",
    "]]>",
    "{curly} %s %(x)s ${y}",
    "\\N \\l \\G",
    "[red]rich[/red]",
    "lampe à gauche",
    "פנס שמאל",
    "مصباح",
    "左前照灯",
    "lamp 💡",
    "👩‍🔧 lamp",
    "a" * 60,
]  # fmt: skip
REFUSED = ["two\\nlines", "bell\\u0007", "esc\\u001b[31m", "turn\\u202eround", "zero\\u0000"]


def _survey(word: str) -> str:
    """The survey with the word for machine, circuit, part and place, quoted as YAML wants it."""
    quoted = word if word in REFUSED else json.dumps(word, ensure_ascii=False)[1:-1]
    text = SURVEY.replace("machine: {name: NAME", f'machine: {{name: "{quoted}"').replace(
        "  NAME:", f'  "{quoted}":'
    )
    text = text.replace("to: PLACE", f'to: "{quoted} place"').replace("at: PLACE", f'at: "{quoted} place"')
    text = text.replace("  PART: {", f'  "{quoted} part": {{').replace("  FUSE: {", f'  "{quoted} fuse": {{')
    path = f"battery + > {quoted} fuse > {quoted} part > frame"
    return text.replace("battery + > FUSE > PART > frame", path)


def _build(word: str, folder: Path) -> Result:
    return CliRunner().invoke(main, ["build", "-", "--out", str(folder)], input=_survey(word).encode())


def _texts(svg: Path) -> str:
    return " ".join(" ".join(ElementTree.parse(svg).getroot().itertext()).split())


@pytest.mark.parametrize("word", [word for word in PASS if not set(word) & set("(),>/")])
def test_a_strange_name_comes_through_every_file(word: str, tmp_path: Path) -> None:
    result = _build(word, tmp_path)
    assert result.exit_code == 0, result.output
    data = json.loads((tmp_path / "design.json").read_text(encoding="utf-8"))
    assert data["machine"]["name"] == word
    assert f"{word} part" in {part["name"] for part in data["parts"]}
    for name in ("circuit-sheets.svg", "tracks.svg", "loom.svg", "fuses.svg"):
        raw = (tmp_path / name).read_text(encoding="utf-8")
        assert "<script" not in raw
        assert "".join(word.split()) in "".join(_texts(tmp_path / name).split())
    with zipfile.ZipFile(tmp_path / "harness.xlsx") as book:
        sheets = [name for name in book.namelist() if name.startswith("xl/worksheets/sheet")]
        assert all(b"<f>" not in book.read(name) for name in sheets)
    cells = [cell for sheet in load_workbook(tmp_path / "harness.xlsx") for row in sheet for cell in row]
    assert any(cell.value == word for cell in cells)
    assert all(cell.data_type != "f" for cell in cells)


@pytest.mark.parametrize("word", [word for word in PASS if set(word) & set("(),>/")] + REFUSED)
def test_a_name_that_cannot_stand_in_a_path_or_on_paper_is_refused_with_its_place(
    word: str, tmp_path: Path
) -> None:
    result = _build(word, tmp_path / "out")
    assert result.exit_code == 2, result.output
    assert "standard input:" in result.output
    assert not (tmp_path / "out").exists()
    assert "\x1b" not in result.output
    assert "\u202e" not in result.output


@pytest.mark.parametrize("word", [word for word in PASS if not set(word) & set("(),>/")])
def test_a_strange_name_stays_in_the_comments_of_a_netlist(word: str) -> None:
    """Cut out every comment and no letter of the survey is left: the rest is that of a plain name."""

    def statements(name: str) -> list[str]:
        result = CliRunner().invoke(main, ["netlist", "-", "--mode", "running"], input=_survey(name).encode())
        assert result.exit_code == 0, result.output
        assert result.stdout.isascii()
        return [line for line in result.stdout.splitlines() if not line.startswith("*")]

    assert statements(word) == statements("plain")
