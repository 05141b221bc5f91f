"""What the chapters of the shop book are made of: plain values, the same for the page and for paper.

A new kind of block is one class here, one macro in ``pages/blocks.html.j2`` and one function in
``pages/book.typ``. Every text of a survey goes through as data.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from harness.commissioning.trial import Step, Test
from harness.lists.cutlist import CutLine, Spool
from harness.lists.hookup import HookPart
from harness.model.design import Wire

Role = Literal["", "wire", "wires", "colour", "part", "tick", "number", "write"]


@dataclass(frozen=True, slots=True)
class Warning_:
    """A caution: stands before what it is about."""

    texts: tuple[str, ...]
    title: str = "Caution"
    numbered: bool = False
    kind: Literal["warning"] = "warning"


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph, or a heading inside a chapter."""

    text: str
    heading: bool = False
    screen: bool = False  # of no use on paper
    kind: Literal["words"] = "words"


@dataclass(frozen=True, slots=True)
class Facts:
    """Names with what they come to."""

    rows: tuple[tuple[str, str], ...]
    title: str = ""
    kind: Literal["facts"] = "facts"


@dataclass(frozen=True, slots=True)
class Head:
    """The head of a column, and what its cells are."""

    title: str
    role: Role = ""


@dataclass(frozen=True, slots=True)
class Line:
    """One row of a grid; a heading has one text only."""

    cells: tuple[str, ...]
    heading: bool = False
    look: str = ""  # "danger", "fault" or ""
    key: str = ""  # of its tick


@dataclass(frozen=True, slots=True)
class Grid:
    """A table. With ``cards`` each row is a card of names and values: for rows too long for a page."""

    columns: tuple[Head, ...]
    rows: tuple[Line, ...]
    title: str = ""
    cards: bool = False
    kind: Literal["grid"] = "grid"


@dataclass(frozen=True, slots=True)
class Found:
    """One finding as the book shows it."""

    severity: str
    subject: str
    text: str
    cure: str
    source: str
    where: str
    key: str


@dataclass(frozen=True, slots=True)
class Findings:
    """All findings, worst first."""

    found: tuple[Found, ...]
    kind: Literal["findings"] = "findings"


@dataclass(frozen=True, slots=True)
class CutPiece:
    """One piece of the cut list with what the book adds: its colour in words, fuse, way and place."""

    line: CutLine
    colour: str
    words: str
    size: str
    cable: str
    fuse: str
    runs: str
    carries: str
    find: str


@dataclass(frozen=True, slots=True)
class CutSpool:
    """One spool of the cut list."""

    spool: Spool
    words: str
    pieces: tuple[CutPiece, ...]


@dataclass(frozen=True, slots=True)
class Cuts:
    """The cut list."""

    spools: tuple[CutSpool, ...]
    kept: tuple[Wire, ...] = ()  # old wires that stay
    kind: Literal["cuts"] = "cuts"


@dataclass(frozen=True, slots=True)
class Hooks:
    """What lands where, part by part, in groups by place."""

    places: tuple[tuple[str, tuple[HookPart, ...]], ...]
    kind: Literal["hooks"] = "hooks"


@dataclass(frozen=True, slots=True)
class Readings:
    """Readings under one head, with the mode the machine has to be in."""

    title: str
    rows: tuple[Test, ...]
    note: str = ""
    kind: Literal["readings"] = "readings"


@dataclass(frozen=True, slots=True)
class Steps:
    """A procedure."""

    steps: tuple[Step, ...]
    kind: Literal["steps"] = "steps"


@dataclass(frozen=True, slots=True)
class Plate:
    """One drawing, a sheet at a time: each a whole SVG."""

    key: str
    title: str
    about: str
    sheets: tuple[str, ...]
    kind: Literal["plate"] = "plate"


@dataclass(frozen=True, slots=True)
class Terms:
    """Words and what they mean."""

    rows: tuple[tuple[str, str], ...]
    kind: Literal["terms"] = "terms"


Block = Warning_ | Words | Facts | Grid | Findings | Cuts | Hooks | Readings | Steps | Plate | Terms


@dataclass(frozen=True, slots=True)
class Chapter:
    """One chapter: a short key that never changes, its title, and what stands in it."""

    key: str
    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Book:
    """The whole book."""

    machine: str
    system: str  # "12 V, negative post on the chassis"
    digest: str  # of the survey, with its revision where it has one
    file: str
    program: str
    letter: bool  # gauges are bought where letter paper is
    chapters: tuple[Chapter, ...]
    colours: dict[str, str] = field(default_factory=dict)  # code -> words
