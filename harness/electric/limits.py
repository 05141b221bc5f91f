"""The limits of one wire taken alone: ampacity, short spell, protection, mechanics, and the survey's word."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache

from harness.electric.ampacity import altitude_factor, ambient_factor, engine_space_factor, short_time_a
from harness.electric.conductor import COPPER_ZERO_C, adiabatic_rise_k, resistance_at
from harness.electric.heat import Curve, cable_of, curve, spell_a, time_constant_s
from harness.electric.repeated import Repeated, together_a
from harness.electric.ruleset import RuleSet, Size
from harness.model.design import Limit
from harness.tables import load

COLDEST_C = -273.15
REPEATED_SOURCE = "; repeated loads: first order by the wire's time constant (textbook)"
ENGINE_SPACE_C = 50.0  # ambient of the printed engine-space factor


@dataclass(frozen=True, slots=True)
class Surroundings:
    """Where a wire is worst off: ambient and neighbours of its hardest stretch."""

    ambient_c: float  # of the stretch that derates most
    hottest_c: float  # of its whole way
    loaded: int
    bundle_factor: float
    altitude_m: float = 0.0
    warm_c: float = COLDEST_C  # what its hottest loom heats it to, neighbours included
    mean_c: float = COLDEST_C  # the same over its whole way, by length


@dataclass(frozen=True, slots=True)
class Duty:
    """What a wire has to carry."""

    continuous_a: float
    short_a: float
    short_s: float
    fuse_a: float | None  # rating of the fuse that guards it
    fuse: str
    alone: bool  # in some run it lies with at most one other wire
    fixed: str | None  # size the survey gave
    guard_mm2: float = 0.0  # least cable that the fusible link before it guards
    slow: tuple[
        tuple[float, float], ...
    ] = ()  # currents [A] that its fuse may pass so long [s] before it opens
    repeated: tuple[Repeated, ...] = ()  # of every mode that has such loads
    mate_mm2: float = 0.0  # least area that goes into the contact its mate in a coupler needs


def ambient_share(rules: RuleSet, ambient_c: float) -> float:
    """Share of a rule set's table left at an ambient, by the law or the printed engine-space factor.

    The printed factor is for 50 °C; from there on the smaller of both counts, in the rule set that has it.
    """
    return _ambient_share(rules.insulation_c, rules.limit_c, rules.base_c, rules.engine_space, ambient_c)


@cache
def _ambient_share(
    insulation_c: float, limit_c: float, base_c: float, engine_space: bool, ambient_c: float
) -> float:
    law = ambient_factor(limit_c=limit_c, ambient_c=ambient_c, base_c=base_c, insulation_c=insulation_c)
    if engine_space and ambient_c >= ENGINE_SPACE_C:
        return min(law, engine_space_factor(limit_c=limit_c))
    return law


def corrected_a(rules: RuleSet, size: Size, near: Surroundings) -> float:
    """Ampacity of a size where the wire lies [A]: base x ambient, bundle and altitude factors."""
    factor = ambient_share(rules, near.ambient_c) * near.bundle_factor
    return size.base_a * factor * altitude_factor(altitude_m=near.altitude_m)


def _curve(rules: RuleSet, size: Size, ambient_c: float, near: Surroundings) -> Curve:
    return curve(cable_of(rules, size), ambient_c=ambient_c, altitude_m=near.altitude_m)


def heat_a(rules: RuleSet, size: Size, near: Surroundings) -> float:
    """Steady current at which the heat balance reaches the insulation's limit where the wire lies [A].

    In a loom a wire loses the square of its bundle factor of what it loses alone, which is what the factor
    means; alone in the hottest zone of its way it may be worse off. Source: :mod:`harness.electric.heat`.
    """
    limit_c = rules.insulation_c
    in_loom = _curve(rules, size, near.ambient_c, near).current_at_a(limit_c) * near.bundle_factor
    return min(in_loom, _curve(rules, size, near.hottest_c, near).current_at_a(limit_c))


def balance_c(rules: RuleSet, size: Size, near: Surroundings, current_a: float) -> float:
    """Conductor temperature by the heat balance at a steady current where the wire lies [°C]."""
    in_loom = _curve(rules, size, near.ambient_c, near).at_current_c(current_a / near.bundle_factor)
    return max(in_loom, _curve(rules, size, near.hottest_c, near).at_current_c(current_a))


def steady_a(rules: RuleSet, size: Size, near: Surroundings, duty: Duty) -> float:
    """What a wire has to carry for good [A]: what lasts, or the steady current that repeated loads come to.

    By the time constant of the wire alone, which is the quickest it can be (safe side).
    """
    if not duty.repeated:
        return duty.continuous_a
    tau = time_constant_s(cable_of(rules, size), ambient_c=near.hottest_c, limit_c=rules.insulation_c)
    return max(duty.continuous_a, *(together_a(base, again, tau) for base, again in duty.repeated))


def _start_c(rules: RuleSet, size: Size, near: Surroundings, duty: Duty) -> float:
    """Where a short spell starts from [°C]: what the steady currents make of the wire and its loom."""
    return max(balance_c(rules, size, near, duty.continuous_a), near.warm_c)


def short_a(rules: RuleSet, size: Size, near: Surroundings, duty: Duty) -> float:
    """What a size stands for the duty's short spell on top of its steady current's heat [A].

    The larger of three, each of which keeps the conductor within its limit: no heat leaving (adiabatic), heat
    leaving on the way (first order), and what it stands for ever.
    """
    start_c = _start_c(rules, size, near, duty)
    adiabatic = short_time_a(
        area_mm2=size.area_mm2, seconds_s=duty.short_s, from_c=start_c, to_c=rules.insulation_c
    )
    warming = spell_a(
        cable_of(rules, size), seconds_s=duty.short_s, from_c=start_c, ambient_c=near.hottest_c,
        limit_c=rules.insulation_c, bundle_factor=near.bundle_factor, altitude_m=near.altitude_m,
    )  # fmt: skip
    return max(adiabatic, warming, min(corrected_a(rules, size, near), heat_a(rules, size, near)))


@cache
def over_k(seconds_s: float) -> float:
    """How far above its class insulation may get for so long [K], 0 beyond the table: cable_overload."""
    rows = sorted((float(row["seconds"]), float(row["over_k"])) for row in load("cable_overload").rows)
    return next((kelvin for seconds, kelvin in rows if seconds_s <= seconds), 0.0)


def overload_a(rules: RuleSet, size: Size, near: Surroundings, duty: Duty, seconds_s: float) -> float:
    """Current a size stands for a time on top of its steady load, heat leaving on the way [A].

    Warming by one time constant (:func:`harness.electric.heat.spell_a`) to what its insulation stands for so
    long; never less than its ampacity.
    """
    warms = spell_a(
        cable_of(rules, size), seconds_s=seconds_s, from_c=_start_c(rules, size, near, duty),
        ambient_c=near.hottest_c, limit_c=rules.insulation_c + over_k(seconds_s),
        bundle_factor=near.bundle_factor, altitude_m=near.altitude_m,
    )  # fmt: skip
    return max(warms, corrected_a(rules, size, near))


def _guarded(rules: RuleSet, size: Size, near: Surroundings, duty: Duty, rating_a: float) -> bool:
    """Whether the fuse or link before a size guards it, at its rating and at what it passes for long."""
    able = corrected_a(rules, size, near)
    return (
        able >= rating_a
        and size.area_mm2 >= duty.guard_mm2 - 1e-9
        and all(
            amps <= able or amps <= overload_a(rules, size, near, duty, seconds)
            for amps, seconds in duty.slow
        )
    )


def _slow_words(rules: RuleSet, size: Size, near: Surroundings, duty: Duty) -> str:
    """The overload its fuse lets through that is hardest on a size; "" where all are within its ampacity."""
    able = corrected_a(rules, size, near)
    hard = [
        (amps, seconds, overload_a(rules, size, near, duty, seconds))
        for amps, seconds in duty.slow
        if amps > able
    ]
    if not hard:
        return ""
    amps, seconds, stands = min(hard, key=lambda one: one[2] / one[0])
    return (
        f"; {amps:.4g} A, which it may take {seconds:.3g} s to open at, against {stands:.1f} A stood so long"
    )


def working_c(rules: RuleSet, size: Size, near: Surroundings, duty: Duty) -> float:
    """Conductor temperature at its worst steady or short current, at most the insulation's limit [°C].

    Steady: the hotter of the heat balance and of the rise by the share of the ampacity squared (Joule
    heating; it takes the loss as even with the rise). A short spell adds its adiabatic rise (IEC 60949 form).
    """
    amps = corrected_a(rules, size, near)
    steady = steady_a(rules, size, near, duty)
    share = steady / amps if amps > 0 else 1.0
    steady_c = near.hottest_c + max(rules.limit_c - near.hottest_c, 0.0) * min(1.0, share) ** 2
    steady_c = max(steady_c, balance_c(rules, size, near, steady), near.mean_c)
    if duty.short_s:
        steady_c += adiabatic_rise_k(current_a=duty.short_a, seconds_s=duty.short_s, area_mm2=size.area_mm2)
    return min(steady_c, max(rules.insulation_c, near.hottest_c))


def wire_ohm(rules: RuleSet, size: Size, near: Surroundings, duty: Duty, length_m: float) -> float:
    """Resistance of the wire's copper at working temperature [ohm]."""
    hot_c = working_c(rules, size, near, duty)
    return resistance_at(size.r20_ohm_per_m, conductor_c=hot_c) * length_m


