"""Dead shorts at every wire's far end: the current, how soon the fuse clears it, if the wire stands it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from math import isfinite

from harness.electric.bands import band, clearing_s, holding_s
from harness.electric.conductor import short_time_constant
from harness.electric.currents import RESISTOR_OHM, REST_V_PER_CELL
from harness.electric.fuses import Rating
from harness.electric.graph import Battery, Edge, Node, batteries, neighbours, node_of
from harness.electric.guards import FuseKey
from harness.electric.links import LINK, link_clears_s
from harness.electric.sizing import Sizing, fuse_name
from harness.model.design import BandPoint, FaultResult, FuseCurve, FuseOrder, Wire
from harness.model.machine import Machine

PVC_END_C, XLPE_END_C = 160.0, 250.0  # adiabatic_constants, IEC 60364-5-54 (read-from-secondary)
SOURCE = (
    "battery EMF 2.1 V a cell and inner resistance, copper at 20 °C (calculated); clearing by the next lower"
    " row of fuse_time_current (ISO and SAE rows memory, UL rows read), beyond its last row at that"
    " row's I²t; k by IEC 60364-5-54 annex A (memory) to 160 °C (PVC) or 250 °C (XLPE), adiabatic_constants"
    " (read-from-secondary)"
)
LINK_SOURCE = (
    "SAE J156: open within 10 s, four gauge numbers thinner than its cable (fusible_link_rules); melting I²t"
    " adiabatic to 1083 °C (calculated)"
)


@dataclass(frozen=True, slots=True)
class _Reach:
    """How a node hangs on the batteries: resistance and EMF of the way there, and the last fuse on it."""

    ohm: float
    emf_v: float
    fuse: FuseKey | None


def short_end_c(cable: str) -> float:
    """Temperature insulation may reach in a short circuit [°C]; the lower one where its material is unknown.

    Source: adiabatic_constants (IEC 60364-5-54); cross-linked are SXL, GXL, TXL, SGX (SAE J1128, J1127) and,
    by their 125 °C and more, ISO 6722 classes from C up (common practice).
    """
    crossed = ("SXL", "GXL", "TXL", "SGX")
    high = cable in crossed or (cable.startswith("class ") and cable[-1] in "CDEFGH")
    return XLPE_END_C if high else PVC_END_C


def _closing(form: str, rating_a: float) -> list[tuple[float, float]]:
    return [(row.percent, row.most_s) for row in band(form, rating_a) if row.most_s is not None]


# --- the way to the fault -----------------------------------------------------------------------------------


def _is_feed(edge: Edge) -> bool:
    """Metal, closed contacts and fuses; windings and resistors limit the current as a load does."""
    return edge.kind in ("wire", "fuse") or (edge.kind in ("contact", "bus") and edge.ohm < RESISTOR_OHM)


def _feeds(
    ways: Sequence[Edge], sources: Sequence[Battery], starts: Sequence[Node], ohm: Callable[[Edge], float]
) -> dict[Node, _Reach]:
    """The way of least resistance from the chassis-side posts, through the batteries, to every live node."""
    around = neighbours(edge for edge in ways if _is_feed(edge))
    up = {battery.ground: battery for battery in sources}
    found: dict[Node, _Reach] = {}
    heap: list[tuple[float, int, Node, float, FuseKey | None]] = []
    for start in starts:
        _lift(heap, up[start], _Reach(0.0, 0.0, None))
    while heap:
        total, _, here, emf, fuse = heappop(heap)
        if here in found or here in starts:
            continue
        found[here] = reach = _Reach(total, emf, fuse)
        if here in up:
            _lift(heap, up[here], reach)
        for edge, other in around.get(here, ()):
            if other not in found and other.kind != "body":
                key = edge.key if edge.kind == "fuse" and isinstance(edge.key, tuple) else fuse
                heappush(heap, (total + ohm(edge), len(heap), other, emf, key))
    return found


def _lift(
    heap: list[tuple[float, int, Node, float, FuseKey | None]], battery: Battery, below: _Reach
) -> None:
    volts = REST_V_PER_CELL * battery.volts_v / 2
    heappush(heap, (below.ohm + battery.inner_ohm, len(heap), battery.live, below.emf_v + volts, below.fuse))


def _homes(ways: Sequence[Edge], starts: Sequence[Node], ohm: Callable[[Edge], float]) -> dict[str, float]:
    """Resistance from every body back to the chassis-side post [ohm], by straps and ground cables."""
    around = neighbours(edge for edge in ways if edge.kind in ("wire", "joint", "contact"))
    seen: set[Node] = set()
    found: dict[str, float] = {}
    heap = [(0.0, at, start) for at, start in enumerate(starts)]
    while heap:
        total, _, here = heappop(heap)
        if here in seen:
            continue
        seen.add(here)
        if here.kind == "body":
            found[here.name] = total
        for edge, other in around.get(here, ()):
            if other not in seen:
                heappush(heap, (total + ohm(edge), len(heap) + len(seen), other))
    return found


def _bodies_at(machine: Machine) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for part in machine.parts.values():
        if part.body is not None:
            found.setdefault(part.place, []).append(part.body)
    return found


class _Short:
    """Fault currents of one machine."""

    def __init__(self, machine: Machine, sizing: Sizing) -> None:
        self.sizing = sizing
        lengths = {wire.index: wire.length_m for wire in sizing.routed.wires}

        def ohm(edge: Edge) -> float:
            if not isinstance(edge.key, int):
                return edge.ohm
            return edge.ohm + sizing.sizes[edge.key].r20_ohm_per_m * lengths[edge.key]

        sources = batteries(machine)
        joined = {battery.live for battery in sources}
        around = neighbours(edge for edge in sizing.edges if edge.kind == "wire")
        free = [
            battery.ground
            for battery in sources
            if not any(other in joined for _, other in around.get(battery.ground, ()))
        ]
        self.wire_ohm = {edge.key: ohm(edge) for edge in sizing.edges if isinstance(edge.key, int)}
        self.feeds = _feeds(sizing.edges, sources, free, ohm)
        self.homes = _homes(sizing.edges, free, ohm)
        self.bodies = _bodies_at(machine)

    def home_ohm(self, place: str) -> float:
        """Resistance back from the metal at a place, the worst where several bodies are near [ohm]."""
        near = [self.homes[body] for body in self.bodies.get(place, ()) if body in self.homes]
        return max(near or self.homes.values(), default=0.0)

    def at_far_end(self, index: int) -> tuple[float, float, FuseKey | None] | None:
        """Fault current [A], resistance [ohm] and last fuse at a wire's far end; None off the live side."""
        wire = self.sizing.routed.wires[index]
        ends = [node_of(wire.a), node_of(wire.b)]
        if any(end not in self.feeds for end in ends):
            return None
        near = self.feeds[min(ends, key=lambda end: self.feeds[end].ohm)]
        far_point = wire.b if near is self.feeds[ends[0]] else wire.a
        total = near.ohm + self.wire_ohm[index] + self.home_ohm(far_point.place)
        return near.emf_v / total, total, near.fuse

    def behind(self, index: int) -> float:
        """Fault current at a wire's near end [A]."""
        wire = self.sizing.routed.wires[index]
        near = min((self.feeds[node_of(end)] for end in (wire.a, wire.b)), key=lambda reach: reach.ohm)
        return near.emf_v / (near.ohm + min(self.homes.values(), default=0.0))


