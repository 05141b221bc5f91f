"""Fusible links: lengths of thin cable that melt before the cable behind them."""

from __future__ import annotations

from functools import cache

from harness.electric.ampacity import ambient_factor
from harness.electric.conductor import awg_number, short_time_constant
from harness.electric.ruleset import RuleSet, Size, rule_set
from harness.tables import load

LINK = "fusible link"
COPPER_MELTS_C = 1083.0  # physics (memory)
LINK_MOST_S = 10.0  # SAE J156, fusible_link_rules (read-from-secondary)
LINK_CABLE = "TWP"  # insulation of links 8 gauge and smaller, SAE J156, fusible_link_rules
THICKEST_MM2 = 13.0  # links thicker than 6 gauge are not sold loose (common practice)
BURST_SHARE = 0.5  # of the heat that melts it, which a link may take from an inrush again and again


@cache
def _rule(name: str) -> float:
    return float(load("fusible_link_rules").row("rule", name)["value"])


def gauges_below() -> int:
    """How many gauge numbers a link is thinner than its cable. Source: fusible_link_rules (read)."""
    return int(_rule("link sizes below protected cable (AWG numbers)"))


def length_m() -> float:
    """Usual length of a link [m]: 6 in. Source: fusible_link_rules (read)."""
    return _rule("usual link length") * 0.0254


def _area_ratio() -> float:
    """Area of a cable over that of its link: gauge numbers are a geometric row (ASTM B258)."""
    return float(92 ** (2 * gauges_below() / 39))


def link_rules(rules_name: str) -> RuleSet:
    """What a link's own cable may carry; its insulation is thin-wall thermoplastic (SAE J156)."""
    return rule_set(rules_name, LINK_CABLE)


def link_sizes(rules_name: str) -> list[Size]:
    """Sizes that links are cut from, rising."""
    return [size for size in link_rules(rules_name).sizes if size.area_mm2 <= THICKEST_MM2]


def _gauge(label: str) -> int | None:
    """Gauge number that goes on below zero; None for a size in mm2."""
    return awg_number(label) if label.endswith(" AWG") else None


def guards(link: Size, cable: Size) -> bool:
    """Whether a cable is enough thicker than a link: four gauge numbers, or as much by area in mm2."""
    thin, thick = _gauge(link.label), _gauge(cable.label)
    if thin is not None and thick is not None:
        return thin - thick >= gauges_below()
    return cable.area_mm2 >= link.area_mm2 * _area_ratio() * 0.999


def least_cable_mm2(link: Size, rules: RuleSet) -> float:
    """Area of the thinnest cable of a rule set that a link guards [mm2]; that of its largest when none is."""
    return next((size.area_mm2 for size in rules.sizes if guards(link, size)), rules.sizes[-1].area_mm2)


def carries_a(link: Size, rules_name: str, *, ambient_c: float) -> float:
    """What a link carries for ever, alone in the air of its place [A]: the ampacity of its own size."""
    rules = link_rules(rules_name)
    return link.base_a * ambient_factor(limit_c=rules.limit_c, ambient_c=ambient_c, base_c=rules.base_c)


def link_melts_a2s(link_mm2: float) -> float:
    """I²t that melts a link [A²s] from 20 °C.

    Adiabatic (IEC 60949 form) to copper's melting point; the heat of melting itself is not counted.
    """
    return (short_time_constant(from_c=20.0, to_c=COPPER_MELTS_C) * link_mm2) ** 2


def link_clears_s(link_mm2: float, *, current_a: float) -> float | None:
    """Longest time a link takes to melt in a short circuit [s]; None where it may take longer than 10 s.

    SAE J156 asks that it opens within 10 s; that is taken only where the copper's own heat gets there.
    """
    time = link_melts_a2s(link_mm2) / current_a**2
    return time if time <= LINK_MOST_S else None


def link_holds(link_mm2: float, *, current_a: float, seconds_s: float) -> bool:
    """Whether a link outlasts a short current: at most half the heat that melts it (calculated)."""
    return current_a**2 * seconds_s <= BURST_SHARE * link_melts_a2s(link_mm2)
