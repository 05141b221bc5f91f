"""A mended copy of a survey whose shape is wrong, so that further mistakes are found in the same reading.

Nothing is ever designed from the copy: it is only read on, and what was mended is remembered, so that nothing
is blamed on the survey that is only missing because of it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from pydantic_core import ErrorDetails

from harness.survey.located import canonical
from harness.survey.schema import SECTION_FORMS, SurveyForm, keys_of
from harness.survey.words import nearest

Way = tuple[str | int, ...]

# What stands in for a value that cannot be read, so that reading can go on.
STAND_INS: dict[tuple[str, str], Any] = {
    ("machine", "name"): "unnamed",
    ("machine", "voltage"): "12 V",
    ("machine", "chassis post"): "negative",
    ("runs", "length"): "1 m",
    ("modes", "engine"): "stopped",
}
EMPTY_SECTIONS: dict[str, Any] = {
    "machine": {key: value for (section, key), value in STAND_INS.items() if section == "machine"},
    "runs": [],
    "parts": {},
    "circuits": {},
}


@dataclass(slots=True)
class Damage:
    """What had to be left out or stood in for, so that nothing is blamed on the survey for lacking it."""

    names: dict[str, set[str]] = field(default_factory=dict)  # section -> names of entries left out
    sections: set[str] = field(default_factory=set)  # sections in which something was mended

    def note(self, section: str, name: str) -> None:
        self.names.setdefault(section, set()).add(name)
        self.sections.add(section)

    def lost(self, section: str, name: str) -> bool:
        """Whether an entry of that name stood in the survey but could not be kept."""
        return name in self.names.get(section, ())


# Without these an entry is nothing; it is left out and its name remembered.
_VITAL = {
    "parts": ("is", "at"),
    "runs": ("from", "to", "zone"),
    "circuits": ("paths",),
    "spare wires": ("from", "to"),
    "old wires": ("from", "to"),
}


def mend(data: dict[str, Any], errors: list[ErrorDetails], damage: Damage) -> None:
    """Take out of ``data`` what the errors are about, or put something in its place, and note it."""
    strange = [error["loc"] for error in errors if error["type"] == "extra_forbidden"]
    drops = {way for way in strange if not _spelt_right(data, way, damage)}
    for error in errors:
        way = error["loc"]
        if error["type"] == "extra_forbidden":
            continue
        if len(way) == 1:
            _mend_section(data, str(way[0]), damage)
        elif not _stand_in(data, way, error["type"], damage):
            drops.add(_dropped(way))
    for way in sorted(drops, key=_last_first):
        _drop(data, way, damage)


def _spelt_right(data: dict[str, Any], way: Way, damage: Damage) -> bool:
    """Move what stands under a misspelt key to the one that must be meant, if one is near and free."""
    form = SurveyForm if len(way) == 1 else SECTION_FORMS.get(str(way[0]))
    holder = _holder(data, way)
    near = nearest(str(way[-1]), keys_of(form)) if form is not None else None
    if near is None or near in holder or len(way) > 3:
        return False
    damage.sections.add(str(way[0]))
    holder[near] = holder.pop(way[-1])
    return True


def _last_first(way: Way) -> tuple[Any, ...]:
    """Deep before shallow and late before early, so that no step moves what a later one is about."""
    return (-len(way), [(0, -step, "") if isinstance(step, int) else (1, 0, step) for step in way])


def _dropped(way: Way) -> Way:
    """What has to go for an error at ``way``: the value, or the whole entry when it cannot do without."""
    if way[-1] == "[key]":
        return way[:-1]
    vital = len(way) == 3 and way[2] in _VITAL.get(str(way[0]), ())
    return way[:2] if vital and way[0] != "machine" else way


def _mend_section(data: dict[str, Any], name: str, damage: Damage) -> None:
    """A section that is missing or is no section at all; one that was only misspelt is there by now."""
    damage.sections.add(name)
    if isinstance(data.get(name), dict):
        return
    if name in EMPTY_SECTIONS:
        data[name] = EMPTY_SECTIONS[name]
    else:
        data.pop(name, None)


def _stand_in(data: dict[str, Any], way: Way, error_type: str, damage: Damage) -> bool:
    """Put a stand-in where a value is lacking or cannot be read; False when there is none for it."""
    value = STAND_INS.get((str(way[0]), str(way[-1])))
    if value is None or len(way) != (2 if way[0] == "machine" else 3):
        return False
    damage.sections.add(str(way[0]))
    holder = _holder(data, way)
    if isinstance(holder, dict) and (error_type != "missing" or way[-1] not in holder):
        holder[str(way[-1])] = value
    return True


def _holder(data: dict[str, Any], way: Way) -> Any:
    here: Any = data
    for step in way[:-1]:
        here = here[step]
    return here


def _drop(data: dict[str, Any], way: Way, damage: Damage) -> None:
    """Take one entry or value out of the data."""
    section = str(way[0])
    damage.sections.add(section)
    if len(way) == 1:
        data.pop(section, None)
        return
    holder = _holder(data, way)
    if isinstance(holder, str):  # one word that stood for a list of one
        way, holder = way[:-1], _holder(data, way[:-1])
    if len(way) == 2 and section != "machine":
        damage.note(section, str(way[1]))
        if section == "runs":
            _keep_places(holder[way[1]], damage)
    if section == "parts" and len(way) == 4 and way[2] == "ways":
        holder[way[3]] = ""  # the way is still there, only its rating is not
    elif not (isinstance(way[-1], str) and way[-1] not in holder):
        del holder[way[-1]]


def _keep_places(run: Any, damage: Damage) -> None:
    """Remember the places a lost run leads to, so that the parts there are not blamed."""
    if isinstance(run, dict):
        for end in (run.get("from"), run.get("to")):
            if isinstance(end, str):
                damage.names.setdefault("places", set()).add(canonical(end))
