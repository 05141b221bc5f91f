"""What somebody writes who has read one page of the guide: each slip is told in words that lead on."""

from __future__ import annotations

import pytest

from harness.model.problem import SurveyWrong
from harness.survey import read
from tests.docs.pages import marked

SLEDGE = next(block.text for block in marked("example: survey") if block.page == "survey.md")

# what stood there, what the beginner wrote, words of the message, words of its fix
SLIPS = {
    "capitals of a unit": ("voltage: 12 V", "voltage: 12v", "'v' in '12v'", "did you mean 'V'?"),
    "one word too many": ("negative", "negative\n  cable: GPT wire", "'GPT wire'", "write gpt alone"),
    "a decimal comma": ("length: 2.4 m", "length: 2,4 m", "no key '4 m'", "put 2,5 m in quotes"),
    "a figure alone": ("length: 2.4 m", "length: 240", "'240' has no unit", "1.15 m"),
    "a place without a run": (
        "at: mast, power",
        "at: top, power",
        "no run leads to a place 'top'",
        "measure a run to it",
    ),
    "paths left out": ("    paths:\n", "", "circuit 'Lamp' must be keys", "write paths: below its name"),
    "a tab": ("  outside:", "\toutside:", "a tab stands here", "replace the tab with spaces"),
    "the short word": ("chassis post:", "chassis:", "no key 'chassis'", "'chassis post'"),
    "metal by another name": ("> sledge\n", "> frame\n", "no part or body 'frame'", "ground point"),
}


@pytest.mark.parametrize(("good", "slip", "what", "fix"), SLIPS.values(), ids=SLIPS.keys())
def test_a_slip_of_a_beginner(good: str, slip: str, what: str, fix: str) -> None:
    assert good in SLEDGE
    with pytest.raises(SurveyWrong) as caught:
        read("sledge.yaml", text=SLEDGE.replace(good, slip, 1).encode())
    said = [(each.what, each.fix) for each in caught.value.problems]
    assert any(what in one and fix in cure for one, cure in said)
