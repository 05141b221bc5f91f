"""The grammar of words: what it draws is right, and together it leaves no kind and hardly a key out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from harness.kinds import kinds
from harness.model.problem import SurveyWrong
from harness.survey import read
from harness.survey.schema import SECTION_FORMS, keys_of
from tests.properties.wide import wide_survey, wide_tree

READ, DRAWN = 20, 250
BY_KITS = {"flasher unit"}  # the kits of tests/fuzz/builds.py draw it
LEFT_OUT = {
    ("machine", "catalogue"),  # a file of one's own lies beside a survey, not in it
    ("wires", "via"),  # as those of circuits
    ("wires", "avoid"),
}


def test_nearly_all_that_is_drawn_is_a_survey() -> None:
    wrong = 0
    for seed in range(READ):
        try:
            read("wide.yaml", text=wide_survey(seed))
        except SurveyWrong:
            wrong += 1  # a place that a circuit leads over may lie behind a run that it avoids
    assert wrong <= READ // 5


def entries(section: str, below: Any) -> Iterator[dict[str, Any]]:
    """The entries of a section; a section of one entry is itself it."""
    if section in ("machine", "allowances", "spares"):
        yield below
    else:
        yield from below.values() if isinstance(below, dict) else below


def test_every_kind_and_every_key_is_drawn() -> None:
    drawn = [wide_tree(seed) for seed in range(DRAWN)]
    found = {
        (section, key)
        for tree in drawn
        for section in SECTION_FORMS
        for entry in entries(section, tree.get(section, {}))
        for key in entry
    }
    assert found | LEFT_OUT == {(each, key) for each, form in SECTION_FORMS.items() for key in keys_of(form)}
    assert {part["is"] for tree in drawn for part in tree["parts"].values()} | BY_KITS == set(kinds())
