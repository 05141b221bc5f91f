"""One value of a shop's own catalogue, as a person writes it, into the columns of its table."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable
from typing import get_args, get_type_hints

from harness.catalogue import Key
from harness.model.design import Material
from harness.model.limits import LIMITS
from harness.survey.units import WrongQuantity, gauge_number, quantity, stud_size, tidy, whole, wire_size
from harness.survey.words import hint

Row = dict[str, str]
LONGEST_NAME = LIMITS["item letters"].most
INCH_MM = 25.4
LEAST_WIRE_MM2, MOST_WIRE_MM2 = 0.05, 150.0
MOST_IN_PACK = LIMITS["pieces in a pack"].most
RING_COLOURS = ("red", "blue", "yellow")
SEVERAL = "|"  # between the values of a list
SHRINK = re.compile(r"(adhesive|thin) ([2-9](?:[.,]5)?):1")


def _figure(value_mm: float) -> str:
    return f"{round(value_mm, 3):g}"


def _length(text: str, key: Key) -> Row:
    value_mm = 1000 * quantity("item size", text)
    found = {key.column: _figure(value_mm)}
    return found | ({key.also: _figure(value_mm / INCH_MM)} if key.also else {})


def _words(text: str, key: Key) -> Row:
    said = tidy(text)
    if not said:
        raise WrongQuantity(f"{key.word} is empty", "write it after the colon, or leave the key out")
    if len(said) > LONGEST_NAME:
        raise WrongQuantity(f"{key.word} is longer than {LONGEST_NAME} letters", "shorten it")
    return {key.column: said}


def _shrink(text: str, key: Key) -> Row:
    """Read "adhesive 6:1" or "thin 2:1" into the family the table calls so."""
    found = SHRINK.fullmatch(tidy(text).lower())
    if found is None:
        raise WrongQuantity(
            f"{tidy(text)!r} is not a kind of heat-shrink", "write adhesive 3:1, adhesive 4:1, thin 2:1"
        )
    ratio = found[2].replace(",", ".") + ":1"
    lining = {"adhesive": ("dual wall adhesive", "adhesive-lined"), "thin": ("thin wall", "thin wall")}
    family, said = lining[found[1]]
    return {key.column: f"{family} {ratio}", "lining": said, "ratio": ratio}


def _area_mm2(number: int) -> float:
    """Area of a gauge [mm2]: d = 0.127 mm x 92^((36 - n) / 39), ASTM B258."""
    return float(math.pi / 4 * (0.127 * 92 ** ((36 - number) / 39)) ** 2)


def _nearest_gauge(area_mm2: float, word: str) -> str:
    """The gauge for an area: within it where it is an end of a range, else the nearest."""
    areas = {number: _area_mm2(number) for number in range(-3, 31)}
    if word == "from":
        number = max(at for at, area in areas.items() if area >= area_mm2 * 0.99)
    elif word == "to":
        number = min(at for at, area in areas.items() if area <= area_mm2 * 1.01)
    else:
        number = min(areas, key=lambda at: abs(areas[at] - area_mm2))
    return str(number) if number > 0 else f"{1 - number}/0"


def _gauge(text: str, key: Key) -> Row:
    """Read a wire size as its area, and as a gauge or as it was written in the column beside it."""
    said = wire_size(text)
    number, _, unit = said.partition(" ")
    area_mm2 = _area_mm2(gauge_number(number)) if unit == "AWG" else float(number)
    if not LEAST_WIRE_MM2 <= area_mm2 <= MOST_WIRE_MM2 or (unit == "AWG" and gauge_number(number) < -3):
        raise WrongQuantity(f"{tidy(text)!r} is no wire of a machine", "write it as 14 AWG or 2.5 mm2")
    gauge = number if unit == "AWG" else _nearest_gauge(area_mm2, key.word)
    return {key.column: f"{round(area_mm2, 2):g}", key.also: gauge if "awg" in key.also else said}


def _current(text: str, key: Key) -> Row:
    return {key.column: f"{quantity('current', text):g}"}


def _stud(text: str, key: Key) -> Row:
    return {key.column: stud_size(text)}


def _studs(text: str, key: Key) -> Row:
    return {key.column: " ".join(stud_size(each) for each in text.split(SEVERAL))}


def _one_of(known: Iterable[str]) -> Callable[[str, Key], Row]:
    words = tuple(known)

    def read(text: str, key: Key) -> Row:
        said = tidy(text).lower()
        if said not in words:
            raise WrongQuantity(f"{tidy(text)!r} is not one of the words for this", hint(said, words))
        return {key.column: said}

    return read


def _amount(text: str, key: Key) -> Row:
    """Read "25" as so many pieces, "1.2 m" as a length."""
    said = tidy(text)
    count = whole(said, 1, MOST_IN_PACK)
    if count is not None:
        return {key.column: str(count), key.also: "each"}
    try:
        return {key.column: f"{quantity('run length', said):g}", key.also: "m"}
    except WrongQuantity:
        raise WrongQuantity(f"{said!r} is neither a count nor a length", "write 25, or 1.2 m") from None


READ: dict[str, Callable[[str, Key], Row]] = {
    "length": _length,
    "text": _words,
    "shrink": _shrink,
    "gauge": _gauge,
    "current": _current,
    "stud": _stud,
    "studs": _studs,
    "colour": _one_of(RING_COLOURS),
    "group": _one_of(get_args(get_type_hints(Material)["group"])),
    "amount": _amount,
}
