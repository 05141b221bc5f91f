"""Taking values out of a located tree, with every mistake noted at its line and column."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from harness.model.problem import Problem, Where, stop_when_many
from harness.survey.located import Entry, Mapping, Node, Sequence, Spot, Text, canonical
from harness.survey.words import hint


@dataclass(slots=True)
class Tree:
    """One file being read: its name, and what is wrong with it."""

    file: str
    problems: list[Problem] = field(default_factory=list)

    def where(self, spot: Spot) -> Where:
        return Where(self.file, spot.line, spot.column)

    def say(self, spot: Spot, what: str, fix: str) -> None:
        """Note one mistake; raises SurveyWrong when there are very many."""
        self.problems.append(Problem(self.where(spot), what, fix))
        stop_when_many(self.file, self.problems)

    def entries(self, node: Node, owner: str) -> dict[str, Entry]:
        """The entries of a mapping; anything else is a mistake."""
        if isinstance(node, Mapping):
            return node.entries
        if not (isinstance(node, Text) and not node.value):
            self.say(node.spot, f"{owner} must be keys, each with its value", "write 'key: value' below it")
        return {}

    def known(self, entries: dict[str, Entry], keys: tuple[str, ...], owner: str) -> None:
        """Complain of every key that means nothing here."""
        for key, entry in entries.items():
            if key not in keys:
                self.say(entry.key.spot, f"{owner} has no key {key!r}", hint(key, keys))

    def text(self, entries: dict[str, Entry], key: str, owner: str, spot: Spot, *, needed: str = "") -> str:
        """One line of text; with ``needed`` (an example) it must be there."""
        entry = entries.get(key)
        if entry is None:
            if needed:
                self.say(spot, f"{owner} does not say {key!r}", f"write {key}: {needed}")
            return ""
        return self.line(entry.value, f"{key!r} of {owner}")

    def line(self, node: Node, owner: str) -> str:
        if isinstance(node, Text) and node.value.strip():
            return canonical(" ".join(node.value.split()))
        self.say(node.spot, f"{owner} must be one line of text", "write it after the colon")
        return ""

    def lines(self, entries: dict[str, Entry], key: str, owner: str) -> list[str]:
        """One text or a list of them."""
        return [text for text, _ in self.words(entries, key, owner)]

    def words(self, entries: dict[str, Entry], key: str, owner: str) -> Iterator[tuple[str, Text]]:
        """One text or a list of them, each with its spot."""
        entry = entries.get(key)
        if entry is None:
            return
        items = entry.value.items if isinstance(entry.value, Sequence) else (entry.value,)
        for item in items:
            text = self.line(item, f"{key!r} of {owner}")
            if text and isinstance(item, Text):
                yield text, item
