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
    volts_low_v: float
    volts_high_v: float
    current_low_a: float
    current_high_a: float
    lost_low_v: float  # from the battery posts to the load and back
    lost_high_v: float

    @property
    def volts_v(self) -> tuple[float, float]:
        """Least and most volts [V]."""
        return self.volts_low_v, self.volts_high_v

    @property
    def current_a(self) -> tuple[float, float]:
        """Least and most current [A]."""
        return self.current_low_a, self.current_high_a

    @property
    def lost_v(self) -> tuple[float, float]:
        """Least and most of the posts' volts that does not reach it [V]."""
        return self.lost_low_v, self.lost_high_v


@dataclass(frozen=True, slots=True)
class ModeBands:
    """One mode between the weakest and the strongest that the machine may be on the day."""

    mode: str
    posts_low_v: float  # at the battery, highest post
    posts_high_v: float
    loads: list[LoadBand] = field(default_factory=list)

    @property
    def posts_v(self) -> tuple[float, float]:
        """Least and most volts at the battery posts [V]."""
        return self.posts_low_v, self.posts_high_v
