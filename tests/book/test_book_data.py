"""The design as JSON: fits its published schema, keeps every number and name, and is the same every time."""

from __future__ import annotations

import json
from dataclasses import fields, replace
from functools import cache
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harness.book.data import design_dict, design_json, design_schema, sensible
from harness.model.design import Design, Wire
from tests.book.factories import designs, renamed, small_design

HOSTILE = ["=1+1", "+1", "@x", "a\nb", "🚜", "\u202eabc", "\x07bell", "<b>&\"'", "\ud800", ""]


@cache
def _validator() -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(design_schema())


def _problems(data: object) -> list[str]:
    return [error.message for error in _validator().iter_errors(data)]


def test_the_schema_is_a_2020_12_schema() -> None:
    schema = design_schema()
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    jsonschema.Draft202012Validator.check_schema(schema)


def test_a_design_fits_the_schema() -> None:
    assert _problems(json.loads(design_json(small_design()))) == []


@settings(max_examples=50)
@given(designs())
def test_any_design_fits_the_schema(design: Design) -> None:
    assert _problems(json.loads(design_json(design))) == []


def _wire(data: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = data["wires"][0]
    return found


@pytest.mark.parametrize(
    ("spoil", "word"),
    [
        (lambda data: data.update(extra=1), "extra"),
        (lambda data: data.pop("wires"), "wires"),
        (lambda data: _wire(data).update(from_={}), "from_"),
        (lambda data: _wire(data).pop("from"), "from"),
        (lambda data: _wire(data).update(length_m="1.9"), "1.9"),
        (lambda data: _wire(data).update(length_m=-1.9), "-1.9"),
        (lambda data: _wire(data).update(kept="no"), "no"),
        (lambda data: _wire(data)["from"].update(kind="body"), "body"),
        (lambda data: data["findings"][0].update(severity="hint"), "hint"),
        (lambda data: data.update(format="harness design 2"), "harness design 1"),
    ],
)
def test_the_schema_refuses_what_is_not_a_design(spoil: Any, word: str) -> None:
    data = design_dict(small_design())
    spoil(data)
    (message,) = _problems(data)
    assert word in message


def test_nothing_may_be_added_to_any_record() -> None:
    schema = design_schema()
    records = [schema, *schema["$defs"].values()]
    assert len(records) > 15
    assert all(record["additionalProperties"] is False for record in records)


def test_every_field_is_described_with_its_unit() -> None:
    wire = design_schema()["$defs"]["Wire"]["properties"]
    assert wire["length_m"]["description"].endswith("[m]")
    assert "cut length" in wire["length_m"]["description"]
    assert wire["ampacity_a"]["description"] == "corrected [A]"
    assert wire["conductor_c"]["description"].endswith("[°C]")
    assert wire["resistance_ohm"]["description"].endswith("[ohm]")
    for record in design_schema()["$defs"].values():
        assert all(field["description"] for field in record["properties"].values())


def test_wires_carry_what_other_programs_ask_for() -> None:
    keys = set(_wire(design_dict(small_design())))
    assert keys == {field.name for field in fields(Wire)} - {"from_"} | {"from"}
    assert keys >= {
        "number", "circuit", "from", "to", "length_m", "size", "area_mm2", "current_a", "drop_v",
        "ampacity_a", "fuse", "colour", "runs", "decided_by", "kept",
    }  # fmt: skip


def test_numbers_keep_six_digits_and_no_more() -> None:
    design = small_design()
    odd = replace(design.wires[0], length_m=1.23456789, drop_v=-0.0, area_mm2=123456789.0)
    wire = _wire(design_dict(replace(design, wires=[odd])))
    assert wire["length_m"] == 1.23457
    assert str(wire["drop_v"]) == "0.0"
    assert wire["area_mm2"] == 123457000.0


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf")])
def test_a_number_json_cannot_hold_is_refused(value: float) -> None:
    design = small_design()
    with pytest.raises(ValueError, match="finite"):
        design_json(replace(design, wires=[replace(design.wires[0], margin=value)]))


@pytest.mark.parametrize("name", HOSTILE)
def test_any_name_comes_back_as_it_was(name: str) -> None:
    text = design_json(renamed(small_design(), name))
    text.encode("utf-8")
    data = json.loads(text)
    assert data["machine"]["name"] == (name if name != "\ud800" else "\ufffd")
    assert _problems(data) == []


@given(st.text(max_size=20))
def test_any_text_can_be_written_and_read(name: str) -> None:
    data = json.loads(design_json(renamed(small_design(), name)))
    assert data["machine"]["name"] == name
    assert data["wires"][0]["from"]["part"] == name


def test_letters_stay_letters() -> None:
    assert "Übersicht 🚜" in design_json(renamed(small_design(), "Übersicht 🚜"))


@given(designs())
def test_the_lengths_of_the_wires_add_up_to_the_wire_in_the_materials(design: Design) -> None:
    data = json.loads(design_json(design))
    cut = sum(wire["length_m"] for wire in data["wires"] if not wire["kept"])
    bought = sum(line["quantity"] for line in data["materials"] if line["group"] == "wire")
    assert cut == pytest.approx(bought, abs=0.001 * (1 + len(data["materials"])), rel=1e-5)


def test_what_a_solve_leaves_over_is_nought() -> None:
    """Below 10 nA and 10 nV stands rounding, which is not the same on every computer."""
    assert sensible(-1.23e-11) == 0.0
    assert sensible(2.5e-6) == 2.5e-6


def test_fields_are_described_from_every_file_of_the_model() -> None:
    found = design_schema()["$defs"]
    for name, field, words in (
        ("Wire", "decided_by", "name of the limit that set the size"),
        ("BandPoint", "least_s", "holds at least so long"),
        ("Purchase", "need", "pieces alone, without waste"),
        ("CouplerWay", "wire_a", "number"),
        ("ChargeLine", "ampacity_a", "may carry"),
    ):
        assert words in found[name]["properties"][field]["description"]
