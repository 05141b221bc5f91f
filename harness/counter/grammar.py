"""Reads a description of the trade: "RING TERM 16-14 M8 BLUE INS" is a ring terminal, with four traits."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files

from harness.counter.colours import colours_in
from harness.counter.sold import IN_WORDS
from harness.counter.traits import READERS, phrase

MOST_READ = 300  # characters of a description
KIND = "kind"
UNKNOWN = "not understood"
USUAL = {"strands": "usual", "form": "usual"}  # what is meant where nothing is said
FIRST = ("contact counts", "", "cable")  # sizes stand in the one, and beside the other
SIGNS = str.maketrans(
    {"″": '"', "”": '"', "“": '"', "’": "'", "–": "-", "—": "-", "×": "x", "ø": " ", "²": "2"}
)
FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅜": "3/8", "⅝": "5/8", "⅛": "1/8", "⅞": "7/8"}


@dataclass(frozen=True, slots=True)
class Kind:
    """What counters sell, by what names, and what of it must be stated."""

    name: str
    words: tuple[str, ...]
    matters: tuple[str, ...]
    maybe: tuple[str, ...] = ()
    silent: tuple[str, ...] = ()


@cache
def _trade() -> tuple[tuple[Kind, ...], frozenset[str]]:
    data = tomllib.loads(files("harness.counter").joinpath("trade.toml").read_text(encoding="utf-8"))
    kinds = tuple(
        Kind(one["name"], *(tuple(one.get(key, ())) for key in ("words", "matters", "maybe", "silent")))
        for one in data["kind"]
    )
    return kinds, frozenset(data["silent"])


def kinds() -> Mapping[str, Kind]:
    """Every kind by its name, in the order in which they are looked for."""
    return {kind.name: kind for kind in _trade()[0]}


def folded(text: str) -> str:
    """A description in small letters with one way to write signs, fractions, inches and decimals.

    >>> folded('Lug 16 mm² 3/8" 1,5')
    'lug 16 mm2 3/8 in 1.5'
    """
    text = text[:MOST_READ]
    for sign, plain in FRACTIONS.items():
        text = re.sub(rf"(\d){sign}", rf"\1-{plain}", text).replace(sign, plain)
    text = unicodedata.normalize("NFKC", text.translate(SIGNS)).casefold()
    text = re.sub(r'(\d)\s*(?:"|\'\'|inch(?:es)?\b)', r"\1 in ", text)
    text = re.sub(r"(\d)\s*'", r"\1 ft ", text)
    text = re.sub(r"(?<=\d),(?=\d)", ".", text)
    text = re.sub(r"(\d)\s*(?:sq\.?\s*mm|sqmm|mm\^2|mm\s+sq|sq)\b", r"\1 mm2", text)
    return " ".join(text.split())


@cache
def _by_words() -> tuple[tuple[Kind, re.Pattern[str]], ...]:
    """Every kind with one pattern of all its words."""
    return tuple(
        (kind, re.compile("|".join(phrase(word).pattern for word in kind.words))) for kind in _trade()[0]
    )


def kind_in(text: str) -> Kind | None:
    """The kind a folded description names, None where it names none that is known."""
    return next((kind for kind, pattern in _by_words() if pattern.search(text)), None)


@lru_cache(maxsize=50_000)
def stated(description: str, *, pack: bool = True) -> Mapping[str, tuple[str, ...]]:
    """What a description states: its kind, its traits by name, and the words that are not understood.

    pack: take "100FT" or "PK10" for the way it is sold, which is no trait. What is in brackets and longer
    than a measure is a remark.

    >>> stated("RING TERM 16-14 M8 BLUE INS")["range"]
    ('16-14 AWG',)
    """
    text = re.sub(r"\([^)]{25,}\)", " ", folded(description))
    kind = kind_in(text)
    if kind is None:
        return {UNKNOWN: tuple(text.split()[:20])}
    found: dict[str, tuple[str, ...]] = {KIND: (kind.name,)}
    wanted = [*kind.matters, *kind.maybe]
    wanted.sort(key=lambda trait: FIRST.index(trait) if trait in FIRST else 1)
    if pack:
        text = _without_pack(text, kind)
    for trait in wanted:
        hits = READERS[trait](text)
        if not hits and trait == "colour" and kind.name == "wire":
            hits = colours_in(_blanked(text, READERS["cable"](text)), letters=True)
        values = tuple(dict.fromkeys(value for _, value in hits))
        if trait == "contact counts":
            values = (", ".join(sorted(values)),) if values else ()
        if values:
            found[trait] = values
        elif trait in USUAL:
            found[trait] = (USUAL[trait],)
        text = _blanked(text, hits)
    text = dict(_by_words())[kind].sub(" | ", text)
    unknown = re.findall(r"[^\s,;:()|/.+*]+(?:\.[^\s,;:()|/+*]+)*", text)
    silent = _trade()[1].union(kind.silent)
    left = tuple(word for word in unknown if word.strip("-'\"") and word not in silent)
    if left:
        found[UNKNOWN] = left
    return found


def _without_pack(text: str, kind: Kind) -> str:
    """The text without what says roll or pack; a length that belongs to the thing stays."""
    return IN_WORDS.sub(" | ", text) if kind.name != "insulating tape" else IN_WORDS.sub(" ", text)


def _blanked(text: str, hits: list[tuple[tuple[int, int], str]]) -> str:
    for (start, end), _ in sorted(hits, reverse=True):
        text = text[:start] + "|" * (end - start) + text[end:]
    return text
