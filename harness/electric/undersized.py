"""Why a wire's size does not do, which of its own limits conflict, and what would free it, in plain words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import ceil, floor

from harness.electric.landing import thickest_mm2
from harness.electric.limits import Duty, Surroundings, limits
from harness.electric.ruleset import RuleSet, Size, rule_set
from harness.electric.sizing import Sizing, fuse_name
from harness.model.design import Limit
from harness.model.machine import Machine

MOST_CABLES = 4  # beyond that many side by side another way is the answer
COOLEST_C = 25  # nothing on a machine at work is counted cooler
BY_CURRENT = ("ampacity", "heat", "short time")


def broken(rules: RuleSet, size: Size, near: Surroundings, duty: Duty) -> list[Limit]:
    """Limits of the wire's own that a size does not meet."""
    return [
        limit
        for limit in limits(rules, size, near, duty)
        if limit.name != "survey"
        and (limit.least_area_mm2 is None or limit.least_area_mm2 > size.area_mm2 * 1.0001)
    ]


def every_size(machine: Machine, sizing: Sizing, wire: int) -> RuleSet:
    """The rule set of a wire's cable with all its sizes, on the shelf or not."""
    return rule_set(sizing.rules[wire].name, machine.wires[wire].cable or machine.cable)


def held_back(machine: Machine, sizing: Sizing, wire: int) -> str:
    """What keeps a wire from being thicker."""
    spec, chosen = machine.wires[wire], sizing.sizes[wire]
    if spec.keep:
        return "it is kept as it is"
    if spec.size is not None:
        return f"the survey fixes it at {chosen.label}"
    every = every_size(machine, sizing, wire).sizes
    if chosen.area_mm2 >= every[-1].area_mm2 - 1e-9:
        return f"{chosen.label} is the thickest there is"
    if chosen.area_mm2 >= sizing.rules[wire].sizes[-1].area_mm2 - 1e-9:
        where = "on the shelf" if sizing.wanted.stock is not None else "with a price"
        return f"{chosen.label} is the thickest {where}"
    return f"{chosen.label} is what was picked"


def wire_freeing(machine: Machine, sizing: Sizing, wire: int) -> list[str]:
    """Sentences on a wire whose size breaks limits of its own: what conflicts, then each thing that frees it.

    Each is tried on its own before it is said. Empty where no limit is broken.
    """
    rules, size = sizing.rules[wire], sizing.sizes[wire]
    near, duty = sizing.near[wire], sizing.duties[wire]
    found = broken(rules, size, near, duty)
    if not found:
        return []
    asks = "; ".join(
        f"{limit.name} has {limit.value:.4g} {limit.unit} where {size.label} allows {limit.allowed:.4g}"
        if limit.value > limit.allowed
        else f"{limit.name}: {limit.formula}"  # broken by what its two figures do not show
        for limit in found
    )
    words = [f"{asks}; {held_back(machine, sizing, wire)}"]
    words += _thicker(machine, sizing, wire)
    words += _fuse(machine, sizing, wire, found)
    words += _cables(rules, size, near, duty, found)
    words += _elsewhere(rules, size, near, duty)
    if len(words) == 1:
        words.append("splitting what it feeds over several circuits, a wire and a fuse each, frees it")
    return words


def _thicker(machine: Machine, sizing: Sizing, wire: int) -> Iterator[str]:
    every = every_size(machine, sizing, wire)
    near, duty = sizing.near[wire], sizing.duties[wire]
    size = next((one for one in every.sizes if not broken(every, one, near, replace(duty, fixed=None))), None)
    if size is None:
        return
    fits = size.area_mm2 <= thickest_mm2(machine, sizing.routed.wires[wire]) + 1e-9
    how = "" if fits else ", with terminals that take it"
    if machine.wires[wire].keep:
        yield f"a new wire of {size.label} in its place frees it{how}"
    elif machine.wires[wire].size is not None:
        yield f"leaving its size out of the survey frees it: {size.label} does{how}"
    else:
        yield f"{size.label} frees it{how}"


def _fuse(machine: Machine, sizing: Sizing, wire: int, found: list[Limit]) -> Iterator[str]:
    """A smaller fuse, where its load leaves one."""
    if [limit.name for limit in found] != ["protection"]:
        return
    name = sizing.duties[wire].fuse
    rating = next((one for key, one in sizing.ratings.items() if fuse_name(machine, key) == name), None)
    if rating is None or rating.size is not None:
        return
    allowed = floor(found[0].allowed * rating.rating_a / rating.asks_a)
    if rating.least_a <= allowed:
        yield f"a smaller fuse frees it: {name} of at most {allowed} A"
    else:
        yield (
            f"a fuse of its own of at most {allowed} A frees it; {name} has to be at least"
            f" {rating.least_a:.1f} A for all it feeds"
        )


def _cables(rules: RuleSet, size: Size, near: Surroundings, duty: Duty, found: list[Limit]) -> Iterator[str]:
    """More wires in its place, each with its share of the current and a fuse of its own."""
    if not all(limit.name in BY_CURRENT for limit in found):
        return
    for cables in range(2, MOST_CABLES + 1):
        share = replace(
            duty, continuous_a=duty.continuous_a / cables, short_a=duty.short_a / cables, fuse_a=None, slow=()
        )
        loaded = near.loaded + cables - 1
        crowded = replace(
            near, loaded=loaded, bundle_factor=min(near.bundle_factor, rules.bundle(loaded, 1.0))
        )
        if not broken(rules, size, crowded, share):
            yield f"{cables} wires of {size.label} free it, each with its share of the load and its own fuse"
            return


def _elsewhere(rules: RuleSet, size: Size, near: Surroundings, duty: Duty) -> Iterator[str]:
    """A way of its own, out of the loom, or a cooler one."""
    alone = replace(near, bundle_factor=1.0, loaded=1, warm_c=near.ambient_c, mean_c=near.ambient_c)
    if near.bundle_factor < 1 and not broken(rules, size, alone, duty):
        yield "a way of its own, out of the loom, frees it"
    for ambient_c in range(ceil(near.hottest_c) - 5, COOLEST_C - 1, -5):
        cooler = replace(
            near, ambient_c=min(near.ambient_c, ambient_c), hottest_c=ambient_c,
            warm_c=min(near.warm_c, ambient_c), mean_c=min(near.mean_c, ambient_c),
        )  # fmt: skip
        if not broken(rules, size, cooler, duty):
            yield f"a way no hotter than {ambient_c} °C frees it"
            return
