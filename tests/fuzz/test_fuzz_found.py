"""Every reader takes its seeds, nonsense of a few sorts, and every input that once broke it.

The many inputs are for ``python -m tests.fuzz.run``; what it finds lies in ``found/`` and is tried here.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.fuzz.targets import TARGETS, BadRefusal, hold

FOUND = Path(__file__).parent / "found"
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
    for content in (*one.seeds(), *NONSENSE, *(content[: len(content) // 2] for content in one.seeds())):
        one.feed(content)


def test_what_once_broke_a_reader_no_longer_does() -> None:
    for path in sorted(FOUND.glob("*/*")):
        TARGETS[path.parent.name.replace("-", " ")].feed(path.read_bytes())


def test_a_refusal_without_words_would_be_found() -> None:
    with pytest.raises(BadRefusal):
        hold([])
