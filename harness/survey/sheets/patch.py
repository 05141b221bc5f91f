"""What was changed in the cells, changed in the YAML text too: everything else stays letter for letter.

The text is mended by stretches; what comes out is read again and compared with the cells, and whatever does
not come out right is written anew: first the section, in the last resort the whole survey.
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import SequenceMatcher

from harness.model.problem import SurveyWrong
from harness.survey.located import canonical
from harness.survey.sheets.flow import line_scalar, scalar
from harness.survey.sheets.layout import PATHS, Layout, layouts
from harness.survey.sheets.spans import Span, spans_of
from harness.survey.sheets.tables import Tables, tables_of
from harness.survey.sheets.yamlwrite import (
    Item,
    flow_of,
    item_lines,
    items_of,
    section_text,
    survey_text,
    value_text,
)
from harness.survey.yamltext import compose


@dataclass(frozen=True, slots=True)
class Patched:
    """The new text, and the sections that had to be written anew, their remarks lost."""

    text: str
    anew: tuple[str, ...] = ()


class _Cannot(Exception):
    """The stretch is written in a way that is not mended."""


def patched(text: str, new: Tables) -> Patched:
    """The text with the changes that lead to ``new``."""
    old = _tables(text)
    if old == new:
        return Patched(text)
    anew: list[str] = []
    for layout in layouts():
        if layout.shape == "paths" or old is None:
            continue
        if items_of(layout, old) == items_of(layout, new):
            continue
        mended = _section(text, layout, old, new)
        if mended is None or not _holds(mended, layout, new):
            mended = _replaced(text, layout, new)
            anew.append(layout.section)
        if not _holds(mended, layout, new):
            old = None
            continue
        text = mended
    if old is None or _tables(text) != new:
        return Patched(survey_text(new), ("the whole survey",))
    return Patched(text, tuple(anew))


def _tables(text: str) -> Tables | None:
    try:
        root, problems = compose(text, "survey")
        return None if problems else tables_of(root)
    except (SurveyWrong, AssertionError):
        return None


def _holds(text: str, layout: Layout, new: Tables) -> bool:
    found = _tables(text)
    return found is not None and items_of(layout, found) == items_of(layout, new)


# ------------------------------------------------------------------------------------------------- section


class _Edits:
    """Stretches to be put in place of others; none of them overlap."""

    def __init__(self, text: str) -> None:
        self.text = text
        self._made: list[tuple[int, int, str]] = []

    def put(self, start: int, end: int, words: str) -> None:
        self._made.append((start, end, words))

    def done(self) -> str:
        text = self.text
        for start, end, words in sorted(self._made, key=lambda edit: edit[0], reverse=True):
            text = text[:start] + words + text[end:]
        return text

    def line_start(self, at: int) -> int:
        return self.text.rfind("\n", 0, at) + 1

    def line_end(self, at: int) -> int:
        """Behind the line break of the line."""
        found = self.text.find("\n", at)
        return len(self.text) if found < 0 else found + 1

    def indent(self, at: int) -> str:
        """What stands before the first word of a line; raises _Cannot where it is not blank."""
        before = self.text[self.line_start(at) : at]
        if before.strip():
            raise _Cannot
        return before


def _section(text: str, layout: Layout, old: Tables, new: Tables) -> str | None:
    """The text with one section mended; None where that cannot be done."""
    whole = spans_of(text)
    found = whole.below(layout.section)
    before, after = items_of(layout, old), items_of(layout, new)
    if found is None or not before:
        if found is not None or whole.flow:
            return None
        return text.rstrip("\n") + "\n\n" + section_text(layout, new)
    if not after:
        return None
    edits = _Edits(text)
    try:
        if layout.shape == "record":
            _entry(edits, layout, found[1], before[0], after[0])
        else:
            _entries(edits, layout, found[1], before, after)
    except _Cannot:
        return None
    return edits.done()


def _replaced(text: str, layout: Layout, new: Tables) -> str:
    """The text with a section taken out and written anew in its place."""
    whole = spans_of(text)
    found = whole.below(layout.section)
    fresh = section_text(layout, new)
    if found is None:
        return text.rstrip("\n") + "\n\n" + fresh
    edits = _Edits(text)
    end = max(found[0].end, found[1].end)
    while end > found[0].end and text[end - 1] in " \n\r":
        end -= 1
    edits.put(edits.line_start(found[0].start), edits.line_end(end), fresh)
    return edits.done()


def _key(item: Item) -> object:
    return item.name if item.name is not None else tuple(sorted(item.cells.items()))


def _entries(edits: _Edits, layout: Layout, span: Span, before: list[Item], after: list[Item]) -> None:
    """Entries changed, added and taken away; those that moved among one another cannot be mended."""
    spans = span.pairs or [(each, each) for each in span.items]
    if span.flow or span.shared or len(spans) != len(before):
        raise _Cannot
    heads = [_head(edits, key.start, named=bool(span.pairs)) for key, _ in spans]
    _not_moved(before, after)
    matcher = SequenceMatcher(a=[*map(_key, before)], b=[*map(_key, after)], autojunk=False)
    for kind, a0, a1, b0, b1 in matcher.get_opcodes():
        pairs = min(a1 - a0, b1 - b0) if kind in ("equal", "replace") else 0
        for step in range(pairs):
            _change(edits, layout, spans[a0 + step], before[a0 + step], after[b0 + step])
        for at in range(a0 + pairs, a1):
            edits.put(edits.line_start(heads[at]), edits.line_end(_last(edits, spans[at][1])), "")
        lines = [
            line
            for item in after[b0 + pairs : b1]
            for line in item_lines(layout, item, edits.indent(heads[0]))
        ]
        if lines:
            behind = a0 + pairs - 1
            at = edits.line_end(_last(edits, spans[behind][1])) if behind >= 0 else edits.line_start(heads[0])
            broken = at == len(edits.text) and not edits.text.endswith("\n")
            edits.put(at, at, ("\n" if broken else "") + "\n".join(lines) + "\n")


def _not_moved(before: list[Item], after: list[Item]) -> None:
    names = {item.name for item in before if item.name is not None} & {item.name for item in after}
    if [each.name for each in before if each.name in names] != [
        each.name for each in after if each.name in names
    ]:
        raise _Cannot


def _head(edits: _Edits, start: int, *, named: bool) -> int:
    """Where an entry begins on its line: at its name, or at its dash."""
    at = start if named else edits.text.rfind("-", edits.line_start(start), start)
    if at < 0:
        raise _Cannot
    edits.indent(at)
    return at


def _last(edits: _Edits, span: Span) -> int:
    """The last letter of an entry."""
    end = span.end
    while end > span.start and edits.text[end - 1] in " \r\n":
        end -= 1
    return end


# --------------------------------------------------------------------------------------------------- entry


def _change(edits: _Edits, layout: Layout, pair: tuple[Span, Span], old: Item, new: Item) -> None:
    key, value = pair
    if old == new:
        return
    if old.name != new.name and new.name is not None:
        edits.put(key.start, key.end, line_scalar(new.name))
    if layout.shape == "texts":
        edits.put(value.start, _last(edits, value), line_scalar(new.cells[layout.columns[0].title]))
        return
    _entry(edits, layout, value, old, new)


def _entry(edits: _Edits, layout: Layout, value: Span, old: Item, new: Item) -> None:
    """The keys of one entry changed, added and taken away."""
    if value.shared:
        raise _Cannot
    if value.value is not None or (value.flow and not value.pairs):  # nothing in it so far
        if old.cells or old.paths:
            raise _Cannot
        if new.cells:
            blank = value.start == value.end and edits.text[value.start - 1] != " "
            edits.put(value.start, value.end, (" " if blank else "") + flow_of(layout, new.cells))
        return
    if not new.cells and not new.paths:
        raise _Cannot
    columns = {column.title: column for column in layout.columns}
    alone = not value.flow
    for title in old.cells:
        found = value.below(title)
        if found is None:
            raise _Cannot
        if title not in new.cells:
            _take_out(edits, value, found)
        elif old.cells[title] != new.cells[title]:
            words = value_text(columns[title], new.cells[title], alone=alone)
            if not found[1].flow:
                raise _Cannot
            edits.put(found[1].start, _last(edits, found[1]), words)
    added = {title: text for title, text in new.cells.items() if title not in old.cells}
    if added and value.flow:
        stay = any(title in new.cells for title in old.cells) or bool(old.paths)
        words = flow_of(layout, added)[1:-1]
        at = value.end - 1
        while edits.text[at - 1].isspace():
            at -= 1
        edits.put(at, at, f", {words}" if stay else words)
    elif added:
        indent = edits.indent(value.pairs[0][0].start)
        lines = [
            f"{indent}{title}: {value_text(columns[title], text, alone=True)}\n"
            for title, text in added.items()
        ]
        at = edits.line_start(value.pairs[0][0].start)
        if layout.shape == "record":
            at = edits.line_end(_last(edits, value))
            if at == len(edits.text) and not edits.text.endswith("\n"):
                lines.insert(0, "\n")
        edits.put(at, at, "".join(lines))
    if old.paths != new.paths:
        _paths(edits, value, old.paths, new.paths)


def _take_out(edits: _Edits, value: Span, pair: tuple[Span, Span]) -> None:
    """A key with its value: a whole line, or one of several in braces with its comma."""
    at = value.pairs.index(pair)
    if not value.flow:
        if len(value.pairs) == 1:
            raise _Cannot
        edits.put(edits.line_start(pair[0].start), edits.line_end(_last(edits, pair[1])), "")
        edits.indent(pair[0].start)
    elif at + 1 < len(value.pairs):
        edits.put(pair[0].start, value.pairs[at + 1][0].start, "")
    elif at:
        edits.put(_last(edits, value.pairs[at - 1][1]), _last(edits, pair[1]), "")
    else:
        edits.put(pair[0].start, _last(edits, pair[1]), "")


def _paths(edits: _Edits, value: Span, old: tuple[str, ...], new: tuple[str, ...]) -> None:
    found = value.below(canonical(PATHS))
    if found is None or not new:
        raise _Cannot
    span = found[1]
    if span.shared:
        raise _Cannot
    if span.flow:
        words = (
            scalar(new[0]) if len(new) == 1 and span.value is not None else f"[{', '.join(map(scalar, new))}]"
        )
        edits.put(span.start, _last(edits, span), words)
        return
    heads = [_head(edits, item.start, named=False) for item in span.items]
    indent = edits.indent(heads[0])
    for kind, a0, a1, b0, b1 in SequenceMatcher(a=old, b=new, autojunk=False).get_opcodes():
        pairs = min(a1 - a0, b1 - b0) if kind == "replace" else 0
        for step in range(pairs):
            item = span.items[a0 + step]
            edits.put(item.start, _last(edits, item), line_scalar(new[b0 + step]))
        if kind == "equal":
            continue
        for at in range(a0 + pairs, a1):
            edits.put(edits.line_start(heads[at]), edits.line_end(_last(edits, span.items[at])), "")
        lines = "".join(f"{indent}- {line_scalar(path)}\n" for path in new[b0 + pairs : b1])
        if lines:
            behind = a0 + pairs - 1
            at = (
                edits.line_end(_last(edits, span.items[behind]))
                if behind >= 0
                else edits.line_start(heads[0])
            )
            broken = at == len(edits.text) and not edits.text.endswith("\n")
            edits.put(at, at, ("\n" if broken else "") + lines)
