"""Signs that nobody sees in a text, and names that look alike: one rule for every reader and every output."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from json import dumps
from math import isfinite
from typing import Any

# Controls, halves of letters, ends of lines that no editor shows, what is no letter at all; and every sign of
# Unicode's property Default_Ignorable_Code_Point (UAX #44, DerivedCoreProperties.txt), which shows nothing by
# itself: soft hyphens, spaces without width, what turns writing round, tags, selectors, fillers.
_UNSEEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\u2028\u2029\ufdd0-\ufdef\ufffe\uffff"
    + "".join(f"{chr(plane << 16 | 0xFFFE)}{chr(plane << 16 | 0xFFFF)}" for plane in range(1, 17))
    + "\xad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b-\u200f\u202a-\u202e\u2060-\u206f\u3164"
    "\ufe00-\ufe0f\ufeff\uffa0\ufff0-\ufff8\U0001bca0-\U0001bca3\U0001d173-\U0001d17a\U000e0000-\U000e0fff]"
)
_JOINERS = "\u200c\u200d"  # Persian, the scripts of India and signs made of several cannot be written without
_FORMS = "\ufe0e\ufe0f"  # a sign as text, or in colours
_JOINED = frozenset({"Lo", "Mn", "Mc", "So", "Sk"})  # letters without capitals, their marks, pictures
_KEYCAP, _KEYS = "\u20e3", frozenset("0123456789#*")

# Controls have no name in Unicode's own list; these are its aliases (NameAliases.txt) of those that are met.
_CONTROLS = {
    0x00: "NULL", 0x07: "ALERT", 0x08: "BACKSPACE", 0x0B: "LINE TABULATION", 0x0C: "FORM FEED",
    0x0D: "CARRIAGE RETURN", 0x1B: "ESCAPE", 0x7F: "DELETE", 0x85: "NEXT LINE",
}  # fmt: skip

_UNNAMED = {"Cc": "control", "Cs": "half a letter", "Cn": "no letter", "Co": "private letter"}

# Greek and Cyrillic letters that print as Latin ones do, and the dashes and quotes that programs put for ours
# (Unicode Technical Standard #39, confusables.txt); those alike only at a glance are left out.
_LATIN = str.maketrans(
    "ΑΒΕΖΗΙΚΜΝΟΡΤΥΧϹϺͿ" "αινορυϲϳ" "АВЕІЈКМНОРСТУХЅѴҮԌԜ" "аеіјорсухѕѵүһԁԛԝѡ" "‐‑‒–—−" "‘’ʼ′" "“”″",
    "ABEZHIKMNOPTYXCMJ" "aivopucj" "ABEIJKMHOPCTYXSVYGW" "aeijopcyxsvyhdqww" "------" "''''" '"""',
)  # fmt: skip


def unseen(text: str) -> int | None:
    """The place of the first sign in a text that nobody sees; None where there is none.

    A tab and a line break are not counted; nor is a joiner or selector where a script cannot do without it.
    """
    if text.isascii() and text.isprintable():
        return None
    found = next((each for each in _UNSEEN.finditer(text) if not _needed(text, each.start())), None)
    return found.start() if found is not None else None


def _needed(text: str, at: int) -> bool:
    """Whether a joiner stands between what it joins, or a selector behind what it selects."""
    letter, last = text[at], at - 1
    while (
        letter in _JOINERS and last >= 0 and text[last] in _FORMS
    ):  # a joiner stands behind what was selected
        last -= 1
    before, after = text[last] if last >= 0 else "", text[at + 1 : at + 2]
    if letter in _JOINERS:
        return all(each and unicodedata.category(each) in _JOINED for each in (before, after))
    if letter in _FORMS:
        picture = before > "\x7f" and unicodedata.category(before) in ("So", "Sm", "Po", "Sk")
        return picture or (after == _KEYCAP and before in _KEYS)
    return False


def sign_name(letter: str) -> str:
    """A sign by its name and number in Unicode: "SOFT HYPHEN (U+00AD)"."""
    name = unicodedata.name(letter, "") or _CONTROLS.get(ord(letter), "")
    name = name or _UNNAMED.get(unicodedata.category(letter), "unnamed sign")
    return f"{name} (U+{ord(letter):04X})"


def shown(text: str) -> str:
    """The text with every sign that nobody sees by its number, so that it is seen.

    >>> shown("left\\u200b lamp")
    'left[U+200B] lamp'
    """
    if text.isascii() and text.isprintable():
        return text
    return _UNSEEN.sub(
        lambda each: each[0] if _needed(text, each.start()) else f"[U+{ord(each[0]):04X}]", text
    )


def spelled(text: str) -> str:
    """As ``shown``, with the joiners and selectors too that a script cannot do without."""
    return _UNSEEN.sub(lambda each: f"[U+{ord(each[0]):04X}]", text)


def file_shown(name: str) -> str:
    r"""The name of a file on one line, with every sign by its number that nobody sees or that ends the line.

    >>> file_shown("a\nb")
    'a[U+000A]b'
    """
    return shown(name).replace("\n", "[U+000A]").replace("\t", "[U+0009]")


def in_json(told: str) -> str:
    """JSON with what nobody sees escaped, so that it is seen, and read back as it was.

    >>> in_json('"a\u200bb"')
    '"a\\\\u200bb"'
    """
    return _UNSEEN.sub(lambda each: dumps(each[0])[1:-1] if each[0] != "\r" else each[0], told)


def json_text(value: object, *, default: Callable[[Any], object] | None = None) -> str:
    """A value as indented JSON for a terminal or file; what is no finite number is null.

    ``default``: makes what JSON knows of what it does not, as ``sorted`` of a set.

    >>> json_text({"a\u200b": float("nan")})
    '{\\n  "a\\\\u200b": null\\n}'
    """
    try:
        told = dumps(value, ensure_ascii=False, indent=2, allow_nan=False, default=default)
    except ValueError:
        told = dumps(_finite(value), ensure_ascii=False, indent=2, allow_nan=False, default=default)
    return in_json(told)


def _finite(value: object) -> object:
    if isinstance(value, float):
        return value if isfinite(value) else None
    if isinstance(value, dict):
        return {key: _finite(each) for key, each in value.items()}
    return [_finite(each) for each in value] if isinstance(value, list | tuple) else value


def without(text: str) -> str:
    """The text without the signs that nobody sees."""
    if text.isascii() and text.isprintable():
        return text
    return _UNSEEN.sub(lambda each: each[0] if _needed(text, each.start()) else "", text)


def alike(name: str) -> str:
    """What two names have in common that look the same: capitals, widths, blanks and lookalikes aside.

    >>> alike("Left l\\u0430mp ") == alike("left lamp")
    True
    """
    if name.isascii():
        return " ".join(name.casefold().split())
    folded = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", name).translate(_LATIN).casefold())
    return " ".join(_UNSEEN.sub("", folded).split())


WRITING = "capitals or blanks"


def difference(name: str, other: str) -> str:
    """By what two names that look alike differ: a letter of another script by name, or capitals or blanks."""
    strange = [letter for letter in name if letter not in other and not letter.isascii()]
    return sign_name(strange[0]) if strange else WRITING
