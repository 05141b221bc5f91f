"""All JSON that commands print goes through one function: the unseen is escaped, numbers are numbers."""

from __future__ import annotations

import ast
import json

import pytest

from harness.signs import json_text, unseen
from tests.docs.pages import ROOT
from tests.injection.words import WORDS

WRITERS = {"dumps", "to_json", "print_json", "JSONEncoder"}
# Never on a terminal: words for the open page that watches, which only its own script reads.
OTHERS = {"live.py"}


def written_by() -> dict[str, set[str]]:
    """Files of the commands, and what in each makes JSON by itself."""
    found = {}
    for path in sorted((ROOT / "harness" / "cli").glob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        names = {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)}
        names |= {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)}
        names |= {
            alias.name for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) for alias in node.names
        }
        found[path.name] = names
    return found


def test_no_command_makes_json_in_a_way_of_its_own() -> None:
    found = written_by()
    assert {name for name, names in found.items() if names & WRITERS} == OTHERS
    assert sum("json_text" in names for names in found.values()) > 12


def test_every_text_is_shown_harmlessly_and_read_back_as_it_was() -> None:
    value = {word: [word, {"a": (word, 1, True, None, 0.5)}] for word in WORDS}
    told = json_text(value)
    assert unseen(told) is None and "\t" not in told
    told.encode()  # halves of letters too
    assert json.loads(told) == json.loads(json.dumps(value))


@pytest.mark.parametrize("wrong", [float("nan"), float("inf"), -float("inf")])
def test_what_is_no_number_is_null(wrong: float) -> None:
    """RFC 8259 section 6: Infinity and NaN are not permitted."""
    told = json_text({"a": [wrong, {"b": (1.5, wrong)}]})
    assert json.loads(told, parse_constant=pytest.fail) == {"a": [None, {"b": [1.5, None]}]}
