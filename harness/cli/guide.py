"""Finds the pages of the guide."""

from __future__ import annotations

from difflib import get_close_matches
from importlib.resources import files

import click


def topics() -> dict[str, str]:
    """Every page's name and its heading."""
    pages = [item for item in files("harness.guide").iterdir() if item.name.endswith(".md")]
    return {
        item.name.removesuffix(".md"): item.read_text(encoding="utf-8").lstrip("# ").splitlines()[0]
        for item in sorted(pages, key=lambda item: item.name)
    }


def page(topic: str | None) -> str:
    """The text of a page, or the list of pages; raises click.UsageError for a page that is not there."""
    found = topics()
    if topic is None:
        width = max(len(name) for name in found)
        lines = [f"  {name:<{width}}  {title}" for name, title in found.items()]
        return "Pages of the guide, shown by `harness guide TOPIC`:\n" + "\n".join(lines)
    if topic not in found:
        near = get_close_matches(topic, found, n=1)
        hint = f"did you mean {near[0]!r}? There are" if near else "there are"
        raise click.UsageError(f"there is no page {topic!r}; {hint}: {', '.join(found)}")
    return files("harness.guide").joinpath(f"{topic}.md").read_text(encoding="utf-8")
