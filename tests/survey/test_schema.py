"""The JSON Schema for editors lets every right survey through and stops misspelt keys."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from ruamel.yaml import YAML

from harness.survey.keyhelp import key_helps
from harness.survey.schema import SECTION_FORMS, SurveyForm, keys_of, survey_schema

ROOT = Path(__file__).parents[2]


def loaded(path: Path) -> Any:
    return YAML(typ="safe", pure=True).load(path.read_text(encoding="utf-8"))


def complaints(data: Any) -> list[str]:
    checker = jsonschema.Draft202012Validator(survey_schema())
    return sorted(error.json_path for error in checker.iter_errors(data))


def test_schema_is_a_schema_and_always_the_same() -> None:
    jsonschema.Draft202012Validator.check_schema(survey_schema())
    assert json.dumps(survey_schema()) == json.dumps(survey_schema())


@pytest.mark.parametrize("name", sorted(path.name for path in (ROOT / "samples").glob("*.yaml")))
def test_samples_pass(name: str) -> None:
    assert complaints(loaded(ROOT / "samples" / name)) == []


@pytest.mark.parametrize(
    ("name", "path"),
    [
        ("unknown-key", "$.parts.pump"),
        ("unknown-section", "$"),
        ("missing-quantity", "$.runs"),
    ],
)
def test_wrong_shape_is_stopped(name: str, path: str) -> None:
    assert complaints(loaded(ROOT / "samples" / "wrong" / f"{name}.yaml")) == [path]


def test_every_section_has_a_form() -> None:
    assert set(SECTION_FORMS) | {"notes"} == set(keys_of(SurveyForm))


def test_every_key_has_its_help_and_no_other_has() -> None:
    forms = {"survey": SurveyForm, **SECTION_FORMS}
    assert {section: set(helps) for section, helps in key_helps().items()} == {
        section: set(keys_of(form)) for section, form in forms.items()
    }


def test_an_editor_is_told_what_every_key_means() -> None:
    schema = survey_schema()
    assert schema["properties"]["runs"]["description"] == key_helps()["survey"]["runs"]
    for section, form in SECTION_FORMS.items():
        for key in keys_of(form):
            field = schema["$defs"][form.__name__]["properties"][key]
            assert field["description"] == key_helps()[section][key], (section, key)
            assert field.get("default", "") is not None, (section, key)


def test_an_editor_offers_the_kinds_but_takes_other_names_for_them() -> None:
    field = survey_schema()["$defs"]["PartForm"]["properties"]["is"]
    assert "glow plug" in field["anyOf"][0]["enum"]
    checker = jsonschema.Draft202012Validator(field)
    assert checker.is_valid("glowplug")  # the reader knows spellings the list does not
    assert not checker.is_valid("x" * 81)
    assert not checker.is_valid(["glow plug"])


@pytest.mark.parametrize(
    ("section", "form", "key", "words"),
    [
        ("machine", "MachineForm", "chassis post", {"negative", "positive"}),
        ("runs", "RunForm", "covering", {"corrugated", "braid", "spiral", "glass", "tape", "none"}),
        ("modes", "ModeForm", "engine", {"stopped", "cranking", "running"}),
    ],
)
def test_an_editor_offers_the_words_of_the_guide(section: str, form: str, key: str, words: set[str]) -> None:
    field = survey_schema()["$defs"][form]["properties"][key]
    choices = next(
        iter([field["enum"]] if "enum" in field else [c["enum"] for c in field["anyOf"] if "enum" in c])
    )
    assert set(choices) == words, (section, key)
