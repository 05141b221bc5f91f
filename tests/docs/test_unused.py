"""Nothing in the program is there for nobody: every public name is used by some other line of it."""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from tests.docs.pages import ROOT

CODE = ROOT / "harness"
SPOKEN_TO = {".py", ".j2", ".typ", ".js"}
FOR_OTHERS = {  # name -> who calls it by name
    "do_GET": "the web server of Python",
    "log_message": "the web server of Python",
    "wire_functions": "tests, to ask what a wire is for without its colour",
}


def defined(tree: ast.Module) -> Iterator[str]:
    """Public functions, classes, methods and constants of a module; what a decorator enters is used by it."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            if isinstance(node, ast.ClassDef) or not node.decorator_list:
                yield node.name
            if isinstance(node, ast.ClassDef):
                yield from (
                    each.name
                    for each in node.body
                    if isinstance(each, ast.FunctionDef) and not each.decorator_list
                )
        elif isinstance(node, ast.Assign):
            yield from (target.id for target in node.targets if isinstance(target, ast.Name))
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            yield node.target.id


def unused(folder: Path) -> set[str]:
    """Names that stand nowhere but where they are defined."""
    texts = {path: path.read_text(encoding="utf-8") for path in folder.rglob("*") if path.suffix in SPOKEN_TO}
    words = Counter(word for text in texts.values() for word in re.findall(r"\w+", text))
    trees = [ast.parse(text) for path, text in texts.items() if path.suffix == ".py"]
    return {
        name for tree in trees for name in defined(tree) if words[name] == 1 and not name.startswith("__")
    }


def test_every_public_name_is_used() -> None:
    assert unused(CODE) == set(FOR_OTHERS)


def test_a_name_nobody_uses_would_be_found(tmp_path: Path) -> None:
    (tmp_path / "one.py").write_text("WIDE = 3\ndef used(): ...\ndef lonely(): ...\n", encoding="utf-8")
    (tmp_path / "two.py").write_text("from one import used, WIDE\n", encoding="utf-8")
    assert unused(tmp_path) == {"lonely"}


def test_every_module_says_what_it_is() -> None:
    for path in CODE.rglob("*.py"):
        says = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))
        assert says and says.splitlines()[0].endswith("."), path