def _least(rules: RuleSet, fits: Callable[[Size], bool]) -> Size | None:
    return next((size for size in rules.sizes if fits(size)), None)


def _limit(
    name: str, found: Size | None, value: float, allowed: float, unit: str, formula: str, source: str
) -> Limit:
    label, area = (found.label, found.area_mm2) if found else ("", None)
    return Limit(name, label, area, value, allowed, unit, formula, source)  # type: ignore[arg-type]


def _ampacity_words(rules: RuleSet, size: Size, near: Surroundings) -> str:
    factor = ambient_share(rules, near.ambient_c)
    law = f"sqrt(({rules.insulation_c:g} - {near.ambient_c:g}) / ({rules.limit_c:g} - {rules.base_c:g})"
    if rules.insulation_c != rules.limit_c:
        law += f" x ({COPPER_ZERO_C:g} + {rules.limit_c:g}) / ({COPPER_ZERO_C:g} + {rules.insulation_c:g})"
    high = (
        f" x {altitude_factor(altitude_m=near.altitude_m):.3f} at {near.altitude_m:g} m"
        if near.altitude_m
        else ""
    )
    return (
        f"{size.base_a:g} A x {law}) = {factor:.3f}"
        f" x {near.bundle_factor:.3f} for {near.loaded} loaded wires{high}"
        f" = {corrected_a(rules, size, near):.2f} A"
    )


