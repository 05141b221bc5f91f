"""Values as one line of YAML, and what a cell of a workbook holds in their place."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import replace

from harness.model.problem import Problem, SurveyWrong
from harness.survey.located import Entry, Mapping, Node, Sequence, Spot, Text
from harness.survey.yamltext import compose

_PLAIN = re.compile(r"[^\W_](?:[^:#,\[\]{}\"'&*!|>@`\n\t\\]*[^\s:#,\[\]{}\"'&*!|>@`\\])?")
_PLAIN_LINE = re.compile(r"[^\W_](?:[^#\"'&*!|@`\n\t\\:]*[^\s#\"'&*!|@`\\:])?")  # where no bracket is open
_SAID = frozenset(("null", "~", "<<"))
TREE_LIST, TREE_MAP = "[", "{"


def quoted(text: str) -> str:
    """A text in double quotes, as YAML and JSON write it."""
    return json.dumps(text, ensure_ascii=False)


def scalar(text: str) -> str:
    """A text as it may stand anywhere, inside brackets and braces too."""
    return text if _PLAIN.fullmatch(text) and text not in _SAID else quoted(text)


def line_scalar(text: str) -> str:
    """A text as it may stand on a line of its own, where paths need no quotes for their brackets."""
    return text if _PLAIN_LINE.fullmatch(text) and text not in _SAID else quoted(text)


def flow(node: Node) -> str:
    """A tree on one line."""
    if isinstance(node, Text):
        return scalar(node.value)
    if isinstance(node, Sequence):
        return f"[{', '.join(map(flow, node.items))}]"
    pairs = ((scalar(entry.key.value), entry.value) for entry in node.entries.values())
    return f"{{{', '.join(f'{key}: {_below(value)}' for key, value in pairs)}}}"


def _below(node: Node) -> str:
    """What stands after a colon; a value that is missing stays missing."""
    return "" if isinstance(node, Text) and not node.value else flow(node)


def list_cell(node: Node) -> str:
    """A list for one cell: its words with commas between, or in brackets where a word has a comma itself."""
    items = node.items if isinstance(node, Sequence) else (node,)
    words = [item.value for item in items if isinstance(item, Text)]
    bare = len(words) == len(items) and all(
        word and word == word.strip() and not set(",;") & set(word) and not word.startswith(TREE_LIST)
        for word in words
    )
    return ", ".join(words) if bare else flow(Sequence(tuple(items), node.spot))


def mapping_cell(node: Node) -> str:
    """A mapping for one cell, in braces; one word as it is."""
    return node.value if isinstance(node, Text) else flow(node)


def read_list(text: Text, file: str, say: Callable[[Problem], None]) -> Node:
    """The list a cell holds."""
    if text.value.lstrip().startswith(TREE_LIST):
        return read_tree(text, file, say)
    words = [word.strip() for word in re.split(r"[,;\n]", text.value)]
    return Sequence(tuple(replace(text, value=word) for word in words if word), text.spot)


def read_mapping(text: Text, file: str, say: Callable[[Problem], None]) -> Node:
    """The mapping a cell holds, its braces left out or not, or names alone; or one word."""
    if text.value.lstrip().startswith(TREE_MAP):
        return read_tree(text, file, say)
    if ":" in text.value:
        return read_tree(replace(text, value=f"{{{text.value}}}"), file, say)
    words = [word.strip() for word in text.value.replace("\n", ",").split(",")]
    if len(words) > 1:  # names alone, "F1, F2"
        pairs = (f"{scalar(word)}: " for word in words if word)
        return read_tree(replace(text, value=f"{{{', '.join(pairs)}}}"), file, say)
    return text


def read_tree(text: Text, file: str, say: Callable[[Problem], None]) -> Node:
    """A cell with brackets or braces, everything in it at the spot of the cell."""
    try:
        node, problems = compose(text.value, file)
    except SurveyWrong as wrong:
        node, problems = replace(text, value=""), wrong.problems
    for problem in problems:
        say(replace(problem, where=text.spot.where(file)))
    return _at(node, text.spot)


def _at(node: Node, spot: Spot) -> Node:
    if isinstance(node, Text):
        return replace(node, spot=spot)
    if isinstance(node, Sequence):
        return Sequence(tuple(_at(item, spot) for item in node.items), spot, node.weight)
    entries = {
        name: Entry(replace(entry.key, spot=spot), _at(entry.value, spot))
        for name, entry in node.entries.items()
    }
    return Mapping(entries, spot, node.weight)
