"""Numbers, units and anchors as the book writes them, on the page and on paper alike."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from harness.book.data import sensible
from harness.model.design import Design

UNITS = {"ohm": "Ω", "Mohm": "MΩ"}


def number(value: float) -> str:
    """Write a number as a meter shows it, without needless digits.

    >>> number(0.63999), number(12.0)
    ('0.64', '12')
    """
    return f"{sensible(float(f'{value:.3g}')):g}"


def unit(name: str) -> str:
    """Write a unit with its sign."""
    return UNITS.get(name, name)


def _once(letter: str, names: Iterable[str]) -> dict[str, str]:
    listed = list(names)
    many = Counter(listed)
    return {name: f"{letter}{at}" for at, name in enumerate(listed) if many[name] == 1}


def anchors(design: Design) -> tuple[dict[str, str], dict[str, str]]:
    """Return what links to wires and to parts lead to; a name that two things bear leads nowhere."""
    parts = [part.name for part in design.parts] + [splice.name for splice in design.splices]
    return _once("w", (wire.number for wire in (*design.wires, *design.spares))), _once("p", parts)
