"""Which sheets a survey workbook has and which columns they have: read off the forms of the survey itself.

A new key of a form, or a new section, gets its column or sheet without a word here.
"""

from __future__ import annotations

import types
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel

from harness.survey.keyhelp import key_helps
from harness.survey.schema import SECTION_FORMS, CircuitForm, Form, SurveyForm, survey_schema

Shape = Literal["record", "named", "rows", "texts", "paths"]
Holds = Literal["word", "list", "mapping"]

PATHS, PLACES, CIRCUIT, PATH = "paths", "places", "circuit", "path"
LISTED = "listed"  # column of the places: no key of the survey
LISTED_HELP = "yes: a run may end here though nothing sits here; a name alone only fills the drop-down lists"
KEY, VALUE, MEANING = "key", "value", "what it is"
ASSUMED = "assumed so far (not read)"
REMARKS = ("remarks", "remark", "comments", "comment")  # titles of columns that anybody may add for himself
NAMES = {
    "zones": "zone", "places": "place", "bodies": "body", "parts": "part", "modes": "mode",
    "circuits": "circuit", "wires": "wire",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a sheet."""

    title: str  # the key as a survey writes it, or what an entry is called by
    help: str
    holds: Holds = "word"
    yes_no: bool = False
    words: tuple[str, ...] = ()  # to choose from


@dataclass(frozen=True, slots=True)
class Layout:
    """One sheet."""

    section: str
    title: str
    shape: Shape
    columns: tuple[Column, ...]  # of a record: its keys, which stand below one another
    help: str
    must: bool  # no survey without it

    @property
    def names(self) -> bool:
        """Whether the first column holds the name of the entry."""
        return self.shape == "named"


def _bare(annotation: Any) -> Any:
    """The type without what is annotated to it and without 'or nothing'."""
    while True:
        origin = get_origin(annotation)
        if origin is Annotated:
            annotation = get_args(annotation)[0]
        elif origin in (Union, types.UnionType):
            annotation = next(each for each in get_args(annotation) if each is not type(None))
        else:
            return annotation


def _holds(annotation: Any) -> Holds:
    origin = get_origin(_bare(annotation))
    return "list" if origin is list else "mapping" if origin is dict else "word"


def _words(field: Mapping[str, Any]) -> tuple[Any, ...]:
    """The words a key takes or is offered, by its JSON Schema."""
    if "enum" in field:
        return tuple(field["enum"])
    for below in field.get("anyOf", ()):
        if found := _words(below):
            return found
    return _words(field["items"]) if "items" in field else ()


def _columns(section: str, form: type[Form], schema: Mapping[str, Any]) -> list[Column]:
    helps = key_helps()[section]
    properties = schema["$defs"][form.__name__]["properties"]
    found = []
    for name, field in form.model_fields.items():
        key = field.alias or name
        words = _words(properties[key])
        yes_no = True in words
        texts = ("yes", "no") if yes_no else tuple(str(word) for word in words)
        found.append(Column(key, helps[key], _holds(field.annotation), yes_no, texts))
    return found


def _layout(section: str, annotation: Any, schema: Mapping[str, Any], must: bool) -> Layout:
    bare, title, meaning = _bare(annotation), section.capitalize(), key_helps()["survey"][section]
    if isinstance(bare, type) and issubclass(bare, BaseModel):
        columns = _columns(section, SECTION_FORMS[section], schema)
        return Layout(section, title, "record", tuple(columns), meaning, must)
    if get_origin(bare) is dict:
        name = NAMES.get(section, section.removesuffix("s"))
        columns = [Column(name, f"its name; every {name} has one of its own")]
        columns += _columns(section, SECTION_FORMS[section], schema)
        if section == PLACES:
            columns.append(Column(LISTED, LISTED_HELP, yes_no=True, words=("yes",)))
        if section == "circuits":
            columns = [each for each in columns if each.title != PATHS]
        return Layout(section, title, "named", tuple(columns), meaning, must)
    if section in SECTION_FORMS:
        return Layout(
            section, title, "rows", tuple(_columns(section, SECTION_FORMS[section], schema)), meaning, must
        )
    text = Column(section.removesuffix("s"), "one a row")
    return Layout(section, title, "texts", (text,), meaning, must)


@cache
def layouts() -> Sequence[Layout]:
    """All sheets in their order: the sections as the survey has them, and the paths after the circuits."""
    schema = survey_schema()
    found = []
    for name, field in SurveyForm.model_fields.items():
        section = field.alias or name
        found.append(_layout(section, field.annotation, schema, field.is_required()))
        if section == "circuits":
            found.append(_paths())
    return tuple(found)


def _paths() -> Layout:
    assert PATHS in CircuitForm.model_fields
    helps = key_helps()["circuits"]
    columns = (
        Column(CIRCUIT, "the circuit it belongs to; left blank: that of the row above"),
        Column(PATH, helps[PATHS]),
    )
    return Layout(PATHS, "Paths", "paths", columns, helps[PATHS], must=True)


@cache
def layout_of(section: str) -> Layout:
    """The sheet of a section."""
    return next(each for each in layouts() if each.section == section)
