"""The text of a survey as a tree of stretches: where each name, value, list and mapping begins and ends."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from ruamel.yaml import YAML

from harness.survey.located import canonical


@dataclass(slots=True)
class Span:
    """One value in the text: ``text[start:end]``; what it holds, in order."""

    start: int
    end: int
    flow: bool = True  # in brackets or braces, or a text
    value: str | None = None  # of a text
    items: list[Span] = field(default_factory=list)
    pairs: list[tuple[Span, Span]] = field(default_factory=list)
    shared: bool = False  # has an anchor, or stands for one

    def below(self, key: str) -> tuple[Span, Span] | None:
        """Key and value of that name."""
        for pair in self.pairs:
            if canonical(pair[0].value or "") == key:
                return pair
        return None


def spans_of(text: str) -> Span:
    """The whole survey; of a text that composes without a mistake."""
    events = iter([each for each in YAML(typ="safe", pure=True).parse(text) if each is not None])
    for event in events:
        if type(event).__name__ == "DocumentStartEvent":
            return _node(next(events), events)
    return Span(0, 0)


def _node(event: Any, events: Iterator[Any]) -> Span:
    kind = type(event).__name__
    start, end = event.start_mark.index, event.end_mark.index
    if kind == "AliasEvent":
        return Span(start, end, shared=True)
    shared = event.anchor is not None
    if kind == "ScalarEvent":
        return Span(start, end, value=event.value, shared=shared)
    span = Span(start, end, flow=bool(event.flow_style), shared=shared)
    for below in events:
        if type(below).__name__ in ("MappingEndEvent", "SequenceEndEvent"):
            last = span.pairs[-1][1] if span.pairs else span.items[-1] if span.items else None
            span.end = below.end_mark.index if span.flow or last is None else last.end
            break
        found = _node(below, events)
        if kind == "MappingStartEvent":
            span.pairs.append((found, _node(next(events), events)))
        else:
            span.items.append(found)
    return span
