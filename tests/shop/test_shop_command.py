"""The command that makes the shop book alone."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from harness.cli import main
from tests.shop.conftest import SAMPLES


def test_the_book_command_writes_page_and_pdf_on_the_paper_asked_for(tmp_path: Path) -> None:
    result = CliRunner().invoke(
        main, ["book", str(SAMPLES / "pump.yaml"), "-o", str(tmp_path), "--paper", "A4"]
    )
    assert result.exit_code == 0, result.output
    assert sorted(path.name for path in tmp_path.iterdir()) == ["book.html", "book.pdf"]
    size = re.search(rb"/MediaBox ?\[ ?0 0 ([\d.]+) ([\d.]+)", (tmp_path / "book.pdf").read_bytes())
    assert size is not None and float(size[1]) == pytest.approx(595.28, abs=0.5)  # 210 mm
    built = CliRunner().invoke(main, ["build", str(SAMPLES / "pump.yaml"), "--out", str(tmp_path / "all")])
    assert built.exit_code == 0
    assert (tmp_path / "all" / "book.html").read_bytes() == (tmp_path / "book.html").read_bytes()


def test_a_wrong_survey_leaves_no_book(tmp_path: Path) -> None:
    wrong = SAMPLES / "wrong" / "misspelt-part.yaml"
    result = CliRunner().invoke(main, ["book", str(wrong), "-o", str(tmp_path / "out")])
    assert result.exit_code == 2
    assert not (tmp_path / "out").exists()
