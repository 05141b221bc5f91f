"""Zones, places and runs: the measured ground the loom lies on, and which places hang together."""

from __future__ import annotations

from collections.abc import Mapping

from harness.model.machine import Run, Zone
from harness.survey.ledger import Ledger
from harness.survey.schema import RunForm, SurveyForm
from harness.survey.words import hint

# Ambient where nothing was measured: the engine-space figure of 33 CFR 183.425, the hotter of its two.
AMBIENT_ASSUMED_C = 50.0


def zones(form: SurveyForm, ledger: Ledger) -> dict[str, Zone]:
    """Every zone by name."""
    return {
        name: Zone(
            name=name,
            ambient_c=AMBIENT_ASSUMED_C if each.ambient is None else each.ambient,
            wet=bool(each.wet),
            closed=bool(each.closed),
            sun=bool(each.sun),
            shakes=bool(each.shakes),
            assumed=each.ambient is None,
            where=ledger.where(name),
        )
        for name, each in form.zones.items()
    }


def _check_zone(zone: str, known: Mapping[str, Zone], ledger: Ledger) -> None:
    if zone not in known and not ledger.damage.lost("zones", zone):
        ledger.say(
            zone, f"there is no zone {zone!r}", hint(zone, known, "add a section zones: with its ambient")
        )


def _run(each: RunForm, name: str, ledger: Ledger) -> Run:
    return Run(
        name=name,
        start=each.start,
        end=each.end,
        length_m=each.length,
        zone=each.zone,
        hole_mm=each.hole,
        plate_mm=each.plate,
        grommet=each.hole is not None and each.grommet is not False,
        moves=bool(each.hinge),
        near=tuple(dict.fromkeys([*each.near, *(["edge"] if each.edge is not None else [])])),
        covering=each.covering,
        where=ledger.where(each.start),
        fine=bool(each.strands),
        edge_m=each.edge,
        clamps_every_m=each.clamps_every,
        ties_every_m=each.ties_every,
        shrink=each.shrink or "",
    )


def runs(form: SurveyForm, known: Mapping[str, Zone], ledger: Ledger) -> tuple[Run, ...]:
    """Every run, in the order of the survey."""
    found: dict[str, Run] = {}
    pairs: dict[frozenset[str], Run] = {}
    for each in form.runs:
        _check_zone(each.zone, known, ledger)
        run = _run(each, each.name or f"{each.start} - {each.end}", ledger)
        if run.start == run.end:
            ledger.say(
                each.end, f"a run leads from {each.start!r} back to itself", "write the place it ends at"
            )
        if each.edge is not None and each.edge > each.length:
            ledger.say(
                each.start,
                f"run {run.name!r} lies against {each.edge:g} m of edge but is {each.length:g} m long",
                "write how much of the run touches the edge",
            )
        if each.hole is None:
            for key in ("plate", "grommet"):
                if getattr(each, key) is not None and not (key == "plate" and "edge" in run.near):
                    ledger.say(
                        each.start,
                        f"run {run.name!r} says {key!r} but no 'hole'",
                        "write the bore, hole: 32 mm",
                    )
        twin = found.get(run.name) or (None if each.name else pairs.get(frozenset((run.start, run.end))))
        if twin is not None:
            ledger.say(
                each.name or each.start,
                f"run {run.name!r} stands twice: here and at line {twin.where.line}",
                "leave one out, or give the second way a name of its own: name: right rail",
            )
        found.setdefault(run.name, run)
        pairs.setdefault(frozenset((run.start, run.end)), run)
    return tuple(found.values())


def place_zones(
    form: SurveyForm, laid: tuple[Run, ...], known: Mapping[str, Zone], ledger: Ledger
) -> dict[str, str]:
    """Every place with the zone that governs it: its own, else the hottest of the runs that touch it."""
    governed: dict[str, str] = {}
    for run in laid:
        for place in (run.start, run.end):
            zone, rival = known.get(run.zone), known.get(governed.get(place, ""))
            hotter = zone is not None and (rival is None or zone.ambient_c > rival.ambient_c)
            if hotter or place not in governed:
                governed[place] = run.zone
    for place, each in form.places.items():
        if each.zone is not None:
            _check_zone(each.zone, known, ledger)
            governed[place] = each.zone
        if place not in governed:
            ledger.say(
                place, f"place {place!r} is in no run and has no zone", "write its zone, or leave it out"
            )
    return governed


def components(laid: tuple[Run, ...], places: Mapping[str, str]) -> dict[str, int]:
    """For every place the number of the group it hangs together with along the runs."""
    around: dict[str, list[str]] = {place: [] for place in places}
    for run in laid:
        around.setdefault(run.start, []).append(run.end)
        around.setdefault(run.end, []).append(run.start)
    group: dict[str, int] = {}
    for number, first in enumerate(around):
        todo = [first] if first not in group else []
        while todo:
            place = todo.pop()
            if place not in group:
                group[place] = number
                todo.extend(around[place])
    return group
