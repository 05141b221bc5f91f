"""How wide a text is on paper, so that every box can be made to fit before a layout engine sees it.

A drawing names only the generic family ``sans-serif``, so the widths here are the larger of those of two
common sans-serif faces, letter by letter: any usual face then fits. Source: the ``hmtx`` tables of DejaVu
Sans 2.37 and Liberation Sans 2, regular and bold (read), in thousandths of the type size, rounded up.
"""

from __future__ import annotations

import unicodedata
from functools import cache, lru_cache

from harness.signs import shown, spelled

ASCENT = 0.78  # share of the type size above the base line that letters take
DESCENT = 0.24  # and below it
LINE = 1.22  # line pitch as a share of the type size

# fmt: off
_REGULAR = (
    318, 401, 460, 838, 637, 951, 780, 275, 391, 391, 500, 838, 318, 361, 318, 337, 637, 637, 637, 637, 637,
    637,
    637, 637, 637, 637, 337, 337, 838, 838, 838, 557, 1016, 685, 687, 723, 771, 667, 611, 778, 752, 295,
    500, 667,
    558, 863, 749, 788, 667, 788, 723, 667, 611, 732, 685, 989, 686, 667, 686, 391, 337, 391, 838, 557, 500,
    613,
    635, 550, 635, 616, 353, 635, 634, 278, 278, 580, 278, 975, 634, 612, 635, 635, 412, 521, 393, 634, 592,
    818,
    592, 592, 525, 637, 337, 637, 838,
)
_BOLD = (
    349, 457, 521, 838, 696, 1002, 873, 307, 458, 458, 523, 838, 380, 416, 380, 366, 696, 696, 696, 696,
    696, 696,
    696, 696, 696, 696, 400, 400, 838, 838, 838, 611, 1000, 774, 763, 734, 831, 684, 684, 821, 837, 373,
    557, 775,
    638, 996, 837, 851, 733, 851, 771, 721, 683, 813, 774, 1104, 771, 725, 726, 458, 366, 458, 838, 557,
    500, 675,
    716, 593, 716, 679, 436, 716, 712, 343, 343, 666, 343, 1042, 712, 688, 716, 716, 494, 596, 479, 712,
    652, 924,
    646, 652, 583, 712, 366, 712, 838,
)
# fmt: on
_SAFE_EM = 1.1  # letters that have no row here: wider than all but a handful of letters of any script
_WIDE_EM = 1.4  # pictures and full-width letters
_MARKS = ("Mn", "Me", "Cf")


@cache
def _letter_em(letter: str, bold: bool) -> float:
    code = ord(letter)
    if 0x20 <= code <= 0x7E:
        return (_BOLD if bold else _REGULAR)[code - 0x20] / 1000
    base = unicodedata.normalize("NFD", letter)[0]
    if base != letter and 0x20 <= ord(base) <= 0x7E:
        return _letter_em(base, bold)
    if unicodedata.category(letter) in _MARKS:
        return 0.0
    if code >= 0x1F000 or unicodedata.east_asian_width(letter) in "WF":
        return _WIDE_EM
    return _SAFE_EM if code > 0x24F else (0.85 if code < 0xC0 and not bold else 1.0)


@lru_cache(maxsize=65536)
def width(text: str, size_mm: float, *, bold: bool = False) -> float:
    """Width of ``text`` set in type of ``size_mm`` [mm], what nobody sees by its number as it is written."""
    return sum(_letter_em(letter, bold) for letter in shown(text)) * size_mm


def _pieces(word: str, size_mm: float, room_mm: float, bold: bool) -> list[str]:
    """Cut one over-long word into pieces that fit."""
    pieces, piece = [], ""
    for letter in word:
        if piece and width(piece + letter, size_mm, bold=bold) > room_mm:
            pieces.append(piece)
            piece = ""
        piece += letter
    return [*pieces, piece]


def wrap(text: str, size_mm: float, room_mm: float, *, bold: bool = False) -> list[str]:
    """Break ``text`` into lines no wider than ``room_mm``; longer words are cut. Nothing is lost."""
    lines: list[str] = []
    line = ""
    for word in shown(" ".join(text.split())).split():
        longer = f"{line} {word}" if line else word
        if width(longer, size_mm, bold=bold) <= room_mm:
            line = longer
            continue
        if line:
            lines.append(line)
        pieces = _pieces(word, size_mm, room_mm, bold)
        if any(
            shown(piece) != piece for piece in pieces
        ):  # cut beside a joiner, which is then seen by its number
            pieces = _pieces(spelled(word), size_mm, room_mm, bold)
        *full, line = pieces
        lines.extend(full)
    return [*lines, line] if line or not lines else lines


def widest(lines: list[str], size_mm: float, *, bold: bool = False) -> float:
    """Width of the widest of ``lines`` [mm]."""
    return max((width(line, size_mm, bold=bold) for line in lines), default=0.0)
