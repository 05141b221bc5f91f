"""The design as JSON for other programs: the same fields, units and order as ``harness.model.design``."""

from __future__ import annotations

import json
import math
from dataclasses import fields, is_dataclass
from typing import Any

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
    if is_dataclass(value) and not isinstance(value, type):
        return {json_key(field.name): plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, dict):
        return {plain(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    if isinstance(value, float):
        return sensible(value)
    if isinstance(value, str):
        return value.translate(_HALF_CHARACTERS)
    return value


def design_dict(design: Design) -> dict[str, Any]:
    """Return the design as plain dicts and lists, numbers to six significant digits.

    Raises ValueError when a number of it is not finite.
    """
    answer = plain(design)
    assert isinstance(answer, dict)
    return answer


def design_json(design: Design) -> str:
    """Return the design as indented JSON text that ends in a newline; same design, same text."""
    return json.dumps(design_dict(design), ensure_ascii=False, allow_nan=False, indent=1) + "\n"