def _repeated_words(duty: Duty, steady: float) -> str:
    """The loads that come again and again, and what they come to."""
    if not duty.repeated:
        return ""
    hardest = max((cycle for _, again in duty.repeated for cycle in again), key=lambda one: one.amps)
    return (
        f"{hardest.amps:.2f} A for {hardest.on_s:g} s in {hardest.on_s + hardest.off_s:g} s again and again,"
        f" with what lasts ({duty.continuous_a:.2f} A), warms this wire as {steady:.2f} A would; "
    )


def _heat(rules: RuleSet, chosen: Size, near: Surroundings, duty: Duty) -> Limit:
    steady = steady_a(rules, chosen, near, duty)
    warm = balance_c(rules, chosen, near, steady)
    return _limit(
        "heat",
        _least(rules, lambda size: heat_a(rules, size, near) >= steady_a(rules, size, near, duty)),
        warm, rules.insulation_c, "°C",
        f"{_repeated_words(duty, steady)}{steady:.2f} A / {near.bundle_factor:.3f} for {near.loaded} loaded"
        f" wires, alone in still air of {near.ambient_c:g} °C (hottest on the way {near.hottest_c:g} °C)"
        f" = {warm:.1f} °C;"
        f" {heat_a(rules, chosen, near):.2f} A would reach {rules.insulation_c:g} °C",
        "heat balance: natural convection by Churchill and Chu 1975, radiation, insulation by IEC 60287-2-1"
        " (physics_single_wire_model, memory)",
    )  # fmt: skip


def _short(rules: RuleSet, chosen: Size, near: Surroundings, duty: Duty) -> Limit:
    spell = short_a(rules, chosen, near, duty)
    start_c = _start_c(rules, chosen, near, duty)
    kept = short_time_a(
        area_mm2=chosen.area_mm2, seconds_s=duty.short_s, from_c=start_c, to_c=rules.insulation_c
    )
    how = "" if spell <= kept else f", {spell:.1f} A with the heat that leaves meanwhile"
    return _limit(
        "short time", _least(rules, lambda size: short_a(rules, size, near, duty) >= duty.short_a),
        duty.short_a, spell, "A",
        f"k x S / sqrt(t), S {chosen.area_mm2:.2f} mm2, t {duty.short_s:g} s,"
        f" from {start_c:.0f} to {rules.insulation_c:g} °C = {kept:.1f} A{how}",
        "IEC 60949 adiabatic heating, k by IEC 60364-5-54 annex A (memory); with heat leaving: lumped heat"
        " capacity, first order (textbook), insulation's share by IEC 60853-2 (memory)",
    )  # fmt: skip


