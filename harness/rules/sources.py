"""Rules on what sources really give: cold starts, charge balance, loads that break down, lamps that dim."""

from __future__ import annotations

from collections.abc import Iterator

from harness.electric.supply import figure, figure_source
from harness.model.design import Severity
from harness.model.operating import ChargeBalance, OperatingLoad
from harness.rules import traits
from harness.rules.case import Case
from harness.rules.figures import PRACTICE, amps, volts
from harness.rules.registry import Say, rule
from harness.tables import Source

NOTICED_A = 0.05  # of discharge: less than any lamp


@rule(
    "load collapses",
    severity="fault",
    summary="a load whose volts break down: the way to it cannot bring the power it asks for",
    source="through a resistance R a source of U volts brings at most U²/4R (physics)",
    cure="use thicker wire, a shorter way, or a feed of its own from the source",
)
def load_collapses(case: Case) -> Iterator[Say]:
    fallen: dict[tuple[str, str], list[tuple[str, OperatingLoad]]] = {}
    for state in case.design.operating:
        for load in state.loads:
            if not load.works:
                fallen.setdefault((load.part, load.link), []).append((state.mode, load))
    for (name, _), found in fallen.items():
        mode, load = min(found, key=lambda one: one[1].volts_v)
        modes = ", ".join(mode for mode, _ in found)
        yield Say(
            name,
            f"in {modes} {name} breaks down: asked for {amps(load.rated_a)} at {volts(load.rated_v)}, it is "
            f"left with {volts(max(load.volts_v, 0.0))} in {mode}; what it draws takes its own volts away",
            "use thicker wire, a shorter way, or a feed of its own from the source; on a start also a larger "
            "battery",
            case.machine.parts[name].where,
        )


@rule(
    "starter short of volts",
    severity="fault",
    summary="at the coldest start the starter sees less than 9.6 V (12 V)",
    source=str(figure_source("starter at least")),
    cure="fit a battery with a higher cold-cranking current, keep it fuller, or use thicker starter cables",
)
def starter_short(case: Case) -> Iterator[Say]:
    for start in case.design.starts:
        if start.volts_v < start.least_v:
            yield Say(
                start.part,
                f"{start.part} sees {volts(start.volts_v)} at {start.battery_c:g} °C, it needs "
                f"{volts(start.least_v)} to turn the engine fast enough: {start.formula}",
                "fit a battery with a higher cold-cranking current, keep it fuller, or use thicker starter "
                "cables; if it need not start so cold, say so with coldest",
                case.machine.parts[start.part].where,
                source=start.source,
            )


def _weak(case: Case, load: OperatingLoad) -> tuple[str, float, float, Severity, Source] | None:
    """What a load does at too few volts, those it sees, the least it needs, how bad that is, its source."""
    part = case.machine.parts[load.part]
    link = next(one for one in part.links if one.name == load.link)
    nature = link.load.nature if link.load is not None else ""
    if nature == "electronics":
        item = "electronics at least"
        severity: Severity = "advice"
        does, sees = "may drop out and start anew", load.volts_v
    elif nature == "coil" and traits.keeps_engine_running(part) and "ignition" not in part.kind:
        item = "solenoid pulls in"
        sees = load.volts_v if load.peak_v is None else min(load.peak_v, load.volts_v)
        if load.volts_v < figure(item) * load.rated_v:
            does, severity = "may neither pull in nor hold, and the engine does not fire", "fault"
        else:
            does, severity = "may not pull in while the starter turns, though it holds", "advice"
    else:
        return None
    least = figure(item) * load.rated_v
    return (does, sees, least, severity, figure_source(item)) if sees < least else None


