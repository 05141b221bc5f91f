"""Quantities as a person writes them, read into floats of our units; the only place that knows pint."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction
from functools import cache
from pathlib import PurePosixPath
from typing import TYPE_CHECKING, Any

from harness.model.limits import LIMITS
from harness.survey.measures import (
    BASE_UNITS,
    CELSIUS_WORDS,
    DIMENSION_WORDS,
    FAHRENHEIT_WORDS,
    MEASURES,
    UNITS,
    Dimension,
    Measure,
)

if TYPE_CHECKING:
    from pint import UnitRegistry

LONGEST_TEXT = LIMITS["quantity letters"].most
_SPACES = str.maketrans(
    {"\u00a0": " ", "\u2007": " ", "\u2009": " ", "\u202f": " ", "\u2212": "-", "\u00b5": "µ"}
)
_FRACTION = r"(?:[0-9]+[ -])?[0-9]+/[0-9]+"
_THOUSANDS = r"[0-9]{1,3}(?: [0-9]{3})+(?![0-9.,])"
_DECIMAL = r"[0-9]*[.,]?[0-9]+(?:[eE][+-]?[0-9]+)?"
_NUMBER = f"{_FRACTION}|{_THOUSANDS}|{_DECIMAL}"
_TERM = re.compile(rf"\s*(?P<sign>[+-]?)\s*(?P<number>{_NUMBER})\s*(?P<unit>mm\^?2|[^0-9+-]*)\s*")
_TWO_WAYS = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")
_SAFE_UNIT = re.compile(r"[A-Za-zµμΩ°²³/·]{1,24}")


class WrongQuantity(ValueError):
    """A text that is not the quantity it should be: what is wrong with it, and what would be right."""

    def __init__(self, what: str, fix: str) -> None:
        super().__init__(f"{what}; {fix}")
        self.what = what
        self.fix = fix


def whole(text: str, least: int, most: int) -> int | None:
    """A whole number from ``least`` to ``most``, None for any other text, however long.

    >>> whole("12", 1, 60), whole("61", 1, 60), whole("00000061", 1, 60), whole("²", 1, 60)
    (12, None, None, None)
    """
    if not (text.isascii() and text.isdigit()) or len(text.lstrip("0")) > len(str(most)):
        return None
    number = int(text.lstrip("0") or "0")
    return number if least <= number <= most else None


@dataclass(frozen=True, slots=True)
class Spell:
    """A current or power, and for how many seconds it lasts at most; None when the text gives no time."""

    value: float
    seconds_s: float | None
    lasting: bool = False  # the text says that it holds as long as the load is on


def _such_as(measure: Measure) -> str:
    base = BASE_UNITS[measure.dimension][0]
    if measure.dimension == "temperature":
        return f"write the {measure.words} in °C or °F, for example {measure.example}"
    return f"write the {measure.words} in {base}, for example {measure.example}"


def tidy(text: str) -> str:
    """Turn thin and hard spaces into plain ones, the long minus into a short one, and trim."""
    return " ".join(text.translate(_SPACES).split())


def _number(text: str, measure: Measure, shown: str) -> float:
    """Read one number: decimal point or comma, a fraction of a length, thousands parted by spaces."""
    if "/" in text:
        if measure.dimension != "length":
            raise WrongQuantity(f"{shown!r} holds more than one figure", _such_as(measure))
        whole, _, part = re.sub(r"[ -]", " ", text).rpartition(" ")
        top, bottom = part.split("/")
        if int(bottom) == 0:
            raise WrongQuantity(f"{shown!r} divides by zero", "write a fraction such as 3/8")
        return float(int(whole or 0) + Fraction(int(top), int(bottom)))
    if _TWO_WAYS.fullmatch(text):
        first, _, last = text.partition(",")
        raise WrongQuantity(
            f"{shown!r} can be read two ways",
            f"write {first}{last} if the comma parts thousands, {first}.{last} if it is the decimal point",
        )
    return float(text.replace(" ", "").replace(",", "."))


def _terms(text: str, measure: Measure) -> Iterator[tuple[float, str]]:
    """Part "12 ft 6 in" into (12, "ft"), (6, "in"); only the first may carry a sign."""
    at = 0
    while at < len(text):
        found = _TERM.match(text, at)
        if found is None or (at and found["sign"]):
            raise WrongQuantity(f"{text!r} is not {_article(measure)}", _such_as(measure))
        value = _number(found["number"], measure, text)
        yield (-value if found["sign"] == "-" else value), found["unit"].strip()
        at = found.end()


def _article(measure: Measure) -> str:
    return ("an " if measure.words[0] in "aeiou" else "a ") + measure.words


def _bar_odd_text(text: str, measure: Measure) -> None:
    if not text:
        raise WrongQuantity(f"the {measure.words} is missing", _such_as(measure))
    if len(text) > LONGEST_TEXT:
        raise WrongQuantity(f"{text[:20] + '...'!r} is too long for {_article(measure)}", _such_as(measure))


def _factor(unit: str, measure: Measure, shown: str) -> float:
    """Factor from ``unit`` to the measure's base unit; raises WrongQuantity when it is of another kind."""
    if not unit:
        raise WrongQuantity(f"{shown!r} has no unit", _such_as(measure))
    known = _known(unit)
    if known is None:
        capitals = [each for each in UNITS if each.lower() == unit.lower()]
        near = capitals if len(capitals) == 1 else get_close_matches(unit, UNITS, 1)
        hint = f"did you mean {near[0]!r}? " if near else ""
        raise WrongQuantity(f"{unit!r} in {shown!r} is not a unit known here", hint + _such_as(measure))
    dimension, factor = known
    if dimension != measure.dimension:
        is_, wanted = DIMENSION_WORDS[dimension], _article(measure)
        raise WrongQuantity(f"{shown!r} is {is_} where {wanted} belongs", _such_as(measure))
    return factor


