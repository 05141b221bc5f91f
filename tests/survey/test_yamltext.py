"""YAML's own traps: what is kept as written, what is refused, and where in the file a letter stands."""

from __future__ import annotations

import pytest

from harness.model.problem import SurveyWrong
from harness.survey.located import Mapping, Sequence, Spot, Text, plain
from harness.survey.yamltext import compose
from tests.survey.texts import TROLLEY, changed, machine, problems, spots, steps


def root(text: str) -> Mapping:
    found, wrong = compose(text, "test.yaml")
    assert wrong == []
    assert isinstance(found, Mapping)
    return found


def first_problem(text: str) -> tuple[int, int, str]:
    try:
        _, wrong = compose(text, "test.yaml")
    except SurveyWrong as error:
        wrong = error.problems
    return wrong[0].where.line, wrong[0].where.column, wrong[0].what


def test_no_scalar_is_mangled() -> None:
    text = "a: yes\nb: 1-2\nc: 0x10\nd: 1_000\ne: 12:30\nf: 1.50\ng: 2026-11-25\nh: on\ni: ~\nj: 010\n"
    assert plain(root(text)) == {
        "a": "yes", "b": "1-2", "c": "0x10", "d": "1_000", "e": "12:30", "f": "1.50", "g": "2026-11-25",
        "h": "on", "i": "", "j": "010",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("text", "line", "column", "words"),
    [
        ("a:\n\tb: 1\n", 2, 1, "a tab stands here"),
        ("a:\n  b: 1\n   c: 2\n", 3, 5, "a colon stands here where none can"),
        ("a:\n  - x\n b: 1\n", 3, 2, "does not line up"),
        ("a: 'x\nb: 1\n", 1, 4, "a quote is opened here and never closed"),
        ("a: [1, 2\nb: 3\n", 2, 2, "a list in brackets is not closed"),
        ("a: {b: 1\nc: 3\n", 2, 2, "braces are not closed"),
        ("a: @x\n", 1, 4, "text cannot begin with this sign"),
        ("a: 1\nb: \x07\n", 2, 4, "a sign stands here that YAML does not allow: ALERT (U+0007)"),
        ('a: 1\nb: "x\\u202ey"\n', 2, 4, "a sign that nobody sees: RIGHT-TO-LEFT OVERRIDE (U+202E)"),
        ('b: "\\ud800"\n', 1, 4, "nobody sees: half a letter (U+D800)"),
        ("a: !!python/object x\n", 1, 4, "the tag"),
        ("a: 1\n---\nb: 1\n", 2, 1, "a second machine starts here"),
        ("a: 1\nb: 2\na: 3\n", 3, 1, "'a' stands twice: here and at line 1"),
        ("a: 1\n a : 2\n", 2, 4, "a colon stands here where none can"),
        ("left  lamp: 1\nleft lamp: 2\n", 2, 1, "'left lamp' stands twice: here and at line 1"),
        ("a: &x [1, *x]\n", 1, 11, "'*x' stands inside '&x' itself"),
        ("a: *x\n", 1, 4, "nothing above is"),
        ("a: &x {b: 1}\nc:\n  <<: *x\n", 3, 3, "merge keys"),
        ("? [a]\n: b\n", 1, 3, "a key must be plain text"),
        (": b\n", 1, 1, "a key is missing before this colon"),
        ("a: " + "[" * 20 + "]" * 20, 1, 15, "nested more than 12 deep"),
    ],
)
def test_what_yaml_itself_can_be_wrong_about(text: str, line: int, column: int, words: str) -> None:
    found = first_problem(text)
    assert found[:2] == (line, column)
    assert words in found[2]


def test_aliases_that_end_are_expanded() -> None:
    assert plain(root("a: &x [1, 2]\nb: *x\n")) == {"a": ["1", "2"], "b": ["1", "2"]}


def test_quoted_merge_key_is_a_name_like_any_other() -> None:
    assert plain(root('"<<": 1\n')) == {"<<": "1"}


def at(text: str, word: str) -> Spot:
    """Where a word inside the one item of the list ``p`` stands."""
    found = root(text).entries["p"].value
    assert isinstance(found, Sequence)
    item = found.items[0]
    assert isinstance(item, Text)
    return item.at(item.value.index(word))


@pytest.mark.parametrize(
    ("text", "word", "line", "column"),
    [
        ("p:\n  - one > two\n", "two", 2, 11),
        ("p:\n  - 'one > two'\n", "two", 2, 12),
        ('p:\n  - "one > two"\n', "two", 2, 12),
        ("p:\n  - one\n    > two > three\n", "three", 3, 13),
        ("p:\n  - >-\n    one > two\n    > three\n", "three", 4, 7),
        ("p:\n  - |\n    one > two\n", "two", 3, 11),
        ("p: [one > two]\n", "two", 1, 11),
        ("p:\n  - &name one > two\n", "two", 2, 17),
        (
            'p:\n  - "one \\u003e two"\n',
            "two",
            2,
            5,
        ),  # written with an escape: the start is all that is known
    ],
)
def test_a_word_inside_a_scalar_is_found_in_the_file(text: str, word: str, line: int, column: int) -> None:
    assert at(text, word) == Spot(line, column)


def test_path_over_several_lines_is_blamed_on_the_right_one() -> None:
    folded = changed(
        (
            "      - battery + > F1 > pump switch > pump > frame",
            "      - battery + > F1\n        > pump swich > pump > frame",
        )
    )
    assert spots(folded) == [(19, 11)]
    right = changed(
        (
            "      - battery + > F1 > pump switch > pump > frame",
            "      - battery + > F1\n        > pump switch > pump > frame",
        )
    )
    assert steps(machine(right), "Water pump") == steps(machine(TROLLEY), "Water pump")


def test_errors_of_yaml_shape_and_names_come_together() -> None:
    text = changed(
        ("  name: Water trailer\n", "  name: Water trailer\n  name: Again\n"),
        ("current: 6 A", "current: 6 m"),
        ("> pump > frame", "> pump > farme"),
    )
    assert [each.what.split("'")[1] for each in problems(text)] == ["name", "6 m", "farme"]
