"""Nothing in the program is there for nobody: every name, argument, field, table and style is used."""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import fields, is_dataclass
from functools import cache
from pathlib import Path
from typing import Any, get_args, get_type_hints

import harness.tables
from harness.model.design import Design
from tests.docs.pages import ROOT

CODE = ROOT / "harness"
PAGES = {".j2", ".typ", ".js"}  # they read fields and name classes
FOR_OTHERS = {  # name -> who calls it by name
    "do_GET": "the web server of Python",
    "log_message": "the web server of Python",
    "serve": "a second process, by its program text",
    "wire_functions": "tests, to ask what a wire is for without its colour",
    "CERTAINTIES": "tests, and the docstring of its module",
    "read_at": "the guide's table of sources",
}
BY_FORM = "Form"  # a form of a survey's keys is read key by key, through its list of fields
AS_CALLED = {  # function -> an argument it takes only because it is called like others of its sort
    "__exit__": {"kind", "error", "trace"},
    "by_count": {"loading"},
    "sigma": {"posts_v"},
}
FOR_READERS = {"part", "tests", "wire"}  # classes of the book's page that have no style: what a thing is
Trees = dict[str, ast.Module]


def trees(folder: Path) -> Trees:
    """Module -> its syntax."""
    found = {}
    for path in folder.rglob("*.py"):
        parts = path.relative_to(folder.parent).with_suffix("").parts
        found[".".join(parts).removesuffix(".__init__")] = ast.parse(path.read_text(encoding="utf-8"))
    return found


def texts(folder: Path, suffixes: Iterable[str]) -> str:
    paths = sorted(path for path in folder.rglob("*") if path.suffix in suffixes)
    return "\n".join(path.read_text(encoding="utf-8") for path in paths)


@cache
def ours() -> Trees:
    return trees(CODE)


def attributes(code: Trees) -> Counter[str]:
    """Names read behind a point."""
    return Counter(
        node.attr
        for tree in code.values()
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Load)
    )


def defined(tree: ast.Module) -> Iterator[str]:
    """Functions, classes and constants of a module; what a decorator enters is used by it."""
    for node in tree.body:
        if isinstance(node, ast.ClassDef) or (isinstance(node, ast.FunctionDef) and not node.decorator_list):
            yield node.name
        elif isinstance(node, ast.Assign):
            names = (name for target in node.targets for name in ast.walk(target))
            yield from (name.id for name in names if isinstance(name, ast.Name))
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            yield node.target.id


def unused_names(code: Trees) -> set[str]:
    """What is neither read in its own module nor imported from it, nor read behind a point anywhere."""
    used: set[tuple[str, str]] = set()
    for module, tree in code.items():
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and node.module:
                beside = module.split(".")[: -node.level] if node.level else []
                source = ".".join([*beside, node.module])
                used.update((source, alias.name) for alias in node.names)
            elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
                used.add((module, node.id))
    behind = attributes(code)
    return {
        name
        for module, tree in code.items()
        for name in defined(tree)
        if (module, name) not in used and not behind[name] and not name.startswith("__")
    }


def classes(code: Trees) -> Iterator[ast.ClassDef]:
    for tree in code.values():
        yield from (node for node in ast.walk(tree) if isinstance(node, ast.ClassDef))


def unused_members(code: Trees, words: Counter[str], published: set[str]) -> set[str]:
    """Methods and fields of classes that nobody reads behind a point, nor a page, nor a published format."""
    behind = attributes(code)
    found = set()
    for one in classes(code):
        if one.name.endswith(BY_FORM):
            continue
        for node in one.body:
            if isinstance(node, ast.FunctionDef):
                name = node.name
            elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
                name = node.target.id
            else:
                continue
            if not (behind[name] or words[name] or f"{one.name}.{name}" in published or "__" in name):
                found.add(name)
    return found


def published(kind: Any = Design, found: set[str] | None = None) -> set[str]:
    """Fields of design.json, as "Class.field": programs of other people read them."""
    found = set() if found is None else found
    for part in get_args(kind):
        published(part, found)
    if is_dataclass(kind) and isinstance(kind, type):
        hints = get_type_hints(kind)
        mine = {f"{kind.__name__}.{each.name}" for each in fields(kind)}
        if not mine <= found:
            found |= mine
            for hint in hints.values():
                published(hint, found)
    return found