def limits(rules: RuleSet, chosen: Size, near: Surroundings, duty: Duty) -> list[Limit]:
    """Every limit but drop, each with the least size it asks for and what the chosen size allows."""
    amps = corrected_a(rules, chosen, near)
    steady = steady_a(rules, chosen, near, duty)
    words = _ampacity_words(rules, chosen, near)
    again = REPEATED_SOURCE if duty.repeated else ""
    source = f"{rules.ampacity_source}; {rules.bundle_source}"
    found = [
        _limit(
            "ampacity",
            _least(rules, lambda size: corrected_a(rules, size, near) >= steady_a(rules, size, near, duty)),
            steady, amps, "A", _repeated_words(duty, steady) + words, source + again,
        )
    ]  # fmt: skip
    if steady > 0:
        found.append(_heat(rules, chosen, near, duty))
    if duty.short_s and duty.short_a > duty.continuous_a:
        found.append(_short(rules, chosen, near, duty))
    if duty.fuse_a is not None:
        rating = duty.fuse_a
        found.append(
            _limit(
                "protection", _least(rules, lambda size: _guarded(rules, size, near, duty, rating)),
                rating, amps, "A",
                f"{words}, not less than {duty.fuse} at {rating:.4g} A"
                + _slow_words(rules, chosen, near, duty),
                source,
            )
        )  # fmt: skip
    least_mm2 = rules.lone_mm2 if duty.alone else rules.mechanical_mm2
    found.append(
        _limit(
            "mechanical", _least(rules, lambda size: size.area_mm2 >= least_mm2 - 1e-9), least_mm2,
            chosen.area_mm2, "mm2",
            "lies alone or with one other wire somewhere" if duty.alone else "lies in a loom all the way",
            rules.mechanical_source,
        )
    )  # fmt: skip
    if duty.mate_mm2:
        found.append(
            _limit(
                "coupler", _least(rules, lambda size: size.area_mm2 >= duty.mate_mm2 - 1e-9), duty.mate_mm2,
                chosen.area_mm2, "mm2", "fits the contact that its other half beyond the coupler needs",
                "coupler_contacts, wire ranges (read)",
            )
        )  # fmt: skip
    if duty.fixed is not None:
        fixed = rules.size(duty.fixed)
        found.append(
            _limit(
                "survey", fixed, fixed.area_mm2, chosen.area_mm2, "mm2", "size given in the survey", "survey"
            )
        )
    return found


def _tests(rules: RuleSet, near: Surroundings, duty: Duty) -> Iterator[Callable[[Size], bool]]:
    """Whether a size meets each limit but drop, the quickest to tell first."""
    least_mm2 = max(rules.lone_mm2 if duty.alone else rules.mechanical_mm2, duty.mate_mm2)
    yield lambda size: size.area_mm2 >= least_mm2 - 1e-9
    if ambient_share(rules, near.ambient_c) <= 0:
        return  # it is too hot there for any: a finding says so, and copper is no help
    yield lambda size: corrected_a(rules, size, near) >= steady_a(rules, size, near, duty)
    if (rating := duty.fuse_a) is not None:
        yield lambda size: _guarded(rules, size, near, duty, rating)
    if duty.continuous_a > 0 or duty.repeated:
        yield lambda size: heat_a(rules, size, near) >= steady_a(rules, size, near, duty)
    if duty.short_s and duty.short_a > duty.continuous_a:
        yield lambda size: short_a(rules, size, near, duty) >= duty.short_a


def least_size(rules: RuleSet, near: Surroundings, duty: Duty) -> Size:
    """Smallest size that meets every limit but drop; the largest there is when none does.

    Every limit is met by all sizes above one that meets it, so each is asked from where the last one left.
    """
    if duty.fixed is not None:
        return rules.size(duty.fixed)
    at, last = 0, len(rules.sizes) - 1
    for fits in _tests(rules, near, duty):
        while at < last and not fits(rules.sizes[at]):
            at += 1
    return rules.sizes[at]
