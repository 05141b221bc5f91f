"""Which crimp joins the wires of a splice, and the heat-shrink over it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from harness.fitout import shrink
from harness.fitout.barrels import Barrel, barrel_for, barrel_for_several, gauge
from harness.fitout.dies import die_of
from harness.model.design import Point, Splice, Wire

BUTT_MM = 15.0  # length of a small butt splice, heat_shrink_rules (common practice)
BUTT_STRIP_MM = 7.0  # half of it, less the stop in the middle
MIXED_BUNDLE = 1.2  # 1.2 x root of the sum of squares, bundle_formula


@dataclass(frozen=True, slots=True)
class _Fitting:
    text: str
    length_mm: float
    outside_mm: float
    strip_mm: float


def _is_at(point: Point, splice: Splice) -> bool:
    return point.kind == "splice" and point.part == splice.name


def _thickest(wires: Sequence[Wire]) -> Wire:
    return max(wires, key=lambda wire: wire.area_mm2)


def _butt(wires: Sequence[Wire]) -> _Fitting | None:
    """Two wires end to end; a step-down splice when they need different barrels."""
    first, second = sorted(wires, key=lambda wire: -wire.area_mm2)
    barrels = [barrel_for(size=wire.size, area_mm2=wire.area_mm2) for wire in (first, second)]
    large, small = barrels
    if large is None or small is None:
        return None
    if large.range == small.range:
        text = f"butt splice, bare, for {large.range}"
    else:
        text = f"step-down butt splice, bare, for {large.range} to {small.range}"
    return _Fitting(
        text,
        2 * large.length_mm if large.heavy else BUTT_MM,
        large.outside_mm,
        large.strip_mm if large.heavy else BUTT_STRIP_MM,
    )


def _parallel(wires: Sequence[Wire]) -> _Fitting | None:
    """All wires through one barrel, by the sum of their circular mils."""
    barrel: Barrel | None = barrel_for_several(
        areas_mm2=tuple(wire.area_mm2 for wire in wires), awg=gauge(_thickest(wires).size) is not None
    )
    if barrel is None:
        return None
    text = f"parallel splice, bare closed barrel, for {barrel.range} in all"
    return _Fitting(text, barrel.length_mm, barrel.outside_mm, barrel.strip_mm)


def _fitting(wires: Sequence[Wire]) -> _Fitting | None:
    return _butt(wires) if len(wires) == 2 else _parallel(wires)


def strip_mm(wires: Sequence[Wire]) -> float:
    """How far to strip each wire that goes into one splice [mm]; 0 when no barrel takes them."""
    fitting = _fitting(wires) if len(wires) > 1 else None
    return fitting.strip_mm if fitting else 0.0


def die(wires: Sequence[Wire], wire: Wire) -> str:
    """The die for ``wire`` where it goes into a splice of ``wires``; "" when no barrel takes them."""
    if len(wires) == 2 and _butt(wires):
        barrel = barrel_for(size=wire.size, area_mm2=wire.area_mm2)
    elif len(wires) > 2:
        areas = tuple(each.area_mm2 for each in wires)
        barrel = barrel_for_several(areas_mm2=areas, awg=gauge(_thickest(wires).size) is not None)
    else:
        barrel = None
    return die_of(barrel) if barrel else ""


def side_mm(outsides_mm: Sequence[float]) -> float:
    """Diameter of the wires at one side of a joint, at least that of the two thickest [mm].

    >>> side_mm([2.6]), side_mm([2.6, 3.0])
    (2.6, 5.6)
    """
    widest_mm = sum(sorted(outsides_mm)[-2:])
    if len(outsides_mm) <= 2:
        return widest_mm
    return max(widest_mm, MIXED_BUNDLE * math.sqrt(sum(each * each for each in outsides_mm)))


def _sides(splice: Splice, wires: Sequence[Wire]) -> list[float]:
    """Diameters at the two sides of a splice: what comes to it and what leaves it [mm]."""
    coming = [wire.outside_mm for wire in wires if _is_at(wire.to, splice)]
    leaving = [wire.outside_mm for wire in wires if _is_at(wire.from_, splice)]
    return [side_mm(side) for side in (coming, leaving) if side]


def _fit_one(splice: Splice, wires: Sequence[Wire]) -> Splice:
    fitting = _fitting(wires) if len(wires) > 1 else None
    if fitting is None:
        return splice
    sides = _sides(splice, wires)
    largest_mm = max(fitting.outside_mm, *sides)
    tube = shrink.choose(smallest_mm=min(sides), largest_mm=largest_mm, adhesive=True)
    if tube is None:
        return replace(splice, fitting=f"{fitting.text}, wrapped in self-fusing tape")
    return replace(
        splice,
        fitting=fitting.text,
        shrink=str(tube),
        shrink_mm=shrink.on_splice_mm(barrel_mm=fitting.length_mm, adhesive=True),
    )


def fit_splices(wires: Sequence[Wire], splices: Sequence[Splice]) -> tuple[Splice, ...]:
    """Fill every splice's fitting and heat-shrink, always adhesive-lined: a splice lies inside the loom.

    Two wires get a butt splice, more a parallel splice by the sum of their circular mils. Where no barrel
    in the table takes them the fields stay empty for a rule to raise; where no tube grips the thin side and
    passes the thick one, self-fusing tape goes round the joint (common practice).
    Source: closed_barrel_ranges, heat_shrink, heat_shrink_rules.
    """
    joined: dict[str, list[Wire]] = {}
    for wire in wires:
        for name in dict.fromkeys(point.part for point in (wire.from_, wire.to) if point.kind == "splice"):
            joined.setdefault(name, []).append(wire)
    return tuple(_fit_one(splice, joined.get(splice.name, [])) for splice in splices)
