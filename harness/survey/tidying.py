"""A survey's text laid out evenly: order of the sections, rows in braces, blank space; every remark stays.

Each step is read again and only taken when the survey says the same as before.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from harness.model.problem import SurveyWrong
from harness.survey.located import Plain, plain
from harness.survey.schema import SurveyForm, keys_of
from harness.survey.sheets.spans import Span, spans_of
from harness.survey.yamltext import compose

WIDEST_PAD = 16  # letters; beyond that a column would be torn apart by one long name
_BLANK_LINES = re.compile(r"\n{3,}")
_ENDS = re.compile(r"[ \t]+$", re.MULTILINE)


def tidied(text: str, file: str) -> str:
    """The text laid out evenly; tidy text stays as it is.

    Raises SurveyWrong where the text is no YAML that a survey may be written in.
    """
    root, problems = compose(text.removeprefix("\ufeff"), file)
    if problems:
        raise SurveyWrong(problems)
    says = plain(root)
    text = text.removeprefix("\ufeff")
    for step in (_unix, _spaces, _ordered, _rows, _spaces):
        made = step(text)
        if made != text and _says(made) == says:
            text = made
    return text


def _says(text: str) -> Plain | None:
    try:
        root, problems = compose(text, "survey")
    except SurveyWrong:
        return None
    return None if problems else plain(root)


def _unix(text: str) -> str:
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _spaces(text: str) -> str:
    """Nothing behind the last letter of a line, one blank line at most, one line break at the end."""
    return _BLANK_LINES.sub("\n\n", _ENDS.sub("", text)).strip("\n") + "\n"


def _ordered(text: str) -> str:
    """The sections in the order of the guide, each with the remarks that stand directly above it."""
    whole = spans_of(text)
    if whole.flow or not whole.pairs:
        return text
    known = keys_of(SurveyForm)
    lines = text.splitlines(keepends=True)
    first = [text.count("\n", 0, key.start) for key, _ in whole.pairs]
    for at in range(1, len(first)):
        while first[at] - 1 > first[at - 1] and lines[first[at] - 1].startswith("#"):
            first[at] -= 1
    rank = [known.index(key.value) if key.value in known else len(known) for key, _ in whole.pairs]
    if rank == sorted(rank):
        return text
    ends = [*first[1:], len(lines)]
    chunks = ["".join(lines[start:end]).strip("\n") + "\n" for start, end in zip(first, ends, strict=True)]
    moved = [chunk for _, chunk in sorted(zip(rank, chunks, strict=True), key=lambda pair: pair[0])]
    return "".join(lines[: first[0]]) + "\n".join(moved)


def _rows(text: str) -> str:
    """Rows in braces below one another: one space behind a comma, what belongs together in line."""
    made: list[tuple[int, int, str]] = []
    for group in _groups(text, spans_of(text)):
        for (_, value), words in zip(group, _lined_up(text, group), strict=True):
            made.append((_gap(text, value.start), value.end, words))
    for start, end, words in sorted(made, reverse=True):
        text = text[:start] + words + text[end:]
    return text


def _gap(text: str, start: int) -> int:
    """Where the blank before a value begins."""
    while text[start - 1] == " ":
        start -= 1
    return start


def _groups(text: str, span: Span) -> Iterator[list[tuple[Span | None, Span]]]:
    """Entries in braces that fill one line each, on lines that follow one another."""
    below: list[tuple[Span | None, Span]] = [*span.pairs] or [(None, item) for item in span.items]
    group: list[tuple[Span | None, Span]] = []
    last = -2
    for key, value in below:
        line = text.count("\n", 0, value.start)
        fits = (
            not span.flow and value.flow and value.pairs and not value.shared
            and "\n" not in text[(key or value).start : value.end] and text[value.start] == "{"
        )  # fmt: skip
        if fits and line == last + 1:
            group.append((key, value))
        else:
            if group:
                yield group
            group = [(key, value)] if fits else []
        last = line if fits else -2
        if not value.flow:
            yield from _groups(text, value)
    if group:
        yield group


def _lined_up(text: str, group: Sequence[tuple[Span | None, Span]]) -> list[str]:
    cells = [
        [text[key.start : key.end] + ": " + text[value.start : value.end] for key, value in row.pairs]
        for _, row in group
    ]
    keys = [[key.value for key, _ in row.pairs] for _, row in group]
    pads = [[0] * len(row) for row in cells]
    if group[0][0] is None:  # rows of a list have columns; named ones are each of another kind
        _columns(cells, keys, pads)
    rows = [
        "{" + "".join(cell + ("," + " " * (1 + pad) if at + 1 < len(row) else "") for at, (cell, pad) in
                      enumerate(zip(row, below, strict=True))) + "}"
        for row, below in zip(cells, pads, strict=True)
    ]  # fmt: skip
    names = [0 if key is None else key.end - key.start for key, _ in group]
    spread = max(names) - min(names) <= WIDEST_PAD
    return [
        " " * (1 + (max(names) - name if spread else 0)) + row for name, row in zip(names, rows, strict=True)
    ]


def _columns(cells: list[list[str]], keys: list[list[str | None]], pads: list[list[int]]) -> None:
    """How much blank each cell gets behind its comma, as far as all rows have the same keys."""
    for at in range(min(map(len, cells))):
        if len({row[at] for row in keys}) > 1 or any(len(row) == at + 1 for row in cells):
            return
        wide = [len(row[at]) for row in cells]
        if max(wide) - min(wide) > WIDEST_PAD:
            return
        for pad, width in zip(pads, wide, strict=True):
            pad[at] = max(wide) - width
