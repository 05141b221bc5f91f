"""The cautions: what they must warn of, worded for the post that goes to the chassis."""

from __future__ import annotations

import pytest

from harness.rules import cautions
from tests.rules.surveys import GOOD, POSITIVE, designed


@pytest.mark.parametrize(
    "word",
    [
        "short circuit",
        "fuel",
        "Starting by surprise",
        "arc welding",
        "larger fuse",
        "isolator",
        "machine maker's instructions",
        "codes",
        "licensed person",
        "assumed",
    ],
)
@pytest.mark.parametrize("text", [GOOD, POSITIVE], ids=["negative", "positive"])
def test_a_caution_is_there(text: str, word: str) -> None:
    assert any(word.lower() in caution.lower() for caution in cautions(designed(text)[0]))


@pytest.mark.parametrize(
    ("text", "post", "other"),
    [(GOOD, "negative", "positive"), (POSITIVE, "positive", "negative")],
    ids=["negative", "positive"],
)
def test_the_chassis_post_comes_off_first_and_goes_back_last(text: str, post: str, other: str) -> None:
    (battery,) = [caution for caution in cautions(designed(text)[0]) if caution.startswith("Battery off")]
    assert f"take the {post} lead off first and put it back last" in battery
    assert f"Never the {other} one first" in battery


def test_positive_ground_is_said_only_where_it_is_so() -> None:
    def polarity(text: str) -> list[str]:
        return [
            caution for caution in cautions(designed(text)[0]) if "POSITIVE post is on the chassis" in caution
        ]

    assert len(polarity(POSITIVE)) == 1
    assert polarity(GOOD) == []
