"""Every covering that fit-out gives is drawn as what it is, on the layout and on the board alike."""

from __future__ import annotations

from dataclasses import replace

import pytest

from harness.drawing.board_ink import CORES
from harness.drawing.bundles import STYLE_WORDS, STYLES, style
from harness.drawing.loom_key import SIGNS, signs
from harness.fitout.covering import catalogue, covering
from tests.samples import made as samples

# by the first words of its catalogue text, in our own reading
LOOKS = {
    "split corrugated tube": "corrugated",
    "expandable braided sleeve": "braid",
    "spiral wrap": "spiral",
    "glass-fibre sleeve": "glass",
    "harness tape": "tape",
    "glass-cloth tape": "tape",
}


def _look(text: str) -> str:
    run = replace(samples.design("pump").runs[0], covering=text)
    return style(run)


def test_every_item_of_the_catalogue_has_the_look_of_its_name() -> None:
    texts = catalogue()
    assert {text.partition(",")[0] for text in texts} == set(LOOKS)
    for text in texts:
        assert _look(text) == LOOKS[text.partition(",")[0]], text


@pytest.mark.parametrize("asked", ["corrugated", "spiral", "braid", "glass", "tape"])
def test_a_hot_tube_that_asks_for_glass_fibre_instead_is_still_drawn_as_a_tube(asked: str) -> None:
    found = covering(asked=asked, bundle_mm=9.0, ambient_c=140.0, near=(), sizes="AWG")
    assert _look(found.text) == asked


def test_every_look_has_words_a_core_on_the_board_and_a_place_in_the_key() -> None:
    assert set(STYLE_WORDS) == set(STYLES)
    assert set(CORES) == set(STYLES) - {"bare"}
    for name in ("pump", "roller", "grader", "orchard"):
        shown = signs(samples.design(name), off_scale=True, broken=True)
        assert {each for each, _ in shown} <= set(SIGNS) | set(STYLES)
