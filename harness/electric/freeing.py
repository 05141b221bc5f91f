"""Why no size of wire feeds a load, which limits are against it, and what would free it, in plain words."""

from __future__ import annotations

from collections.abc import Callable
from math import ceil

from harness.electric.currents import fixed_drop_v, way_drop_v, wire_share_a
from harness.electric.droplimits import LoadLimit
from harness.electric.landing import thickest_mm2
from harness.electric.limits import wire_ohm
from harness.electric.ruleset import RuleSet, Size
from harness.electric.sizing import UNFIT_MOST, Sizing
from harness.electric.undersized import every_size
from harness.model.machine import Machine

MOST_CABLES = 4  # beyond that many side by side another place for the battery or relay is the answer


def starved(sizing: Sizing) -> list[LoadLimit]:
    """Drop limits that the chosen sizes do not meet, the worst first."""
    found = [
        (way_drop_v(one.way, one.case, sizing.ohms) / one.allowance.drop_v, one) for one in sizing.drop_limits
    ]
    return [one for share, one in sorted(found, key=lambda pair: -pair[0]) if share > 1 + 1e-6]


def freeing(
    machine: Machine, sizing: Sizing, limit: LoadLimit, name: Callable[[int], str] | None = None
) -> list[str]:
    """Sentences on one starved load: what conflicts, then each thing that alone would free it."""
    say = name or (lambda wire: f"{machine.wires[wire].a.name} > {machine.wires[wire].b.name}")
    allowed, now = limit.allowance.drop_v, way_drop_v(limit.way, limit.case, sizing.ohms)
    fixed = fixed_drop_v(limit.way, limit.case)
    share = {wire: amps for wire, amps in wire_share_a(limit.way, limit.case).items() if amps > 0}
    wires_v = sum(amps * sizing.ohms[wire] for wire, amps in share.items())
    words = [
        f"{limit.name} in {limit.case.mode} may lose {allowed:.3g} V ({limit.allowance.source}) and loses"
        f" {now:.3g} V: {wires_v:.3g} V in {len(share)} wires, {fixed:.3g} V in joints, contacts and fuses"
    ]
    able_v = sum(amps * _best_ohm(machine, sizing, wire) for wire, amps in share.items())
    words += _against(machine, sizing, share, say)
    words.append(f"with the thickest cable that may be chosen all along, its wires would lose {able_v:.3g} V")
    if not share or wires_v <= 0:
        return [*words, f"a higher limit frees it: at least {_up(now):g} V as drop: of its circuit"]
    left = allowed - fixed
    least_v, least_wires_v = now, wires_v
    if limit.usual is not None and not _within_reach(machine, sizing, share, left):
        words.append(
            f"no size there is can do that, so its wires are sized for the usual {limit.usual.drop_v:g} V"
        )
        least_v, least_wires_v = min(now, fixed + able_v), min(wires_v, able_v)
    worst = max(share, key=lambda wire: share[wire] * sizing.ohms[wire])
    if left <= 0:
        words.append("no wire can help: joints, contacts and fuses alone take the allowance; put a relay near"
                     " the load, so that its current passes fewer of them")  # fmt: skip
    else:
        words += _off_shelf(machine, sizing, share, left)
        words.append(
            f"a shorter run frees it: its wires at {left / least_wires_v:.0%} of their length in all"
        )
        words += _second_cable(share[worst] * sizing.ohms[worst], now - allowed, say(worst))
        words.append("a relay near the load, fed straight from the battery or a stud, takes its current off"
                     " the long way through the switch")  # fmt: skip
    return [*words, f"a higher limit frees it: at least {_up(least_v):g} V as drop: of its circuit"]


def _up(volts: float) -> float:
    return ceil(round(volts * 100, 6)) / 100


