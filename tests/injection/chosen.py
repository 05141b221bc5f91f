"""Which text stands in which field: all that it takes, or each once over all fields of a small machine."""

from __future__ import annotations

import unicodedata
from functools import cache

from harness.model.problem import SurveyWrong
from harness.signs import unseen
from harness.survey import read
from harness.survey.located import canonical
from tests.injection.fields import ONCE, PLAIN, Slot, own_fields, survey
from tests.injection.words import WORDS

SMALL = 7  # lamps of the small machine


@cache
def refused(word: str) -> dict[Slot, str]:
    """The fields that do not take a text, with what is said; found with the text in all of them at once."""
    text, at = survey(1, lambda k, slot: word)
    try:
        read("a.yaml", text=text)
    except SurveyWrong as wrong:
        found = {}
        for problem in wrong.problems:
            assert problem.where.line > 0 and problem.where.column > 0, problem
            said = str(problem)
            assert all(each == "\n" or each.isprintable() for each in said), ascii(said)
            if problem.where.line in at:
                found[at[problem.where.line][1]] = said
        assert found, wrong.problems
        return found
    return {}


@cache
def taken() -> list[str]:
    """Every text that some field takes: those of no field left out."""
    return [word for word in WORDS if len(refused(word)) < len(own_fields())]


def tried(k: int, slot: Slot) -> str:
    """The text of lamp ``k`` where the field takes it, else a plain one; a mark behind it tells the field."""
    word = f"{PLAIN}{k}" if slot in refused(taken()[k]) else taken()[k]
    return f"{word} n{own_fields().index(slot)}"


@cache
def _dealt() -> dict[tuple[int, Slot], str]:
    """The texts dealt out over the fields of the small machine, one after the other where one is taken."""
    left: list[str] = []
    found = {}
    for k in range(SMALL):
        for slot in own_fields():
            if k and slot in ONCE:
                continue
            for _ in range(2):
                word = next((each for each in left if slot not in refused(each)), None)
                if word is not None:
                    break
                left += taken()
            assert word is not None
            left.remove(word)
            found[k, slot] = word
    return found


def dealt(k: int, slot: Slot) -> str:
    """The text of one field of the small machine."""
    return _dealt()[k, slot]


def dealt_texts() -> set[str]:
    """Every text that stands somewhere in the small machine."""
    return set(_dealt().values())


def squeezed(text: str) -> str:
    """Without spaces, which lines may break at, and without marks that show nothing by themselves."""
    return "".join(each for each in "".join(canonical(text).split()) if unicodedata.category(each) != "Cf")


def harmless(said: str) -> None:
    """Nothing in what is shown on a terminal moves its cursor, turns letters round or hides."""
    at = unseen(said)
    assert at is None, ascii(said[max(0, at - 60) : at + 20])
    assert "\t" not in said
