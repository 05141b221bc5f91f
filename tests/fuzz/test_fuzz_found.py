"""Every reader takes its seeds, nonsense of a few sorts, and every input that once broke it.

The many inputs are for ``python -m tests.fuzz.run`` and ``tests.fuzz.shaped``; their finds lie in ``found/``
and are tried here.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests.fuzz.shaped import MAKERS
from tests.fuzz.targets import TARGETS, BadRefusal, hold

FOUND = Path(__file__).parent / "found"
SEEDS, SHAPED = 5, 2
NONSENSE = (
    b"",
    b"\0",
    b"\xff\xfe",
    b"\xef\xbb\xbf",
    b"PK\x03\x04",
    b"a",
    b"- - -",
    b"{" * 2000,
    b"a: &a [*a, *a]",
    b"=1",
)


@pytest.mark.parametrize("name", TARGETS)
def test_a_reader_takes_its_seeds_and_nonsense(name: str) -> None:
    one = TARGETS[name]
    seeds = list(one.seeds())[:SEEDS]
    for content in (*seeds, *NONSENSE, *(content[: len(content) // 2] for content in seeds)):
        one.feed(content)


def test_what_once_broke_a_reader_no_longer_does() -> None:
    for path in sorted(FOUND.glob("*/*")):
        TARGETS[path.parent.name.replace("-", " ")].feed(path.read_bytes())


@pytest.mark.parametrize("name", MAKERS)
def test_a_reader_takes_what_is_whole_but_for_a_few_places(name: str) -> None:
    for seed in range(SHAPED):
        TARGETS[name].feed(MAKERS[name](random.Random(seed)))


def test_a_refusal_without_words_would_be_found() -> None:
    with pytest.raises(BadRefusal):
        hold([])
