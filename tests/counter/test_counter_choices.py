"""The file of choices edited by hand: what the program adds leaves a person's remarks and order."""

from __future__ import annotations

from dataclasses import replace

import pytest

from harness.counter.choices import BOUGHT, CABLES, COLOURS, SIZES, read_choices, with_choice
from harness.counter.choicestext import changed_text, choices_text
from harness.model.accepted import Accepted, Choice

HAND = """\
# asked at the counter on Monday
other colours:
  # no green before June
  GXL 14 AWG GN: BU        # rang them twice
  'GXL 12 AWG WH/OG': {}
# sizes nobody has
leave out sizes:
    - GXL 16 AWG           # comes back in autumn
    # and this one for ever
    - 'GXL 18 AWG'
bought instead:
  'relays: relay; 12 V': R12   # the one with the bracket
"""


def hand(colour: str = "BK") -> str:
    return HAND.format(colour)


def said(text: str) -> Accepted:
    return replace(read_choices(text, "c.yaml"), digest="", file="")


MORE = (
    Choice(SIZES, "GXL 20 AWG"),
    Choice(COLOURS, "GXL 10 AWG RD", "VT"),
    Choice(CABLES, "GXL 14 AWG RD", "SXL"),
    Choice(BOUGHT, "relays: relay; 24 V", "R24", "RELAY 24V # bracket"),
)


@pytest.mark.parametrize("choice", MORE, ids=[one.section for one in MORE])
def test_one_more_choice_adds_its_lines_and_changes_no_other(choice: Choice) -> None:
    wanted = with_choice(said(hand()), choice)
    text = changed_text(hand(), wanted)
    assert said(text) == wanted
    assert [line for line in text.splitlines() if line in hand().splitlines()] == hand().splitlines()
    assert len(text.splitlines()) - len(hand().splitlines()) == (2 if choice.section == CABLES else 1)


def test_a_changed_choice_changes_its_word_alone() -> None:
    wanted = with_choice(said(hand()), Choice(COLOURS, "GXL 12 AWG WH/OG", "VT"))
    assert changed_text(hand(), wanted) == hand("'VT'")


def test_what_is_taken_back_takes_its_line_with_it() -> None:
    whole = said(hand())
    text = changed_text(hand(), replace(whole, sizes=("GXL 18 AWG",)))
    assert "GXL 16 AWG" not in text
    assert [line for line in hand().splitlines() if "GXL 16 AWG" not in line] == text.splitlines()
    assert SIZES not in changed_text(hand(), replace(whole, sizes=()))


@pytest.mark.parametrize(
    "text",
    [
        "leave out sizes: [GXL 16 AWG]\n# keep me\nother colours: {GXL 14 AWG GN: BU}\n",
        "leave out sizes: []\n# keep me",
        "\ufeffother colours:\r\n  GXL 14 AWG GN: BU\r\n# keep me\r\n",
        "other colours:\n  ? GXL 14 AWG GN\n  : BU\n# keep me\n",
    ],
)
def test_however_the_file_is_written_it_says_what_was_accepted(text: str) -> None:
    wanted = said(text.removeprefix("\ufeff"))
    for choice in MORE:
        wanted = with_choice(wanted, choice)
    made = changed_text(text, wanted)
    assert said(made) == wanted
    assert "# keep me" in made


def test_of_a_file_that_says_nothing_sound_nothing_is_kept() -> None:
    wanted = with_choice(Accepted(), MORE[0])
    assert changed_text("nonsense: [", wanted) == choices_text(wanted)
    assert changed_text(choices_text(Accepted()), wanted).startswith("# What was settled")