def _known(unit: str) -> tuple[Dimension, float] | None:
    """Dimension and factor of a unit; whole words may be written with a capital, letters may not."""
    if unit in CELSIUS_WORDS or unit in FAHRENHEIT_WORDS:
        return "temperature", 1.0
    lowered = unit.lower()
    if len(unit) >= 3 and lowered != "mohm" and unit == unit.capitalize() and lowered in UNITS:
        return UNITS[lowered]
    return UNITS.get(unit) or _by_pint(unit)


@cache
def _registry() -> UnitRegistry[Any]:
    from pint import UnitRegistry

    return UnitRegistry()


@cache
def _by_pint(unit: str) -> tuple[Dimension, float] | None:
    """Dimension and factor of a unit the quick table does not hold, as pint knows it, else None."""
    if not _SAFE_UNIT.fullmatch(unit):
        return None
    from pint.errors import PintError

    registry = _registry()
    try:
        quantity = registry.Quantity(1.0, unit)
        if quantity.check("[temperature]"):
            return "temperature", 1.0
        for dimension, (_, base) in BASE_UNITS.items():
            if dimension not in ("temperature", "share") and quantity.is_compatible_with(base):
                return dimension, float(quantity.to(base).magnitude)
    except (PintError, ArithmeticError, AssertionError, AttributeError, LookupError, SyntaxError, TypeError):
        return None  # a text that is no unit ends in any of these
    except ValueError:
        return None
    return None


def _temperature_c(value: float, unit: str, measure: Measure, shown: str) -> float:
    if unit in CELSIUS_WORDS:
        return value
    if unit in FAHRENHEIT_WORDS:
        return (value - 32) / 1.8
    _factor(unit, measure, shown)
    return float(_registry().Quantity(value, unit).to("degC").magnitude)


def _in_limits(value: float, measure: Measure, shown: str) -> float:
    """Give the value back when it is in its limits; else raises WrongQuantity."""
    base = BASE_UNITS[measure.dimension][0]
    if measure.least >= 0 and value < 0:
        raise WrongQuantity(f"{measure.words} {shown!r} is negative", _such_as(measure))
    if value == 0 and measure.least > 0:
        raise WrongQuantity(f"{measure.words} {shown!r} is zero", _such_as(measure))
    if not measure.least <= value <= measure.most:  # also catches nan
        bound = f"more than {measure.most:g}" if value > measure.most else f"less than {measure.least:g}"
        raise WrongQuantity(
            f"{measure.words} {shown!r} is {bound} {base}, which no machine has",
            f"check the figure and its unit; {_such_as(measure)}",
        )
    return value


