"""What a dead short draws behind every fuse, and how fuses stand to wires and to each other."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class FaultResult:
    """A dead short to the chassis at the far end of one wire, engine stopped.

    ``current_a`` is the least: copper hot, battery half charged and cold; ``most_a`` the most.
    """

    wire: str
    fuse: str  # the last one before the wire, "" when there is none
    fuse_a: float | None
    current_a: float
    path_ohm: float  # battery, feed and way home, where the current is least
    clearing_s: float | None  # at most; None when it may never open or no band is published
    let_through_a2s: float | None  # until then
    wire_stands_a2s: float  # k²S² from working temperature to the insulation's short-circuit limit
    cleared: bool | None  # None when no fuse or no published band
    stands: bool | None  # the wire outlasts what the fuse lets through
    formula: str
    source: str
    most_a: float = 0.0  # copper at 20 °C, fuses cold, battery full and warm
    shares: dict[str, float] = field(default_factory=dict)  # fuse -> share, where several see the current
    limited: bool = False  # a voltage converter holds the current down


@dataclass(frozen=True, slots=True)
class FuseOrder:
    """Two fuses in series: does the one nearer the load open first?"""

    near: str
    far: str
    most_a: float  # fault current right behind the nearer one
    in_order: bool  # at every current up to that
    wrong_from_a: float | None  # least current at which the farther one may open too


@dataclass(frozen=True, slots=True)
class BandPoint:
    """One row of a fuse's time-current band."""

    current_a: float
    least_s: float | None  # holds at least so long
    most_s: float | None  # is open by then


@dataclass(frozen=True, slots=True)
class OverloadResult:
    """A current that a fuse may carry for long before it opens, and what a wire behind it stands so long."""

    wire: str
    current_a: float
    seconds_s: float
    stands_a: float


@dataclass(frozen=True, slots=True)
class FuseCurve:
    """One fuse's band with what it has to let pass and what it has to guard."""

    fuse: str
    form: str
    rating_a: float
    band: list[BandPoint]
    load_a: float
    spells: list[list[float]]  # current [A] and time [s] of each short spell it has to outlast
    wire: str  # the one behind it that stands the least heat
    wire_size: str
    wire_stands_a2s: float | None
    ampacity_a: float | None  # of the thinnest behind it
    fault_least_a: float | None
    fault_most_a: float | None
    behind_most_a: float | None = None  # most that a short right behind it draws, itself bridged
    breaks_a: float | None = None  # breaking capacity of its form; None where none is known
    breaks_source: str = ""
    backed: bool = False  # a fuse before it breaks that much
    overload: OverloadResult | None = None  # the row of its band that is hardest on a wire behind it
    wire_stands: list[list[float]] = field(default_factory=list)  # current [A] and time [s] of the weakest
    size: str = ""  # of a fusible link
