"""What goes round the wires of a run, how thick the run is with it on, and how full it is."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import hypot, pi

from harness.model.bundles import Fill
from harness.model.design import RunResult, Wire
from harness.model.machine import Run, Zone
from harness.tables import load, own_source, remembered

ROOM = 1.25  # inside diameter over bundle diameter, upper figure of loom_fill_rules
ROOM_CLOSED = 1.4  # of a sleeve that cannot be opened: keeps the wires below its area fill, see fill
SERIES = {"AWG": "inch split loom", "mm2": "metric corrugated NW"}  # series of loom_sizes a counter stocks
SPIRALS = {"AWG": "inch", "mm2": "metric"}
HOT_C = 85.0  # above it polyethylene tube goes soft, and tube and ties of a hotter class are asked for
VERY_HOT_C = 125.0  # above it no nylon either: glass-fibre sleeve
BRAID_ADDS_MM = 1.5  # on the diameter (common practice)
SPIRAL_ADDS_MM = 2.4  # on the diameter (common practice)
TAPE_ADDS_MM = 0.8  # on the diameter, 0.2 mm tape wound half over itself (common practice)
TAPE = "harness tape, wound half over itself"
GLASS_TAPE = "glass-cloth tape, wound half over itself"
TAPE_WIDE_MM = 19.0  # as harness tape is sold (common practice)


@dataclass(frozen=True, slots=True)
class Covering:
    """What goes round a run."""

    text: str  # "" when bare
    outside_mm: float
    inside_mm: float | None = None  # bore of a tube or sleeve; None when it lies close
    closed: bool = False  # it cannot be opened, so wires are drawn through it
    per_m: float = 1.0  # metres of it to a metre of run


def is_hot(*, ambient_c: float, near: tuple[str, ...]) -> bool:
    """Whether plain plastic is out of its class: above 85 °C or beside the exhaust (common practice)."""
    return ambient_c > HOT_C or "exhaust" in near


def _class(ambient_c: float, near: tuple[str, ...]) -> str:
    if ambient_c > VERY_HOT_C:
        return f"for {ambient_c:g} °C: ask for a glass-fibre or silicone sleeve instead"
    if is_hot(ambient_c=ambient_c, near=near):
        return "heat-resistant nylon, 125 °C class"
    return "polyethylene or nylon"


def _tube_text(row: Mapping[str, str], sizes: str, material: str) -> str:
    unit = " in" if sizes == "AWG" and not own_source(row) else ""
    inside_mm = float(row["inside_dia_mm"])
    return f"split corrugated tube, {row['nominal']}{unit} ({inside_mm:g} mm inside), {material}"


def _corrugated(bundle_mm: float, sizes: str, material: str) -> Covering | None:
    for row in load("loom_sizes").rows:
        inside_mm = float(row["inside_dia_mm"])
        if row["series"] == SERIES[sizes] and inside_mm >= ROOM * bundle_mm:
            return Covering(_tube_text(row, sizes, material), float(row["outside_dia_mm"]), inside_mm)
    return None


def _braid_text(row: Mapping[str, str]) -> str:
    unit = "" if own_source(row) else " in"
    return f"expandable braided sleeve, {row['nominal_in']}{unit}"


def _braid(bundle_mm: float, _sizes: str, _material: str) -> Covering | None:
    for row in load("braided_sleeving").rows:
        if float(row["min_bundle_mm"]) <= bundle_mm <= float(row["max_bundle_mm"]):
            return Covering(_braid_text(row), round(bundle_mm + BRAID_ADDS_MM, 1))
    return None


def _spiral_text(row: Mapping[str, str], material: str) -> str:
    return f"spiral wrap, {row['nominal']}, {material}"


def _spiral(bundle_mm: float, sizes: str, material: str) -> Covering | None:
    """The widest wrap that closes round the bundle; wound turn by turn it is longer than the run."""
    fits = [
        row
        for row in load("spiral_wrap").rows
        if row["series"] == SPIRALS[sizes]
        and float(row["min_bundle_mm"]) <= bundle_mm <= float(row["max_bundle_mm"])
    ]
    if not fits:
        return None
    widest = max(fits, key=lambda row: float(row["min_bundle_mm"]))
    outside_mm = round(bundle_mm + SPIRAL_ADDS_MM, 1)
    per_m = bundle_mm / float(widest["min_bundle_mm"])
    return Covering(_spiral_text(widest, material), outside_mm, per_m=per_m)


def _glass_text(row: Mapping[str, str]) -> str:
    return f"glass-fibre sleeve, coated, {row['inside_dia_mm']} mm bore"


def _glass(bundle_mm: float, _sizes: str, _material: str) -> Covering | None:
    for row in load("glass_sleeve").rows:
        inside_mm = float(row["inside_dia_mm"])
        if inside_mm >= ROOM_CLOSED * bundle_mm:
            return Covering(_glass_text(row), float(row["outside_dia_mm"]), inside_mm, closed=True)
    return None


def _wound(text: str, bundle_mm: float) -> Covering:
    """Tape of 19 mm wound half over itself: each turn takes its circumference and gains half its width."""
    step_mm = TAPE_WIDE_MM / 2
    per_m = hypot(pi * (bundle_mm + TAPE_ADDS_MM / 2), step_mm) / step_mm
    return Covering(text, round(bundle_mm + TAPE_ADDS_MM, 1), per_m=per_m)


def _tape(bundle_mm: float, _sizes: str, _material: str) -> Covering | None:
    return _wound(TAPE, bundle_mm)


def _glass_tape(bundle_mm: float, _sizes: str, _material: str) -> Covering | None:
    return _wound(GLASS_TAPE, bundle_mm)


FORMS: Mapping[str, Callable[[float, str, str], Covering | None]] = {
    "corrugated": _corrugated,
    "braid": _braid,
    "spiral": _spiral,
    "glass": _glass,
    "tape": _tape,
    "glass tape": _glass_tape,
}
NEXT = {
    "corrugated": ("corrugated", "braid", "tape"),
    "braid": ("braid", "tape"),
    "spiral": ("spiral", "braid", "tape"),
    "glass": ("glass", "glass tape"),
    "tape": ("tape",),
}


def suited(*, ambient_c: float, zone: Zone, near: tuple[str, ...], moves: bool) -> str:
    """The form that a run of a zone asks for (common practice).

    Glass fibre above 125 °C and past the exhaust; where it moves braid, or spiral wrap where it is wet or
    open, for a split tube opens as it bends and braid alone holds grit; split tube elsewhere.
    """
    if ambient_c > VERY_HOT_C or "exhaust" in near:
        return "glass"
    if moves:
        return "braid" if zone.closed and not zone.wet else "spiral"
    return "corrugated"


def covering(
    *, asked: str, bundle_mm: float, ambient_c: float, near: tuple[str, ...], sizes: str
) -> Covering:
    """What goes round a bundle, in the form asked for; in the next form if it is too big for that.

    ``asked``: "corrugated", "braid", "spiral", "glass", "tape" or "none". ``bundle_mm``: diameter of the bare
    bundle [mm]. ``ambient_c``: of the run [°C]. ``sizes``: "AWG" for inch sizes, "mm2" for metric ones.
    Source: loom_sizes, braided_sleeving, spiral_wrap, glass_sleeve (memory); 1.25 x from loom_fill_rules;
    classes are common practice.
    """
    if asked == "none":
        return Covering("", bundle_mm)
    material = _class(ambient_c, near)
    found = (FORMS[form](bundle_mm, sizes, material) for form in NEXT[asked])
    return next(each for each in found if each is not None)


def cover_run(run: RunResult, survey: Run, *, zone: Zone, sizes: str, new: bool) -> Covering:
    """The covering of a run; one with kept cables only (``new`` false) keeps what it has unless asked."""
    if run.bundle_mm <= 0 or (not new and survey.covering is None):
        return Covering("", run.bundle_mm)
    return covering(
        asked=survey.covering
        or suited(ambient_c=run.ambient_c, zone=zone, near=survey.near, moves=survey.moves),
        bundle_mm=run.bundle_mm,
        ambient_c=run.ambient_c,
        near=survey.near,
        sizes=sizes,
    )


@remembered
def _most(count: int, *, closed: bool) -> tuple[float, str]:
    """The most of a bore that wires may take, and where that is written."""
    table = load("loom_fill_rules")
    if not closed:
        row = table.row("rule", "check: 1.25 on diameter is")
        return float(row["figure"].split(" %")[0]) / 100, str(table.cite(row))
    row = table.row("rule", "area fill, 3 or more conductors")
    if count <= 2:
        row = table.row("rule", "area fill, 1 conductor / 2 conductors")
    parts = [float(each.split(" %")[0]) / 100 for each in row["figure"].split(" / ")]
    return parts[min(count, len(parts)) - 1], str(table.cite(row))


def fill(cover: Covering, inside: Sequence[Wire]) -> Fill | None:
    """How full a tube or sleeve is with its wires; None when what goes round them lies close.

    A split tube is chosen by 1.25 x the bundle, which is 64 % of its bore at most; a sleeve that cannot be
    opened is held to the area fill of closed conduit: 53 % with one wire, 31 % with two, 40 % with more.
    """
    if cover.inside_mm is None or not inside:
        return None
    share = sum(wire.outside_mm**2 for wire in inside) / cover.inside_mm**2
    most, source = _most(len(inside), closed=cover.closed)
    rule = f"{len(inside)} wires take {share:.0%} of {cover.inside_mm:g} mm bore, {most:.0%} at most"
    return Fill(round(share, 4), most, rule, source)


def catalogue() -> list[str]:
    """Every covering, in the words of the list of materials; plastic for places up to 125 °C."""
    classes = [_class(ambient_c, ()) for ambient_c in (HOT_C, VERY_HOT_C)]
    found = [
        _tube_text(row, sizes, material)
        for sizes, series in SERIES.items()
        for row in load("loom_sizes").rows
        if row["series"] == series
        for material in classes
    ]
    found += [_spiral_text(row, material) for row in load("spiral_wrap").rows for material in classes]
    found += [_braid_text(row) for row in load("braided_sleeving").rows]
    found += [_glass_text(row) for row in load("glass_sleeve").rows]
    return [*found, TAPE, GLASS_TAPE]
