"""The table of the trade's words that the guide prints: those of the shop book, and some more."""

from __future__ import annotations

import tomllib
from pathlib import Path

from tests.docs.pages import ROOT

GLOSSARY = Path(ROOT / "harness" / "book" / "shop" / "glossary.toml")


def words() -> dict[str, str]:
    """Every word with its meaning, by the alphabet."""
    sections = tomllib.loads(GLOSSARY.read_text(encoding="utf-8")).values()
    found = {word: meaning for section in sections for word, meaning in section.items()}
    return dict(sorted(found.items(), key=lambda item: item[0].casefold()))


def table() -> list[str]:
    """The whole table, heading and all."""
    return ["| word | means |", "|---|---|"] + [
        f"| {word} | {meaning} |" for word, meaning in words().items()
    ]
