"""The tables of survey keys that the guide prints, one a section, read off the forms of the survey."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from harness.survey.keyhelp import key_helps
from harness.survey.schema import SECTION_FORMS, SurveyForm, survey_schema

WORDS_SHOWN = 12
HEAD = ["| key | what it is | takes | must be there |", "|---|---|---|---|"]


def _found(field: Mapping[str, Any], key: str) -> list[Any]:
    """What a field's schema holds under ``key``, in whichever of its forms it stands."""
    here = list(field.get(key, ()))
    for below in (*field.get("anyOf", ()), *([field["items"]] if "items" in field else [])):
        here += [each for each in _found(below, key) if each not in here]
    return here


def takes(field: Mapping[str, Any]) -> str:
    """The words a key takes, or an example of what is written there; empty for names and texts."""
    words = [str(word).lower() if isinstance(word, bool) else str(word) for word in _found(field, "enum")]
    answers = ["yes, no"] if "true" in words else []
    words = [f"`{word}`" for word in words if word not in ("true", "false", "yes", "no")]
    if words or answers:
        return ", ".join([*answers, *words[:WORDS_SHOWN], *["..."] * (len(words) > WORDS_SHOWN)])
    return ", ".join(f"`{example}`" for example in _found(field, "examples"))


def _row(key: str, field: Mapping[str, Any], meaning: str, must: bool) -> str:
    return f"| `{key}` | {meaning} | {takes(field)} | {'yes' if must else ''} |"


def section(name: str) -> list[str]:
    """The table of one section."""
    form = survey_schema()["$defs"][SECTION_FORMS[name].__name__]
    must, helps = form.get("required", ()), key_helps()[name]
    return HEAD + [_row(key, field, helps[key], key in must) for key, field in form["properties"].items()]


def sections() -> list[str]:
    """The table of the sections themselves."""
    helps = key_helps()["survey"]
    rows = [
        f"| `{field.alias or name}` | {helps[field.alias or name]} | {'yes' if field.is_required() else ''} |"
        for name, field in SurveyForm.model_fields.items()
    ]
    return ["| section | what it is | must be there |", "|---|---|---|", *rows]


TABLES: dict[str, Callable[[], list[str]]] = {
    "sections": sections,
    **{f"keys of {name}": partial(section, name) for name in SECTION_FORMS},
}
