"""The JSON Schema (2020-12) of the design, from its dataclasses, their comments and their units."""

from __future__ import annotations

import inspect
import io
import sys
import tokenize
from dataclasses import MISSING, fields, is_dataclass
from types import ModuleType, NoneType, UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from harness.model.design import Design

DIALECT = "https://json-schema.org/draft/2020-12/schema"
FORMAT = "harness design 1"

UNITS = {
    "_ohm": "ohm",
    "_mm2": "mm²",
    "_mm": "mm",
    "_kg": "kg",
    "_m": "m",
    "_a": "A",
    "_ah": "Ah",
    "_v": "V",
    "_s": "s",
    "_c": "°C",
    "_share": "share, 0.25 is 25 %",
    "_factor": "factor",
}
NEVER_NEGATIVE = ("_ohm", "_mm2", "_mm", "_kg", "_m", "_s")

CAN_SAVE = (("Addition", "length_m"),)  # a wire is cut shorter where its splice lies on its way

_SIMPLE: dict[Any, dict[str, str]] = {
    str: {"type": "string"},
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    float: {"type": "number"},
    NoneType: {"type": "null"},
}


def json_key(field_name: str) -> str:
    """Return the JSON key of a dataclass field: its name without the underscore that keeps it legal."""
    return field_name.rstrip("_")


def _suffix(name: str) -> str:
    return next((suffix for suffix in UNITS if name.endswith(suffix)), "")


def _comments(module: ModuleType) -> dict[int, str]:
    """Return the comment at the end of each line of a module, by line number; none when it has no source."""
    try:
        source = inspect.getsource(module)
    except OSError:
        return {}
    return {
        token.start[0]: token.string.lstrip("# ")
        for token in tokenize.generate_tokens(io.StringIO(source).readline)
        if token.type == tokenize.COMMENT and not token.string.startswith("# fmt")
    }


def _field_comments(module: ModuleType) -> dict[tuple[str, str], str]:
    """Return what each dataclass field's own comment says, by class and field name."""
    comments = _comments(module)
    if not comments:
        return {}
    found: dict[tuple[str, str], str] = {}
    owner = ""
    for number, line in enumerate(inspect.getsource(module).splitlines(), start=1):
        if line.startswith("class "):
            owner = line.removeprefix("class ").rstrip(":")
        elif number in comments and line.startswith("    ") and ":" in line:
            found[owner, line.split(":")[0].strip()] = comments[number]
    return found


def _described(name: str, comment: str) -> str:
    """Return comment and unit together: "cut length [m]"."""
    unit = UNITS.get(_suffix(name), "")
    words = comment or name.rstrip("_").removesuffix(_suffix(name)).replace("_", " ")
    return f"{words} [{unit}]" if unit else words


class _Builder:
    """Collects one definition for every dataclass met on the way."""

    def __init__(self) -> None:
        self.comments: dict[str, dict[tuple[str, str], str]] = {}  # by module
        self.definitions: dict[str, dict[str, Any]] = {}

    def comment(self, cls: type, name: str) -> str:
        """What the source says of a field beside it, "" when nothing."""
        if cls.__module__ not in self.comments:
            self.comments[cls.__module__] = _field_comments(sys.modules[cls.__module__])
        return self.comments[cls.__module__].get((cls.__name__, name), "")

    def of(self, hint: Any, *, floor: bool = False) -> dict[str, Any]:
        """Return the schema of a type hint; ``floor`` forbids negative numbers."""
        origin, args = get_origin(hint), get_args(hint)
        if is_dataclass(hint) and isinstance(hint, type):
            return self.reference(hint)
        if origin is Literal:
            return {"enum": list(args)}
        if origin in (Union, UnionType):
            return {"anyOf": [self.of(arg, floor=floor) for arg in args]}
        if origin is list:
            return {"type": "array", "items": self.of(args[0], floor=floor)}
        if origin is dict:
            return {"type": "object", "additionalProperties": self.of(args[1], floor=floor)}
        simple: dict[str, Any] = dict(_SIMPLE[hint])
        if floor and hint in (int, float):
            simple["minimum"] = 0
        return simple

    def reference(self, cls: type) -> dict[str, Any]:
        """Return a reference to the definition of a dataclass, made when it is met first."""
        if cls.__name__ not in self.definitions:
            self.definitions[cls.__name__] = {}  # holds the place, should a class contain itself
            self.definitions[cls.__name__] = self.record(cls)
        return {"$ref": f"#/$defs/{cls.__name__}"}

    def record(self, cls: type) -> dict[str, Any]:
        """Return the definition of a dataclass: every field required, nothing else allowed."""
        hints = get_type_hints(cls)
        properties: dict[str, Any] = {}
        for field in fields(cls):
            comment = self.comment(cls, field.name)
            floor = _suffix(field.name) in NEVER_NEGATIVE and (cls.__name__, field.name) not in CAN_SAVE
            properties[json_key(field.name)] = {
                "description": _described(field.name, comment),
                **self.of(hints[field.name], floor=floor),
            }
        required = [json_key(field.name) for field in fields(cls) if field.default is MISSING]
        return {
            "type": "object",
            "description": inspect.getdoc(cls) or "",
            "properties": properties,
            "required": required,
            "additionalProperties": False,
        }


def design_schema() -> dict[str, Any]:
    """Return the JSON Schema of ``harness.book.data.design_json``'s text."""
    builder = _Builder()
    top = builder.record(Design)
    top["properties"]["format"]["const"] = FORMAT
    definitions = {name: builder.definitions[name] for name in sorted(builder.definitions)}
    return {"$schema": DIALECT, "title": "Design of a machine's wiring", **top, "$defs": definitions}
