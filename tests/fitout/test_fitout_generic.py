"""Items are generic: what they are called is made of words of the trade and of standards, no maker's name."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from harness.catalogue import KINDS, ItemKind
from harness.tables import load
from tests.samples import made as samples

SAMPLES = Path(__file__).parents[2] / "samples"
LETTERS = re.compile(r"[^\W\d_]+")
SIZE = re.compile(r"[A-Z]{1,2}(?=\d)")  # M8, NW17, AN931, F3

# A new word here must be one that every counter uses for the thing, whoever made it.
TRADE_WORDS = """
tape edge trim
cut ft fuses grommets labels splices terminals ties clamps covering relays holders
a adhesive all awg black blade blue bolt braided bundle cable clamp class contact copper corrugated
dual each expandable family female for ft grommet groove heat hole in inch inside insulated label large
lined loom lug metric mm nylon of or outside pack pin plate plug polyethylene push red ring roll
rubber sealed sheet shrink size sleeve small socket split stainless steel stick stud tab terminal
thin tie to tube wall white wire yellow x
"""
TRADE = set(TRADE_WORDS.split())
# "maker's sheet" tells two families of the same ratio apart and does not reach a list of materials
STANDARDS = {"ams", "an", "ms", "dtl", "nw", "din", "maker", "s", "m"}
# Capitals that are no names: gauges, cable types of SAE J1127 and J1128, and a shape
CAPITALS = {"AWG", "GPT", "TWP", "HDT", "TXL", "GXL", "SXL", "SGT", "SGX", "STX", "SGR", "STT", "LED"}


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_every_word_of_an_item_is_a_word_of_the_trade(kind: ItemKind) -> None:
    for row in load(kind.table).rows:
        for column in (key.column for key in kind.keys):
            words = {word.lower() for word in LETTERS.findall(row.get(column, ""))}
            assert words <= TRADE | STANDARDS, row


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_every_word_of_the_explanations_is_lower_case(kind: ItemKind) -> None:
    assert not re.findall(r"\b(?!P-clamp)[A-Z]\w+", kind.what)


@pytest.mark.parametrize("name", ["pump", "roller", "grader", "orchard"])
def test_no_item_of_a_sample_has_a_name_in_it(name: str) -> None:
    """Things are written small; whatever has a capital is a size, a standard's type, or somebody's name."""
    for line in samples.design(name).materials:
        bare = SIZE.sub("", line.item)
        names = [
            word
            for word in LETTERS.findall(bare)
            if word[0].isupper() and len(word) > 1 and word not in CAPITALS
        ]
        assert not names, line.item


def test_a_name_would_be_seen() -> None:
    bare = SIZE.sub("", "cable tie Quickgrip 200 x 4.8 mm, M8")
    assert [word for word in LETTERS.findall(bare) if word[0].isupper()] == ["Quickgrip"]
    assert "quickgrip" not in TRADE | STANDARDS
