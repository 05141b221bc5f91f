"""Where the band of a test comes from, in the words of the published tables."""

from __future__ import annotations

from harness.tables import load

ISOLATION_MOHM = 1.0  # test_acceptance, "isolation of a subsystem": 1 minimum, of each circuit too
LEAD_OHM = 0.1  # test_acceptance, "continuity of a short lead": 0.10 maximum; a common meter's last digit


def accepted_by(test: str) -> str:
    """The source of a row of ``test_acceptance``, with its certainty. Raises NotInTable."""
    rows = load("test_acceptance")
    return str(rows.cite(rows.row("test", test)))
