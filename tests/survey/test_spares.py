"""How many more than counted: what a survey may write, and what is filled in where it says nothing."""

from __future__ import annotations

import pytest

from harness.model.spares import Extra
from tests.survey.texts import TROLLEY, machine, problems


def _rule(text: str) -> Extra:
    return machine(f"{TROLLEY}spares:\n  ties: {text}\n").spares.ties


@pytest.mark.parametrize(
    ("text", "share", "least"),
    [
        ("10 %", 0.1, 0),
        ("10 % at least 2", 0.1, 2),
        ("7,5 per cent, at least 3", 0.075, 3),
        ("at least 4", 0.0, 4),
        ("6", 0.0, 6),
        ("2 of each", 0.0, 2),
        ("None", 0.0, 0),
    ],
)
def test_a_rule_is_a_share_a_count_or_both(text: str, share: float, least: int) -> None:
    assert _rule(text) == Extra(share, least, assumed=False)


@pytest.mark.parametrize("text", ["110 %", "-1", "1.5", "ten", "10 % at least", "'5 % at least 1001'", "[2]"])
def test_other_words_are_refused_at_their_place(text: str) -> None:
    found = problems(f"{TROLLEY}spares:\n  ties: {text}\n")
    assert [(each.where.line, each.where.column) for each in found] == [(21, 9)]  # 19 lines stand before
    assert found[0].fix


def test_what_is_not_said_is_common_practice_and_assumed() -> None:
    """5 to 10 % extra terminals, at least 2; one spare fuse of each rating (common practice)."""
    silent = machine(TROLLEY)
    assert silent.spares.terminals == Extra(0.10, 2, assumed=True)
    assert silent.spares.fuses == Extra(0.0, 1, assumed=True)
    assert silent.spares.grommets == Extra(0.0, 0, assumed=True)
    lines = [line for line in silent.assumed if line.startswith("spare ")]
    assert lines == [
        "spare terminals, splices, seals, ties, labels: 10% at least 2 (common practice)",
        "spare fuses: 1 of each rating (common practice)",
        "spare fuse ways: 20% at least 2 (common practice)",
        "spare wires: 1 in 10 in long branches (common practice)",
    ]
    said = machine(f"{TROLLEY}spares: {{ties: none, terminals: 5 %, fuses: 2, wires: none}}\n")
    assert [line for line in said.assumed if line.startswith("spare ")] == [
        "spare splices, seals, labels: 10% at least 2 (common practice)",
        "spare fuse ways: 20% at least 2 (common practice)",
    ]


def test_an_empty_section_says_nothing() -> None:
    assert machine(f"{TROLLEY}spares:\n").spares == machine(TROLLEY).spares
