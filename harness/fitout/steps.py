"""The order of work at one wire end: what is threaded on first, then strip, crimp, pull and shrink."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from harness.fitout.choice import Choice
from harness.fitout.pull import Pull, pull_words

OWN_SLEEVE = "adhesive-lined sleeve"  # in the text of a terminal that brings its own


@dataclass(frozen=True, slots=True)
class OnThisEnd:
    """What goes on one end, as far as it is known before the order is made."""

    choice: Choice
    passes: Sequence[str]  # what it goes through before it is crimped, farthest from the end first
    label: str
    boot: str
    shrink: str  # its own heat-shrink
    splice_shrink: str  # words for that of a splice which this wire carries, "" where another does
    pull: Pull


def _threaded(end: OnThisEnd) -> Iterator[str]:
    yield from end.passes
    if end.label:
        yield "label"
    if end.boot:
        yield "boot"
    if end.shrink:
        yield "heat-shrink"
    if end.splice_shrink:
        yield end.splice_shrink
    if end.choice.seal:
        yield end.choice.seal


def _made(end: OnThisEnd) -> Iterator[str]:
    if end.choice.capped:
        yield "cut flush"
        yield "shrink, pinch shut past the end"
        return
    if not end.choice.terminal and not end.choice.joins:
        return  # nothing fits: a finding says so
    yield f"strip {end.choice.strip_mm:g} mm"
    yield f"crimp into {end.choice.joins}" if end.choice.joins else "crimp"
    yield pull_words(end.pull)
    if end.shrink or end.splice_shrink or OWN_SLEEVE in end.choice.terminal:
        yield "shrink down"
    if end.boot:
        yield "boot over it once bolted"


def steps(end: OnThisEnd) -> list[str]:
    """Every step at one end, in order: what lies farthest back goes on first (common practice).

    Everyone forgets one of them, so the order is printed.
    """
    return [*_threaded(end), *_made(end)]
