"""What is wrong with the shape of a survey, said in plain words at its spot."""

from __future__ import annotations

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from harness.kinds import find as find_kind
from harness.kinds import kinds
from harness.model.problem import MOST_PROBLEMS, Problem, SurveyWrong, Where, stop_when_many
from harness.survey.located import Node, Spot, Text, find, plain
from harness.survey.mending import Damage, Way, mend
from harness.survey.schema import SECTION_FORMS, SurveyForm, keys_of
from harness.survey.words import hint

SINGULAR = {
    "zones": "zone",
    "places": "place",
    "runs": "run",
    "bodies": "body",
    "parts": "part",
    "modes": "mode",
    "circuits": "circuit",
    "wires": "wire",
    "spare wires": "spare wire",
    "old wires": "old wire",
}

# Keys people type for ours.
SYNONYMS = {
    "color": "colour",
    "colors": "colours",
    "watts": "power",
    "wattage": "power",
    "amps": "current",
    "amperes": "current",
    "volts": "voltage",
    "ground": "chassis post",
    "earth": "chassis post",
    "polarity": "chassis post",
    "temperature": "ambient",
    "temp": "ambient",
    "type": "is",
    "kind": "is",
    "place": "at",
    "location": "at",
    "body": "on",
    "inrush": "peak",
    "fuse": "rating",
    "distance": "length",
    "gauge": "size",
    "mode": "works in",
    "modes": "works in",
    "path": "paths",
    "insulation": "cable",
}


def shape(root: Node, file: str) -> tuple[SurveyForm, list[Problem], Damage]:
    """Check the shape of a survey; the form to go on with, the problems, and what was mended.

    Raises SurveyWrong when no sound form can be made at all.
    """
    data = plain(root)
    if not isinstance(data, dict):
        what = "a survey is made of sections, each with its name and a colon, and this is not"
        raise SurveyWrong([Problem(Where(file, 1, 1), what, "start with 'machine:'; see the samples")])
    problems: list[Problem] = []
    damage = Damage()
    for turn in range(5):
        try:
            return SurveyForm.model_validate(data), problems, damage
        except ValidationError as error:
            found = error.errors(include_url=False, include_input=False)
        if turn == 0:
            told = [each for each in _told_apart(found, root) if not _told_by_cell(each, root)]
            problems = [_problem(each, root, file) for each in told[:MOST_PROBLEMS]]
            if len(told) > MOST_PROBLEMS:
                stop_when_many(file, problems)
        mend(data, found, damage)
    raise SurveyWrong(problems)


def _told_apart(found: list[ErrorDetails], root: Node) -> list[ErrorDetails]:
    """The errors without those for a missing key that is there after all, only misspelt."""
    beside: dict[Way, list[Way]] = {}
    for error in found:
        if error["type"] == "extra_forbidden":
            beside.setdefault(error["loc"][:-1], []).append(error["loc"])

    def misspelt(error: ErrorDetails) -> bool:
        strange = beside.get(error["loc"][:-1], []) if error["type"] == "missing" else []
        wanted = f"did you mean {error['loc'][-1]!r}?"
        return any(_unknown_key(way, root)[1] == wanted for way in strange[:20])

    return [error for error in found if not misspelt(error)]


def _told_by_cell(error: ErrorDetails, root: Node) -> bool:
    """Whether an error is about a cell of a workbook that could not be read at all, which has been said."""
    node, _ = find(root, tuple(step for step in error["loc"] if step != "[key]"))
    return isinstance(node, Text) and bool(node.spot.cell) and not node.value


# ------------------------------------------------------------------------------------------------ words


def _problem(error: ErrorDetails, root: Node, file: str) -> Problem:
    spot = _spot(error, root)
    what, fix = _words(error, root)
    return Problem(spot.where(file), what, fix)


def _spot(error: ErrorDetails, root: Node) -> Spot:
    """The key for a key that is wrong or lacks something below it, the value for a wrong value."""
    way = tuple(step for step in error["loc"] if step != "[key]")
    node, key = find(root, way)
    blames_key = error["type"] in ("extra_forbidden", "missing") or error["loc"][-1:] == ("[key]",)
    blank = isinstance(node, Text) and not node.value
    return key.spot if key is not None and (blames_key or blank) else node.spot


