"""What the next size down of a wire would break, and what the loads on it have to spare."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from harness.electric.currents import fixed_drop_v, way_drop_v, wire_share_a
from harness.electric.droplimits import LoadLimit, drop_limit
from harness.electric.limits import limits, wire_ohm
from harness.electric.ruleset import Size, rule_set
from harness.electric.sizing import Sizing
from harness.electric.starterways import strap_areas
from harness.model.design import Breach, Limit, NextSize, WireLoad
from harness.model.machine import Machine

EVEN_V = 1e-9  # rounding


@dataclass(frozen=True, slots=True)
class Hanging:
    """One load limit as one wire sees it."""

    limit: LoadLimit
    here_a: float  # counted along the load's way
    drop_v: float
    allowed_v: float  # the allowance; where joints and contacts alone eat it, what the wires were held to


def hanging(sizing: Sizing) -> dict[int, list[Hanging]]:
    """Wire -> every drop limit it counts in, the one with the least share to spare first."""
    found: dict[int, list[Hanging]] = {}
    for limit in sizing.drop_limits:
        drop = way_drop_v(limit.way, limit.case, sizing.ohms)
        held = drop_limit(limit).left_v + fixed_drop_v(limit.way, limit.case)
        allowed = max(limit.allowance.drop_v, held)
        for wire, amps in wire_share_a(limit.way, limit.case).items():
            if abs(amps) > EVEN_V:
                found.setdefault(wire, []).append(Hanging(limit, amps, drop, allowed))
    for own in found.values():
        own.sort(key=lambda one: -one.drop_v / one.limit.allowance.drop_v)
    return found


def loads_on(sizing: Sizing, wire: int, on_it: list[Hanging]) -> list[WireLoad]:
    """Of every load on a wire the case with the least to spare, steady and at its peak."""
    found: dict[tuple[str, str, str, bool], WireLoad] = {}
    for one in on_it:
        peak = one.limit.case.peak is not None
        allowed, here_v = one.limit.allowance.drop_v, one.here_a * sizing.ohms[wire]
        found.setdefault(
            (one.limit.part, one.limit.link, one.limit.side, peak),
            WireLoad(
                one.limit.part, one.limit.link, one.limit.case.mode, peak, here_v, one.drop_v, allowed,
                allowed - one.drop_v, one.limit.allowance.source, one.limit.side,
            ),
        )  # fmt: skip
    return list(found.values())


def next_sizes(machine: Machine, sizing: Sizing, on_wires: Mapping[int, list[Hanging]]) -> list[NextSize]:
    """The next size down of every wire."""
    straps = strap_areas(machine, sizing.sizes, sizing.solutions)
    return [
        _next(machine, sizing, wire.index, on_wires.get(wire.index, []), straps.get(wire.index))
        for wire in sizing.routed.wires
    ]


def _next(
    machine: Machine, sizing: Sizing, wire: int, on_it: list[Hanging], strap_mm2: float | None
) -> NextSize:
    chosen, rules, spec = sizing.sizes[wire], sizing.rules[wire], machine.wires[wire]
    shelf = _thinner(rules.sizes, chosen)
    every = _thinner(rule_set(rules.name, spec.cable or machine.cable).sizes, chosen)
    size = shelf or every
    if size is None:
        return NextSize("", None, [], f"there is no thinner {rules.cable}")
    breaks = [_own(limit) for limit in limits(rules, size, sizing.near[wire], sizing.duties[wire])
              if limit.name != "survey" and _short_of(limit, size)]  # fmt: skip
    breaks += _starved(sizing, wire, size, on_it)
    if strap_mm2 is not None and size.area_mm2 < strap_mm2 - 1e-9:
        words = f"thinner than the starter's live cable of {strap_mm2:.3g} mm2"
        breaks.append(Breach("strap", "", "", "", strap_mm2, size.area_mm2, "mm2", words))
    return NextSize(size.label, size.area_mm2, breaks, _note(machine, sizing, wire, breaks, shelf is None))


def _thinner(sizes: tuple[Size, ...], chosen: Size) -> Size | None:
    thinner = [size for size in sizes if size.area_mm2 < chosen.area_mm2 - 1e-9]
    return max(thinner, key=lambda size: size.area_mm2, default=None)


def _short_of(limit: Limit, size: Size) -> bool:
    return limit.least_area_mm2 is None or limit.least_area_mm2 > size.area_mm2 + 1e-9


def _own(limit: Limit) -> Breach:
    """A limit of the wire itself; its numbers are those of the thinner size already."""
    over = f"{limit.value:.4g} {limit.unit} where {limit.allowed:.4g} {limit.unit} is allowed"
    words = {
        "ampacity": f"carries {over}",
        "heat": f"conductor at {over}",
        "short time": f"short spell of {over}",
        "protection": f"fuse of {limit.value:g} A before a wire that may carry {limit.allowed:.1f} A",
        "mechanical": f"{limit.allowed:.3g} mm2, at least {limit.value:.3g} mm2 is wanted where it lies",
    }
    return Breach(limit.name, "", "", "", limit.value, limit.allowed, limit.unit, words.get(limit.name, over))


def _starved(sizing: Sizing, wire: int, size: Size, on_it: list[Hanging]) -> Iterator[Breach]:
    """Loads that would lose too much, each in its worst case."""
    ohm = wire_ohm(
        sizing.rules[wire], size, sizing.near[wire], sizing.duties[wire], sizing.routed.wires[wire].length_m
    )
    seen: set[tuple[str, str, str]] = set()
    more = ohm - sizing.ohms[wire]
    for one in sorted(on_it, key=lambda one: one.allowed_v - one.drop_v - one.here_a * more):
        drop, load = one.drop_v + one.here_a * more, (one.limit.part, one.limit.link, one.limit.side)
        if drop <= one.allowed_v + EVEN_V or load in seen:
            continue
        seen.add(load)
        allowed = one.limit.allowance.drop_v
        words = (
            f"{one.limit.name} in {one.limit.case.mode} would lose {drop:.3f} V of {allowed:g} V allowed,"
            f" {drop - allowed:.3f} V too much"
        )
        yield Breach("drop", *load[:2], one.limit.case.mode, drop, allowed, "V", words)


def _note(machine: Machine, sizing: Sizing, wire: int, breaks: list[Breach], off_shelf: bool) -> str:
    """Why the next size down is not taken, where it breaks nothing or is not to be had."""
    spec, wanted = machine.wires[wire], sizing.wanted
    if spec.keep:
        return "the wire is kept as it is"
    if spec.size is not None:
        return "the survey gives the size"
    if off_shelf:
        return "it is not on the shelf"
    if breaks:
        return ""
    if wanted.method == "table":
        return "it would do: the wire-by-wire rule asks for more than is needed"
    if wanted.most_kinds is not None:
        return "it would do, but takes one more spool or size than is allowed"
    if wanted.prices is not None:
        return "it would do, but costs no less by the price list"
    return "it would do by these limits; it saves nothing"
