"""What stops, and what still works but wrongly, when something is taken out of the machine."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from harness.electric.graph import EdgeKey
from harness.faultfinding.patient import OPEN_OHM, Change, Patient, State

STOPS, WEAK, FED = 0.5, 0.9, 0.05  # shares of a load's volts: it stops, it is weak, it is fed at all
Effect = Literal["stops", "is weak", "is fed the wrong way", "gets too much"]
TOO_MUCH = 1.08  # of its healthy volts


@dataclass(frozen=True, slots=True)
class Affected:
    """One load that no longer has what it should."""

    load: str  # "left head lamp 56b/31"
    part: str
    mode: str
    effect: Effect
    healthy_v: float
    volts_v: float


def without(patients: Mapping[str, Patient], taken: Iterable[EdgeKey], dead: Iterable[str]) -> list[Affected]:
    """Every load whose volts change in any mode when wires and links are opened and sources removed.

    ``taken``: wires and inner links; ``dead``: names of sources that give nothing.
    """
    found: list[Affected] = []
    gone, silent = tuple(taken), frozenset(dead)
    for mode, patient in patients.items():
        kept = tuple(one for one in patient.givers if one.name not in silent)
        change = Change(dict.fromkeys(gone, OPEN_OHM), givers=kept if kept != patient.givers else None)
        after = patient.under(change)
        found += _compared(mode, patient, after)
    return found


def _compared(mode: str, patient: Patient, after: State) -> Iterable[Affected]:
    parts = {" ".join(key): key[0] for key in patient.load_edges if isinstance(key, tuple)}
    for draw in patient.draws:
        healthy, now = patient.healthy.load_v(draw.name), after.load_v(draw.name)
        effect = _effect(healthy, now, draw.rated_v)
        if effect is not None:
            yield Affected(draw.name, parts[draw.name], mode, effect, healthy, now)


def _effect(healthy_v: float, now_v: float, rated_v: float) -> Effect | None:
    if abs(healthy_v) < FED * rated_v:
        return "is fed the wrong way" if abs(now_v) > FED * rated_v else None
    share = now_v / healthy_v
    if share < -FED:
        return "is fed the wrong way"
    if share < STOPS:
        return "stops"
    if share < WEAK:
        return "is weak"
    return "gets too much" if share > TOO_MUCH else None
