"""A foot switch in the starter cable, as old tractors have it: the cable stays what it is, and starts."""

from __future__ import annotations

import pytest

from tests.rules.surveys import changed, designed
from tests.rules.trial import PARTS

THROUGH = ("[battery + > starter 30,", "[battery + > foot switch > starter 30,")


@pytest.mark.parametrize("kind", ["foot switch", "starter pull switch"])
def test_a_foot_switch_belongs_in_the_starter_cable(kind: str) -> None:
    foot = f"{PARTS}  foot switch: {{is: {kind}, at: block}}\n"
    _, design = designed(changed((PARTS, foot), THROUGH))
    told = {each.rule for each in design.findings if each.severity != "advice"}
    assert not told & {"unfused feed", "contact overloaded", "starter short of volts"}


def test_a_small_switch_there_is_told() -> None:
    small = f"{PARTS}  foot switch: {{is: switch, at: block}}\n"
    _, design = designed(changed((PARTS, small), THROUGH))
    assert "contact overloaded" in {each.rule for each in design.findings}
