"""Between the text of a survey and the tree of texts, lists and mappings that edits are made in."""

from __future__ import annotations

from harness.record.edits import Tree
from harness.survey.located import Entry, Mapping, Node, Sequence, Spot, Text
from harness.survey.sheets.flow import flow
from harness.survey.sheets.patch import patched
from harness.survey.sheets.tables import tables_of
from harness.survey.yamltext import compose

_NOWHERE = Spot(0, 0)


def tree_of(node: Node) -> Tree:
    """The tree of a survey that was read, its keys in the form they are compared in."""
    if isinstance(node, Text):
        return str(node.value)
    if isinstance(node, Sequence):
        return [tree_of(item) for item in node.items]
    return {str(key): tree_of(entry.value) for key, entry in node.entries.items()}


def tree_of_text(text: str, name: str) -> Tree:
    """The tree of the text of a survey; raises SurveyWrong (harness.model.problem) where it is no YAML."""
    from harness.model.problem import SurveyWrong

    node, problems = compose(text, name)
    if problems:
        raise SurveyWrong(problems)
    return tree_of(node)


def _node(tree: Tree) -> Node:
    if isinstance(tree, str):
        return Text(tree, _NOWHERE, "")
    if isinstance(tree, list):
        return Sequence(tuple(map(_node, tree)), _NOWHERE)
    return Mapping(
        {key: Entry(Text(key, _NOWHERE, ""), _node(value)) for key, value in tree.items()}, _NOWHERE
    )


def one_line_text(tree: Tree) -> str:
    """The survey as YAML on one line: everything in the tree, also what its reader will refuse."""
    return flow(_node(tree)) + "\n"


def mended(text: str, tree: Tree) -> tuple[str, tuple[str, ...]]:
    """The text changed so far that it says what the tree says, and the sections that lost their remarks.

    Lines that say nothing else than before stay as they are, letter for letter.
    """
    done = patched(text, tables_of(_node(tree)))
    return done.text, done.anew