def _second_cable(wire_v: float, over_v: float, wire: str) -> list[str]:
    """How many cables side by side in place of the wire that loses most would do, where that is possible."""
    if wire_v <= over_v:
        return []
    cables = ceil(round(wire_v / (wire_v - over_v), 9))
    if cables > MOST_CABLES:
        return []
    return [f"{cables} cables side by side free it, in place of {wire}, which loses {wire_v:.3g} V"]


def _against(
    machine: Machine, sizing: Sizing, share: dict[int, float], say: Callable[[int], str]
) -> list[str]:
    """What keeps the wires from being thicker: survey, terminals, shelf, or the end of the list."""
    why: dict[str, list[str]] = {}
    for wire in share:
        why.setdefault(_held(machine, sizing, wire), []).append(say(wire))
    return [f"{reason}: {', '.join(wires)}" for reason, wires in why.items() if reason]


def _within_reach(machine: Machine, sizing: Sizing, share: dict[int, float], left_v: float) -> bool:
    """Whether some size that is tried, fit for its terminals or not, keeps the wires of a way below that."""

    def least_ohm(wire: int) -> float:
        if machine.wires[wire].size is not None:
            return sizing.ohms[wire]
        rules, routed = sizing.rules[wire], sizing.routed.wires[wire]
        most_mm2 = max(UNFIT_MOST * thickest_mm2(machine, routed), sizing.sizes[wire].area_mm2)
        size = max((one for one in rules.sizes if one.area_mm2 <= most_mm2), key=lambda one: one.area_mm2)
        return wire_ohm(rules, size, sizing.near[wire], sizing.duties[wire], routed.length_m)

    return left_v >= sum(amps * least_ohm(wire) for wire, amps in share.items())


def _held(machine: Machine, sizing: Sizing, wire: int) -> str:
    """Why a wire is not thicker than it is; "" where it could be."""
    if machine.wires[wire].size is not None:
        return "the survey fixes the size"
    chosen = sizing.sizes[wire]
    if chosen == _fitting(machine, sizing.rules[wire], sizing, wire):
        every = every_size(machine, sizing, wire).sizes
        if sizing.rules[wire].sizes[-1].area_mm2 > chosen.area_mm2 + 1e-9:
            return "a thicker one does not go onto its terminals"
        if every[-1].area_mm2 > chosen.area_mm2 + 1e-9:
            where = "on the shelf" if sizing.wanted.stock is not None else "with a price"
            return f"already the thickest {where}"
        return "already the thickest there is"
    return ""


def _fitting(machine: Machine, rules: RuleSet, sizing: Sizing, wire: int) -> Size:
    """The thickest size that goes onto a wire's terminals; the chosen one where that is thicker."""
    takes = thickest_mm2(machine, sizing.routed.wires[wire])
    fits = [size for size in rules.sizes if size.area_mm2 <= takes + 1e-9]
    return max([*fits, sizing.sizes[wire]], key=lambda size: size.area_mm2)


def _best_ohm(machine: Machine, sizing: Sizing, wire: int, *, off_shelf: bool = False) -> float:
    """Least resistance a wire can have: fixed ones as they are, the others as thick as fits [ohm]."""
    if machine.wires[wire].size is not None:
        return sizing.ohms[wire]
    rules = every_size(machine, sizing, wire) if off_shelf else sizing.rules[wire]
    size, length_m = _fitting(machine, rules, sizing, wire), sizing.routed.wires[wire].length_m
    return wire_ohm(rules, size, sizing.near[wire], sizing.duties[wire], length_m)


def _off_shelf(machine: Machine, sizing: Sizing, share: dict[int, float], left_v: float) -> list[str]:
    """Whether sizes that are not on the shelf, or have no price, would do."""
    wanted = sizing.wanted
    if wanted.stock is None and wanted.prices is None:
        return []
    lost = sum(amps * _best_ohm(machine, sizing, wire, off_shelf=True) for wire, amps in share.items())
    if lost > left_v:
        return []
    where = "are not on the shelf" if wanted.stock is not None else "have no price"
    return [f"thicker sizes that {where} free it: its wires would then lose {lost:.3g} V"]
