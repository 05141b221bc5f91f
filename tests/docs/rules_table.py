"""The table of design rules that the guide prints."""

from __future__ import annotations

from harness.rules import register


def table() -> list[str]:
    """The whole table, heading and all, in the order of the register."""
    head = ["| rule | severity | looks for | what helps |", "|---|---|---|---|"]
    return head + [
        f"| {name} | {severity} | {summary} | {cure} |" for name, severity, summary, _, cure in register()
    ]
