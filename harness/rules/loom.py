"""Rules on the loom: holes, grommets, heat, edges, hoses and hinges along the runs."""

from __future__ import annotations

from collections.abc import Iterator

from harness.model.design import RunResult
from harness.model.machine import Run
from harness.rules.case import Case
from harness.rules.figures import (
    CLAMPS_M,
    CLEAR_OF_EDGE_MM,
    EXHAUST,
    FLUID_LINE,
    GROMMET,
    HINGE,
    PRACTICE,
    TIES_M,
)
from harness.rules.protection import from_batteries
from harness.rules.registry import Say, rule


def _inside_mm(run: Run, filled: RunResult) -> float | None:
    """Room in a hole, inside its grommet or trim when it has one [mm]."""
    if run.hole_mm is None:
        return None
    for trim in filled.trims:
        if trim.room_mm is not None:
            return trim.room_mm
    return filled.grommet_inside_mm if filled.grommet_inside_mm is not None else run.hole_mm


def _wires(count: int) -> str:
    return f"{count} wire{'' if count == 1 else 's'}"


def _inside(filled: RunResult) -> list[str]:
    """Numbers of all wires in a run, spare ones too: they fill a hole and chafe as the others do."""
    return [*filled.wires, *filled.spares]


def _unfused_in(case: Case, filled: RunResult) -> list[str]:
    """Numbers of wires in a run that no fuse guards."""
    battery = from_batteries(case)
    numbers = {case.number(at) for at in (*battery.cables, *battery.wires)}
    return [number for number in filled.wires if number in numbers]


@rule(
    "bundle does not fit its hole",
    severity="fault",
    summary="the bundle is thicker than the hole it passes, or than the bore of the grommet in it",
    source="bundle diameter by the formula named with the run",
    cure="drill the hole out with room for a grommet, or lead part of the wires another way",
)
def bundle_fit(case: Case) -> Iterator[Say]:
    for run, filled in case.runs_by_name.values():
        room = _inside_mm(run, filled)
        if room is not None and _inside(filled) and filled.bundle_mm > room:
            inner = f", {room:.1f} mm inside its grommet" if filled.grommet else ""
            yield Say(
                run.name,
                f"{len(_inside(filled))} wires make a bundle of {filled.bundle_mm:.1f} mm; the hole on "
                f"{run.name} is {run.hole_mm:g} mm{inner}",
                f"drill it out with room for a grommet ({filled.bundle_mm:.0f} mm inside it at least), or "
                "lead part of the wires another way",
                run.where,
                source=f"{filled.bundle_formula or 'bundle diameter of the run'} (calculated)",
            )


@rule(
    "hole without grommet",
    severity="fault",
    summary="no grommet fits a plate hole, or it stays bare; danger when an unfused wire passes a bare one",
    source=GROMMET,
    cure="fit a grommet, or edge trim and a clamp that holds the bundle clear",
)
def bare_hole(case: Case) -> Iterator[Say]:
    for run, filled in case.runs_by_name.values():
        lined = filled.grommet or any(trim.over == "hole" for trim in filled.trims)
        if run.hole_mm is None or not _inside(filled) or lined or filled.bundle_mm > run.hole_mm:
            continue
        unfused = [] if run.grommet else _unfused_in(case, filled)
        why = (
            "no grommet or edge trim in the tables fits it"
            if run.grommet
            else "the survey says it stays bare"
        )
        live = f"; no fuse guards {', '.join(unfused[:4])} in it" if unfused else ""
        yield Say(
            run.name,
            f"{_wires(len(_inside(filled)))}, {filled.bundle_mm:.1f} mm together, at a bare "
            f"{run.hole_mm:g} mm hole on {run.name}: {why}{live}",
            "fit a grommet, after drilling the hole to a size that has one; or edge trim and a clamp that "
            f"holds the bundle {CLEAR_OF_EDGE_MM:g} mm clear of the edge all round",
            run.where,
            severity="danger" if unfused else None,
        )


