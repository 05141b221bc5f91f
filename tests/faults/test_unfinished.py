"""What commands say that read a design out of a folder in which a build was stopped."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from harness.cli import main
from harness.disk.writing import MARKER, write_set
from tests.docs.pages import ROOT
from tests.faults.killing import left_unfinished

DESIGN = (ROOT / "exports" / "pump" / "design.json").read_bytes()
PRICES = str(ROOT / "samples" / "prices-one.csv")


@pytest.fixture
def design(tmp_path: Path) -> Path:
    """A design among files of a build that was killed while it put them in place."""
    out = tmp_path / "out"
    left_unfinished(out, {"design.json": DESIGN, "book.html": b"new", "loom.svg": b"new"})
    if not (out / "design.json").exists():
        (out / "design.json").write_bytes(DESIGN)  # as the build before left it
    return out / "design.json"


def run(*words: object) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


def told(design: Path) -> str:
    return (
        f"{design}: a build was stopped here, so this may be another version than the drawings beside it, "
        f"as {MARKER} says"
    )


def test_a_comparison_says_that_the_design_may_be_of_another_version(design: Path) -> None:
    for words in ([], ["--json"]):
        done = run("compare", design, ROOT / "exports" / "pump" / "design.json", *words)
        assert done.exit_code == 0
        fix = f"make all of them anew with harness build and --out {design.parent}"
        assert done.stderr == f"note: {told(design)}; {fix}\n"


def test_lines_are_paired_and_the_same_is_said(design: Path, tmp_path: Path) -> None:
    done = run("prices", "match", design, "--prices", PRICES, "--matches", tmp_path / "m.yaml")
    assert done.exit_code == 0 and (tmp_path / "m.yaml").exists()
    assert done.stderr.startswith(f"note: {told(design)}; ")


@pytest.mark.parametrize("priced", [True, False])
def test_nothing_is_quoted_by_it_for_wrong_goods_cost_money(
    design: Path, tmp_path: Path, priced: bool
) -> None:
    quote = tmp_path / "quote"
    done = run("quote", design, *(["--prices", PRICES] if priced else []), "--out", quote)
    assert done.exit_code == 3 and not quote.exists()
    assert done.stderr == (
        f"Error: {told(design)}; nothing is quoted by it: make all of them anew with harness build and "
        f"--out {design.parent}, then ask again\n"
    )


def test_a_design_that_the_marker_does_not_name_or_that_was_made_anew_is_as_good_as_any(
    design: Path,
) -> None:
    other = design.with_name("earlier.json")
    other.write_bytes(DESIGN)
    assert run("compare", other, other).stderr == ""
    write_set(design.parent, {"design.json": DESIGN, "book.html": b"newer", "loom.svg": b"newer"})
    assert run("compare", design, other).stderr == ""
