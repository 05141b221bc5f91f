"""Letters for print: those of the faces that Typst brings; all others by their number, never blank.

``letters.csv`` holds the character maps of Libertinus Serif, New Computer Modern and DejaVu Sans Mono
as they are built into Typst 0.15 (read from the fonts). The typesetter is held against it in the tests.
"""

from __future__ import annotations

import csv
import re
import unicodedata
from functools import cache
from importlib.resources import files


@cache
def _foreign() -> re.Pattern[str]:
    """Any letter that no face has."""
    text = files(__package__).joinpath("letters.csv").read_text(encoding="ascii")
    rows = csv.DictReader(text.splitlines())
    known = "".join(f"\\U{int(row['first'], 16):08x}-\\U{int(row['last'], 16):08x}" for row in rows)
    # the mark of byte order is in the faces' maps, and PDF/UA-1 forbids it in a text
    return re.compile(f"[^\\t\\n{known}]|\ufeff")


def _number(letter: str) -> str:
    if unicodedata.category(letter) == "Cf":
        return ""  # joins or turns what stands beside it, and shows nothing by itself
    return f"[U+{ord(letter):04X}]"


def printable(text: str) -> str:
    """Return the text with every letter that the faces lack as its number in Unicode.

    >>> printable("Walze 压, 12 Ω")
    'Walze [U+538B], 12 Ω'
    """
    return text if text.isascii() else _foreign().sub(lambda found: _number(found[0]), text)


def drawable(text: str) -> str:
    """Return the text of a drawing with marks over letters by their numbers, the first of a row of them.

    The typesetter sets a mark with its letter where it sets text itself; in a drawing it seeks a face for
    both together, finds none, and refuses the whole document.

    >>> drawable("x\u0302 e\u0301")
    'x[U+0302] é'
    """
    return text if text.isascii() else _MARKABLE.sub(_with_marks, unicodedata.normalize("NFC", text))


_MARKABLE = re.compile(r"[^\x00-\x7f]+")  # most of a drawing is plain ASCII, and no mark is


def _with_marks(found: re.Match[str]) -> str:
    done: list[str] = []
    marked = False
    for letter in found[0]:
        mark = unicodedata.category(letter) in ("Mn", "Me")
        if mark and not marked:
            done.append(f"[U+{ord(letter):04X}]")
        elif not mark and letter != "\u200d":  # the joiner of letters none of which any face has
            done.append(letter)
        marked = mark
    return "".join(done)


def missing(text: str) -> str:
    """Return the letters of a text that can only be printed by their numbers, each once, in order.

    >>> missing("压路机 压")
    '压路机'
    """
    found = dict.fromkeys(_foreign().findall(text))
    return "".join(letter for letter in found if unicodedata.category(letter) != "Cf")
