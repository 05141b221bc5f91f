"""The sheet for the cab: one page with every fuse, relay and ground point, whatever the machine is called."""

from __future__ import annotations

import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from harness.book.cab.sheet import cab_data, cab_pdf
from harness.cli import main
from tests.samples import made


def words_of(content: bytes, folder: Path) -> tuple[str, int]:
    """What stands on it, and its pages."""
    file = folder / "cab.pdf"
    file.write_bytes(content)
    text = subprocess.run(["pdftotext", "-layout", str(file), "-"], capture_output=True, check=True).stdout
    return " ".join(text.decode().split()), text.count(b"\f")


@pytest.mark.parametrize(("name", "paper"), [("orchard", "Letter"), ("roller", "A4")])
def test_all_stands_on_one_page(name: str, paper: str, tmp_path: Path) -> None:
    design = made.design(name)
    words, pages = words_of(cab_pdf(design, paper=paper), tmp_path)
    assert pages == 1
    assert f"{design.machine.voltage_v:g} V".replace(" ", "") in words.replace(" ", "")
    assert f"{design.machine.chassis_post} post on the chassis" in words
    for fuse in design.fuses:
        assert fuse.name in words
    rows = {row[0]: row for row in cab_data(design)["fuses"]}
    assert {name: row[1:3] for name, row in rows.items()} == {
        fuse.name: [f"{fuse.rating_a:g} A", fuse.colour] for fuse in design.fuses
    }
    for part in design.parts:
        if part.role in ("relay", "ground"):
            assert part.name in words


def test_what_dies_is_what_hangs_behind_the_fuse() -> None:
    """By hand from samples/orchard.yaml: both lamps hang on the lamp fuse, all of it on the main fuse.

    The dynamo charges through its own fuse, the ammeter and the main fuse.
    """
    rows = {row[0]: row for row in cab_data(made.design("orchard"))["fuses"]}
    assert rows["lamp fuse"][3] == "left lamp, right lamp"
    assert rows["main fuse"][3] == "ignition coil, left lamp, right lamp, charging by dynamo"
    assert rows["charge fuse"][3] == "charging by dynamo"


def test_a_hostile_name_is_a_name_and_bytes_are_the_same_each_time(tmp_path: Path) -> None:
    design = made.design("orchard")
    machine = replace(design.machine, name='#panic("x") $ *b* `y`')
    first = cab_pdf(replace(design, machine=machine), paper="A4")
    assert '#panic("x") $ *b* `y`' in words_of(first, tmp_path)[0]
    assert cab_pdf(replace(design, machine=machine), paper="A4") == first


def test_a_paper_that_is_not_hung_in_a_cab_is_refused(tmp_path: Path) -> None:
    out = tmp_path / "cab.pdf"
    done = CliRunner().invoke(
        main, ["draw", str(made.SAMPLES / "orchard.yaml"), "cab", "--sheet", "A3", "-o", str(out)]
    )
    assert done.exit_code == 2 and "--sheet: the cab sheet is for A4 or Letter" in done.output
    assert not out.exists()
