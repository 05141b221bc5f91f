"""The question mark behind a figure, ``length: 1.2 m?``: taken off before it is read, and remembered."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from harness.model.doubts import Doubt
from harness.model.machine import Part
from harness.survey.located import Entry, Mapping, Node, Sequence, Text, canonical, find

MARK = "?"
# The figures of each section that may carry the mark; a name or a note that ends so stays as it is.
DOUBTED: dict[str, frozenset[str]] = {
    "machine": frozenset({"coldest", "altitude"}),
    "zones": frozenset({"ambient"}),
    "runs": frozenset({"length", "hole", "plate", "edge"}),
    "parts": frozenset(
        {
            "power", "current", "peak", "duty", "coil", "coil peak", "rating", "capacity", "cranking",
            "output", "idle output", "charge", "rated", "resistance", "stud", "range",
        }
    ),
    "circuits": frozenset({"drop"}),
    "wires": frozenset({"size", "length"}),
}  # fmt: skip


def take_doubts(root: Node, file: str) -> tuple[Node, tuple[Doubt, ...]]:
    """The tree without question marks behind its figures, and every figure that had one, in order."""
    if not isinstance(root, Mapping):
        return root, ()
    found: list[Doubt] = []
    entries = dict(root.entries)
    for section in DOUBTED:
        entry = entries.get(section)
        if entry is not None:
            entries[section] = Entry(entry.key, _section(section, entry.value, file, found))
    return (Mapping(entries, root.spot, root.weight), tuple(found)) if found else (root, ())


def _section(section: str, node: Node, file: str, found: list[Doubt]) -> Node:
    if section == "machine":
        return _entry(section, "", node, file, found)
    if isinstance(node, Sequence):
        items = [_entry(section, _run_name(item), item, file, found) for item in node.items]
        return Sequence(tuple(items), node.spot, node.weight)
    if not isinstance(node, Mapping):
        return node
    below = {
        name: Entry(each.key, _entry(section, name, each.value, file, found))
        for name, each in node.entries.items()
    }
    return Mapping(below, node.spot, node.weight)


def _run_name(node: Node) -> str:
    """What a run is called: by its own name, else after its places."""
    said = {key: find(node, (key,))[0] for key in ("name", "from", "to")}
    words = {key: canonical(each.value) for key, each in said.items() if isinstance(each, Text)}
    return words.get("name") or f"{words.get('from', '')} - {words.get('to', '')}"


def _entry(section: str, name: str, node: Node, file: str, found: list[Doubt]) -> Node:
    if not isinstance(node, Mapping):
        return node
    entries = dict(node.entries)
    for key, value in _marked(section, node):
        said = value.value.strip().removesuffix(MARK).rstrip()
        where = value.spot.where(file)
        found.append(Doubt(section, name, key, " ".join(said.split()), where))
        entries[key] = Entry(entries[key].key, replace(value, value=said))
    return Mapping(entries, node.spot, node.weight)


def _marked(section: str, node: Mapping) -> Iterator[tuple[str, Text]]:
    for key, entry in node.entries.items():
        value = entry.value
        if key in DOUBTED[section] and isinstance(value, Text):
            said = value.value.strip()
            if said.endswith(MARK) and any(letter.isdigit() for letter in said):
                yield key, value


def told(doubts: tuple[Doubt, ...]) -> list[str]:
    """What is assumed of zones, runs, circuits and wires, in words; a part tells of its own."""
    singular = {"zones": "zone ", "runs": "run ", "circuits": "circuit ", "wires": "wire "}
    return [
        f"{singular.get(each.section, '')}{each.name}: {each}".removeprefix(": ")
        for each in doubts
        if each.section != "parts"
    ]


def with_doubts(parts: dict[str, Part], doubts: tuple[Doubt, ...]) -> dict[str, Part]:
    """The parts, each with its doubted figures among what is assumed of it."""
    said: dict[str, list[str]] = {}
    for each in doubts:
        if each.section == "parts":
            said.setdefault(each.name, []).append(str(each))
    return {
        name: replace(part, assumed=(*said[name], *part.assumed)) if name in said else part
        for name, part in parts.items()
    }
