"""Which heat-shrink tube goes over a joint, and how long to cut it."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

from harness.tables import load, remembered

LEFT_OUT = "AMS-DTL-23053/5"  # its sizes are those of the thin-wall sheet that was read
RATIO = re.compile(r"([0-9]+(?:[.][0-9]+)?):1")
KEPT_ADHESIVE = 0.85  # share of the cut length left at worst, "5 to 15 % of cut length"
KEPT_THIN = 0.95  # 23053/5: 5 % loss at most
CUT_STEP_MM = 5
OVER_WIRE_MM = 6.0  # of wire covered beyond a crimp: US Army TM 5-3805-291-23-1, in heat_shrink_rules
LEAST_ON_TERMINAL_MM = 25  # "1 in long for terminals": US Army TM 5-4120-359-14, in heat_shrink_rules
OVERLAP_MM = 10.0  # on the insulation at each side of a splice; 6 mm at least, shops use 10 to 13 mm
TABLES = ("heat_shrink", "heat_shrink_rules")


@dataclass(frozen=True, slots=True)
class Tube:
    """One size of heat-shrink tube."""

    ratio: float  # of its kind, 3 for 3:1
    nominal: str
    expanded_mm: float  # inside, as bought
    recovered_mm: float  # inside, shrunk free
    adhesive: bool

    def __str__(self) -> str:
        kind = "adhesive-lined" if self.adhesive else "thin wall"
        return f"heat-shrink, {kind}, {self.ratio:g}:1, {self.nominal} mm"


@remembered
def _limit(rule: str) -> float:
    """The factor a sizing rule starts with."""
    figure = next(row["figure"] for row in load("heat_shrink_rules").rows if row["rule"] == rule)
    return float(figure.split()[0])


def fits(tube: Tube, *, smallest_mm: float, largest_mm: float) -> bool:
    """Whether a tube grips the smallest and passes over the largest diameter it covers.

    Source: heat_shrink_rules, a maker's sizing guide (read): object at least 1.10 x the recovered and at
    most 0.80 x the expanded inside diameter.
    """
    grips = smallest_mm >= _limit("lower limit of object size") * tube.recovered_mm
    return grips and largest_mm <= _limit("upper limit of object size") * tube.expanded_mm


def _tube(row: Mapping[str, str]) -> Tube:
    ratio = RATIO.search(row["family"])
    return Tube(
        float(ratio[1]) if ratio else 1.0,
        row["nominal_size"],
        float(row["expanded_id_min_mm"]),
        float(row["recovered_id_max_mm"]),
        "adhesive" in row["family"],
    )


@remembered
def tubes(*, adhesive: bool) -> tuple[tuple[Tube, ...], ...]:
    """Every size in the table ``heat_shrink``: a group for each ratio, the least ratio first."""
    groups: dict[float, list[Tube]] = {}
    for row in load("heat_shrink").rows:
        tube = _tube(row)
        if tube.adhesive == adhesive and LEFT_OUT not in row["family"]:
            groups.setdefault(tube.ratio, []).append(tube)
    return tuple(tuple(groups[ratio]) for ratio in sorted(groups))


@remembered
def choose(*, smallest_mm: float, largest_mm: float, adhesive: bool) -> Tube | None:
    """The largest tube that fits, "easier to slide on and gives the wall thickness"; None when none does.

    The kind that shrinks least is asked first: a higher ratio costs more (common practice).
    ``smallest_mm``, ``largest_mm``: least and greatest diameter under the tube, wire and barrel [mm].
    ``adhesive``: lined with glue, for wet places.
    """
    for group in tubes(adhesive=adhesive):
        good = [each for each in group if fits(each, smallest_mm=smallest_mm, largest_mm=largest_mm)]
        if good:
            return max(good, key=lambda tube: tube.expanded_mm)
    return None


def over(*, wire_mm: float, barrel_mm: float, sealed: bool) -> Tube | None:
    """The tube over a barrel and the wire behind it: adhesive-lined if sealed, or if no thin wall fits."""
    largest_mm = max(wire_mm, barrel_mm)
    plain = None if sealed else choose(smallest_mm=wire_mm, largest_mm=largest_mm, adhesive=False)
    return plain or choose(smallest_mm=wire_mm, largest_mm=largest_mm, adhesive=True)


def cut_mm(*, finished_mm: float, adhesive: bool) -> float:
    """Length to cut so that ``finished_mm`` is left after shrinking, up to the next 5 mm [mm].

    >>> cut_mm(finished_mm=35.0, adhesive=True)
    45
    """
    kept = KEPT_ADHESIVE if adhesive else KEPT_THIN
    return math.ceil(round(finished_mm / kept, 6) / CUT_STEP_MM) * CUT_STEP_MM


def on_terminal_mm(*, barrel_mm: float, adhesive: bool) -> float:
    """Cut length over a terminal's barrel and the wire behind it [mm]."""
    return max(LEAST_ON_TERMINAL_MM, cut_mm(finished_mm=barrel_mm + OVER_WIRE_MM, adhesive=adhesive))


def on_splice_mm(*, barrel_mm: float, adhesive: bool) -> float:
    """Cut length over a splice and the insulation at both sides of it [mm]."""
    return cut_mm(finished_mm=barrel_mm + 2 * OVERLAP_MM, adhesive=adhesive)


def catalogue() -> list[str]:
    """Every tube there is, in the words of the list of materials."""
    kinds = (False, True)
    return [str(tube) for adhesive in kinds for group in tubes(adhesive=adhesive) for tube in group]
