"""What a survey says with a question mark: a figure that was taken from a kit or guessed, not measured."""

from __future__ import annotations

from dataclasses import dataclass

from harness.model.problem import Where


@dataclass(frozen=True, slots=True)
class Doubt:
    """One figure that waits to be measured."""

    section: str  # "machine", "zones", "runs", "parts", "circuits", "wires"
    name: str  # of the entry: a zone, a run as its places say, a part; "" in the section machine
    key: str  # "length", "current"
    value: str  # as it is written, without the mark: "1.2 m"
    where: Where

    def __str__(self) -> str:
        return f"{self.key} {self.value} (marked ? in the survey)"
