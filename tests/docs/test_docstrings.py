"""What a function says of itself: the errors it raises, for whoever calls it."""

from __future__ import annotations

import ast
from collections.abc import Iterator

from tests.docs.pages import ROOT

CODE = ROOT / "harness"
FOR_USERS = CODE / "cli"  # there they end in words and an exit code


def public(tree: ast.Module) -> Iterator[ast.FunctionDef]:
    """Public functions of a module, and methods of its public classes."""
    for node in tree.body:
        inside = node.body if isinstance(node, ast.ClassDef) and not node.name.startswith("_") else [node]
        yield from (each for each in inside if isinstance(each, ast.FunctionDef) and each.name[0] != "_")


def raised(function: ast.FunctionDef) -> set[str]:
    """Classes that a function raises itself and does not catch."""
    nodes = list(ast.walk(function))
    caught = {
        name.id
        for node in nodes
        if isinstance(node, ast.ExceptHandler) and node.type is not None
        for name in ast.walk(node.type)
        if isinstance(name, ast.Name)
    }
    made = {node.exc.func for node in nodes if isinstance(node, ast.Raise) and isinstance(node.exc, ast.Call)}
    return {func.id for func in made if isinstance(func, ast.Name) and func.id[0].isupper()} - caught


def untold(tree: ast.Module) -> set[str]:
    """Functions that have a docstring which does not name what they raise, as "function: class"."""
    return {
        f"{function.name}: {name}"
        for function in public(tree)
        for name in raised(function)
        if (says := ast.get_docstring(function)) and name not in says
    }


def test_what_is_raised_is_told() -> None:
    files = [path for path in CODE.rglob("*.py") if not path.is_relative_to(FOR_USERS)]
    found = {
        f"{path.relative_to(CODE)}: {each}"
        for path in files
        for each in untold(ast.parse(path.read_text(encoding="utf-8")))
    }
    assert found == set()


def test_what_is_not_told_would_be_found() -> None:
    text = (
        'def told(): "Raises KeyError."; raise KeyError("x")\n'
        'def untold(): "Nothing."; raise KeyError("x")\n'
        "def caught():\n    'Nothing.'\n    try:\n        raise KeyError('x')\n"
        "    except KeyError:\n        return\n"
    )
    assert untold(ast.parse(text)) == {"untold: KeyError"}