@rule(
    "weak while cranking",
    severity="fault",
    summary=(
        "a stop or fuel solenoid that does not get its volts while the starter turns at the coldest start; "
        "advice where it holds and only pulls in too weakly, and for electronics that may drop out"
    ),
    source=f"{figure_source('solenoid pulls in')}; {figure_source('electronics at least')}",
    cure="feed it straight from the battery over a relay, or hold the volts up with a stronger battery",
)
def weak_cranking(case: Case) -> Iterator[Say]:
    for state in case.design.operating:
        for load in state.loads if state.engine == "cranking" else ():
            weak = _weak(case, load) if load.works else None
            if weak is None:
                continue
            does, sees, least, severity, source = weak
            wait = (
                "; till then turn the key on, wait for its click, and crank then" if "holds" in does else ""
            )
            yield Say(
                load.part,
                f"{load.part} sees {volts(sees)} of {volts(load.rated_v)} in {state.mode} at "
                f"{state.battery_c:g} °C and needs {volts(least)}: it {does}",
                "feed it straight from the battery over a relay of its own, use a thicker strap, or fit a "
                f"battery with a higher cold-cranking current{wait}",
                case.machine.parts[load.part].where,
                severity=severity,
                source=str(source),
            )


def _short(found: ChargeBalance) -> bool:
    return found.battery_a < -NOTICED_A


@rule(
    "battery not charged",
    severity="fault",
    summary=(
        "what stays on while the engine runs takes more than is generated, so the battery runs down; advice "
        "where that is so at idle only"
    ),
    source=f"charge balance of the operating point (calculated); output at idle: {PRACTICE} where assumed",
    cure="switch less at once, fit lamps that draw less, or a larger alternator with its wire and fuse",
)
def not_charged(case: Case) -> Iterator[Say]:
    by_mode = {mode.name: mode for mode in case.machine.modes}
    for found in case.design.charge_balance:
        mode = by_mode[found.mode]
        if _short(found) and found.speed == mode.speed:
            hours = "" if found.hours is None else f", enough to start again for {found.hours:.1f} h"
            yield Say(
                found.mode,
                f"in {found.mode} {amps(found.load_a)} stay on and {amps(found.charging_a)} are generated: "
                f"the battery gives {amps(-found.battery_a)}{hours}",
                "switch less at once, fit lamps that draw less, or a larger alternator with its wire and fuse"
                + ("; or let the engine turn faster" if mode.speed == "idle" else ""),
                mode.where,
                severity="advice" if mode.speed == "idle" else "fault",
            )
    full = {one.mode for one in case.design.charge_balance if one.speed == "rated" and not _short(one)}
    slow = [
        one for one in case.design.charge_balance if one.speed == "idle" and one.mode in full and _short(one)
    ]
    if slow and case.alternators:
        yield Say(
            case.alternators[0].name,
            f"at idle {amps(slow[0].charging_most_a)} can be generated; the battery gives "
            + ", ".join(f"{amps(-one.battery_a)} in {one.mode}" for one in slow),
            "do not leave it idling with everything on; if it has to idle for long, fit a generator that "
            "gives more at idle, or a smaller pulley on it",
            case.alternators[0].where,
            severity="advice",
        )


@rule(
    "lamp dims",
    severity="advice",
    summary="a lamp that loses over 3.3 % of its volts, a tenth of its light, when another circuit comes on",
    source=f"{figure_source('visible dip')}; light: {figure_source('lamp light exponent')}",
    cure="give the two circuits a feed and a ground of their own, or thicken what they share",
)
def lamp_dims(case: Case) -> Iterator[Say]:
    for dip in case.design.dimming:
        if dip.by and dip.volts_v < (1 - figure("visible dip")) * dip.without_v:
            yield Say(
                dip.part,
                f"in {dip.mode} {dip.part} falls from {volts(dip.without_v)} to {volts(dip.volts_v)} when "
                f"{dip.by} comes on: {1 - dip.light_share:.0%} of its light is gone; by itself it sees "
                f"{volts(dip.alone_v)}",
                f"give {dip.by} a feed and a ground of its own, or thicken the wires, joints and straps that "
                "the two share",
                case.machine.parts[dip.part].where,
            )
