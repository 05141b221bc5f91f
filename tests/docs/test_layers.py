"""The layers are as the page for developers lists them: every import goes the way its table allows."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.docs.pages import ROOT

CODE = ROOT / "harness"
ALL_ABOVE = "all of the above"


def allowed() -> dict[str, set[str]]:
    """Package -> packages it may import, from the table."""
    found: dict[str, set[str]] = {}
    for line in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").splitlines():
        if line.startswith("| `harness."):
            _, package, _, imports, _ = (cell.strip() for cell in line.split("|"))
            names = set(found) if imports == ALL_ABOVE else {name.strip() for name in imports.split(",")}
            found[package.strip("`").removeprefix("harness.")] = names - {"nothing"}
    return found


def imported(path: Path) -> Iterator[str]:
    """Packages of ours that a file imports, wherever in it the import stands."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            names = [f"{node.module}.{alias.name}" for alias in node.names]
        for name in names:
            words = name.split(".")
            if words[0] == "harness" and len(words) > 1 and words[1] != "__version__":
                yield words[1]


def package_of(path: Path) -> str:
    return path.relative_to(CODE).parts[0].removesuffix(".py")


FILES = sorted(path for path in CODE.rglob("*.py") if package_of(path) not in ("__init__", "__main__"))


def test_the_table_lists_every_package() -> None:
    assert {package_of(path) for path in FILES} == set(allowed())


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(CODE)))
def test_a_file_imports_only_what_its_layer_may(path: Path) -> None:
    mine = package_of(path)
    assert set(imported(path)) <= allowed()[mine] | {mine}


def looks_at_the_clock(path: Path) -> bool:
    calls = {"datetime.now", "datetime.utcnow", "datetime.today", "date.today", "time.time", "time.monotonic"}
    tree = ast.parse(path.read_text(encoding="utf-8"))
    names = {call.partition(".")[2] for call in calls}  # the name alone first: writing all out anew is slow
    return any(
        isinstance(node, ast.Attribute) and node.attr in names and ast.unparse(node) in calls
        for node in ast.walk(tree)
    )


def test_one_file_looks_at_the_clock() -> None:
    assert [path.relative_to(CODE).as_posix() for path in FILES if looks_at_the_clock(path)] == [
        "cli/clock.py"
    ]


def test_a_file_that_reaches_up_would_be_found(tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.py"
    text = "def late():\n    from harness import pipeline\n    import harness.cli.say\n"
    wrong.write_text(text, encoding="utf-8")
    assert set(imported(wrong)) == {"pipeline", "cli"}
