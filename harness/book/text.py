"""Survey text made harmless: no control characters, no half characters, nothing that turns a line round."""

from __future__ import annotations

import re

# C0 without tab and newline, DEL, C1; halves of surrogate pairs; the two noncharacters XML forbids.
_BAD = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")
# Marks, embeddings, overrides and isolates: they reorder what stands after them on the same line.
_BIDI = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
_BREAKS = re.compile("[\t\n\u2028\u2029]+")


def clean(text: str) -> str:
    """Return the text without characters that XML or JSON cannot carry or that reorder a line."""
    return _BIDI.sub("", _BAD.sub("", text))


def one_line(text: str) -> str:
    """Return the cleaned text with every tab and line break as one space."""
    return _BREAKS.sub(" ", clean(text))
