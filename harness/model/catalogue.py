"""A shop's own catalogue: what it adds to the published tables, and what it says is not to be had."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class OwnItem:
    """One item somebody added."""

    kind: str  # "grommets"
    words: str  # "hole 27 mm, inside 19 mm"
    group: str  # of the list of materials
    mark: str  # words that its line in the list of materials holds, "" where its source comes another way
    source: str  # "your own catalogue my-items.yaml line 12"


@dataclass(frozen=True, slots=True)
class Catalogue:
    """The tables as they stand with a user's own items in them and without what is not stocked."""

    file: str = ""
    digest: str = ""  # of its text
    rows: Mapping[str, tuple[dict[str, str], ...]] = field(default_factory=dict)  # table -> all its rows
    own: tuple[OwnItem, ...] = ()
    gone: tuple[str, ...] = ()  # in words, what is not stocked
