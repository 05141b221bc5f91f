"""The lists and the book of the sample machines, from survey to file."""

from __future__ import annotations

import io
import json
import zipfile
from collections import Counter, defaultdict
from math import fsum
from pathlib import Path

import jsonschema
import openpyxl
import pytest

from harness.book.data import design_json, design_schema
from harness.book.workbook import workbook_bytes
from harness.lists.cutlist import cut_list
from harness.lists.hookup import hook_up
from harness.model.design import Design
from harness.pipeline import design as design_of
from harness.survey import read
from tests.samples import made as samples

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.fixture(scope="module", params=["pump", "roller"])
def design(request: pytest.FixtureRequest) -> Design:
    found: Design = samples.design(request.param)
    return found


def _book(design: Design) -> openpyxl.Workbook:
    return samples.opened(Path(design.machine.file).stem)


def test_the_design_fits_its_published_schema(design: Design) -> None:
    validator = jsonschema.Draft202012Validator(design_schema())
    assert [error.message for error in validator.iter_errors(json.loads(design_json(design)))] == []


def test_every_new_wire_is_cut_once_and_bought(design: Design) -> None:
    new = {wire.number: wire for wire in (*design.wires, *design.spares) if not wire.kept}
    spools = cut_list(design)
    assert Counter(line.number for spool in spools for line in spool.lines) == dict.fromkeys(new, 1)
    needed: defaultdict[tuple[str, str, str], list[float]] = defaultdict(list)
    for wire in new.values():
        cable = f"{wire.cable} fine-stranded" if wire.fine_stranded else wire.cable
        needed[f"wire, {cable}", wire.size, wire.colour].append(wire.length_m)
    bought = {(m.item, m.size, m.colour): m for m in design.materials if m.group == "wire"}
    assert set(bought) == set(needed)
    for key, lengths_m in needed.items():
        assert bought[key].quantity == pytest.approx(fsum(lengths_m), abs=0.001)
        assert bought[key].with_waste >= fsum(lengths_m) * 1.12 - 1e-9  # waste is 12 % in both


def test_every_wire_end_is_hooked_up(design: Design) -> None:
    landed = Counter(
        landing.number
        for part in hook_up(design)
        for terminal in part.terminals
        for landing in terminal.landings
    )
    assert landed == {wire.number: 2 for wire in design.wires}


def test_the_workbook_opens_and_holds_every_wire(design: Design) -> None:
    data = samples.workbook(Path(design.machine.file).stem)
    book = _book(design)
    numbers = [row[0] for row in book["Wires"].iter_rows(min_row=2, values_only=True)]
    assert numbers == [wire.number for wire in design.wires]
    ticked = [row[2] for row in book["Cut list"].iter_rows(min_row=2, values_only=True) if row[1] == "☐"]
    made = (*design.wires, *design.spares)
    assert sorted(ticked) == sorted(wire.number for wire in made if not wire.kept)
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        assert not any(
            b"<f>" in package.read(name) or b"<f " in package.read(name) for name in package.namelist()
        )


def test_the_book_and_the_data_are_the_same_every_time(design: Design) -> None:
    again = design_of(read(SAMPLES / Path(design.machine.file).name))
    assert workbook_bytes(again) == samples.workbook(Path(design.machine.file).stem)
    assert design_json(again) == design_json(design)


def test_wire_over_a_hinge_is_bought_fine_stranded() -> None:
    """The roller's drum hangs on one run over the hinge, and its survey says `strands: fine` there."""
    roller = samples.design("roller")
    over = {number for run in roller.runs if run.moves for number in run.wires}
    assert over and over == {wire.number for wire in roller.wires if wire.fine_stranded}
    bought = {number for m in roller.materials if "fine-stranded" in m.item for number in m.used_on}
    assert bought == over


def test_the_sheet_of_grounds_names_every_body_and_strap(design: Design) -> None:
    book = _book(design)
    rows = {row[0]: row for row in book["Grounds"].iter_rows(min_row=2, values_only=True)}
    assert set(rows) == {one.body for one in design.grounds} | {one.wire for one in design.ground_cables}
    for cable in design.ground_cables:
        assert rows[cable.wire][8] == (", ".join(cable.loses) or "nothing")


def test_every_new_wire_is_cut_from_one_roll(design: Design) -> None:
    cut = Counter(
        piece.name
        for line in design.buying
        if line.group == "wire"
        for each in line.cuts
        for piece in each.pieces
    )
    made = (*design.wires, *design.spares)
    assert cut == Counter(wire.number for wire in made if not wire.kept)
    assert all(line.lots or line.note for line in design.buying)


def test_no_current_of_the_supply_is_rounding(design: Design) -> None:
    book = _book(design)
    texts = [str(cell.value) for row in book["Supply"].iter_rows() for cell in row]
    assert any("battery" in text for text in texts)
    assert not any("e-" in text and " A" in text for text in texts if text.startswith(("takes", "gives")))
