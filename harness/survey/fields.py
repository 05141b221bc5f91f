"""How one value of a survey is read: every field type of the forms, with its check and its JSON Schema."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Annotated, Any, Literal, TypeVar

from pydantic import GetJsonSchemaHandler, PlainValidator, WithJsonSchema
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError

from harness.model.joints import JointWish
from harness.model.limits import LIMITS
from harness.model.machine import EngineState, Post, Speed
from harness.survey.located import Word, canonical
from harness.survey.measures import MEASURES
from harness.survey.units import (
    Duty,
    Spell,
    WrongQuantity,
    beside,
    drop_v,
    duty,
    quantity,
    spell,
    stud_size,
    tidy,
    whole,
    wire_size,
)
from harness.survey.words import (
    CABLE_ENDS,
    COLOUR_LETTERS,
    COVERINGS,
    HIDDEN,
    ISO_CLASSES,
    METALS,
    NEAR,
    SAE_BATTERY_CABLES,
    SAE_CABLES,
    SHRINK,
    SYSTEM_VOLTAGES,
    hint,
)

T = TypeVar("T")
LONGEST_NAME = LIMITS["name letters"].most
LONGEST_NOTE = LIMITS["note letters"].most
MOST_WAYS = LIMITS["ways of a panel"].most
PATH_SIGNS = frozenset(">(),→")


def wrong(what: str, fix: str) -> PydanticCustomError:
    """An error in our own words; ``what`` and ``fix`` travel in its context."""
    return PydanticCustomError("survey", "{what}", {"what": what, "fix": fix})


def _text(value: Any) -> str:
    if isinstance(value, str):
        return value
    kind = "keys with values stand" if isinstance(value, Mapping) else "a list stands"
    raise wrong(f"{kind} where a single value belongs", "write one value after the colon")


def _filled(value: Any) -> str:
    text = _text(value)
    if not text.strip():
        raise wrong("the value is missing", "write it after the colon, or leave the key out")
    return text


def reader(read: Callable[[str], T]) -> Callable[[Any], T]:
    """Make a pydantic validator of a function that raises WrongQuantity."""

    def validate(value: Any) -> T:
        try:
            return read(_text(value))
        except WrongQuantity as error:
            raise wrong(error.what, error.fix) from None

    return validate


def _schema(description: str, **more: Any) -> WithJsonSchema:
    # Editors type 5 and yes before we see them, so the schema must let numbers and truth values through.
    return WithJsonSchema({"type": ["string", "number"], "description": description, **more})


def schema_of(description: str, examples: Iterable[str]) -> WithJsonSchema:
    """The JSON Schema of a value that is written as text or number."""
    return _schema(description, examples=list(examples))


def _example(name: str) -> WithJsonSchema:
    measure = MEASURES[name]
    return _schema(f"{measure.words}, with its unit", examples=[measure.example])


def _choice(words: Mapping[str, T]) -> Callable[[Any], T]:
    """Validator for one of several words, capitals aside."""

    def validate(value: Any) -> T:
        text = tidy(_filled(value))
        if text.lower() not in words:
            named = [word for word in words if len(word) > 2 and word in text.lower().split()]
            fix = f"write {named[0]} alone" if len(named) == 1 else hint(text, words)
            raise wrong(f"{text!r} is not one of the words for this", fix)
        return words[text.lower()]

    return validate


def _choice_schema(words: Iterable[str]) -> WithJsonSchema:
    return WithJsonSchema({"enum": list(words)})


# ------------------------------------------------------------------------------------------- quantities

RunLength = Annotated[
    float, PlainValidator(reader(lambda t: quantity("run length", t))), _example("run length")
]
WireLength = Annotated[
    float, PlainValidator(reader(lambda t: quantity("wire length", t))), _example("wire length")
]
Allowance = Annotated[
    float, PlainValidator(reader(lambda t: quantity("allowance", t))), _example("allowance")
]
EdgeLength = Annotated[float, PlainValidator(reader(lambda t: quantity("edge", t))), _example("edge")]
ClampSpacing = Annotated[
    float, PlainValidator(reader(lambda t: quantity("clamps every", t))), _example("clamps every")
]
TieSpacing = Annotated[
    float, PlainValidator(reader(lambda t: quantity("ties every", t))), _example("ties every")
]
HoleMm = Annotated[
    float, PlainValidator(reader(lambda t: round(1000 * quantity("hole", t), 6))), _example("hole")
]
PlateMm = Annotated[
    float, PlainValidator(reader(lambda t: round(1000 * quantity("plate", t), 6))), _example("plate")
]
Ambient = Annotated[float, PlainValidator(reader(lambda t: quantity("ambient", t))), _example("ambient")]
Altitude = Annotated[float, PlainValidator(reader(lambda t: quantity("altitude", t))), _example("altitude")]
Coldest = Annotated[float, PlainValidator(reader(lambda t: quantity("coldest", t))), _example("coldest")]
Rated = Annotated[float, PlainValidator(reader(lambda t: quantity("rated", t))), _example("rated")]
Capacity = Annotated[float, PlainValidator(reader(lambda t: quantity("capacity", t))), _example("capacity")]
Cranking = Annotated[float, PlainValidator(reader(lambda t: quantity("cranking", t))), _example("cranking")]
Output = Annotated[float, PlainValidator(reader(lambda t: quantity("output", t))), _example("output")]
IdleOutput = Annotated[
    float, PlainValidator(reader(lambda t: quantity("idle output", t))), _example("idle output")
]
Charge = Annotated[float, PlainValidator(reader(lambda t: quantity("charge", t) / 100)), _example("charge")]
Rating = Annotated[float, PlainValidator(reader(lambda t: quantity("rating", t))), _example("rating")]
Resistance = Annotated[
    float, PlainValidator(reader(lambda t: quantity("resistance", t))), _example("resistance")
]
PowerSpell = Annotated[Spell, PlainValidator(reader(lambda t: spell("power", t))), _example("power")]
CurrentSpell = Annotated[Spell, PlainValidator(reader(lambda t: spell("current", t))), _example("current")]
CoilSpell = Annotated[Spell, PlainValidator(reader(lambda t: spell("coil", t))), _example("coil")]


RANGE_EXAMPLE = "240 to 33 ohm"


def _ohm_range(text: str) -> tuple[float, float]:
    """Read "240 to 33 ohm" or "240 ohm to 33 ohm", empty to full."""
    first, parted, second = tidy(text).partition(" to ")
    if not parted:
        raise WrongQuantity(
            f"{tidy(text)!r} does not say two resistances",
            f"write {RANGE_EXAMPLE}, empty to full",
        )
    if re.fullmatch(r"[-+0-9.,]+", first):
        first = f"{first} {re.sub(r'^[-+0-9., ]+', '', second)}"
    return quantity("sender", first), quantity("sender", second)


OhmRange = Annotated[
    tuple[float, float],
    PlainValidator(reader(_ohm_range)),
    _schema("resistance from empty to full", examples=[RANGE_EXAMPLE]),
]
WireSize = Annotated[
    str, PlainValidator(reader(wire_size)), _schema("wire size", examples=["14 AWG", "2.5 mm2"])
]
StudSize = Annotated[
    str, PlainValidator(reader(stud_size)), _schema("thread of a stud", examples=["M8", "3/8"])
]


def _timed(name: str) -> Callable[[str], Spell]:
    def read(text: str) -> Spell:
        found = spell(name, text)
        if found.seconds_s is None:
            raise WrongQuantity(
                f"{tidy(text)!r} does not say how long the peak lasts",
                f"write it behind, for example {MEASURES[name].example}",
            )
        return found

    return read


Peak = Annotated[Spell, PlainValidator(reader(_timed("peak"))), _example("peak")]
DutyField = Annotated[
    Duty,
    PlainValidator(reader(duty)),
    _schema("how long it is on in how long a time", examples=["10 s in 60 s"]),
]
CoilPeak = Annotated[Spell, PlainValidator(reader(_timed("coil peak"))), _example("coil peak")]


def _share(text: str) -> float:
    return quantity("share", text) / 100


Share = Annotated[float, PlainValidator(reader(_share)), _example("share")]


def _voltage(text: str) -> float:
    volts = quantity("voltage", text)
    if volts not in SYSTEM_VOLTAGES:
        known = ", ".join(f"{each:g}" for each in SYSTEM_VOLTAGES)
        raise WrongQuantity(
            f"{tidy(text)!r} is not the voltage of a machine's system", f"write one of {known} V"
        )
    return volts


Voltage = Annotated[float, PlainValidator(reader(_voltage)), _example("voltage")]


def _drop(text: str) -> str:
    drop_v(text, system_v=12.0)  # to see that it can be read; volts come when the system voltage is known
    return text


Drop = Annotated[str, PlainValidator(reader(_drop)), _schema("allowed drop", examples=["3 %", "0.4 V"])]

# ------------------------------------------------------------------------------------------------ names


def _name(value: Any, *, barred: frozenset[str] = frozenset()) -> Word | str:
    text = _filled(value)
    if "\n" in text or "\t" in text:
        raise wrong("the name holds a line break or a tab", "write the name on one line")
    if len(text) > LONGEST_NAME:
        raise wrong(f"the name is longer than {LONGEST_NAME} letters", "shorten it; put the rest into notes")
    for sign in text:
        if sign in barred:
            raise wrong(
                f"the name {text!r} holds {sign!r}, which has a meaning in paths", "leave the sign out"
            )
    name = canonical(text)
    return Word(name, value.text) if isinstance(value, Word) else name


def _part_name(value: Any) -> Word | str:
    return _name(value, barred=PATH_SIGNS | {"/"})


def _place_name(value: Any) -> Word | str:
    return _name(value, barred=PATH_SIGNS)


_name_schema = WithJsonSchema({"type": ["string", "number"], "maxLength": LONGEST_NAME})
Name = Annotated[str, PlainValidator(_name), _name_schema]
PartName = Annotated[str, PlainValidator(_part_name), _name_schema]  # also bodies: both stand in paths
PlaceName = Annotated[str, PlainValidator(_place_name), _name_schema]


def _note(value: Any) -> Word | str:
    text = _filled(value)
    if len(text) > LONGEST_NOTE:
        raise wrong(f"the note is longer than {LONGEST_NOTE} letters", "shorten it")
    return text


Note = Annotated[str, PlainValidator(_note), WithJsonSchema({"type": ["string", "number"]})]
PathText = Annotated[
    str,
    PlainValidator(_note),
    WithJsonSchema({"type": "string", "examples": ["battery + > F1 > key 30/15 > lamp > frame"]}),
]

CatalogueFile = Annotated[
    str, PlainValidator(reader(beside)), _schema("a catalogue beside the survey", examples=["my-items.yaml"])
]

# ---------------------------------------------------------------------------------------------- choices

_YES_NO = {"yes": True, "no": False, "true": True, "false": False, "y": True, "n": False, "x": True}
YesNo = Annotated[
    bool, PlainValidator(_choice(_YES_NO)), WithJsonSchema({"enum": ["yes", "no", True, False]})
]

_POSTS: dict[str, Post] = {
    "negative": "negative",
    "positive": "positive",
    "minus": "negative",
    "plus": "positive",
}
PostField = Annotated[Post, PlainValidator(_choice(_POSTS)), _choice_schema(("negative", "positive"))]

_ENGINES: dict[str, EngineState] = {"stopped": "stopped", "cranking": "cranking", "running": "running"}
EngineField = Annotated[EngineState, PlainValidator(_choice(_ENGINES)), _choice_schema(_ENGINES)]

_SPEEDS: dict[str, Speed] = {"rated": "rated", "idle": "idle"}
SpeedField = Annotated[Speed, PlainValidator(_choice(_SPEEDS)), _choice_schema(_SPEEDS)]

_LOOSE_CABLES = {name.lower(): name for name in SAE_CABLES} | {name.lower(): name for name in ISO_CLASSES}
_ALL_CABLES = _LOOSE_CABLES | {name.lower(): name for name in SAE_BATTERY_CABLES}
CableField = Annotated[
    str, PlainValidator(_choice(_LOOSE_CABLES)), _choice_schema((*SAE_CABLES, *ISO_CLASSES))
]
WireCableField = Annotated[
    str,
    PlainValidator(_choice(_ALL_CABLES)),
    _choice_schema((*SAE_CABLES, *SAE_BATTERY_CABLES, *ISO_CLASSES)),
]

Sizes = Literal["AWG", "mm2"]
_SIZES: dict[str, Sizes] = {"awg": "AWG", "mm2": "mm2", "mm²": "mm2"}
SizesField = Annotated[Sizes, PlainValidator(_choice(_SIZES)), _choice_schema(("AWG", "mm2"))]

RulesField = Annotated[
    str, PlainValidator(_choice({"sae": "sae", "iso": "iso"})), _choice_schema(("sae", "iso"))
]

Colours = Literal["by function", "BS AU 7a", "numbered"]
_COLOURS: dict[str, Colours] = {"by function": "by function", "bs au 7a": "BS AU 7a", "numbered": "numbered"}
ColoursField = Annotated[Colours, PlainValidator(_choice(_COLOURS)), _choice_schema(_COLOURS.values())]

_JOINTS: dict[str, JointWish] = {"splice": "splice", "chain": "chain", "stud": "stud", "least": "least"}
JointField = Annotated[JointWish, PlainValidator(_choice(_JOINTS)), _choice_schema(_JOINTS)]

Route = Literal["short", "cool"]
_ROUTES: dict[str, Route] = {"short": "short", "cool": "cool"}
RouteField = Annotated[Route, PlainValidator(_choice(_ROUTES)), _choice_schema(_ROUTES)]

Numbering = Literal["by point", "by circuit", "in order"]
_NUMBERING: dict[str, Numbering] = {
    "by point": "by point",
    "by circuit": "by circuit",
    "in order": "in order",
}
NumberingField = Annotated[Numbering, PlainValidator(_choice(_NUMBERING)), _choice_schema(_NUMBERING)]

NearField = Annotated[str, PlainValidator(_choice({each: each for each in NEAR})), _choice_schema(NEAR)]
ShrinkField = Annotated[str, PlainValidator(_choice(SHRINK)), _choice_schema(SHRINK)]
CoveringField = Annotated[
    str, PlainValidator(_choice({each: each for each in COVERINGS})), _choice_schema(COVERINGS)
]

MetalField = Annotated[str, PlainValidator(_choice(METALS)), _choice_schema(METALS)]
EndsField = Annotated[
    str, PlainValidator(_choice({each: each for each in CABLE_ENDS})), _choice_schema(CABLE_ENDS)
]
HiddenField = Annotated[str, PlainValidator(_choice({each: each for each in HIDDEN})), _choice_schema(HIDDEN)]
StrandsField = Annotated[
    bool, PlainValidator(_choice({"fine": True, "common": False})), _choice_schema(("fine", "common"))
]

Resets = Literal["manual", "automatic", "power off"]
_RESETS: dict[str, Resets] = {
    "manual": "manual", "automatic": "automatic", "power off": "power off", "by hand": "manual",
}  # fmt: skip
ResetsField = Annotated[
    Resets, PlainValidator(_choice(_RESETS)), _choice_schema(("manual", "automatic", "power off"))
]


def wire_colour(text: str) -> str:
    """Read "BU/WH", "blue/white" or "RD" as IEC 60757 letters, base before tracer. Raises WrongQuantity."""
    parts = [part.strip() for part in tidy(text).split("/")]
    letters = [COLOUR_LETTERS.get(part.lower(), part.upper()) for part in parts]
    bad = [part for part, each in zip(parts, letters, strict=True) if each not in COLOUR_LETTERS.values()]
    if bad or not 1 <= len(letters) <= 2:
        raise WrongQuantity(
            f"{tidy(text)!r} is not a wire colour",
            "write base and tracer as BU/WH or blue/white; letters: "
            + ", ".join(dict.fromkeys(COLOUR_LETTERS.values())),
        )
    return "/".join(letters)


Colour = Annotated[
    str, PlainValidator(reader(wire_colour)), _schema("wire colour", examples=["BU/WH", "red"])
]


MOST_TIMES = 9


def _times(value: Any) -> int:
    text = tidy(_filled(value))
    found = whole(text, 0, MOST_TIMES)
    if found is None:
        raise wrong(f"{text!r} is not a count of times", f"write a whole number from 0 to {MOST_TIMES}")
    return found


Times = Annotated[int, PlainValidator(_times), _schema("how often", examples=["2"])]


def read_ways(value: Any) -> Any:
    """Read the ways of a fuse panel or coupler: a count, or a mapping of names to ratings or nothing."""
    if isinstance(value, Mapping) and len(value) > MOST_WAYS:
        raise wrong(f"{len(value)} ways are more than {MOST_WAYS}", "make two of it")
    if not isinstance(value, str):
        return value
    text = tidy(_filled(value))
    count = whole(text, 1, MOST_WAYS)
    if count is None:
        fix = f"write ways: 8, {MOST_WAYS} at most, or {{F1: 10 A, F2: 15 A}}"
        raise wrong(f"{text!r} is not a count of ways", fix)
    return {f"#{number}": "" for number in range(1, count + 1)}


class AlsoText:
    """Tells the JSON Schema that one word may stand for the whole."""

    def __get_pydantic_json_schema__(
        self, core: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        return {"anyOf": [handler(core), {"type": ["string", "number"]}]}


class AlsoNothing:
    """Tells the JSON Schema that the key may stand with nothing after it."""

    def __get_pydantic_json_schema__(
        self, core: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        return {"anyOf": [handler(core), {"type": "null"}]}


def one_or_list(value: Any) -> Any:
    """Let one word stand for a list of one."""
    return [value] if isinstance(value, str) and value.strip() else value


def empty_mapping(value: Any) -> Any:
    """Let a key with nothing after it stand for an empty mapping."""
    return {} if isinstance(value, str) and not value.strip() else value


def empty_list(value: Any) -> Any:
    """Let a key with nothing after it stand for an empty list, one text for a list of one."""
    return [] if isinstance(value, str) and not value.strip() else one_or_list(value)


def optional_rating(value: Any) -> float | None:
    """A fuse rating, or None when the survey leaves it to the tool."""
    if isinstance(value, str) and not value.strip():
        return None
    return reader(lambda text: quantity("rating", text))(value)


OptionalRating = Annotated[
    float | None,
    PlainValidator(optional_rating),
    WithJsonSchema({"type": ["string", "number", "null"], "examples": ["15 A"]}),
]
