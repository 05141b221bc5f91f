"""The list that every step of resolving a survey writes its problems into."""

from __future__ import annotations

from dataclasses import dataclass, field

from harness.model.doubts import Doubt
from harness.model.problem import Problem, Where, stop_when_many
from harness.survey.located import Node, Spot, Word, canonical, find
from harness.survey.mending import Damage


@dataclass(slots=True)
class Ledger:
    """Collects problems; knows the file, the located tree and what had to be mended."""

    file: str
    root: Node
    damage: Damage
    problems: list[Problem] = field(default_factory=list)
    doubts: tuple[Doubt, ...] = ()

    def where(self, word: str | Spot) -> Where:
        """The spot of a word, or the file as a whole for a text that did not come out of it."""
        spot = word.spot if isinstance(word, Word) else word
        return spot.where(self.file) if isinstance(spot, Spot) else Where(self.file)

    def say(self, word: str | Spot, what: str, fix: str) -> None:
        """Write one problem down; raises SurveyWrong when there are so many that the rest can wait."""
        self.problems.append(Problem(self.where(word), what, fix))
        stop_when_many(self.file, self.problems)

    def at_key(self, *way: str | int) -> Spot:
        """Where the key at the end of ``way`` stands, else what holds it."""
        node, key = find(self.root, way)
        return key.spot if key is not None else node.spot

    def stands(self, *way: str) -> bool:
        """Whether the survey has that key, even if what it holds could not be read."""
        key = find(self.root, way)[1]
        return key is not None and canonical(key.value) == way[-1]

    def at_value(self, *way: str | int) -> Spot:
        """Where the value at the end of ``way`` stands."""
        return find(self.root, way)[0].spot
