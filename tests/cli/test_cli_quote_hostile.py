"""Price lists whose texts look like formulas, markup and escapes, or go on and on, through every output."""

from __future__ import annotations

import csv
import io
import json
import subprocess
from pathlib import Path

import pytest
from click.testing import CliRunner
from openpyxl import load_workbook

from harness.cli import main
from tests.docs.pages import ROOT
from tests.quote.formulas import is_ours

PUMP = str(ROOT / "samples" / "pump.yaml")
ONE = ROOT / "samples" / "prices-one.csv"
LONG = "X" * 900
EVIL = {  # part number of the sample -> what stands in its place, and what its description ends in
    "W104": ("=cmd|' /C calc'!A0", "=HYPERLINK(0)"),
    "F101": ("+1+1", "<script>alert(1)</script>"),
    "F105": ("@SUM(A1)", "#show: panic() *bold* _x_ $x$"),
    "F107": ("-2+3", "\u202egpj.exe \u200b"),
    "F111": ("\u001b[31mred", "\u001b]0;title\u0007"),
    "F112": (LONG, LONG),
    "F120": ("压路机", "\U0001f69c"),
}


@pytest.fixture(scope="module")
def quoted(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """The pump's quote out of such a list: the lines are settled by hand, as their words say nothing now."""
    folder = tmp_path_factory.mktemp("hostile")
    with ONE.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.reader(stream))
    evil = dict(EVIL)
    for row in rows:
        if row[0] in evil:
            number, words = evil.pop(row[0])
            row[0], row[1] = number, f"{row[1]} {words}"
        row[1] = "=Evil & <Sons> \u202e*1*" if row[0] == "Supplier:" else row[1]
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    prices = folder / "list.csv"
    prices.write_text(out.getvalue(), encoding="utf-8", newline="")
    words = "words that say nothing: [{}]\n".format(
        ", ".join("'" + one.replace("'", "''") + "'" for one in (LONG.casefold(),))
    )
    (folder / "list-matches.yaml").write_text(words, encoding="utf-8")
    result = CliRunner().invoke(
        main, ["quote", PUMP, "--prices", str(prices), "--out", str(folder / "out"), "--plain"]
    )
    assert result.exit_code == 0, result.output
    return folder / "out", result.output


def test_nothing_is_a_formula_but_ours(quoted: tuple[Path, str]) -> None:
    folder, _ = quoted
    for path in folder.glob("*.xlsx"):
        for sheet in load_workbook(path):
            for row in sheet:
                for cell in row:
                    if cell.data_type == "f":
                        assert is_ours(str(cell.value)), cell.value
    for row in csv.reader(io.StringIO((folder / "till.csv").read_text(encoding="utf-8-sig"))):
        assert not any(cell.startswith(("=", "+", "-", "@", "\t")) for cell in row), row


def test_no_sign_that_turns_or_steers_reaches_terminal_data_or_file_names(quoted: tuple[Path, str]) -> None:
    folder, output = quoted
    assert not set("\u202e\u200b\u001b\u0007") & set(output)
    assert all(path.name.isascii() and "/" not in path.name for path in folder.iterdir())
    data = json.loads((folder / "quote.json").read_text(encoding="utf-8"))
    assert data["orders"][0]["supplier"].startswith("=Evil & <Sons>")


def test_paper_shows_everything_within_its_margins(quoted: tuple[Path, str]) -> None:
    """Every word of every page lies on the page: pdftotext gives its box, in points."""
    folder, _ = quoted
    for path in folder.glob("*.pdf"):
        text = subprocess.run(
            ["pdftotext", "-bbox", str(path), "-"], check=True, capture_output=True, text=True
        ).stdout
        width = 0.0
        for line in text.splitlines():
            if "<page width=" in line:
                width = float(line.split('"')[1])
            elif "<word" in line:
                parts = line.split('"')
                assert float(parts[1]) >= 20 and float(parts[5]) <= width - 20, (
                    path.name,
                    line.strip()[:200],
                )
