"""On which paper a book is printed where nobody asks."""

from __future__ import annotations


def on_letter(sizes: str) -> bool:
    """Whether on letter paper, which is sold where wire goes by gauges."""
    return sizes == "AWG"
