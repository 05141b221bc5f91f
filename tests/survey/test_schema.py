"""The JSON Schema for editors lets every right survey through and stops misspelt keys."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from ruamel.yaml import YAML

from harness.survey import survey_schema
from harness.survey.schema import SECTION_FORMS, SurveyForm, keys_of

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
