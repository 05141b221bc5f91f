"""Fuses against each other and against their wires: order in series, breaking capacity, curves for plots."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import inf, isfinite

from harness.electric.bands import SHORT_S, band, breaking, clearing_s, holding_s
from harness.electric.faults import Study, is_known, stands_a2s
from harness.electric.fuses import Rating
from harness.electric.guards import FuseKey, rings
from harness.electric.links import BURST_SHARE, LINK_MOST_S, link_melts_a2s
from harness.electric.network import LEAST_OHM
from harness.electric.overload import overload_a
from harness.electric.sizing import fuse_name
from harness.model.design import Wire
from harness.model.shorts import BandPoint, FaultResult, FuseCurve, FuseOrder, OverloadResult

STEPS_A_DECADE = 4  # points of a wire's line


def _bends(one: Rating) -> Iterable[float]:
    return (
        row.percent / 100 * one.rating_a * nudge
        for row in band(one.form, one.rating_a)
        for nudge in (0.999, 1.0, 1.001)
    )


def first_out_of_order(near: Rating, far: Rating, most_a: float) -> tuple[float, float, float] | None:
    """Where two fuses in series may trip in the wrong order, None when the nearer always opens first.

    Returns current [A], the nearer's clearing and the farther's holding time [s]. Bands do not touch when at
    every current up to ``most_a`` the one is open before the other may open. Source: fuse_time_current.
    """
    for amps in sorted({*(a for a in (*_bends(near), *_bends(far)) if a <= most_a), most_a}):
        clears = clearing_s(near.form, rating_a=near.rating_a, current_a=amps)
        holds = holding_s(far.form, rating_a=far.rating_a, current_a=amps)
        if clears is None and amps <= far.rating_a:
            continue
        if clears is None or clears >= holds:
            return amps, clears if clears is not None else inf, holds
    return None


def _has_band(rating: Rating) -> bool:
    return is_known(rating) and rating.size is None


def behind_a(study: Study, key: FuseKey) -> float | None:
    """Most fault current right behind a fuse [A], None where it guards no live wire."""
    return max((study.wires[index].near.most.current_a for index in study.behind.get(key, ())), default=None)


def prospective_a(study: Study, key: FuseKey) -> float | None:
    """The same with the fuse itself out of the way, as its breaking capacity is measured [A]."""
    found = []
    for index in study.behind.get(key, ()):
        short = study.wires[index].near.most
        share = short.shares.get(key, 1.0)
        if short.held or share < 0.999:
            found.append(short.current_a * share)
        else:
            found.append(short.volts_v / max(short.ohm - study.sizing.ratings[key].cold_ohm, LEAST_OHM))
    return max(found, default=None)


def fuse_order(study: Study) -> list[FuseOrder]:
    """Every two fuses in series whose bands are known, and whether the nearer opens first at all currents.

    Not two of a ring, of which neither is the nearer.
    """
    ratings, machine = study.sizing.ratings, study.machine
    ring = rings(study.sizing.guards.before)
    found = []
    for near_key, before in study.sizing.guards.before.items():
        near, most = ratings.get(near_key), behind_a(study, near_key)
        for far_key in sorted(key for key in before if key is not None and ring[key] != ring[near_key]):
            far = ratings.get(far_key)
            if near is None or far is None or most is None or not (_has_band(near) and _has_band(far)):
                continue
            wrong = first_out_of_order(near, far, most)
            found.append(
                FuseOrder(
                    near=fuse_name(machine, near_key), far=fuse_name(machine, far_key), most_a=most,
                    in_order=wrong is None, wrong_from_a=wrong[0] if wrong else None,
                )
            )  # fmt: skip
    return found


def _points(rating: Rating) -> list[BandPoint]:
    """Rows of a band; of a link where it surely outlasts, and where it has melted, in 10 s."""
    if rating.size is not None:
        melts = link_melts_a2s(rating.size.area_mm2) / LINK_MOST_S
        return [
            BandPoint((BURST_SHARE * melts) ** 0.5, LINK_MOST_S, None),
            BandPoint(melts**0.5, None, LINK_MOST_S),
        ]
    return [
        BandPoint(
            row.percent / 100 * rating.rating_a,
            row.least_s if row.least_s is not None and isfinite(row.least_s) else None,
            row.most_s,
        )
        for row in band(rating.form, rating.rating_a)
    ]


def _inrushes(rating: Rating) -> list[list[float]]:
    load = rating.load
    return [[amps, time] for amps, time in load.spells if time and amps > load.steady_a * 1.001]


def slow_overload(
    study: Study, rating: Rating, made: Sequence[Wire], guarded: Iterable[int]
) -> OverloadResult | None:
    """The row of a band, from 5 s up, that is hardest on a wire behind the fuse; None without such a row.

    At the row's current the fuse may take the row's time to open (fuse_time_current); the wire is warmed by
    it from its steady load (:func:`harness.electric.overload.overload_a`). Where all wires carry the
    largest such current for ever only the thinnest is worked out.
    """
    wires = sorted(guarded, key=lambda index: (made[index].ampacity_a, index))
    top = max((amps for amps, _ in rating.slow), default=0.0)
    judged = [index for index in wires if made[index].ampacity_a < top] or wires[:1]
    found = [
        OverloadResult(made[index].number, amps, seconds, overload_a(study.sizing, index, seconds))
        for index in judged
        for amps, seconds in rating.slow
    ]
    return min(found, key=lambda one: one.stands_a / one.current_a, default=None)


def wire_line(study: Study, index: int, wire: Wire) -> list[list[float]]:
    """Current [A] a wire stands for a time [s], from 1 ms to 3 h: k²S² up to 5 s, then its own warming."""
    times = [10 ** (at / STEPS_A_DECADE) for at in range(-3 * STEPS_A_DECADE, 4 * STEPS_A_DECADE + 1)]
    quick = [time for time in times if time < SHORT_S]
    heat = stands_a2s(wire)
    line = [[(heat / time) ** 0.5, time] for time in (*quick, SHORT_S)]
    slow = [time for time in times if time > SHORT_S]
    return line + [[overload_a(study.sizing, index, time), time] for time in (SHORT_S, *slow)]


def _guarded(study: Study) -> dict[FuseKey, list[int]]:
    """Fuse -> every wire it is nearest before, feeds and returns."""
    found: dict[FuseKey, list[int]] = {}
    guards = study.sizing.guards
    for index, keys in sorted([*guards.live.items(), *guards.back.items()]):
        for key in keys:
            if key is not None:
                found.setdefault(key, []).append(index)
    return found


def _backed(study: Study, key: FuseKey, amps: float | None) -> bool:
    """Whether every way to a fuse passes one before it that breaks so much."""
    before = study.sizing.guards.before.get(key, frozenset())
    for one in before:
        rating = study.sizing.ratings.get(one) if one is not None else None
        breaks = breaking(rating.form) if rating else None
        if breaks is None or amps is None or breaks.current_a < amps:
            return False
    return bool(before)


def fuse_curves(study: Study, made: Sequence[Wire], found: Sequence[FaultResult]) -> list[FuseCurve]:
    """For every fuse its band, what it has to let pass, its weakest wire, and its fault currents."""
    index_of = {wire.number: index for index, wire in enumerate(made)}
    guarded = _guarded(study)
    of_fuse: dict[str, list[FaultResult]] = {}
    for fault in found:
        for name in fault.shares or {fault.fuse: 1.0}:
            of_fuse.setdefault(name, []).append(fault)
    curves = []
    for key, rating in study.sizing.ratings.items():
        name = fuse_name(study.machine, key)
        mine = of_fuse.get(name, [])
        weak = min(mine, key=lambda fault: fault.wire_stands_a2s, default=None)
        weakest = index_of[weak.wire] if weak else None
        ampacities = [made[index_of[fault.wire]].ampacity_a for fault in mine]
        breaks, behind = breaking(rating.form), prospective_a(study, key)
        curves.append(
            FuseCurve(
                fuse=name, form=rating.form, rating_a=rating.rating_a, band=_points(rating),
                load_a=rating.load.steady_a, spells=_inrushes(rating),
                wire=weak.wire if weak else "",
                wire_size=made[weakest].size if weakest is not None else "",
                wire_stands_a2s=weak.wire_stands_a2s if weak else None,
                ampacity_a=min(ampacities, default=None),
                fault_least_a=min((fault.current_a for fault in mine), default=None),
                fault_most_a=max((fault.most_a for fault in mine), default=None),
                behind_most_a=behind,
                breaks_a=breaks.current_a if breaks else None, breaks_source=breaks.source if breaks else "",
                backed=_backed(study, key, behind),
                overload=slow_overload(study, rating, made, guarded.get(key, ())),
                size=rating.size.label if rating.size else "",
                wire_stands=wire_line(study, weakest, made[weakest]) if weakest is not None else [],
            )
        )  # fmt: skip
    return curves


__all__ = [
    "behind_a",
    "first_out_of_order",
    "fuse_curves",
    "fuse_order",
    "prospective_a",
    "slow_overload",
    "wire_line",
]
