"""Where the band of a test comes from, in the words of the published tables."""

from __future__ import annotations

from harness.tables import load


def accepted_by(test: str) -> str:
    """The source of a row of ``test_acceptance``, with its certainty. Raises NotInTable."""
    rows = load("test_acceptance")
    return str(rows.cite(rows.row("test", test)))