def quantity(name: str, text: str) -> float:
    """Read ``text`` as the measure called ``name``, in its base unit.

    Raises WrongQuantity: not a number, no unit, a unit of another kind, negative, zero or absurd.
    >>> quantity("run length", "2 ft 6 in")
    0.762
    """
    measure = MEASURES[name]
    shown = tidy(text)
    _bar_odd_text(shown, measure)
    terms = list(_terms(_inch_marks(shown, measure), measure))
    if measure.dimension == "temperature":
        if len(terms) > 1:
            raise WrongQuantity(f"{shown!r} is not {_article(measure)}", _such_as(measure))
        value = _temperature_c(*terms[0], measure, shown)
    else:
        if len(terms) > 1 and measure.dimension not in ("length", "time"):
            raise WrongQuantity(f"{shown!r} holds more than one figure", _such_as(measure))
        value = _sum(terms, measure, shown)
    return _in_limits(round(value, 12), measure, shown)


def _sum(terms: list[tuple[float, str]], measure: Measure, shown: str) -> float:
    sign = -1 if terms[0][0] < 0 else 1
    return sign * sum(abs(value) * _factor(unit, measure, shown) for value, unit in terms)


def _inch_marks(text: str, measure: Measure) -> str:
    if measure.dimension != "length":
        return text
    return re.sub(r"[\"″]|''", " in ", re.sub(r"(?<!')['′](?!')", " ft ", text)).strip()


def spell(name: str, text: str) -> Spell:
    """Read "22 A for 0.5 s", "320 A" or "0.8 A hold"; raises WrongQuantity as `quantity` does."""
    shown = tidy(text)
    _bar_odd_text(shown, MEASURES[name])
    value, parted, time = shown.partition(" for ")
    bare = re.sub(r" (?:hold|holding|steady|continuous)$", "", value)
    seconds = quantity("spell", time) if parted else None
    return Spell(quantity(name, bare), seconds, lasting=bare != value)


