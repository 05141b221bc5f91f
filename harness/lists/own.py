"""Says of a line of materials that it is an item of the user's own catalogue, and where it stands there."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from harness.model.catalogue import OwnItem
from harness.model.design import Material


def _is_of(line: Material, item: OwnItem) -> bool:
    """Whether a line is of that item: of its group, with its words and no longer ones in their place."""
    if not item.mark or line.group != item.group:
        return False
    return re.search(rf"(?<![\w.]){re.escape(item.mark)}(?![\w.])", line.item) is not None


def with_own_sources(lines: Sequence[Material], items: Sequence[OwnItem]) -> list[Material]:
    """The same lines, with the user's catalogue named as the source of what is out of it."""
    found = []
    for line in lines:
        sources = dict.fromkeys(item.source for item in items if _is_of(line, item))
        found.append(replace(line, source="; ".join([line.source, *sources])) if sources else line)
    return found
