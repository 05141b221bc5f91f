"""The words a survey may use where a choice is asked for, and the nearest right word for a wrong one."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import SequenceMatcher, get_close_matches
from functools import cache
from itertools import islice

from harness.signs import WRITING, alike, difference
from harness.tables import load

SAE_CABLES = ("GPT", "TWP", "HDT", "TXL", "GXL", "SXL")  # SAE J1128
SAE_BATTERY_CABLES = ("SGT", "SGX", "STX", "SGR", "STT")  # SAE J1127
ISO_CLASSES = tuple(f"class {letter}" for letter in "ABCDEFGH")  # ISO 6722-1
MOST_COMPARED = 1000  # words looked through for a near one
NEAR = ("exhaust", "edge", "hose", "fuel line")
METALS = {
    "steel": "steel",
    "iron": "iron",
    "cast iron": "iron",
    "aluminium": "aluminium",
    "aluminum": "aluminium",
}
CABLE_ENDS = ("crimped", "soldered", "clamp-on")
HIDDEN = ("fusible link", "breaker", "diode", "resistor", "ballast resistor")
SHRINK = {"yes": "yes", "no": "", "true": "yes", "false": "", "thin": "thin", "adhesive": "adhesive"}
COVERINGS = ("corrugated", "braid", "spiral", "glass", "tape", "none")
SYSTEM_VOLTAGES = (6.0, 12.0, 24.0, 32.0, 36.0, 48.0)

# IEC 60757 letters, and the English words people write for them.
COLOUR_LETTERS = {
    "black": "BK",
    "brown": "BN",
    "red": "RD",
    "orange": "OG",
    "yellow": "YE",
    "green": "GN",
    "blue": "BU",
    "violet": "VT",
    "purple": "VT",
    "grey": "GY",
    "gray": "GY",
    "slate": "GY",
    "white": "WH",
    "pink": "PK",
    "turquoise": "TQ",
}


@cache
def functions() -> tuple[str, ...]:
    """The functions a circuit may have: the rows of the colour table."""
    return tuple(row["function"] for row in load("colour_functions").rows)


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word most like ``word``, whatever the capitals; None when none is like it."""
    by_lower = {each.lower(): each for each in islice(known, MOST_COMPARED)}
    near = get_close_matches(word.lower(), by_lower, 1, 0.6)
    return by_lower[near[0]] if near else None


def likeness(word: str, other: str) -> float:
    """How much two words are alike, whatever the capitals: 1 where they are the same."""
    return SequenceMatcher(None, word.lower(), other.lower()).ratio()


def did_you_mean(word: str, near: str) -> str:
    """The question after a near word; of one that looks the same it tells what is not."""
    if alike(word) != alike(near) or word == near:
        return f"did you mean {near!r}?"
    by = difference(word, near)
    return f"did you mean {near!r}? " + (f"Only {by} differ." if by == WRITING else f"What differs is {by}.")


def listed(known: Iterable[str], most: int = 12) -> str:
    """The first few of the known words, for a message."""
    words = list(known)
    text = ", ".join(words[:most])
    return f"{text}, ..." if len(words) > most else text


def hint(word: str, known: Iterable[str], none: str = "leave it out") -> str:
    """ "did you mean 'x'?", or the known words, or ``none`` when there are none."""
    words = list(known)
    near = nearest(word, words)
    if near is not None:
        return did_you_mean(word, near)
    return f"known are: {listed(words)}" if words else none