def unused_arguments(code: Trees) -> set[str]:
    """Arguments a function never looks at, as "function(argument)"; one that starts with _ says so itself."""
    found = set()
    for tree in code.values():
        for node in ast.walk(tree):
            if not isinstance(node, ast.FunctionDef):
                continue
            every = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
            names = {each.arg for each in (*every, node.args.vararg, node.args.kwarg) if each is not None}
            stub = all(
                isinstance(each, ast.Expr) and isinstance(each.value, ast.Constant) for each in node.body
            )
            read = {each.id for each in ast.walk(node) if isinstance(each, ast.Name)}
            idle = names - read - AS_CALLED.get(node.name, set()) - {"self", "cls"}
            if not stub:
                found |= {f"{node.name}({name})" for name in idle if not name.startswith("_")}
    return found


def test_every_name_is_used() -> None:
    assert unused_names(ours()) <= set(FOR_OTHERS)


def test_every_method_and_field_is_read() -> None:
    words = Counter(re.findall(r"\w+", texts(CODE, PAGES)))
    assert unused_members(ours(), words, published()) <= set(FOR_OTHERS)


def test_every_argument_is_looked_at() -> None:
    """An option of a command is an argument too."""
    assert unused_arguments(ours()) == set()


def test_what_nobody_uses_would_be_found(tmp_path: Path) -> None:
    (tmp_path / "one.py").write_text(
        "WIDE, DEEP = 3, 4\ndef used(way, near): return way\ndef lonely(): ...\n"
        "class Kept:\n    high: int\n    low: int\n    def asked(self): ...\n    def never(self): ...\n",
        encoding="utf-8",
    )
    (tmp_path / "two.py").write_text(
        f"from {tmp_path.name}.one import Kept, used, WIDE\nused(WIDE, Kept().asked().low)\n",
        encoding="utf-8",
    )
    code = trees(tmp_path)
    assert unused_names(code) == {"lonely", "DEEP"}
    assert unused_members(code, Counter(), set()) == {"never", "high"}
    assert unused_arguments(code) == {"used(near)"}


def test_every_table_is_read_by_the_program_or_held_against_it() -> None:
    """A table nobody looks into is no figure that something rests on."""
    code = texts(CODE, {".py", ".toml"}) + texts(ROOT / "tests", {".py"})
    assert [name for name in harness.tables.names() if not re.search(rf"\b{name}\b", code)] == []


def test_every_style_has_a_use_and_every_class_a_style() -> None:
    styles = re.sub(r"/\*.*?\*/", "", texts(CODE, {".css"}), flags=re.DOTALL)
    selectors = " ".join(re.findall(r"([^{}]+)\{", styles))
    styled = set(re.findall(r"[.#]([a-zA-Z][\w-]*)", selectors))
    markup = texts(CODE, {*PAGES, ".html", ".py"})
    assert {name for name in styled if not re.search(rf"(?<![\w-]){name}(?![\w-])", markup)} == set()
    worn = [
        re.sub(r"\{[%{].*?[%}]\}", " ", one) for one in re.findall(r'class="([^"]*)"', texts(CODE, PAGES))
    ]
    assert {name for one in worn for name in re.findall(r"[\w-]+", one)} - styled <= FOR_READERS


def test_every_macro_and_function_of_a_page_is_called() -> None:
    lonely = set()
    typst = texts(CODE, {".typ"})  # paper.typ goes before each of its kind
    jinja = texts(CODE, {".j2", ".py"})  # the macro of a block is called by its kind
    for path in CODE.rglob("*"):
        if path.suffix in PAGES:
            text = path.read_text(encoding="utf-8")
            names = {
                ".j2": re.findall(r"\bmacro (\w+)", text),
                ".js": re.findall(r"\b(?:function|const|let) (\w+)", text),
                ".typ": re.findall(r"\blet ([\w-]+)", text),
            }[path.suffix]
            where = {".j2": jinja, ".js": text, ".typ": typst}[path.suffix]
            lonely |= {name for name in names if len(re.findall(rf"(?<![\w-]){name}(?![\w-])", where)) == 1}
    assert lonely == set()


def test_every_module_says_what_it_is() -> None:
    for path in CODE.rglob("*.py"):
        says = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))
        assert says and says.splitlines()[0].endswith("."), path


def test_no_helper_of_the_tests_is_left_over() -> None:
    found = unused_names(trees(ROOT / "tests")) - {"pytestmark", "pytest_terminal_summary", "_"}
    assert {name for name in found if not name.casefold().startswith("test")} == set()
