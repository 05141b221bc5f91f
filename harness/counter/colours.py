"""Colours of wire and plastic as lists write them: words, IEC 60757 and BS AU 7 letters, abbreviations."""

from __future__ import annotations

import re
from functools import cache

from harness.survey.words import COLOUR_LETTERS
from harness.tables import load

EXTRA = {
    "tan": "TN", "clear": "CL", "transparent": "CL", "natural": "CL", "nat": "CL", "org": "OG",
    "orn": "OG", "vio": "VT", "violet": "VT", "lt green": "LG", "light green": "LG", "lt grn": "LG",
    "slt": "GY", "light blue": "LB", "lt blue": "LB", "lt blu": "LB", "brn": "BN", "grn": "GN",
    "blk": "BK",
}  # fmt: skip


@cache
def _known() -> tuple[dict[str, str], dict[str, str]]:
    """Words that are colours wherever they stand, and single letters of BS AU 7 beside a stroke."""
    words = dict(COLOUR_LETTERS) | EXTRA
    single: dict[str, str] = {}
    for row in load("colour_codes").rows:
        letters = row["iec60757"]
        plain = row["colour"].partition(" ")[0] in COLOUR_LETTERS
        if letters and len(letters) == 2 and plain:
            words.setdefault(letters.lower(), letters)
            words.setdefault(row["usual_english_abbrev"].lower(), letters)
            if len(row["bs_au7"]) == 1:
                single.setdefault(row["bs_au7"].lower(), letters)
    words.pop("", None)
    return words, {**single, "lg": "LG"}


@cache
def _patterns() -> tuple[re.Pattern[str], re.Pattern[str], re.Pattern[str]]:
    words, single = _known()
    long = "|".join(sorted(map(re.escape, words), key=len, reverse=True))
    short = "|".join(sorted(single, key=len, reverse=True))
    join = r"\s*(?:/|-|\s+with\s+|\s+w/)\s*"
    return (
        re.compile(rf"(?<![\w/.])({long}){join}({long})(?:\s*(?:stripe|tracer|trace|str))?(?![\w/])"),
        re.compile(rf"(?<![\w/.])({short})\s*/\s*({short})(?![\w/])"),
        re.compile(rf"(?<![\w/.-])({long})(?![\w/-])"),
    )


def colours_in(text: str, *, letters: bool) -> list[tuple[tuple[int, int], str]]:
    """Every colour in a text in small letters: where it stands, and its letters "RD" or "RD/WH".

    letters: whether a single letter of BS AU 7 by itself is a colour too.
    """
    words, single = _known()
    pair, short, one = _patterns()
    found = [(hit.span(), f"{words[hit[1]]}/{words[hit[2]]}") for hit in pair.finditer(text)]
    found += [(hit.span(), f"{single[hit[1]]}/{single[hit[2]]}") for hit in short.finditer(text)]
    if not found:
        found = [(hit.span(), words[hit[1]]) for hit in one.finditer(text)]
    if not found and letters:
        alone = re.compile(rf"(?<![\w/.-])({'|'.join(single)})(?![\w/.-])")
        found = [(hit.span(), single[hit[1]]) for hit in alone.finditer(text)]
    return found


def letters_of_bs(colour: str) -> str:
    """A colour in letters of BS AU 7, "GN/RD" as "G/R"; as it is where one has none.

    >>> letters_of_bs("GN/RD")
    'G/R'
    """
    single = {letters: letter.upper() for letter, letters in _known()[1].items()}
    parts = [single.get(one) for one in colour.split("/")]
    return "/".join(part for part in parts if part) if all(parts) else colour