@rule(
    "stretch not shrunk over",
    severity="fault",
    summary="the survey asks for heat-shrink over a run, and no tube in the tables fits its bundle",
    source="heat_shrink and heat_shrink_rules: object 1.10 x recovered to 0.80 x expanded bore (read)",
    cure="ask for the other kind of tube, or lead part of the wires another way",
)
def not_shrunk(case: Case) -> Iterator[Say]:
    for run, filled in case.runs_by_name.values():
        if run.shrink and filled.wires and filled.stretch is None:
            kind = {"thin": "thin tube", "adhesive": "adhesive-lined tube"}.get(run.shrink, "heat-shrink")
            yield Say(
                run.name,
                f"{run.name} is to be shrunk over, but no {kind} in the table grips and passes its bundle of "
                f"{filled.bundle_mm:.1f} mm; it gets {filled.covering or 'nothing'} instead",
                "write shrink: yes to let the tool take either kind, or cover it another way",
                run.where,
            )


@rule(
    "supports far apart",
    severity="advice",
    summary="the survey asks for clamps more than 610 mm or ties more than 305 mm apart",
    source="AC 43.13-1B 11-96 a: supports 24 in apart at most, 11-158 b: ties 12 in (read)",
    cure="hold the loom every 610 mm and tie it every 305 mm at least, closer where it shakes",
)
def far_apart(case: Case) -> Iterator[Say]:
    for run, filled in case.runs_by_name.values():
        apart = filled.spacing
        if apart is not None and (apart.clamps_every_m > CLAMPS_M or apart.ties_every_m > TIES_M):
            yield Say(
                run.name,
                f"as surveyed {run.name} is held every {apart.clamps_every_m:g} m and tied every "
                f"{apart.ties_every_m:g} m",
                f"clamps every {CLAMPS_M:g} m and ties every {TIES_M:g} m at most, both every 200 to 300 mm "
                "where it shakes",
                run.where,
            )


@rule(
    "loom too hot",
    severity="danger",
    summary="a loom that its wires' real currents heat above what a wire in it stands, and no size helps",
    source="heat balance of the loom in its covering with its real currents: limit loom heat (calculated)",
    cure="part the loom in two, take it out of the tube or the heat, or use cable of a higher class",
)
def loom_too_hot(case: Case) -> Iterator[Say]:
    """Zones that are too hot before any current flows are another rule's."""
    by_run: dict[str, list[tuple[float, float, int]]] = {}
    for spec, wire in case.wires():
        hot = next((one for one in wire.limits if one.name == "loom heat" and one.value > one.allowed), None)
        if hot is not None and wire.ambient_c < hot.allowed:
            runs = [case.runs_by_name[name][1] for name in wire.runs]
            worst = max(runs, key=lambda run: run.loom_c or 0.0)
            by_run.setdefault(worst.name, []).append((hot.value - hot.allowed, hot.allowed, spec.index))
    for name, found in by_run.items():
        run, filled = case.runs_by_name[name]
        over, allowed, index = max(found, key=lambda one: (one[0], -one[2]))
        yield Say(
            name,
            f"the loom {name} ({_wires(len(filled.wires))}, {filled.covering or 'bare'}) gets hotter in "
            f"{filled.loom_mode} than its wires stand: {case.say_wire(index)} {allowed + over:.0f} °C, "
            f"{case.design.wires[index].cable} stands {allowed:.0f} °C"
            + _same_of(case, [other for _, _, other in found if other != index]),
            "part the loom in two that lie apart, leave the tube off, take the heaviest wires out of it, or "
            "use cable of a higher class; the figure is careful, a thermometer in the loom settles it",
            run.where,
        )


def _same_of(case: Case, indexes: list[int]) -> str:
    return f"; likewise wire {case.numbers(indexes, most=12)}" if indexes else ""


