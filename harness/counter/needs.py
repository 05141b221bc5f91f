"""What one or several machines need, out of their design data: one need for each material."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from harness.model.limits import LIMITS
from harness.model.pricing import Need, Unit
from harness.model.problem import Problem, SurveyWrong, Where

MOST_BYTES = LIMITS["design bytes"].most
COUNTED_IN_SIZE = ("heat-shrink", "covering")  # their size says how many pieces there are


def design_data(content: bytes, file: str) -> dict[str, Any]:
    """The data in a design.json. Raises SurveyWrong where it is none that needs can be taken from."""
    fix = "make it anew with `harness build`, or name the survey itself"
    try:
        if len(content) > MOST_BYTES:
            raise ValueError
        data = json.loads(content.decode("utf-8-sig"))
        needs_of([("", data)])
    except (ValueError, KeyError, TypeError, AttributeError, ArithmeticError, RecursionError):
        what = "is no design data that materials can be read from"
        raise SurveyWrong([Problem(Where(file), what, fix)]) from None
    found: dict[str, Any] = data
    return found


def _exact(value: Any) -> Decimal:
    """A number of the data as it is written there."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError(value)
    number = Decimal(repr(value))
    if not number.is_finite() or number < 0:
        raise ValueError(value)
    return number


def _pieces(buying: Iterable[Mapping[str, Any]]) -> dict[str, list[tuple[str, Decimal]]]:
    """Pieces to cut from what is bought, by material; what comes off the shelf is left out."""
    return {
        str(line["key"]): [
            (str(piece["name"]), _exact(piece["length_m"]))
            for cut in line["cuts"]
            if not cut.get("shelf")
            for piece in cut["pieces"]
        ]
        for line in buying
        if line["unit"] == "m"
    }


def needs_of(designs: Sequence[tuple[str, Mapping[str, Any]]]) -> tuple[Need, ...]:
    """Every material of all machines once, in the order met; designs: a machine's name and its design data.

    What is cut has its pieces and their sum as amount, the rest the count with its spares.
    """
    found: dict[str, Need] = {}
    for machine, data in designs:
        pieces = _pieces(data["buying"])
        for line in data["materials"]:
            key = str(line["key"])
            mine = tuple(pieces.get(key, ()))
            amount = sum((length for _, length in mine), Decimal(0)) if mine else _exact(line["with_waste"])
            unit: Unit = "m" if line["unit"] == "m" else "each"
            known = found.get(key)
            size = "" if _counted_in_size(line) else str(line["size"])
            if known is None:
                words = (str(line["group"]), str(line["item"]), size, str(line["colour"]))
                found[key] = Need(key, *words, unit, amount, mine, {machine: amount})
                continue
            total = known.amount + amount
            share = {**known.by_machine, machine: known.by_machine.get(machine, Decimal(0)) + amount}
            found[key] = Need(
                key, known.group, known.item, known.size, known.colour, unit, total,
                (*known.pieces, *mine), share,
            )  # fmt: skip
    return tuple(found.values())


def _counted_in_size(line: Mapping[str, Any]) -> bool:
    return line["group"] in COUNTED_IN_SIZE or (line["group"] == "grommets" and line["unit"] == "m")
