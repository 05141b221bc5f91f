"""The table of design rules that the guide prints."""

from __future__ import annotations

import harness.rules  # noqa: F401 - loading it fills the register
from harness.rules.register import RULES


def table() -> list[str]:
    """The whole table, heading and all, in the order of the register."""
    head = ["| rule | severity | looks for |", "|---|---|---|"]
    return head + [f"| {rule.name} | {rule.severity} | {rule.summary} |" for rule in RULES.values()]
