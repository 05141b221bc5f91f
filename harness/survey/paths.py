"""The grammar of a path: names parted by ``>``, branches in parentheses; text in, a tree with offsets out.

path   = item { ">" item }
item   = name | branch
branch = "(" path "," path { "," path } ")" [ "at" place ]
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from harness.model.limits import LIMITS

DEEPEST_BRANCH = LIMITS["branch depth"].most
_TOKEN = re.compile(r"[>(),]|[^>(),]+")
_AT = re.compile(r"\s*at\s+(?P<place>.*\S)\s*", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Ref:
    """A name as written: a body, or a part with the terminals it is reached by."""

    text: str
    offset: int


@dataclass(frozen=True, slots=True)
class Branch:
    """Alternatives that part from one joint, or meet in one."""

    chains: tuple[Chain, ...]
    place: Ref | None
    offset: int


Item = Ref | Branch


@dataclass(frozen=True, slots=True)
class Chain:
    """Items in the order the current takes, a wire between each two."""

    items: tuple[Item, ...]
    offset: int


class PathWrong(ValueError):
    """A path that does not follow the grammar; ``offset`` says where in its text."""

    def __init__(self, offset: int, what: str, fix: str) -> None:
        super().__init__(what)
        self.offset = offset
        self.what = what
        self.fix = fix


@dataclass(frozen=True, slots=True)
class _Token:
    text: str
    offset: int


class _Reader:
    """Reads tokens from left to right."""

    def __init__(self, text: str) -> None:
        self._tokens = [
            _Token(found[0], found.start()) for found in _TOKEN.finditer(text) if found[0].strip()
        ]
        self._at = 0
        self._end = len(text)

    def peek(self) -> str:
        """What comes next: one of the signs, "name", or "" at the end."""
        if self._at == len(self._tokens):
            return ""
        text = self._tokens[self._at].text
        return text if text in ">()," else "name"

    def offset(self) -> int:
        """Where the next token stands, without the spaces before it."""
        if self._at == len(self._tokens):
            return self._end
        token = self._tokens[self._at]
        return token.offset + len(token.text) - len(token.text.lstrip())

    def take(self) -> _Token:
        token = self._tokens[self._at]
        self._at += 1
        return token


def with_signs(text: str) -> str:
    """A path with the arrow that some programs make of "-->" as the sign it stands for, letter for letter."""
    return text.replace("→", ">")


def parse(text: str) -> Chain:
    """Read a path; raises PathWrong at the first thing that does not follow the grammar."""
    reader = _Reader(with_signs(text))
    chain = _chain(reader, 0)
    sign = reader.peek()
    if sign == ")":
        raise PathWrong(reader.offset(), "a parenthesis closes here that was never opened", "leave it out")
    if sign == ",":
        raise PathWrong(
            reader.offset(), "a comma stands outside parentheses", "write branches as (this, that)"
        )
    if sign:
        raise PathWrong(reader.offset(), "'>' is missing before this", "write '>' between the two")
    if len(chain.items) == 1:
        raise PathWrong(chain.offset, "a path needs at least two things to join", "write A > B")
    return chain


def _chain(reader: _Reader, depth: int) -> Chain:
    offset = reader.offset()
    items = [_item(reader, depth)]
    while reader.peek() == ">":
        reader.take()
        items.append(_item(reader, depth))
    return Chain(tuple(items), offset)


def _item(reader: _Reader, depth: int) -> Item:
    sign = reader.peek()
    if sign == "name":
        offset = reader.offset()
        return Ref(" ".join(reader.take().text.split()), offset)
    if sign == "(":
        return _branch(reader, depth + 1)
    found = f"{sign!r} stands" if sign else "the path ends"
    raise PathWrong(reader.offset(), f"{found} where a part or body belongs", "write a name there")


def _branch(reader: _Reader, depth: int) -> Branch:
    offset = reader.offset()
    if depth > DEEPEST_BRANCH:
        raise PathWrong(offset, f"branches are nested more than {DEEPEST_BRANCH} deep", "write several paths")
    reader.take()
    chains = [_chain(reader, depth)]
    while reader.peek() == ",":
        reader.take()
        chains.append(_chain(reader, depth))
    if reader.peek() != ")":
        if reader.peek():
            raise PathWrong(reader.offset(), "'>' or ',' is missing before this", "write (A > B, C)")
        raise PathWrong(offset, "this parenthesis is never closed", "close it with ')'")
    reader.take()
    if len(chains) == 1:
        raise PathWrong(
            offset, "a branch leads to two ends at least", "write (A, B), or leave the parentheses out"
        )
    return Branch(tuple(chains), _place(reader), offset)


def _place(reader: _Reader) -> Ref | None:
    """The ``at PLACE`` after a branch, if there is one."""
    if reader.peek() != "name":
        return None
    token = reader.take()
    found = _AT.fullmatch(token.text)
    if found is None:
        offset = token.offset + len(token.text) - len(token.text.lstrip())
        raise PathWrong(
            offset,
            f"{token.text.strip()!r} cannot follow a branch",
            "write '>' before it, or 'at' and a place",
        )
    return Ref(" ".join(found["place"].split()), token.offset + found.start("place"))