@rule(
    "run near exhaust",
    severity="advice",
    summary=(
        "a run past exhaust, manifold or turbocharger wants distance or a shield; fault when it has no "
        "covering"
    ),
    source=EXHAUST,
    cure="keep 100 to 150 mm away, or fit a heat shield and a heat-proof sleeve",
)
def near_exhaust(case: Case) -> Iterator[Say]:
    for run, filled in case.runs_by_name.values():
        if "exhaust" in run.near and filled.wires:
            bare = not filled.covering
            yield Say(
                run.name,
                f"{run.name} passes the exhaust with {_wires(len(filled.wires))}, "
                f"{'bare' if bare else filled.covering}; its zone {run.zone} is taken as "
                f"{filled.ambient_c:.0f} °C",
                "keep 100 to 150 mm away or fit a heat shield and a heat-proof sleeve, hold it with metal "
                "clamps, and measure the zone with the engine hot",
                run.where,
                severity="fault" if bare else None,
            )


TOUCHED = {"edge": "a metal edge", "hose": "a hose"}


@rule(
    "run on an edge or hose",
    severity="advice",
    summary=(
        "a run that touches a metal edge or a hose wants clamps and cover; fault when bare, danger when a "
        "bare unfused wire lies in it"
    ),
    source=(
        "a starter lead rubbing on a frame edge has burnt machines (a fire safety bulletin, read); "
        f"{PRACTICE}"
    ),
    cure="hold it off with rubber-lined clamps, cover it, put trim on the edge",
)
def near_edge(case: Case) -> Iterator[Say]:
    for run, filled in case.runs_by_name.values():
        touches = [TOUCHED[what] for what in run.near if what in TOUCHED]
        if not touches or not filled.wires:
            continue
        unfused = [] if filled.covering else _unfused_in(case, filled)
        state = f"in {filled.covering}" if filled.covering else "bare"
        live = f"; wire {', '.join(unfused[:4])} has no fuse" if unfused else ""
        trim_m = sum(trim.length_m for trim in filled.trims if trim.over == "edge")
        listed = f" ({trim_m:g} m of it is listed)" if trim_m else ""
        yield Say(
            run.name,
            f"{run.name} lies against {' and '.join(touches)} with {_wires(len(filled.wires))}, "
            f"{state}{live}",
            "hold it off with rubber-lined clamps every 200 to 300 mm, cover it, put trim on the edge"
            f"{listed}, and never tie it to a hose",
            run.where,
            severity="danger" if unfused else ("fault" if not filled.covering else None),
        )


@rule(
    "run near fuel line",
    severity="advice",
    summary=(
        "a run beside a fuel line wants distance and must not hang on it; fault when an unfused wire lies "
        "in it"
    ),
    source=FLUID_LINE,
    cure="keep 152 mm (6 in) away and never tie it to the line",
)
def near_fuel(case: Case) -> Iterator[Say]:
    for run, filled in case.runs_by_name.values():
        if "fuel line" not in run.near or not filled.wires:
            continue
        unfused = _unfused_in(case, filled)
        live = f"; wire {', '.join(unfused[:4])} has no fuse" if unfused else ""
        yield Say(
            run.name,
            f"{run.name} lies beside a fuel line with {len(filled.wires)} wires{live}",
            "keep 152 mm (6 in) away; where that cannot be, clamp it so that a broken wire cannot reach the "
            "line, never closer than 51 mm (2 in), above the line and never tied to it",
            run.where,
            severity="fault" if unfused else None,
        )


@rule(
    "run over a hinge bare",
    severity="fault",
    summary="a run crosses a moving joint without a covering",
    source=HINGE,
    cure="cover it, clamp both sides of the joint, leave length for full travel",
)
def bare_hinge(case: Case) -> Iterator[Say]:
    for run, filled in case.runs_by_name.values():
        if run.moves and filled.wires and not filled.covering:
            yield Say(
                run.name,
                f"{run.name} moves with {len(filled.wires)} wires in it and has no covering",
                "cover it, clamp both sides of the joint, leave length for full travel and lay it to twist",
                run.where,
            )
