"""Where labels sit and how large they are, against the figures of the trade."""

from __future__ import annotations

import pytest

from harness.fitout.labels import from_end_mm, label_rule


@pytest.mark.parametrize(
    ("length_m", "shrink_mm", "span"),
    [
        (1.0, 0.0, (25.0, 50.0)),  # 25 to 50 mm from the terminal: common practice
        (1.0, 20.0, (25.0, 50.0)),
        (1.0, 45.0, (45.0, 70.0)),  # clear of the heat-shrink, which starts at the terminal
        (0.178, 0.0, (None, None)),  # AC 43.13-1B 11-208: 3 to 7 in, one mark near the middle
        (0.179, 0.0, (25.0, 50.0)),
    ],
)
def test_a_label_sits_behind_the_shrink(
    length_m: float, shrink_mm: float, span: tuple[float | None, float | None]
) -> None:
    assert from_end_mm(length_m=length_m, shrink_mm=shrink_mm) == span


def test_letters_and_sleeves_are_of_the_usual_size() -> None:
    """Sleeve 15 to 25 mm, letters 1.5 to 3 mm: trade practice, from memory."""
    rule = label_rule()
    assert (rule.sleeve_least_mm, rule.sleeve_most_mm) == (15, 25)
    assert (rule.letters_least_mm, rule.letters_most_mm) == (1.5, 3)
    assert "memory" in rule.source
