"""Turns the sizing into the design's own records: wires, fuses, loads and modes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from harness.electric.allowance import peak_allowance, steady_allowance
from harness.electric.aswired import as_wired
from harness.electric.bands import body_colour
from harness.electric.currents import ModeSolution, fixed_drop_v, way_drop_v
from harness.electric.droplimits import circuit_of_links, side_volts
from harness.electric.freeing import freeing, starved
from harness.electric.limits import ambient_share, corrected_a, limits, steady_a, wire_ohm, working_c
from harness.electric.links import length_m
from harness.electric.nextsize import Hanging, hanging, loads_on, next_sizes
from harness.electric.prices import money
from harness.electric.ruleset import Size
from harness.electric.sizing import Sizing, fuse_name
from harness.electric.starterways import strap_areas
from harness.electric.undersized import wire_freeing
from harness.electric.wanted import wire_price
from harness.model.design import (
    Addition,
    Fuse,
    Limit,
    LoadResult,
    LoadVolts,
    ModeResult,
    NextSize,
    Wire,
    WireLoad,
)
from harness.model.machine import Link, Machine, Part
from harness.model.stages import BARE_END

MARGIN_MOST = 9.99  # a wire that carries next to nothing has no margin worth printing
FUSE_SOURCE = (
    "load / continuous share of its form at the heat of its place (fuse_continuous_share, memory at worst) <="
    " fuse <= ampacity of the thinnest wire behind it; sure to open at 1.45 times that (IEC 60364-4-43,"
    " memory); inrush by the band of its form (fuse_time_current, memory)"
)
LINK_SOURCE = (
    "four gauge numbers thinner than its cable, about 6 in long, TWP cable (SAE J156 and trade pages,"
    " fusible_link_rules, read); carries the ampacity of its own size (calculated)"
)
DECIDES = (
    "survey",
    "mechanical",
    "protection",
    "ampacity",
    "heat",
    "loom heat",
    "short time",
    "strap",
    "coupler",
    "drop",
    "as wired",
)


def _steady_by_mode(sizing: Sizing, wire: int) -> dict[str, float]:
    """Worst steady current of a wire in each mode: its loads, or charging at full output."""
    return {
        solution.activity.mode.name: round(
            max((abs(case.wire_a[wire]) for case in solution.all_on), default=0.0),
            6,
        )
        for solution in sizing.solutions
    }


def _drop_limit(sizing: Sizing, wire: int, on_it: Sequence[Hanging]) -> Limit | None:
    """The load that hangs hardest on a wire, and the least size that still feeds all; others as chosen."""
    if not on_it:
        return None
    length_m, now = sizing.routed.wires[wire].length_m, sizing.ohms[wire]

    def feeds(size: Size) -> bool:
        more = _ohm(sizing, wire, size, length_m) - now
        return all(one.drop_v + one.here_a * more <= one.limit.allowance.drop_v for one in on_it)

    least = next((size for size in sizing.rules[wire].sizes if feeds(size)), None)
    worst = on_it[0]
    one, amps, drop = worst.limit, worst.here_a, worst.drop_v
    return Limit(
        "drop",
        least.label if least else "",
        least.area_mm2 if least else None,
        drop,
        one.allowance.drop_v,
        "V",
        f"{one.name} in {one.case.mode} loses {drop:.3f} V of {one.allowance.drop_v:g} V allowed;"
        f" this wire {abs(amps):.2f} A x {now * 1000:.2f} mohm = {abs(amps) * now:.3f} V,"
        f" joints and contacts {fixed_drop_v(one.way, one.case):.3f} V",
        one.allowance.source,
    )


def decided_by(found: Sequence[Limit], chosen: Size) -> str:
    """The limit that set the size: the hardest of them, in a fixed order where several ask for as much."""
    if any(limit.name == "survey" for limit in found):
        return "survey"

    def asks(limit: Limit) -> float:
        return chosen.area_mm2 if limit.least_area_mm2 is None else min(limit.least_area_mm2, chosen.area_mm2)

    hardest = max(asks(limit) for limit in found)
    return min(
        (limit.name for limit in found if asks(limit) >= hardest - 1e-9), key=lambda name: DECIDES.index(name)
    )


def _margin(able_a: float, asked_a: float) -> float:
    return MARGIN_MOST if asked_a <= 0 else round(min(MARGIN_MOST, able_a / asked_a - 1), 6)


def _fuse_of(machine: Machine, sizing: Sizing, wire: int) -> tuple[str, float | None]:
    """The fuse that stands before a wire, "" when some way to it has none."""
    before = sizing.guards.live.get(wire) or sizing.guards.back.get(wire, frozenset())
    keys = [key for key in before if key is not None and key in sizing.ratings]
    if not keys:
        return "", None
    top = max(sorted(keys), key=lambda key: sizing.ratings[key].rating_a)
    return fuse_name(machine, top), sizing.ratings[top].rating_a


def wires(machine: Machine, sizing: Sizing, numbers: Sequence[str], colours: Mapping[int, str]) -> list[Wire]:
    """Every wire as designed, its ends still bare."""
    on_wires = hanging(sizing)
    down = next_sizes(machine, sizing, on_wires)
    fine = frozenset(run.name for run in machine.runs if run.fine)
    straps = strap_areas(machine, sizing.sizes, sizing.solutions)
    looms = sizing.looms.limits(sizing.sizes, sizing.warm)
    there = as_wired(machine).sizes
    return [
        _wire(
            machine, sizing, index, numbers[index], colours[index],
            [
                limit
                for limit in (
                    looms.get(index),
                    _drop_limit(sizing, index, on_wires.get(index, [])),
                    _strap(sizing, index, straps.get(index)),
                    _there(sizing.sizes[index], there.get(index, frozenset())),
                )
                if limit
            ],
            down[index], loads_on(sizing, index, on_wires.get(index, [])),
            fine,
        )
        for index in range(len(machine.wires))
    ]  # fmt: skip


def _strap(sizing: Sizing, index: int, least_mm2: float | None) -> Limit | None:
    """A starter's way home is at least as thick as its live cable."""
    if least_mm2 is None:
        return None
    least = next((size for size in sizing.rules[index].sizes if size.area_mm2 >= least_mm2 - 1e-9), None)
    return Limit(
        "strap", least.label if least else "", least.area_mm2 if least else None, least_mm2,
        sizing.sizes[index].area_mm2, "mm2", "on the starter's way home: no thinner than its live cable",
        "common practice",
    )  # fmt: skip


