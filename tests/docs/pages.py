"""The pages of documentation, taken apart: marked code blocks, links, commands."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
GUIDES = sorted((ROOT / "harness" / "guide").glob("*.md"))
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *GUIDES]
_BLOCK = re.compile(
    r"(?:^<!-- (?P<mark>[^>]*?) -->\n)?^```(?P<language>\w*)\n(?P<text>.*?)^```$", re.M | re.S
)


@dataclass(frozen=True, slots=True)
class Block:
    """One fenced block of a page with the marker on the line before it, "" when there is none."""

    page: str
    line: int
    mark: str
    language: str
    text: str

    def __str__(self) -> str:
        return f"{self.page}:{self.line}"


def blocks(page: Path) -> list[Block]:
    """Every fenced block of a page."""
    text = page.read_text(encoding="utf-8")
    return [
        Block(
            page.name,
            text.count("\n", 0, found.start()) + 1,
            found["mark"] or "",
            found["language"],
            found["text"],
        )
        for found in _BLOCK.finditer(text)
    ]


ALL_BLOCKS = [block for page in PAGES for block in blocks(page)]


def marked(mark: str) -> list[Block]:
    """The blocks of all pages whose marker begins with ``mark``."""
    return [block for block in ALL_BLOCKS if block.mark.startswith(mark)]


def links(page: Path) -> list[str]:
    """Targets of links and pictures that stay inside the project."""
    found = re.findall(r"\]\(([^)\s]+)\)", page.read_text(encoding="utf-8"))
    return [target for target in found if not re.match(r"[a-z]+://", target)]


def headings(page: Path) -> set[str]:
    """Anchors of a page's headings, as they are made by the usual renderers."""
    lines = re.findall(r"^#+ (.+)$", page.read_text(encoding="utf-8"), re.M)
    return {re.sub(r"[^\w -]", "", line.lower()).replace(" ", "-") for line in lines}


def commands(page: Path) -> list[list[str]]:
    """Every call of the program that a page shows, in words."""
    text = page.read_text(encoding="utf-8")
    found = re.findall(r"`(?:\.venv/bin/)?harness ([^`\n]*)`", text)
    for block in blocks(page):
        if block.language in ("sh", "text"):
            found += re.findall(
                r"(?:^|\s)(?:\$ )?(?:\.venv/bin/)?harness ((?:[a-z-]+)(?: [^\s&]+)*)", block.text
            )
    return [call.split() for call in found]
