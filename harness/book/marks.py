"""Short marks for long texts that stand in many rows: A3 for an assumption, Q7 for a source of figures."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from harness.model.design import Design


@dataclass(frozen=True, slots=True)
class Marks:
    """The mark of every text, in the order the texts are listed."""

    assumed: Mapping[str, str]
    sources: Mapping[str, str]


def _numbered(letter: str, texts: Iterable[str]) -> dict[str, str]:
    unique = dict.fromkeys(text for text in texts if text)
    return {text: f"{letter}{at}" for at, text in enumerate(unique, start=1)}


def of_part(part: str, texts: Iterable[str]) -> list[str]:
    """Say of every assumption which part it is about, as wires say it."""
    return [f"{part}: {text}" for text in texts]


def _assumed(design: Design) -> Iterable[str]:
    yield from design.machine.assumed
    for part in design.parts:
        yield from of_part(part.name, part.assumed)
    for wire in design.wires:
        yield from wire.assumed
    for load in design.loads:
        yield from of_part(load.part, load.assumed)


def _sources(design: Design) -> Iterable[str]:
    yield from (line.source for line in design.materials)
    yield from (fuse.source for fuse in design.fuses)
    yield from (load.allowance_source for load in design.loads)


def marks_of(design: Design) -> Marks:
    """Give every assumption and every source of a design its mark."""
    return Marks(_numbered("A", _assumed(design)), _numbered("Q", _sources(design)))


def _runs(numbers: list[int]) -> Iterable[tuple[int, int]]:
    """Cut rising numbers into stretches without gaps.

    >>> list(_runs([1, 2, 3, 7]))
    [(1, 3), (7, 7)]
    """
    start = numbers[0]
    for here, after in zip(numbers, [*numbers[1:], None], strict=True):
        if after is None or after > here + 1:
            yield start, here
            start = after or here


def marked(texts: Iterable[str], marks: Mapping[str, str]) -> str:
    """Write the marks of some texts, neighbours together.

    >>> marked(["a", "b", "c", "e"], {"a": "A1", "b": "A2", "c": "A3", "d": "A4", "e": "A5"})
    'A1-A3, A5'
    """
    found = sorted({int(marks[text][1:]) for text in texts if text})
    if not found:
        return ""
    letter = next(iter(marks.values()))[0]
    return ", ".join(
        f"{letter}{first}" if first == last else f"{letter}{first}-{letter}{last}"
        for first, last in _runs(found)
    )