def _there(size: Size, there: frozenset[str]) -> Limit | None:
    """A wire that is in the machine already stays as it is where that will do."""
    if size.label not in there:
        return None
    return Limit(
        "as wired", size.label, size.area_mm2, size.area_mm2, size.area_mm2, "mm2",
        "it is in the machine so, and thick enough: it stays", "the file of choices",
    )  # fmt: skip


def _ohm(sizing: Sizing, index: int, size: Size, length_m: float) -> float:
    return wire_ohm(sizing.rules[index], size, sizing.near[index], sizing.duties[index], length_m)


def _wire(
    machine: Machine, sizing: Sizing, index: int, number: str, colour: str, more: list[Limit],
    down: NextSize, loads: list[WireLoad],
    fine: frozenset[str],
) -> Wire:  # fmt: skip
    spec, way = machine.wires[index], sizing.routed.wires[index]
    size, near, duty, rules = (
        sizing.sizes[index],
        sizing.near[index],
        sizing.duties[index],
        sizing.rules[index],
    )
    able = corrected_a(rules, size, near)
    found = limits(rules, size, near, duty) + more
    by_mode = _steady_by_mode(sizing, index)
    fuse, fuse_a = _fuse_of(machine, sizing, index)
    short = next((limit for limit in found if limit.name == "short time"), None)
    steady = steady_a(rules, size, near, duty)
    asked, able_for = (steady, able) if short is None else (duty.short_a, short.allowed)
    if short is not None and steady > 0 and able / steady < able_for / asked:
        asked, able_for = steady, able
    return Wire(
        number=number, circuit=spec.circuit, from_=way.a, to=way.b, length_m=way.length_m,
        run_length_m=round(way.run_length_m, 6), size=size.label, area_mm2=size.area_mm2,
        outside_mm=size.outside_mm, cable=spec.cable or machine.cable, colour=colour, current_a=by_mode,
        continuous_a=duty.continuous_a, short_a=duty.short_a, short_s=duty.short_s,
        drop_v=max(by_mode.values(), default=0.0) * sizing.ohms[index], resistance_ohm=sizing.ohms[index],
        conductor_c=working_c(rules, size, near, duty), ambient_c=near.hottest_c, ampacity_a=able,
        ampacity_base_a=size.base_a,
        ambient_factor=ambient_share(rules, near.ambient_c),
        bundle_factor=near.bundle_factor, bundle_loaded=near.loaded, margin=_margin(able_for, asked),
        fuse=fuse, fuse_a=fuse_a, runs=list(way.runs), decided_by=decided_by(found, size), limits=found,
        kept=spec.keep, from_end=BARE_END, to_end=BARE_END, assumed=_assumed(machine, index),
        next_down=down, loads=loads, cost=_cost(machine, sizing, index),
        freeing=wire_freeing(machine, sizing, index),
        fine_stranded=not fine.isdisjoint(way.runs),
        way=way.way,
        additions=[Addition(what, round(length_m, 6)) for what, length_m in way.additions],
    )  # fmt: skip


