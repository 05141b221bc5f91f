"""`harness draw SURVEY circuit` and `circuits`: paper, one sheet alone, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from harness.cli import main

PUMP = Path(__file__).parents[2] / "samples" / "pump.yaml"


def draw(*words: str) -> Result:
    return CliRunner().invoke(main, ["draw", str(PUMP), *words])


@pytest.mark.parametrize(("kind", "said"), [("circuit", "Current tracks"), ("circuits", "Circuit: Running")])
def test_a_drawing_comes_on_the_paper_that_is_asked_for(kind: str, said: str, tmp_path: Path) -> None:
    file = tmp_path / "sheet.svg"
    result = draw(kind, "--sheet", "Tabloid", "-o", str(file))
    assert result.exit_code == 0 and str(file) in result.output
    text = file.read_text(encoding="utf-8")
    assert 'width="431.8mm"' in text and said in text  # 17 in, ASME Y14.1 (memory)


def test_one_sheet_alone_is_one_sheet_high(tmp_path: Path) -> None:
    file = tmp_path / "sheet.svg"
    assert draw("circuits", "--sheet", "A4", "--page", "2", "-o", str(file)).exit_code == 0
    text = file.read_text(encoding="utf-8")
    assert 'height="210mm"' in text and text.count("data-sheet=") == 1  # ISO 216 (memory)


def test_the_loom_is_drawn_on_the_paper_that_is_asked_for(tmp_path: Path) -> None:
    file = tmp_path / "loom.svg"
    assert draw("loom", "--sheet", "A3", "--page", "1", "-o", str(file)).exit_code == 0
    text = file.read_text(encoding="utf-8")
    assert 'width="420mm"' in text and 'height="297mm"' in text  # ISO 216 (memory)
    assert "Scale 1:" in text


def test_a_sheet_that_is_not_there_is_refused_and_nothing_written(tmp_path: Path) -> None:
    file = tmp_path / "sheet.svg"
    result = draw("circuit", "--page", "99", "-o", str(file))
    assert result.exit_code == 2 and "sheets 1 to" in result.stderr
    assert draw("loom", "--page", "99", "-o", str(file)).exit_code == 2
    assert draw("board", "--page", "1", "-o", str(file)).exit_code == 2
    assert not file.exists()


@pytest.mark.parametrize(
    ("kind", "wrong", "right"), [("board", "pdf.svg", ".pdf"), ("loom", "svg.PDF", ".svg")]
)
def test_a_drawing_is_not_written_under_the_ending_of_another_kind(
    kind: str, wrong: str, right: str, tmp_path: Path
) -> None:
    file = tmp_path / wrong
    result = draw(kind, "-o", str(file))
    assert result.exit_code == 2 and f"a file that ends in {right}" in result.output
    assert not file.exists()
