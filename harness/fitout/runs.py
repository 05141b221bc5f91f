"""Covering, grommet, ties and clamps of every run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from harness.fitout.bend import bend
from harness.fitout.covering import Covering, cover_run, fill, is_hot
from harness.fitout.grommets import NO_GROMMET, Grommet, grommet
from harness.fitout.spacing import spacing
from harness.fitout.stretch import stretch
from harness.fitout.support import NO_SUPPORT, support
from harness.fitout.trim import along_edge, round_hole
from harness.model.bundles import Trim
from harness.model.design import RunResult, Wire
from harness.model.machine import Machine, Run


def _grommet(run: RunResult, survey: Run, covered_mm: float) -> Grommet:
    if run.hole_mm is None or not survey.grommet or run.bundle_mm <= 0:
        return NO_GROMMET
    return grommet(
        hole_mm=run.hole_mm, plate_mm=run.plate_mm, bundle_mm=run.bundle_mm, covered_mm=covered_mm
    )  # fmt: skip


def _trims(run: RunResult, survey: Run, lining: Grommet) -> list[Trim]:
    """Trim round a hole that wants a lining and that no grommet serves, and along an edge that is touched."""
    found: list[Trim | None] = []
    if run.bundle_mm <= 0:
        return []
    if run.hole_mm is not None and survey.grommet and not lining.text:
        found.append(round_hole(hole_mm=run.hole_mm, plate_mm=run.plate_mm, bundle_mm=run.bundle_mm))
    if "edge" in survey.near:
        length_m = survey.length_m if survey.edge_m is None else survey.edge_m
        found.append(along_edge(plate_mm=run.plate_mm, length_m=length_m))
    return [trim for trim in found if trim is not None]


def _fit_one(machine: Machine, run: RunResult, survey: Run, inside: Sequence[Wire]) -> RunResult:
    new = not all(wire.kept for wire in inside)
    zone = machine.zones[survey.zone]
    over = None
    if survey.shrink and run.bundle_mm > 0:
        over = stretch(
            asked=survey.shrink, bundle_mm=run.bundle_mm, length_m=run.length_m, wet=zone.wet,
            sizes=machine.sizes,
        )  # fmt: skip
    if over is not None:
        cover = Covering(over.text, over.outside_mm)
    else:
        cover = cover_run(run, survey, zone=zone, sizes=machine.sizes, new=new)
    lining = _grommet(run, survey, cover.outside_mm)
    held, apart = NO_SUPPORT, None
    if new:
        apart = spacing(machine, survey, inside)
        held = support(
            length_m=run.length_m,
            outside_mm=cover.outside_mm,
            moves=run.moves,
            apart=apart,
            hot=is_hot(ambient_c=run.ambient_c, near=survey.near),
            sizes=machine.sizes,
        )
    return replace(
        run,
        grommet=lining.text,
        grommet_inside_mm=lining.inside_mm,
        covering=cover.text,
        covering_outside_mm=cover.outside_mm,
        fill=None if over else fill(cover, inside),
        covering_m=0.0 if over or not cover.text else round(run.length_m * cover.per_m, 3),
        ties=held.ties,
        tie=held.tie,
        clamps=held.clamps,
        clamp=held.clamp,
        fasteners=list(held.fasteners),
        bend=bend(inside, run.bundle_mm),
        spacing=apart,
        stretch=over,
        trims=_trims(run, survey, lining),
    )


def fit_runs(machine: Machine, wires: Sequence[Wire], runs: Sequence[RunResult]) -> tuple[RunResult, ...]:
    """Fill what goes round and through every run.

    A run with kept cables only gets a grommet where it has a hole, and else stays as it is; an empty run
    gets nothing.
    """
    surveyed = {run.name: run for run in machine.runs}
    numbered = {wire.number: wire for wire in wires}
    return tuple(
        _fit_one(machine, run, surveyed[run.name], [numbered[number] for number in (*run.wires, *run.spares)])
        for run in runs
    )