def _cost(machine: Machine, sizing: Sizing, index: int) -> str:
    """What a wire costs by the price list."""
    if sizing.wanted.prices is None:
        return ""
    length, size = sizing.routed.wires[index].length_m, sizing.sizes[index]
    return money(wire_price(machine, sizing.wanted, sizing.rules[index], index, size, length))


def _assumed(machine: Machine, index: int) -> list[str]:
    """What the size rests on that nobody has measured: assumed zones and the loads at its ends."""
    spec = machine.wires[index]
    ends = [end.name for end in (spec.a, spec.b) if end.kind == "part"]
    return [f"{name}: {text}" for name in ends for text in machine.parts[name].assumed]


def fuses(machine: Machine, sizing: Sizing, made: Sequence[Wire]) -> list[Fuse]:
    """Every fuse with what asks for it and what it guards, in the order of the survey."""
    found = []
    behind: dict[tuple[str, str] | None, list[int]] = {}
    for index in range(len(made)):
        for before in sizing.guards.live.get(index, frozenset()) | sizing.guards.back.get(index, frozenset()):
            behind.setdefault(before, []).append(index)
    for key, rating in sizing.ratings.items():
        guarded = behind.get(key, [])
        most = min((made[index].ampacity_a for index in guarded), default=0.0)
        part = machine.parts[key[0]]
        found.append(
            Fuse(
                name=fuse_name(machine, key), part=key[0], link=key[1], place=part.place,
                form=rating.form, rating_a=rating.rating_a,
                colour=body_colour(rating.form, rating.rating_a), fixed=rating.fixed,
                load_a=rating.load.steady_a, peak_a=rating.load.short_a, peak_s=rating.load.short_s,
                least_a=rating.least_a, most_a=most, wires=[made[index].number for index in guarded],
                formula=rating.formula,
                source=FUSE_SOURCE if rating.size is None else LINK_SOURCE,
                continuous_share=rating.share.share, ambient_c=rating.ambient_c,
                share_words=rating.share.words, share_source=rating.share.source,
                asks_a=rating.asks_a, size=rating.size.label if rating.size else "",
                length_m=length_m() if rating.size else None,
            )
        )  # fmt: skip
    return found


def modes(machine: Machine, sizing: Sizing) -> list[ModeResult]:
    """Every mode: volts at the posts, sum of what is on for as long as it lasts, what charging can give."""
    sources = [part for part in machine.parts.values() if part.role == "source"]
    give = {
        "rated": sum(part.output_a or 0.0 for part in sources),
        "idle": sum(part.idle_output_a or 0.0 for part in sources),
    }
    return [
        ModeResult(
            solution.activity.mode.name,
            solution.activity.mode.engine,
            solution.source_v,
            sum(load.load.steady_a for load in solution.activity.loads if load.load.steady_s is None),
            give[solution.activity.mode.speed] if solution.activity.mode.engine == "running" else 0.0,
        )
        for solution in sizing.solutions
    ]


