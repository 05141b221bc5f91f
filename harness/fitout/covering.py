"""What goes round the wires of a run, and how thick the run is with it on."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from harness.model.design import RunResult
from harness.model.machine import Run
from harness.tables import load, own_source

ROOM = 1.25  # inside diameter over bundle diameter, upper figure of loom_fill_rules
SERIES = {"AWG": "inch split loom", "mm2": "metric corrugated NW"}  # series of loom_sizes a counter stocks
HOT_C = 85.0  # above it polyethylene tube goes soft, and tube and ties of a hotter class are asked for
VERY_HOT_C = 125.0  # above it no nylon either: glass-fibre sleeve
BRAID_ADDS_MM = 1.5  # on the diameter (common practice)
TAPE = "harness tape, wound half over itself"
TAPE_ADDS_MM = 0.8  # on the diameter, 0.2 mm tape wound half over itself (common practice)


@dataclass(frozen=True, slots=True)
class Covering:
    """What goes round a run."""

    text: str  # "" when bare
    outside_mm: float


def is_hot(*, ambient_c: float, near: tuple[str, ...]) -> bool:
    """Whether plain plastic is out of its class: above 85 °C or beside the exhaust (common practice)."""
    return ambient_c > HOT_C or "exhaust" in near


def _class(ambient_c: float, near: tuple[str, ...]) -> str:
    if ambient_c > VERY_HOT_C:
        return f"for {ambient_c:g} °C: ask for a glass-fibre or silicone sleeve instead"
    if is_hot(ambient_c=ambient_c, near=near):
        return "heat-resistant nylon, 125 °C class"
    return "polyethylene or nylon"


def _corrugated(bundle_mm: float, sizes: str, material: str) -> Covering | None:
    for row in load("loom_sizes").rows:
        inside_mm = float(row["inside_dia_mm"])
        if row["series"] == SERIES[sizes] and inside_mm >= ROOM * bundle_mm:
            return Covering(_tube_text(row, sizes, material), float(row["outside_dia_mm"]))
    return None


def _tube_text(row: Mapping[str, str], sizes: str, material: str) -> str:
    unit = " in" if sizes == "AWG" and not own_source(row) else ""
    inside_mm = float(row["inside_dia_mm"])
    return f"split corrugated tube, {row['nominal']}{unit} ({inside_mm:g} mm inside), {material}"


def _braid_text(row: Mapping[str, str]) -> str:
    unit = "" if own_source(row) else " in"
    return f"expandable braided sleeve, {row['nominal_in']}{unit}"


def _braid(bundle_mm: float, _sizes: str, _material: str) -> Covering | None:
    for row in load("braided_sleeving").rows:
        if float(row["min_bundle_mm"]) <= bundle_mm <= float(row["max_bundle_mm"]):
            return Covering(_braid_text(row), round(bundle_mm + BRAID_ADDS_MM, 1))
    return None


def _tape(bundle_mm: float, _sizes: str, _material: str) -> Covering | None:
    return Covering(TAPE, round(bundle_mm + TAPE_ADDS_MM, 1))


FORMS: Mapping[str, Callable[[float, str, str], Covering | None]] = {
    "corrugated": _corrugated,
    "braid": _braid,
    "tape": _tape,
}
NEXT = {"corrugated": ("corrugated", "braid", "tape"), "braid": ("braid", "tape"), "tape": ("tape",)}


def covering(
    *, asked: str | None, bundle_mm: float, ambient_c: float, near: tuple[str, ...], sizes: str
) -> Covering:
    """What goes round a bundle: corrugated unless the survey asks otherwise; the next form if it is too big.

    ``asked``: "corrugated", "braid", "tape", "none" or None. ``bundle_mm``: diameter of the bare bundle [mm].
    ``ambient_c``: of the run [°C]. ``sizes``: "AWG" for inch sizes, "mm2" for metric ones.
    Source: loom_sizes, braided_sleeving (memory); 1.25 x from loom_fill_rules; classes are common practice.
    """
    if asked == "none":
        return Covering("", bundle_mm)
    material = _class(ambient_c, near)
    found = (FORMS[form](bundle_mm, sizes, material) for form in NEXT[asked or "corrugated"])
    return next(each for each in found if each is not None)


def cover_run(run: RunResult, survey: Run, *, sizes: str, new: bool) -> Covering:
    """The covering of a run; one with kept cables only (``new`` false) keeps what it has unless asked."""
    if run.bundle_mm <= 0 or (not new and survey.covering is None):
        return Covering("", run.bundle_mm)
    return covering(
        asked=survey.covering,
        bundle_mm=run.bundle_mm,
        ambient_c=run.ambient_c,
        near=survey.near,
        sizes=sizes,
    )


def catalogue() -> list[str]:
    """Every covering for places up to 125 °C, in the words of the list of materials."""
    found = [
        _tube_text(row, sizes, _class(ambient_c, ()))
        for sizes, series in SERIES.items()
        for row in load("loom_sizes").rows
        if row["series"] == series
        for ambient_c in (HOT_C, VERY_HOT_C)
    ]
    found += [_braid_text(row) for row in load("braided_sleeving").rows]
    return [*found, TAPE]
