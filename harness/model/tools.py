"""What has to lie on the bench to build the loom: tools, as the fit-out calls for them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Tool:
    """One tool, or one die of a tool."""

    what: str
    size: str  # "" where it has none
    why: str
    used_on: list[str]  # wire numbers, splices, runs or parts
    source: str
