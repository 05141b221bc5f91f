"""The YAML text a workbook was made from, kept in it line by line, so that remarks and order come back."""

from __future__ import annotations

import re
from collections.abc import Iterable
from hashlib import sha256

TITLE = "As typed"
HEAD = (
    "The survey as it was typed, kept for its remarks. Do not edit; without this sheet the remarks are lost."
)
LONGEST = 30_000  # letters in one cell, of 32,767 that the format allows
BEGINS, GOES_ON = "|", "+"  # first sign of a line, and of what did not fit into its cell
_ESCAPE = re.compile(r"\\u\{([0-9a-f]+)\}|\\\\")
# No XML text keeps these, and a cell might read _x0041_ as a letter.
_ODD = re.compile("\\\\|[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]|_(?=x)")


def digest(text: str) -> str:
    """What tells one text from another."""
    return sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def _escaped(text: str) -> str:
    return _ODD.sub(lambda found: "\\\\" if found[0] == "\\" else f"\\u{{{ord(found[0]):x}}}", text)


def _unescaped(text: str) -> str:
    return _ESCAPE.sub(lambda found: chr(int(found[1], 16)) if found[1] else "\\", text)


def rows_of(text: str) -> list[str]:
    """The cells of the first column: a remark, the digest, then the text."""
    rows = [HEAD, digest(text)]
    for line in text.split("\n"):
        whole = _escaped(line)
        for start in range(0, max(1, len(whole)), LONGEST):
            rows.append((GOES_ON if start else BEGINS) + whole[start : start + LONGEST])
    return rows


def text_of(rows: Iterable[str]) -> str | None:
    """The text again; None where the sheet is not what was written."""
    cells = list(rows)
    if len(cells) < 3:
        return None
    said, rest = cells[1], cells[2:]
    lines: list[str] = []
    for cell in rest:
        if cell.startswith(BEGINS):
            lines.append(cell[1:])
        elif cell.startswith(GOES_ON) and lines:
            lines[-1] += cell[1:]
        elif cell:
            return None
    try:
        text = "\n".join(map(_unescaped, lines))
    except (ValueError, OverflowError):
        return None
    return text if digest(text) == said.strip() else None
