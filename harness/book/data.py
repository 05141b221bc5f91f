"""The design as JSON for other programs: the same fields, units and order as ``harness.model.design``."""

from __future__ import annotations

import math
from dataclasses import fields, is_dataclass
from typing import Any

from pydantic_core import to_json  # the same text as Python's own with an indent, in a tenth of the time

from harness.book.schema import design_schema, json_key
from harness.model.design import Design

__all__ = ["design_dict", "design_json", "design_schema"]

SIGNIFICANT_DIGITS = 6  # of a metre, a micrometre: far below what a string or a meter can tell
NOISE = (
    1e-8  # of a volt or an ampere: below it stands what a solve leaves over, not the same on every computer
)

_HALF_CHARACTERS = dict.fromkeys(range(0xD800, 0xE000), "\ufffd")


def sensible(value: float) -> float:
    """Return the number to six significant digits, whole numbers without a tail, 0 for what is only noise.

    Raises ValueError when it is not a finite number: JSON has no word for those.

    >>> sensible(1 / 3)
    0.333333
    """
    if not math.isfinite(value):
        raise ValueError(f"{value} cannot stand in a design: not a finite number")
    if abs(value) < NOISE:
        return 0.0
    return float(f"{value:.{SIGNIFICANT_DIGITS}g}") + 0.0  # adding nought turns -0.0 into 0.0


def plain(value: Any) -> Any:
    """Turn dataclasses, lists and mappings of them into what ``json`` can write, in their own order."""
    if isinstance(value, str):
        return value if value.isascii() else value.translate(_HALF_CHARACTERS)
    if isinstance(value, float):
        return sensible(value)
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    if isinstance(value, dict):
        return {plain(key): plain(item) for key, item in value.items()}
    return {key: plain(getattr(value, name)) for key, name in _keys(type(value))} or value


_KEYS: dict[type, list[tuple[str, str]]] = {}  # worked out once for each kind of value


def _keys(kind: type) -> list[tuple[str, str]]:
    """Key and name of every field of a dataclass; [] of anything else."""
    if kind not in _KEYS:
        named = fields(kind) if is_dataclass(kind) else ()
        _KEYS[kind] = [(json_key(field.name), field.name) for field in named]
    return _KEYS[kind]


def design_dict(design: Design) -> dict[str, Any]:
    """Return the design as plain dicts and lists, numbers to six significant digits.

    Raises ValueError when a number of it is not finite.
    """
    answer = plain(design)
    assert isinstance(answer, dict)
    return answer


def design_json(design: Design) -> str:
    """Return the design as indented JSON text that ends in a newline; same design, same text."""
    return to_json(design_dict(design), indent=1).decode() + "\n"
