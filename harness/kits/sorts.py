"""The sorts of machine a survey can start from: places, runs and lumps of metal, read from ``machines``."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.resources import files

from harness.kits.form import SIZES, Sort, SortRun, Strap
from harness.kits.shelf import ENDING
from harness.kits.tree import Tree
from harness.model.problem import SurveyWrong
from harness.survey.located import Entry, Node, Sequence
from harness.survey.reader import letters
from harness.survey.yamltext import compose


@cache
def sorts() -> Mapping[str, Sort]:
    """Every sort of machine by its name, in their order. Raises SurveyWrong on a wrong file of ours."""
    found = [
        read_sort(item.read_bytes(), item.name, item.name.removesuffix(ENDING))
        for item in files(__package__).joinpath("machines").iterdir()
        if item.name.endswith(ENDING)
    ]
    return {sort.name: sort for sort in sorted(found, key=lambda sort: (sort.order, sort.name))}


def read_sort(content: bytes, file: str, name: str) -> Sort:
    """Read one sort of machine. Raises SurveyWrong."""
    root, problems = compose(letters(content, file), file)
    tree = Tree(file, problems)
    entries = tree.entries(root, "a sort of machine")

    def words(key: str) -> dict[str, str]:
        entry = entries.get(key)
        below = tree.entries(entry.value, f"{key!r}") if entry else {}
        return {word: tree.line(each.value, f"{word!r} of {key!r}") for word, each in below.items()}

    places = entries.get("places")
    bodies, said = {}, {}
    for place, each in tree.entries(places.value, "'places'").items() if places else ():
        below = tree.entries(each.value, f"place {place!r}")
        bodies[place] = tree.text(below, "on", place, each.key.spot, needed="frame")
        said[place] = tree.text(below, "is", place, each.key.spot, needed="what it is")
    sort = Sort(
        name=name,
        title=tree.text(entries, "title", name, root.spot, needed="Roller"),
        order=int(tree.text(entries, "order", name, root.spot, needed="1")),
        volts=tuple(float(text.removesuffix("V")) for text in tree.lines(entries, "voltages", name)),
        zones=words("zones"),
        bodies=words("bodies"),
        place_bodies=bodies,
        place_words=said,
        instead=words("instead"),
        runs=tuple(_run(node, tree) for node in _items(entries, "runs")),
        straps=tuple(_strap(node, tree) for node in _items(entries, "straps")),
        choices=words("choices"),
    )
    if tree.problems:
        raise SurveyWrong(tree.problems)
    return sort


def _items(entries: dict[str, Entry], key: str) -> tuple[Node, ...]:
    entry = entries.get(key)
    return entry.value.items if entry is not None and isinstance(entry.value, Sequence) else ()


def _run(node: Node, tree: Tree) -> SortRun:
    below = tree.entries(node, "a run")
    start, end, zone = (
        tree.text(below, key, "a run", node.spot, needed="x") for key in ("from", "to", "zone")
    )
    lengths = tree.lines(below, "length", "a run")
    if len(lengths) != len(SIZES):
        tree.say(node.spot, f"a run has {len(lengths)} lengths", "write one for each size of machine")
        lengths = ["1 m"] * 3
    return SortRun(start, end, (lengths[0], lengths[1], lengths[2]), zone, "hinge" in below)


def _strap(node: Node, tree: Tree) -> Strap:
    below = tree.entries(node, "a strap")
    found = [
        tree.text(below, key, "a strap", node.spot, needed="engine")
        for key in ("from", "from place", "to", "to place")
    ]
    return Strap(*found)
