"""Dead shorts at every wire's far end: the current, how soon the fuse clears it, if the wire stands it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from harness.electric.bands import SHORT_S, band, clearing_s
from harness.electric.conductor import short_time_constant
from harness.electric.fuses import Rating
from harness.electric.graph import Node, node_of
from harness.electric.guards import FuseKey
from harness.electric.links import LINK, link_clears_s
from harness.electric.overload import overload_a, short_end_c
from harness.electric.shorts import Short, Shorts
from harness.electric.sizing import Sizing, fuse_name
from harness.model.design import Point, Wire
from harness.model.machine import Machine
from harness.model.shorts import FaultResult

JUST_BELOW = 1 - 1e-9
SOURCE = (
    "least current: battery half charged at the survey's coldest, copper and fuses hot; most: full and"
    " warm, copper at 20 °C, fuses cold (calculated, battery_by_charge, battery_by_temperature); clearing by"
    " the next lower row of fuse_time_current (ISO and SAE rows memory, UL rows read), beyond its last row at"
    " that row's I²t; up to 5 s k by IEC 60364-5-54 annex A (memory) to 160 °C (PVC) or 250 °C (XLPE),"
    " adiabatic_constants (read-from-secondary); longer by the wire's own warming (calculated)"
)
LINK_SOURCE = (
    "SAE J156: open within 10 s, four gauge numbers thinner than its cable (fusible_link_rules); melting I²t"
    " adiabatic to 1083 °C (calculated)"
)

Sharing = Sequence[tuple[Rating, float]]  # the fuses nearest before a point, and the share each sees


@dataclass(frozen=True, slots=True)
class End:
    """A dead short at one end of a wire, at both extremes."""

    least: Short
    most: Short


@dataclass(frozen=True, slots=True)
class WireShorts:
    """Dead shorts at both ends of a live wire."""

    near: End  # the end with more current
    far: End


class Study:
    """Every dead short of a machine, worked out once for all that is judged by it."""

    def __init__(self, machine: Machine, sizing: Sizing) -> None:
        self.machine, self.sizing = machine, sizing
        self.least = Shorts(machine, sizing, "least")
        self.most = Shorts(machine, sizing, "most")
        self.wires: dict[int, WireShorts] = {}
        self.behind: dict[FuseKey, list[int]] = {}  # fuse -> the live wires it is nearest before
        for index in range(len(machine.wires)):
            found = self._wire(index)
            if found is not None:
                self.wires[index] = found
            for key in sizing.guards.live.get(index, ()):
                if key is not None and found is not None:
                    self.behind.setdefault(key, []).append(index)

    def _wire(self, index: int) -> WireShorts | None:
        wire = self.sizing.routed.wires[index]
        ends = [self._end(point, index) for point in (wire.a, wire.b)]
        if ends[0] is None or ends[1] is None:
            return None
        near, far = sorted((ends[0], ends[1]), key=lambda end: -end.most.current_a)
        return WireShorts(near, far)

    def _end(self, point: Point, index: int) -> End | None:
        node: Node = node_of(point)
        guards = self.sizing.guards.live.get(index, frozenset())
        least, most = (shorts.at(node, point.place, guards) for shorts in (self.least, self.most))
        return End(least, most) if least is not None and most is not None else None

    def sharing(self, short: Short) -> Sharing:
        """The rated fuses nearest before a short, largest share first."""
        rated = [
            (self.sizing.ratings[key], share)
            for key, share in short.shares.items()
            if key in self.sizing.ratings and share > 1e-6
        ]
        return sorted(rated, key=lambda one: -one[1])


def stands_a2s(wire: Wire) -> float:
    """k²S² of a wire from its working temperature to its insulation's short-circuit limit [A²s]."""
    k = short_time_constant(from_c=wire.conductor_c, to_c=short_end_c(wire.cable))
    return (k * wire.area_mm2) ** 2


def opens_s(rating: Rating, current_a: float) -> float | None:
    """Longest time a fuse or link takes to open [s]; None when it may never, or nothing is known of it."""
    if rating.size is not None:
        return link_clears_s(rating.size.area_mm2, current_a=current_a)
    return clearing_s(rating.form, rating_a=rating.rating_a, current_a=current_a)


def cleared_s(fuses: Sharing, current_a: float) -> float | None:
    """Longest time until all fuses that share a current have opened [s]; None when one may never.

    Each is read at its own share; when one opens the others only get more, so none is later than that.
    """
    times = [opens_s(rating, share * current_a) for rating, share in fuses]
    known = [time for time in times if time is not None]
    return max(known) if known and len(known) == len(times) else None


