"""Fuse ways that nothing hangs on yet: each is labelled, so that nobody takes it for one in use."""

from __future__ import annotations

from collections.abc import Iterable

from harness.model.design import PartResult
from harness.model.spares import PanelWays

LABEL = "SPARE"


def panel_ways(parts: Iterable[PartResult]) -> list[PanelWays]:
    """Return every fuse panel with its ways, and those of them that no wire leaves."""
    found = []
    for part in parts:
        ways = [link.b for link in part.links if link.kind == "fuse"]
        if part.role == "fuse" and len(ways) > 1:
            wired = {use.terminal for use in part.terminals if use.wires}
            spare = [way for way in ways if way not in wired]
            found.append(PanelWays(part.name, part.place, len(ways), spare, LABEL))
    return found