DUTY_EXAMPLE = "write duty: 10 s in 60 s, or 10 s on, 50 s off"
_DUTY = re.compile(
    r"(?P<on>.+?)(?:(?: in| every| per) (?P<cycle>.+)| on(?:,| and)? (?P<off>.+?) off)", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class Duty:
    """On for a time, off for a time, again and again."""

    on_s: float
    off_s: float


def duty(text: str) -> Duty:
    """Read "10 s in 60 s" or "10 s on, 50 s off"; raises WrongQuantity as `quantity` does.

    >>> duty("10 s in 1 min")
    Duty(on_s=10.0, off_s=50.0)
    """
    shown = tidy(text)
    _bar_odd_text(shown, MEASURES["duty time"])
    found = _DUTY.fullmatch(shown)
    if found is None:
        raise WrongQuantity(f"{shown!r} is not how often it is on", DUTY_EXAMPLE)
    on_s = quantity("duty time", found["on"])
    if found["off"] is not None:
        return Duty(on_s, quantity("duty time", found["off"]))
    cycle_s = quantity("duty time", found["cycle"])
    if cycle_s <= on_s:
        raise WrongQuantity(
            f"{shown!r} is on for {on_s:g} s in {cycle_s:g} s, so it is never off",
            "leave the duty out for what stays on; " + DUTY_EXAMPLE,
        )
    return Duty(on_s, cycle_s - on_s)


def drop_v(text: str, *, system_v: float) -> float:
    """Read an allowed drop, "3 %" of the system voltage or "0.4 V", in volts."""
    if tidy(text).endswith(("%", "percent")):
        return quantity("drop share", text) / 100 * system_v
    return quantity("drop", text)


_AWG = re.compile(r"(?:#\s*)?([0-9]{1,2}|[1-4]/0|0{1,4})\s*(?:AWG|awg|gauge|ga\.?)", re.ASCII)
_AWG_FIRST = re.compile(r"^(?:AWG|awg)\s*([0-9/]+)$", re.ASCII)


def wire_size(text: str) -> str:
    """Read a wire size and write it our way: "2/0 AWG", "16 mm2".

    Raises WrongQuantity for a gauge that does not exist, and as `quantity` does.
    >>> wire_size("2,5 mm²")
    '2.5 mm2'
    """
    shown = tidy(text)
    found = _AWG.fullmatch(_AWG_FIRST.sub(r"\1 AWG", shown))
    if found is None:
        if re.search(r"awg|gauge", shown, re.IGNORECASE):
            raise WrongQuantity(f"{shown!r} is not a gauge", "write 14 AWG, or 2/0 AWG for the heavy ones")
        try:
            return f"{quantity('area', shown):g} mm2"
        except WrongQuantity as wrong:
            raise WrongQuantity(wrong.what, "write the wire size as 14 AWG or 2.5 mm2") from None
    gauge = found[1]
    if gauge.strip("0") == "":
        gauge = f"{len(gauge)}/0"
    if "/" not in gauge and int(gauge) > 30:
        raise WrongQuantity(f"{shown!r} is finer than any wire of a machine", "write 14 AWG, or 2/0 AWG")
    return f"{gauge.lstrip('0')} AWG"


def gauge_number(gauge: str) -> int:
    """A gauge as a number that falls as the wire grows.

    >>> gauge_number("14"), gauge_number("1/0"), gauge_number("2/0")
    (14, 0, -1)
    """
    oughts = gauge.removesuffix("/0")
    return int(gauge) if oughts == gauge else 1 - int(oughts)


def nearest_size(label: str, known: Iterable[str]) -> str | None:
    """The size nearest in number, "18 AWG" for "20 AWG" and never "2/0 AWG"; None where none is of its unit.

    Before the figure may stand a cable, and behind the unit a colour; the cable has to be the same.
    """
    asked = _SIZE_IN.fullmatch(label)
    found = [(each, one) for each in known if (one := _SIZE_IN.fullmatch(each))]
    if asked is None:
        return None
    alike = [
        (each, one) for each, one in found if one["unit"] == asked["unit"] and one["cable"] == asked["cable"]
    ]
    return min(alike, key=lambda pair: abs(_figure(pair[1]) - _figure(asked)), default=(None, None))[0]


_SIZE_IN = re.compile(r"(?P<cable>(?:.* )?)(?P<figure>[0-9./]+) (?P<unit>AWG|mm2)(?: [A-Z/]+)?")


def _figure(found: re.Match[str]) -> float:
    try:
        return gauge_number(found["figure"]) if found["unit"] == "AWG" else float(found["figure"])
    except ValueError:
        return 0.0


_STUD = re.compile(
    r"(M[0-9]{1,2}(?:[.,]5)?|#[0-9]{1,2}|[0-9]/[0-9]{1,2})(?:\s*(?:in|inch|\"))?(?:\s+stud)?", re.ASCII
)
STUD_SIZES = (
    "M3", "M3.5", "M4", "M5", "M6", "M8", "M10", "M12", "M14", "M16",
    "#4", "#6", "#8", "#10", "1/4", "5/16", "3/8", "7/16", "1/2", "5/8", "3/4",
)  # fmt: skip
BLADE_WIDTHS = ("2.8", "4.8", "6.3", "9.5")  # millimetres, IEC 61210


def stud_size(text: str) -> str:
    """Read a stud's thread and write it our way: "M8", "3/8", "#10"; raises WrongQuantity for others."""
    shown = tidy(text)
    found = _STUD.fullmatch(shown[:1].upper() + shown[1:])
    size = found[1].replace(",", ".") if found else ""
    if size not in STUD_SIZES:
        raise WrongQuantity(f"{shown!r} is not the thread of a stud", f"write one of {', '.join(STUD_SIZES)}")
    return size


def beside(name: str) -> str:
    """The name of a catalogue that a survey states, if it is a file beside the survey or in a folder below.

    Raises WrongQuantity for every other: an absolute path, a drive, a way up, a link of another sort.
    """
    said = tidy(name)
    parts = PurePosixPath(said).parts
    bad = not parts or said.startswith(("/", "~")) or ".." in parts or any(sign in said for sign in ":\\")
    if bad or not said.endswith((".yaml", ".yml")):
        raise WrongQuantity(
            f"{said!r} is not a catalogue beside the survey",
            "write the name of a .yaml file in the survey's own folder, such as my-items.yaml",
        )
    return said
