"""One step of the assembly before it has its number, and the names of the stages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

Stage = Literal["on the board", "on the machine", "at the end"]
BOARD: Stage = "on the board"
MACHINE: Stage = "on the machine"
LAST: Stage = "at the end"


@dataclass(frozen=True, slots=True)
class Draft:
    """One step: where, what to do, with which wires, what to beware of."""

    stage: Stage
    loom: str
    where: str
    what: str
    wires: list[str] = field(default_factory=list)
    caution: str = ""
    source: str = "from the design"


def words(names: Sequence[str]) -> str:
    """Write names as a person lists them.

    >>> words(["a", "b", "c"])
    'a, b and c'
    """
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"
