"""The survey as a tree of texts, lists and mappings, each knowing where in the file it stands."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from typing import Any

from harness.model.problem import Where

Plain = str | list[Any] | dict[str, Any]


@dataclass(frozen=True, slots=True)
class Spot:
    """A line and column of the file, counted from 1; in a workbook also the cell, and where its sheet is."""

    line: int
    column: int
    cell: str = ""  # "Parts!C14"
    sheet: int = 0

    def where(self, file: str, *, whole: bool = False) -> Where:
        """The same as a problem tells it; ``whole``: of the file as such."""
        return Where(file) if whole else Where(file, self.line, self.column, self.cell, self.sheet)


@dataclass(frozen=True, slots=True)
class Text:
    """One scalar: its text as YAML reads it, where it starts, and how it was written."""

    value: str
    spot: Spot
    raw: str  # the very characters in the file, quotes included
    weight: int = 1

    def at(self, offset: int) -> Spot:
        """Where the character ``offset`` of the text stands in the file.

        Text over several lines and text in quotes is followed as long as it was written without escapes;
        otherwise the start of the scalar is given. In a workbook it is the cell.
        """
        if self.spot.cell:
            return self.spot
        wanted = len("".join(self.value[:offset].split()))
        if "".join(self.value.split()) not in "".join(self.raw.split()):
            return self.spot
        skip = "".join(self.raw.split()).index("".join(self.value.split()))
        line, column, seen = self.spot.line, self.spot.column, 0
        for letter in self.raw:
            if not letter.isspace():
                if seen == wanted + skip:
                    return Spot(line, column)
                seen += 1
            line, column = (line + 1, 1) if letter == "\n" else (line, column + 1)
        return Spot(line, column)


@dataclass(frozen=True, slots=True)
class Entry:
    """One key of a mapping and what it holds."""

    key: Text
    value: Node


@dataclass(frozen=True, slots=True)
class Mapping:
    """A mapping, its entries by key in the order of the file; of a key that stood twice, the first."""

    entries: dict[str, Entry]
    spot: Spot
    weight: int = 1


@dataclass(frozen=True, slots=True)
class Sequence:
    """A list."""

    items: tuple[Node, ...]
    spot: Spot
    weight: int = 1


Node = Text | Mapping | Sequence


class Word(str):
    """A text that remembers the scalar it was read from; equal to, and hashed like, the plain text."""

    __slots__ = ("text",)
    text: Text

    def __new__(cls, value: str, text: Text) -> Word:
        word = super().__new__(cls, value)
        word.text = text
        return word

    @property
    def spot(self) -> Spot:
        """Where it starts."""
        return self.text.spot


# every sign of Unicode's class of spaces (Zs)
_SPACES = dict.fromkeys((0xA0, 0x1680, *range(0x2000, 0x200B), 0x202F, 0x205F, 0x3000), " ")


def canonical(name: str) -> str:
    """A name as it is compared: composed letters, one plain space between words, none around.

    A space that does not break or is as wide as a letter is a space: paths are parted at it all the same.
    """
    spaced = unicodedata.normalize("NFC", name).translate(_SPACES)
    return " ".join(part for part in spaced.split(" ") if part)


def plain(node: Node) -> Plain:
    """The same tree as dicts, lists and words; keys in their canonical form."""
    if isinstance(node, Text):
        return Word(node.value, node)
    if isinstance(node, Sequence):
        return [plain(item) for item in node.items]
    return {Word(key, entry.key): plain(entry.value) for key, entry in node.entries.items()}


def find(node: Node, way: tuple[str | int, ...]) -> tuple[Node, Text | None]:
    """Follow ``way`` as far as the tree goes; the last node reached and the key it stands under, if any."""
    key: Text | None = None
    for step in way:
        if isinstance(node, Mapping) and (entry := node.entries.get(str(step))):
            node, key = entry.value, entry.key
        elif isinstance(node, Sequence) and isinstance(step, int) and step < len(node.items):
            node, key = node.items[step], None
        else:
            break
    return node, key