@dataclass(frozen=True, slots=True)
class Passed:
    """What fuses let through to a wire, for any current between the least and the most of a short."""

    through_a2s: float | None  # most of it; None when a fuse may never open, or nothing harms the wire
    stands: bool


def passed(study: Study, index: int, wire: Wire, fuses: Sharing, least_a: float, most_a: float) -> Passed:
    """Whether a wire outlasts what its fuses let through.

    A time read at a row holds up to the next row, so the worst current may lie right below one. A current
    within the ampacity harms nothing, however long it lasts; up to 5 s the copper keeps its heat (k²S²),
    later the heat that leaves counts.
    """
    edges = {
        row.percent / 100 * rating.rating_a / share * JUST_BELOW
        for rating, share in fuses
        for row in band(rating.form, rating.rating_a)
    }
    through: list[float] = []
    stands = True
    for amps in (least_a, *sorted(edge for edge in edges if least_a < edge < most_a), most_a):
        if amps <= wire.ampacity_a:
            continue
        seconds = cleared_s(fuses, amps)
        if seconds is None:
            return Passed(None, False)
        through.append(amps**2 * seconds)
        if seconds <= SHORT_S:
            stands = stands and through[-1] <= stands_a2s(wire)
        else:
            stands = stands and amps <= overload_a(study.sizing, index, seconds)
    return Passed(max(through, default=None), stands)


def is_known(rating: Rating) -> bool:
    """Whether anything is published of how a fuse opens."""
    return rating.form == LINK or any(row.most_s is not None for row in band(rating.form, rating.rating_a))


def _words(end: End, fuses: Sharing, seconds: float | None, wire: Wire) -> str:
    text = ", ".join(
        f"{name} {short.volts_v:.2f} V / {short.ohm * 1000:.1f} mohm = {short.volts_v / short.ohm:.0f} A"
        for name, short in (("least", end.least), ("most", end.most))
    )
    if end.least.held:
        text += f", held to {end.least.current_a:.3g} to {end.most.current_a:.3g} A by the converter"
    if not fuses:
        return f"{text}; no fuse before it"
    for rating, share in fuses:
        seen = share * end.least.current_a
        part = "" if share > 0.999 else f"{rating.key[0]} sees {share:.0%}, "
        text += f"; {part}at least {100 * seen / rating.rating_a:.0f} % of {rating.rating_a:g} A"
        if not is_known(rating):
            return f"{text}; no published band for a {rating.form} of that rating"
    if seconds is None:
        return f"{text}: below where its band says it opens"
    end_c = short_end_c(wire.cable)
    return f"{text}: open within {seconds:.3g} s; k from {wire.conductor_c:.0f} to {end_c:g} °C"


def faults(study: Study, made: Sequence[Wire]) -> list[FaultResult]:
    """A dead short to the chassis at the far end of every wire on the live side, engine stopped."""
    found = []
    for index, shorts in study.wires.items():
        end, wire = shorts.far, made[index]
        fuses = study.sharing(end.least)
        least, most = end.least.current_a, end.most.current_a
        seconds = cleared_s(fuses, least)
        cleared = _cleared(fuses, seconds)
        found_out = passed(study, index, wire, fuses, least, most) if cleared is not None else None
        names = {fuse_name(study.machine, rating.key): share for rating, share in fuses}
        first = fuses[0][0] if fuses else None
        found.append(
            FaultResult(
                wire=wire.number, fuse=next(iter(names), ""), fuse_a=first.rating_a if first else None,
                current_a=least, path_ohm=end.least.ohm, clearing_s=seconds,
                let_through_a2s=found_out.through_a2s if found_out else None,
                wire_stands_a2s=stands_a2s(wire), cleared=cleared,
                stands=found_out.stands if found_out else None,
                formula=_words(end, fuses, seconds, wire),
                source=LINK_SOURCE if first and first.form == LINK else SOURCE,
                most_a=most, shares=names if len(names) > 1 else {},
                limited=end.most.held,
            )
        )  # fmt: skip
    return found


def _cleared(fuses: Iterable[tuple[Rating, float]], seconds: float | None) -> bool | None:
    rated = [rating for rating, _ in fuses]
    if not rated or not all(is_known(rating) for rating in rated):
        return None
    return seconds is not None


__all__ = [
    "Study",
    "cleared_s",
    "faults",
    "is_known",
    "opens_s",
    "passed",
    "stands_a2s",
]