# --- judging ------------------------------------------------------------------------------------------------


def _clear(rating: Rating, amps: float) -> tuple[float | None, float | None]:
    """Clearing time [s] and let-through [A²s] of a fuse; None where it is not known or never opens."""
    if rating.size is not None:
        seconds = link_clears_s(rating.size.area_mm2, current_a=amps)
    else:
        seconds = clearing_s(rating.form, rating_a=rating.rating_a, current_a=amps)
    return seconds, None if seconds is None else amps**2 * seconds


def _is_known(rating: Rating) -> bool:
    return rating.form == LINK or bool(_closing(rating.form, rating.rating_a))


def _words(amps: float, ohm: float, rating: Rating | None, seconds: float | None, wire: Wire) -> str:
    text = f"{amps * ohm:.1f} V / {ohm * 1000:.1f} mohm = {amps:.0f} A"
    if rating is None:
        return f"{text}; no fuse before it"
    text += f", {100 * amps / rating.rating_a:.0f} % of {rating.rating_a:g} A"
    if not _is_known(rating):
        return f"{text}; no published band for a {rating.form}"
    if seconds is None:
        return f"{text}: below where its band says it opens"
    end = short_end_c(wire.cable)
    return f"{text}: open within {seconds:.3g} s; k from {wire.conductor_c:.0f} to {end:g} °C"


