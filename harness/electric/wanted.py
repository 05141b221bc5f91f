"""What the sizes are picked by: method, the sizes on the shelf, and how few kinds of cable may be bought."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches

from harness.electric.ruleset import HEAVY_MM2, RuleSet, UnknownSize
from harness.tables import load

HEAVY_TYPES = ("SGT", "SGX", "STX", "STT", "SGR")  # battery cable, J1127: the heavy sizes of any light type


class BadStock(Exception):
    """What was said about the shelf cannot be understood, or leaves a cable without any size."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """How to pick sizes; colours are for counting spools: wire -> colour as light and as heavy cable."""

    method: str = "optimum"  # or "table", the wire-by-wire rule
    stock: Mapping[str, tuple[str, ...]] | None = None  # cable type -> size labels
    most_sizes: int | None = None
    most_spools: int | None = None
    colours: tuple[Mapping[int, str], Mapping[int, str]] | None = None

    @property
    def most_kinds(self) -> int | None:
        """The number of kinds a program over all wires is held to."""
        return self.most_spools if self.most_spools is not None else self.most_sizes


def _known_types() -> list[str]:
    sae = [row["type"] for row in load("sae_j1128_types").rows]
    return sae + [f"class {row['class']}" for row in load("cable_temperature_class_iso").rows]


def _split(entry: str) -> tuple[str, str]:
    """Cable type and the rest of an entry; raises BadStock."""
    known = _known_types()
    cable = next((one for one in known if entry.lower().startswith(f"{one.lower()} ")), None)
    if cable is not None:
        return cable, entry[len(cable) :]
    word = entry.split()[0]
    near = get_close_matches(word.upper(), known, n=1, cutoff=0.3)
    if word in known:
        raise BadStock(f"{entry!r} names no size; write for example '{word} 16,14,12'")
    hint = f"; nearest: {near[0]}" if near else f"; there are: {', '.join(known)}"
    raise BadStock(f"{word!r} is no cable type{hint}")


def read_stock(text: str) -> dict[str, tuple[str, ...]]:
    """'GXL 18,16,14; SGX 6,2' as cable type -> words for sizes. Raises BadStock."""
    found: dict[str, tuple[str, ...]] = {}
    for entry in (one.strip() for one in text.split(";")):
        if not entry:
            continue
        cable, rest = _split(entry)
        sizes = tuple(word.strip() for word in rest.split(",") if word.strip())
        if not sizes:
            raise BadStock(f"{entry!r} names no size; write for example '{cable} 16,14,12'")
        found[cable] = found.get(cable, ()) + sizes
    if not found:
        raise BadStock("the stock is empty; write for example 'GXL 18,16,14,12,10; SGX 6,2'")
    return found


def _label(word: str, rules: RuleSet) -> str:
    """The label of a size on the rule set's list. Raises BadStock, with the nearest."""
    known = [size.label for size in rules.sizes]
    unit = known[0].split()[1]
    text = word if not word[-1].isdigit() else f"{word} {unit}"
    try:
        label = rules.size(text).label
    except (UnknownSize, ValueError):
        label = ""
    if label in known:
        return label
    near = get_close_matches(text, known, n=1, cutoff=0.0)[0]
    raise BadStock(f"{word!r} is no size of {rules.cable}; nearest: {near}; there are: {', '.join(known)}")


def on_shelf(rules: RuleSet, stock: Mapping[str, tuple[str, ...]], cable: str) -> RuleSet:
    """A rule set with only the sizes on the shelf for a cable. Raises BadStock where none is left.

    Light cable is stocked under its own type, its heavy sizes under a battery-cable type.
    """
    labels: set[str] = set()
    for kind, words in stock.items():
        found = [_label(word, rules) for word in words]
        heavy = kind in HEAVY_TYPES and rules.name == "sae" and kind != cable
        labels |= {
            label for label in found if kind == cable or (heavy and rules.size(label).area_mm2 > HEAVY_MM2)
        }
    sizes = tuple(size for size in rules.sizes if size.label in labels)
    if not sizes:
        raise BadStock(f"no size of {cable} on the shelf ({'; '.join(stock)}); the survey asks for {cable}")
    return replace(rules, sizes=sizes)
