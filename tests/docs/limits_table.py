"""The tables of limits that the guide prints: what is read, and what figures may be."""

from __future__ import annotations

from harness.model.limits import LIMITS
from harness.survey.measures import BASE_UNITS, MEASURES


def table() -> list[str]:
    """Every limit of what is read, in the order of the data."""
    head = ["| of | what | at most | because |", "|---|---|---:|---|"]
    return head + [f"| {one.of} | {one.what} | {one} | {one.why} |" for one in LIMITS.values()]


def measures() -> list[str]:
    """Least and most of every figure of a survey that has a unit."""
    head = ["| figure | least | most | written as |", "|---|---:|---:|---|"]
    rows = []
    for _, one in sorted(MEASURES.items()):
        unit = BASE_UNITS[one.dimension][0]
        rows.append(f"| {one.words} | {one.least:,.12g} {unit} | {one.most:,.12g} {unit} | `{one.example}` |")
    return head + rows
