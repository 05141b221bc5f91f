"""The paths of a kit taken apart: names, signs, and the words that stand for what each machine has."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from harness.kinds import Kind

GROUND = "ground"  # the nearest ground point where the part before it sits
FEEDS = {"battery feed": "panel", "key feed": "key panel"}  # a free fuse way of that panel
CABLE_STUD = "cable stud"  # where the battery cable lands at the starter, or at the switch before it
SIDES = ("live", "chassis")  # "battery live": the post that is not on the chassis
_SIGNS = re.compile(r"([>(),])")


@dataclass(frozen=True, slots=True)
class Token:
    """A sign or the words between two."""

    text: str
    at: int  # where it starts in the path

    @property
    def is_sign(self) -> bool:
        return self.text in (">", "(", ")", ",")

    @property
    def is_spot(self) -> bool:
        """Whether it says where a joint is: "at front left"."""
        return self.text.startswith("at ")


def tokens(path: str) -> list[Token]:
    """The signs and words of a path, blanks left out."""
    found, at = [], 0
    for piece in _SIGNS.split(path):
        text = piece.strip()
        if text:
            found.append(Token(text, at + len(piece) - len(piece.lstrip())))
        at += len(piece)
    return found


def split_item(text: str, names: Iterable[str]) -> tuple[str, str]:
    """A part's name and the terminals behind it: "key 30/15" -> ("key", "30/15"); "" for no known part."""
    best = ""
    for name in names:
        if (text == name or text.startswith(f"{name} ")) and len(name) > len(best):
            best = name
    return best, text[len(best) :].strip() if best else ""


def before(found: list[Token], at: int) -> Token | None:
    """The words that current comes from before the token at ``at``: of a bracket its last."""
    at -= 1
    while at >= 0:
        if found[at].text == ",":  # a branch that starts here comes from before its bracket
            depth = 1
            while at > 0 and depth:
                at -= 1
                depth += {")": 1, "(": -1}.get(found[at].text, 0)
        elif not found[at].is_sign and not found[at].is_spot:
            return found[at]
        at -= 1
    return None


def rewritten(path: str, change: Callable[[list[Token], int], str]) -> str:
    """The path with every word exchanged for what ``change`` makes of it, evenly spaced."""
    found = tokens(path)
    text = ""
    for at, token in enumerate(found):
        word = token.text if token.is_sign else change(found, at)
        if token.text == ">":
            text += " > "
        elif token.text == ",":
            text += ", "
        elif token.is_spot:
            text += f" {word}"
        else:
            text += word
    return text


def wrong_terminal(kind: Kind, terminals: str) -> str:
    """The terminal a part does not have, "" when all are right."""
    known = {each.name for each in kind.terminals} | set(SIDES)
    if kind.pins or kind.ways or kind.couple is not None:
        return ""
    return next((each for each in terminals.split("/") if each and each not in known), "")
