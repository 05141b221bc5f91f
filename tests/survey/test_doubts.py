"""The question mark behind a figure: read like the figure, told as assumed, and nothing else changed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from harness.pipeline import design
from tests.survey.texts import TROLLEY, changed, machine, problems

MARKED = changed(
    ("ambient: 45 °C", "ambient: 45 °C?"),
    ("length: 1.2 m", "length: 1.2 m ?"),
    ("capacity: 60 Ah", "capacity: 60 Ah?"),
    ("current: 6 A", 'current: "6 A?"'),
)


def test_a_marked_figure_is_read_like_the_bare_one() -> None:
    plain, found = machine(TROLLEY), machine(MARKED)
    same = replace(found, doubts=(), assumed=plain.assumed, parts=plain.parts, digest=plain.digest)
    assert same == plain
    bare = {name: replace(part, assumed=plain.parts[name].assumed) for name, part in found.parts.items()}
    assert bare == plain.parts


def test_every_mark_is_told_with_its_place() -> None:
    found = machine(MARKED)
    assert [(each.section, each.name, each.key, each.value) for each in found.doubts] == [
        ("zones", "frame", "ambient", "45 °C"),
        ("runs", "battery box - dash", "length", "1.2 m"),
        ("parts", "battery", "capacity", "60 Ah"),
        ("parts", "pump", "current", "6 A"),
    ]
    assert [each.where.line for each in found.doubts] == [6, 8, 10, 13]


def test_what_is_marked_is_listed_as_assumed_in_the_design() -> None:
    made = design(machine(MARKED))
    assert "run battery box - dash: length 1.2 m (marked ? in the survey)" in made.machine.assumed
    assert "zone frame: ambient 45 °C (marked ? in the survey)" in made.machine.assumed
    (load,) = [each for each in made.loads if each.part == "pump"]
    assert "current 6 A (marked ? in the survey)" in load.assumed
    plain = design(machine(TROLLEY))
    assert not [text for text in plain.machine.assumed if "marked ?" in text]


def test_a_run_with_a_name_is_doubted_by_that_name() -> None:
    (found,) = machine(changed(("length: 1.2 m,", "length: 1.2 m?, name: left rail,"))).doubts
    assert found.name == "left rail"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("name: Water trailer", "name: Water trailer?"),
        ("current: 6 A}", "current: 6 A, notes: is it 6 A?}"),
        ("is: electric pump", "is: pump"),
    ],
)
def test_a_name_or_a_note_that_ends_in_a_question_mark_is_no_doubt(old: str, new: str) -> None:
    assert machine(changed((old, new))).doubts == ()


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        ("1.2 m", "1.2 A?", "is a current where a run length belongs"),
        ("1.2 m", "?", "something is missing here"),
        ("1.2 m", "1.2?", "has no unit"),
        ("1.2 m", "1.2 m??", "1.2 m?"),
        ("zone: frame}", "zone: frame?}", "there is no zone 'frame?'"),
    ],
)
def test_a_wrong_figure_stays_wrong_with_a_mark(old: str, new: str, what: str) -> None:
    found = problems(changed((old, new)))
    assert any(what in each.what for each in found), found
