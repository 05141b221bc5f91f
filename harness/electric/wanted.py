"""What the sizes are picked by: method, the shelf, prices, and how few kinds of cable may be bought."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches

from harness.electric.aswired import as_wired
from harness.electric.prices import HEAVY_TYPES, NoPrice, Prices, priced, wire_steps
from harness.electric.ruleset import HEAVY_MM2, RuleSet, Size, UnknownSize, rule_set
from harness.model.machine import Machine
from harness.tables import load

HEAVY_COLOUR_MM2 = 8.5  # above this cable is sold in red and black only (common practice)


class BadStock(Exception):
    """What was said about the shelf cannot be understood, or leaves a cable without any size."""


class NothingLeft(Exception):
    """The sizes that are not to be had are all there are of a cable."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """How to pick sizes; colours are for spools and prices: wire -> colour as light and as heavy cable."""

    method: str = "optimum"  # or "table", the wire-by-wire rule
    stock: Mapping[str, tuple[str, ...]] | None = None  # cable type -> size labels
    most_sizes: int | None = None
    most_spools: int | None = None
    colours: tuple[Mapping[int, str], Mapping[int, str]] | None = None
    prices: Prices | None = None

    def colour(self, wire: int, size: Size) -> str:
        """The colour a wire has in a size; "" where colours are not counted."""
        if self.colours is None:
            return ""
        return self.colours[size.area_mm2 > HEAVY_COLOUR_MM2][wire]

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


def _without(rules: RuleSet, gone: Collection[str], cable: str, shades: Sequence[str]) -> RuleSet:
    """A rule set without the sizes that are not to be had: "GXL 12 AWG", or "GXL 12 AWG RD" in that colour.

    ``shades``: the colour of the wire as light and as heavy cable. Raises NothingLeft.
    """

    def is_there(size: Size) -> bool:
        name = f"{cable} {size.label}"
        return name not in gone and f"{name} {shades[size.area_mm2 > HEAVY_COLOUR_MM2]}" not in gone

    sizes = tuple(size for size in rules.sizes if is_there(size))
    if not sizes:
        raise NothingLeft(f"no size of {cable} {shades[0]} is left".replace("  ", " "))
    return replace(rules, sizes=sizes)


def _with(rules: RuleSet, every: RuleSet, labels: Collection[str]) -> RuleSet:
    """A rule set with some sizes of all there are besides."""
    left = {size.label for size in rules.sizes} | set(labels)
    return replace(rules, sizes=tuple(size for size in every.sizes if size.label in left))


def wire_price(
    machine: Machine, wanted: Wanted, rules: RuleSet, wire: int, size: Size, length_m: float
) -> int:
    """What a wire costs in a size, in ten-millionths of the currency; nothing where it is kept.

    Raises NoPrice.
    """
    spec = machine.wires[wire]
    if wanted.prices is None or spec.keep:
        return 0
    cable, colour = spec.cable or machine.cable, wanted.colour(wire, size)
    steps = wanted.prices.of(rules, cable, size, colour)
    if steps is None:
        raise NoPrice(f"{wanted.prices.file} has no price for {cable} {size.label} in {colour}, which the"
                      f" survey gives to {spec.a.name} > {spec.b.name}")  # fmt: skip
    return wire_steps(steps, length_m)


def rules_of_wires(machine: Machine, rules: RuleSet, wanted: Wanted) -> list[RuleSet]:
    """The rule set of every wire: of its own cable, and only sizes on the shelf and with a price.

    A wire that is kept or whose size the survey gives has them all, and one that is in the machine already
    has its own as well, if there is a price for it. Raises BadStock, NoPrice and NothingLeft.
    """
    wired = as_wired(machine).sizes
    own: dict[tuple[str, ...], RuleSet] = {}
    found = []
    for spec in machine.wires:
        cable, free = spec.cable or machine.cable, spec.size is None
        shades = ("", "") if wanted.colours is None else tuple(shade[spec.index] for shade in wanted.colours)
        shaded = free and (wanted.prices is not None or machine.accepted.sizes)
        there = wired.get(spec.index, frozenset())
        key = (cable, *(shades if shaded else ()), "free" if free else "", *sorted(there))
        if key not in own:
            base = every = rule_set(rules.name, spec.cable) if spec.cable else rules
            if free and machine.accepted.sizes:
                base = _without(base, machine.accepted.sizes, cable, shades)
            if free and wanted.stock is not None:
                base = on_shelf(base, wanted.stock, cable)
            if there and len(base.sizes) < len(every.sizes):
                base = _with(base, every, there)
            if free and wanted.prices is not None:
                base = priced(base, wanted.prices, cable, shades[0], shades[1], HEAVY_COLOUR_MM2)
            own[key] = base
        found.append(own[key])
    return found
