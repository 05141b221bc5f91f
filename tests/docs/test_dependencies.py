"""What the program stands on: each package with range, reason and licence, and none unused."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from importlib.metadata import PackageNotFoundError, distribution

import pytest

from tests.docs.pages import ROOT

MODULE = {"ruamel.yaml": "ruamel"}  # where it is not the package's own name
BROUGHT = {"pydantic_core", "markupsafe"}  # by pydantic and by jinja2, which hand on their names
_ROW = re.compile(
    r"^\| `(?P<name>[\w.-]+)` \| (?P<range>[><=\d., ]+) \| (?P<why>[^|]+) \| (?P<licence>[^|]+) \|$"
)


def told() -> dict[str, tuple[str, str, str]]:
    """Package -> range, reason, licence, by the page for developers."""
    lines = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").splitlines()
    found = [match for line in lines if (match := _ROW.match(line))]
    return {row["name"]: (row["range"].strip(), row["why"].strip(), row["licence"].strip()) for row in found}


def asked(*groups: str) -> dict[str, str]:
    """Package -> range, by pyproject.toml; without groups, what the program itself needs."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lines = project["dependencies"] if not groups else []
    lines += [line for group in groups for line in project["optional-dependencies"][group]]
    found = [re.match(r"([\w.-]+?)([><=].*)?$", line) for line in lines]
    return {match[1]: match[2] or "" for match in found if match}


def licence_of(package: str) -> str:
    """What an installed package says of its licence, wherever it says it."""
    about = distribution(package)
    fields = [about.metadata.get("License-Expression", ""), (about.metadata.get("License") or "")[:400]]
    fields += [line for line in about.metadata.get_all("Classifier", []) if "License" in line]
    if not any(fields):
        files = [file for file in about.files or () if "licen" in file.name.lower()]
        fields += [file.read_text(encoding="utf-8")[:400] for file in files]
    return " ".join(fields).casefold()


def family(licence: str) -> set[str]:
    """BSD-3-Clause AND MIT -> bsd, mit: versions and clauses are written in too many ways."""
    return {word.split("-")[0].casefold() for word in licence.split(" AND ")}


EVERY = {**asked(), **asked("test", "fuzz")}


def test_the_page_and_the_project_name_the_same_packages_and_ranges() -> None:
    assert {name: words[0] for name, words in told().items()} == EVERY


@pytest.mark.parametrize("package", EVERY)
def test_every_package_has_both_ends_of_a_range_and_a_reason(package: str) -> None:
    assert re.fullmatch(r">=[\d.]+,<[\d.]+", EVERY[package])
    assert len(told()[package][1]) > 3


@pytest.mark.parametrize("package", {**asked(), **asked("test")})
def test_the_licence_is_what_the_package_says(package: str) -> None:
    says = licence_of(package)
    for name in family(told()[package][2]):
        assert name in says or (name == "mpl" and "mozilla" in says), says


def test_a_wrong_licence_would_be_found() -> None:
    assert "gpl" not in licence_of("click")
    with pytest.raises(PackageNotFoundError):
        licence_of("no-such-package-here")


def test_the_program_imports_what_it_asks_for_and_nothing_else() -> None:
    found: set[str] = set()
    for path in (ROOT / "harness").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                found |= {name.name.split(".")[0] for name in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module:
                found.add(node.module.split(".")[0])
    others = found - set(sys.stdlib_module_names) - BROUGHT - {"harness"}
    needed = {MODULE.get(name, name) for name in asked()}
    # the engine is a command of its own, which the package graphviz runs
    assert others == needed - {"graphviz-pure"}
