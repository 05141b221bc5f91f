"""How a line of a price list is sold: by the metre or foot, in rolls, sticks and packs, or each."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from harness.model.pricing import Unit

METRES = {"m": Decimal(1), "ft": Decimal("0.3048"), "yd": Decimal("0.9144"), "cm": Decimal("0.01")}  # exact
EACH = (
    "each",
    "ea",
    "e",
    "pc",
    "pcs",
    "piece",
    "pieces",
    "unit",
    "units",
    "off",
    "no",
    "item",
    "1",
    "single",
)
LENGTHS = {
    "m": "m", "metre": "m", "metres": "m", "meter": "m", "meters": "m", "mtr": "m", "mtrs": "m", "lm": "m",
    "ft": "ft", "foot": "ft", "feet": "ft", "'": "ft", "yd": "yd", "yard": "yd", "yards": "yd",
}  # fmt: skip
COILS = {
    "roll": "roll", "rolls": "roll", "rl": "roll", "reel": "reel", "spool": "spool", "coil": "coil",
    "drum": "drum", "stick": "stick", "length": "length", "hank": "hank",
}  # fmt: skip
PACKS = {
    "pack": "pack", "pk": "pack", "pkt": "pack", "packet": "pack", "bag": "bag", "box": "box",
    "bx": "box", "card": "card", "set": "set", "tube": "tube", "can": "can", "kit": "kit", "carton": "carton",
    "ctn": "carton", "jar": "jar", "bottle": "bottle",
}  # fmt: skip
ONE_PIECE = (
    "tube",
    "can",
    "jar",
    "bottle",
    "kit",
    "set",
)  # one of them is one piece when nothing else is said
COUNTS = {
    "pair": 2, "pairs": 2, "pr": 2, "dozen": 12, "doz": 12, "hundred": 100, "thousand": 1000,
}  # fmt: skip
_NUMBER = r"(\d{1,6}(?:[.,]\d{1,3})?)"
_LENGTH = "|".join(sorted(map(re.escape, LENGTHS), key=len, reverse=True))
_COIL = "|".join(sorted(COILS, key=len, reverse=True))
_PACK = "|".join(sorted(PACKS, key=len, reverse=True))
_MANY = "|".join(sorted((name for name in PACKS if PACKS[name] not in ONE_PIECE), key=len, reverse=True))
_IN_UNIT = re.compile(
    rf"^(?:({_COIL}|{_PACK})(?![a-z]))?[\s/:xof]*{_NUMBER}?\s*(?:({_LENGTH})|pcs?|pieces?|ea|each|off)?\s*(?:({_COIL}|{_PACK}))?$"
)
# What a description says at its end: "100FT", "ROLL 30M", "PK10", "BAG OF 100", "/100".
IN_WORDS = re.compile(
    rf"(?:(?<![\w.])(?P<coil>{_COIL})\s*(?:of)?\s*)?(?<![\w.,/-])(?P<far>{_NUMBER[1:-1]})\s*(?P<length>metres?|meters?|mtrs?|m|feet|foot|ft|yd|'(?!'))"
    rf"(?:\s*(?P<coil2>{_COIL}))?(?![\w²])"
    rf"|(?<![\w.])(?P<pack>{_MANY})\s*(?:of|/)?\s*(?P<count>\d{{1,5}})(?!\s*(?:m|ft|mm|v|a|awg|g|ml|kg|l|in)\b)(?![\w.,/:-])"
    rf"|(?<![\w.])(?P<count2>\d{{1,5}})\s*/\s*(?P<pack2>{_MANY})(?![\w.])"
    rf"|(?<![\w.])(?P<count3>\d{{1,5}})\s*(?:pcs|pieces)(?![\w.])",
    re.IGNORECASE,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Sold:
    """One sold unit."""

    unit: Unit
    content: Decimal  # metres or pieces
    own: Decimal  # the same in the unit the list counts in, which "price per 100" goes by
    sold_as: str
    cut: bool = False


class NotSaid(ValueError):
    """How something is sold cannot be understood; the message says why, ``fix`` what to write."""

    def __init__(self, what: str, fix: str) -> None:
        super().__init__(what)
        self.fix = fix


def _bare(number: Decimal) -> str:
    return f"{number.normalize():f}"


def _of(holder: str, count: Decimal, length: str) -> Sold:
    """So many metres, feet or pieces in one holder ("roll", "pack", or nothing)."""
    if count <= 0:
        raise NotSaid(f"a content of {_bare(count)}", "write how many metres, feet or pieces one unit holds")
    if length:
        metres = count * METRES[length]
        return Sold("m", metres, count, f"{holder or 'roll'} of {_bare(count)} {length}")
    if count != count.to_integral_value():
        raise NotSaid(f"{_bare(count)} pieces in one {holder or 'pack'}", "write a whole number")
    if count == 1:
        return Sold("each", count, count, holder if holder in ONE_PIECE else "each")
    return Sold("each", count, count, f"{holder or 'pack'} of {_bare(count)}")


def by_length(length: str) -> Sold:
    """Cut to any number of metres or feet."""
    name = {"m": "metre", "ft": "foot", "yd": "yard"}[length]
    return Sold("m", METRES[length], Decimal(1), f"by the {name}", cut=True)


def _decimal(text: str) -> Decimal:
    return Decimal(text.replace(",", "."))


def in_words(description: str) -> tuple[Sold | None, tuple[int, int]]:
    """What a description says of roll or pack, and which letters say it.

    >>> in_words("GXL 14 RD 100FT")[0].sold_as, in_words("RING TERM M8 PK10")[0].sold_as
    ('roll of 100 ft', 'pack of 10')
    """
    for found in IN_WORDS.finditer(description):
        holder = (found["coil"] or found["coil2"] or found["pack"] or found["pack2"] or "").lower()
        holder = COILS.get(holder) or PACKS.get(holder, "")
        count = found["far"] or found["count"] or found["count2"] or found["count3"]
        length = LENGTHS[found["length"].lower()] if found["length"] else ""
        try:
            return _of(holder, _decimal(count), length), found.span()
        except NotSaid:
            continue
    return None, (0, 0)


def _plain(cell: str) -> str:
    """A cell with one blank between words, brackets taken as blanks: "box(50)" is "box 50"."""
    return " ".join(cell.replace("(", " ").replace(")", " ").strip(". ").split())


def sold(unit: str, content: str, description: str) -> Sold:
    """How a line is sold, by its cells of unit and content and by its description. Raises NotSaid."""
    word = _plain(unit.casefold().replace("per ", ""))
    inside = _plain(content.casefold())
    said, _ = in_words(description)
    if word in LENGTHS and inside in ("", "1"):
        return by_length(LENGTHS[word])
    if word.endswith(" 1") and word.removesuffix(" 1") in EACH:
        word = word.removesuffix(" 1")
    if word in COUNTS and inside in ("", "1", str(COUNTS[word])):
        return _of("pack", Decimal(COUNTS[word]), "")
    parts = _IN_UNIT.match(word) if word else None
    if word and word not in EACH and (parts is None or not any(parts.groups())):
        raise NotSaid(f"unit {unit!r} is not understood", "write each, m, ft, roll, stick, pack, bag or box")
    holder, count, length = "", None, ""
    if parts and word not in EACH:
        name = parts[1] or parts[4] or ""
        holder = COILS.get(name) or PACKS.get(name, "")
        count = _decimal(parts[2]) if parts[2] else None
        length = LENGTHS[parts[3]] if parts[3] else ""
    if inside:
        more = _IN_UNIT.match(inside)
        if more is None or not any(more.groups()):
            raise NotSaid(f"content {content!r} is not understood", "write for example 30 m, 100 ft or 10")
        name = more[1] or more[4] or ""
        holder = holder or COILS.get(name) or PACKS.get(name, "")
        length = LENGTHS[more[3]] if more[3] else length
        count = _decimal(more[2]) if more[2] else count
    coil = holder in COILS.values()
    if coil and count is not None and not length:
        length = said.sold_as.rsplit(" ", 1)[-1] if said is not None and said.unit == "m" else ""
        if not length:
            raise NotSaid(
                f"a {holder} of {_bare(count)}, of what?", f"write {_bare(count)} m or {_bare(count)} ft"
            )
    if count is None:
        if said is not None and word not in EACH:
            return said
        if coil or (holder and holder not in ONE_PIECE):
            raise NotSaid(
                f"a {holder} of how many?", "write it into the column of content, such as 30 m or 10"
            )
        if length:
            return by_length(length)
        count = Decimal(1)
    return _of(holder, count, length)