def _volts(solution: ModeSolution, sizing: Sizing, part: str, link: str) -> LoadVolts | None:
    """What one load sees in one mode, None when the mode does not work it."""
    mode = solution.activity.mode.name
    way = solution.ways.get((part, link))
    on = solution.on.get((part, link))
    if way is None:
        dead = on is not None or (part, link) in solution.unfed
        return _dead(mode, solution.source_v) if dead else None
    case = solution.case("steady" if on is not None else "charging")
    drop = way_drop_v(way, case, sizing.ohms)
    source = case.volts[way.feed_post] - case.volts[way.back_post]
    if on is None:
        return LoadVolts(mode, 0.0, source + drop, drop, drop, source)
    judged = way_drop_v(way, solution.judged(part, link), sizing.ohms)
    volts = case.volts[on.feed] - case.volts[on.back]
    return LoadVolts(mode, on.load.steady_a, volts, drop, judged, source)


def _dead(mode: str, source_v: float) -> LoadVolts:
    """A load that nothing reaches loses all there is."""
    return LoadVolts(mode, 0.0, 0.0, source_v, source_v, source_v)


def _loads_of(machine: Machine) -> list[tuple[Part, Link]]:
    return [
        (part, link)
        for part in machine.parts.values()
        for link in part.links
        if link.kind == "load" or (link.kind == "source" and part.output_a)
    ]


def loads(machine: Machine, sizing: Sizing) -> list[LoadResult]:
    """Every load that some path works, and every charging source, in the order of the survey."""
    owner, sides = circuit_of_links(machine), side_volts(machine, sizing.solutions)
    stuck: dict[tuple[str, str], list[str]] = {}
    for limit in starved(sizing):
        stuck.setdefault((limit.part, limit.link), freeing(machine, sizing, limit))
    found = []
    for part, link in _loads_of(machine):
        circuit = owner.get((part.name, link.name))
        if circuit is None:
            continue
        seen = [
            volts
            for solution in sizing.solutions
            if (volts := _volts(solution, sizing, part.name, link.name))
        ]
        system_v = sides.get((part.name, link.name), machine.voltage_v)
        allowance = steady_allowance(circuit, part, link, system_v=system_v)
        if link.kind == "source":
            give = part.output_a or 0.0
            seen = [replace(volts, current_a=give) for volts in seen]
            steady, peak_a, peak_s, pull = give, None, None, None
        else:
            assert link.load is not None
            steady, peak_a, peak_s = link.load.steady_a, link.load.peak_a, link.load.peak_s
            pull = peak_allowance(part, link, system_v=system_v)
        found.append(
            LoadResult(
                part=part.name, link=link.name, circuit=circuit.name, place=part.place, steady_a=steady,
                peak_a=peak_a, peak_s=peak_s, allowance_v=allowance.drop_v, allowance_source=allowance.source,
                peak_allowance_v=pull.drop_v if pull else None,
                peak_drop_v=_peak_drop(sizing, part.name, link.name), modes=seen,
                fuse=_load_fuse(machine, sizing, part.name, link.name), assumed=list(part.assumed),
                freeing=stuck.get((part.name, link.name), []),
            )
        )  # fmt: skip
    return found


def _peak_drop(sizing: Sizing, part: str, link: str) -> float | None:
    """Worst drop of a load while it draws its peak [V], None when it has none."""
    drops = [
        way_drop_v(solution.ways[part, link], case, sizing.ohms)
        for solution in sizing.solutions
        if (part, link) in solution.ways and (case := solution.peak(part, link)) is not None
    ]
    return max(drops, default=None)


def _load_fuse(machine: Machine, sizing: Sizing, part: str, link: str) -> str:
    """The last fuse on the way to a load, "" when there is none."""
    for solution in sizing.solutions:
        way = solution.ways.get((part, link))
        if way is None:
            continue
        keys = [edge.key for edge, _ in way.edges if edge.kind == "fuse" and isinstance(edge.key, tuple)]
        if keys:
            return fuse_name(machine, keys[-1])
    return ""


__all__ = ["decided_by", "fuses", "loads", "modes", "wires"]