def _words(error: ErrorDetails, root: Node) -> tuple[str, str]:
    context = error.get("ctx", {})
    if error["type"] == "survey":
        return str(context["what"]), str(context["fix"])
    if error["type"] == "extra_forbidden":
        return _unknown_key(error["loc"], root)
    if error["type"] == "missing":
        return _missing(error["loc"])
    owner = _owner(error["loc"])
    if error["type"].startswith("list"):
        return f"{owner} must be a list", "write '- item' or [item, item]"
    example = _INSIDE.get(
        str(error["loc"][0]) if len(error["loc"]) == 2 else "", "'key: value' or {key: value}"
    )
    return f"{owner} must be keys, each with its value", f"write {example}"


_INSIDE = {  # what one entry of a section looks like, where somebody wrote something else
    "zones": "{ambient: 60 °C}",
    "runs": "{from: PLACE, to: PLACE, length: 1.15 m, zone: ZONE}",
    "parts": "{is: lamp, at: PLACE}",
    "modes": "{engine: running}",
    "circuits": "paths: below its name, and the list of paths below that",
}


def _owner(way: Way) -> str:
    """What a way leads to, in words: "part 'key'", "run 3", "section 'parts'"."""
    if len(way) < 2 or way[0] not in SINGULAR:
        return f"section {way[0]!r}" if way else "the survey"
    what = SINGULAR[str(way[0])]
    name = f"{what} {way[1] + 1}" if isinstance(way[1], int) else f"{what} {way[1]!r}"
    return f"{way[-1]!r} of {name}" if len(way) > 2 else name


def _unknown_key(way: Way, root: Node) -> tuple[str, str]:
    key = str(way[-1])
    known = _keys_at(way, root)
    where = "'machine'" if way[0] == "machine" else _owner(way[:-1])
    synonym = SYNONYMS.get(key.lower())
    if len(way) == 1:
        return f"a survey has no section {key!r}", hint(key, known)
    if key[:1].isdigit():
        return (
            f"{where} has no key {key!r}",
            "a comma in braces parts entries: write 2.5, or put 2,5 m in quotes",
        )
    return f"{where} has no key {key!r}", hint(synonym if synonym in known else key, known)


def _keys_at(way: Way, root: Node) -> list[str]:
    if len(way) == 1:
        return keys_of(SurveyForm)
    known = keys_of(SECTION_FORMS[str(way[0])]) if way[0] in SECTION_FORMS else []
    if way[0] == "parts":
        node, _ = find(root, (*way[:2], "is"))
        kind = find_kind(node.value) if isinstance(node, Text) else None
        known = [key for key in known if kind is None or key in kind.accepts]
    return known


_WANTED = {
    "length": "write the measured length, for example length: 1.15 m",
    "voltage": "write the system voltage, for example voltage: 12 V",
    "chassis post": "write which battery post goes to the chassis, chassis post: negative or positive",
    "name": "write name: and what the machine is",
    "from": "write the place it starts at",
    "to": "write the place it ends at",
    "zone": "write the name of one of the zones",
    "is": "write what the part is, for example is: lamp",
    "at": "write the place it sits at",
    "engine": "write engine: stopped, cranking or running",
    "paths": "write paths: and a list such as [battery + > F1 > lamp > frame]",
}


def _missing(way: Way) -> tuple[str, str]:
    key = str(way[-1])
    if len(way) == 1:
        return f"section {key!r} is missing", f"write {key}: and what belongs to it; see the samples"
    where = "'machine'" if way[0] == "machine" else _owner(way[:-1])
    return f"{where} does not say {key!r}", _WANTED.get(key, f"write {key}:")


def known_kinds() -> list[str]:
    """Every kind and every other word for one, for suggestions."""
    return [*kinds(), *(alias for kind in kinds().values() for alias in kind.aliases)]