def faults(machine: Machine, sizing: Sizing, made: Sequence[Wire]) -> list[FaultResult]:
    """A dead short to the chassis at the far end of every wire on the live side, engine stopped."""
    short = _Short(machine, sizing)
    found = []
    for index, wire in enumerate(made):
        fault = short.at_far_end(index)
        if fault is None:
            continue
        amps, ohm, key = fault
        rating = sizing.ratings.get(key) if key is not None else None
        seconds, through = _clear(rating, amps) if rating and key is not None else (None, None)
        k = short_time_constant(from_c=wire.conductor_c, to_c=short_end_c(wire.cable))
        stands = (k * wire.area_mm2) ** 2
        found.append(
            FaultResult(
                wire=wire.number, fuse=fuse_name(machine, key) if rating and key is not None else "",
                fuse_a=rating.rating_a if rating else None, current_a=amps, path_ohm=ohm,
                clearing_s=seconds, let_through_a2s=through, wire_stands_a2s=stands,
                cleared=None if rating is None or not _is_known(rating) else seconds is not None,
                stands=None if through is None else through <= stands,
                formula=_words(amps, ohm, rating, seconds, wire),
                source=LINK_SOURCE if rating and rating.form == LINK else SOURCE,
            )
        )  # fmt: skip
    return found


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
            return amps, clears if clears is not None else float("inf"), holds
    return None


def fuse_order(machine: Machine, sizing: Sizing) -> list[FuseOrder]:
    """Every two fuses in series whose bands are known, and whether the nearer opens first at all currents."""
    short = _Short(machine, sizing)
    found = []
    for near_key, before in sizing.guards.before.items():
        near = sizing.ratings.get(near_key)
        mine = [at for at, keys in sizing.guards.live.items() if near_key in keys]
        amps = [short.behind(at) for at in mine if short.at_far_end(at) is not None]
        for far_key in sorted(key for key in before if key is not None and key != near_key):
            far = sizing.ratings.get(far_key)
            if near is None or far is None or not amps or not (_bands(near) and _bands(far)):
                continue
            wrong = first_out_of_order(near, far, max(amps))
            found.append(
                FuseOrder(
                    near=fuse_name(machine, near_key), far=fuse_name(machine, far_key), most_a=max(amps),
                    in_order=wrong is None, wrong_from_a=wrong[0] if wrong else None,
                )
            )  # fmt: skip
    return found


def _bands(rating: Rating) -> bool:
    return bool(_closing(rating.form, rating.rating_a))


# --- curves for the drawing ---------------------------------------------------------------------------------


def _points(rating: Rating) -> list[BandPoint]:
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


def fuse_curves(
    machine: Machine, sizing: Sizing, made: Sequence[Wire], found: Sequence[FaultResult]
) -> list[FuseCurve]:
    """For every fuse its band, what it has to let pass, its weakest wire, and its fault currents."""
    wires: Mapping[str, Wire] = {wire.number: wire for wire in made}
    curves = []
    for key, rating in sizing.ratings.items():
        name = fuse_name(machine, key)
        mine = [fault for fault in found if fault.fuse == name]
        weak = min(mine, key=lambda fault: fault.wire_stands_a2s, default=None)
        thin = min((wires[fault.wire] for fault in mine), key=lambda wire: wire.ampacity_a, default=None)
        curves.append(
            FuseCurve(
                fuse=name, form=rating.form, rating_a=rating.rating_a, band=_points(rating),
                load_a=rating.load.steady_a, spells=_inrushes(rating),
                wire=weak.wire if weak else "", wire_size=wires[weak.wire].size if weak else "",
                wire_stands_a2s=weak.wire_stands_a2s if weak else None,
                ampacity_a=thin.ampacity_a if thin else None,
                fault_least_a=min((fault.current_a for fault in mine), default=None),
                fault_most_a=max((fault.current_a for fault in mine), default=None),
            )
        )  # fmt: skip
    return curves


__all__ = [
    "clearing_s",
    "faults",
    "first_out_of_order",
    "fuse_curves",
    "fuse_order",
    "holding_s",
    "short_end_c",
]
