"""Between which values a sound machine's readings lie in every mode; part of design.json.

Units are in the names. A band holds what the machine may be, not the error of a meter.
"""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class LoadBand:
    """What one load sees and draws, at the least and at the most."""

    part: str
    link: str
    volts_v: tuple[float, float]
    current_a: tuple[float, float]
    lost_v: tuple[float, float]  # from the battery posts to the load and back


@dataclass(frozen=True, slots=True)
class ModeBands:
    """One mode between the weakest and the strongest that the machine may be on the day."""

    mode: str
    posts_v: tuple[float, float]  # at the battery, highest post
    loads: list[LoadBand] = field(default_factory=list)
