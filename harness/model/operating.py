"""What sources and loads really do in every mode, as the design records it; part of design.json.

Units are in the names. ``None`` means "does not apply".
"""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class OperatingSource:
    """What one source gives in one mode as it settles."""

    part: str
    link: str  # "B+/case"; "" for a battery
    gives_a: float  # negative: it is charged
    volts_v: float  # between its terminals


@dataclass(frozen=True, slots=True)
class OperatingLoad:
    """What one load draws and sees in one mode as it settles."""

    part: str
    link: str
    current_a: float
    volts_v: float
    rated_v: float
    rated_a: float
    works: bool  # False: its volts break down
    alone_v: float | None = None  # of a lamp: its volts with nothing but its own circuit on
    peak_v: float | None = None  # while cranking: its volts at its own peak, the others steady


@dataclass(frozen=True, slots=True)
class Operating:
    """The operating point of one mode: loads follow their volts, sources their limits.

    Volts of points count from the chassis post to the live side, so that a meter on a positive-ground
    machine shows them with a minus. A point that no source reaches is left out.
    """

    mode: str
    engine: str
    speed: str  # of a running engine: "rated" or "idle"; else ""
    battery_c: float  # temperature the battery's inner resistance is taken at
    settled: bool  # False: no rest was found
    posts_v: float  # at the battery, highest post
    sources: list[OperatingSource]
    loads: list[OperatingLoad]
    points_v: dict[str, float] = field(default_factory=dict)  # by "battery +", "splice S1", "body cab"
    wires_a: dict[str, float] = field(default_factory=dict)  # by number, below zero against its from and to


@dataclass(frozen=True, slots=True)
class ChargeBalance:
    """What stays on in a running mode against what is generated; the battery makes up the difference."""

    mode: str
    speed: str  # "rated" or "idle"
    load_a: float  # of what stays on, as it settles, and what the wiring's volts take
    charging_most_a: float  # what the generators can give at this speed
    charging_a: float  # what they give
    battery_a: float  # into the battery; negative: it is discharged
    posts_v: float
    hours: float | None  # until the battery no longer cranks, None while it is not discharged
    formula: str


@dataclass(frozen=True, slots=True)
class StartResult:
    """One starter at the coldest start."""

    mode: str
    part: str
    link: str
    battery_c: float
    charge: float  # state of charge of the battery, 0 to 1
    current_a: float
    volts_v: float  # at the starter while it turns
    inrush_v: float | None  # at the starter while it draws its peak; None when no peak is known
    least_v: float  # what it needs
    least_charge: float | None  # lowest state of charge at which it still gets that; None: not even now
    formula: str
    source: str


@dataclass(frozen=True, slots=True)
class Standing:
    """How long a machine may stand in a stopped mode until its battery no longer cranks."""

    mode: str
    drawn_a: float
    self_discharge_a: float
    from_charge: float
    to_charge: float
    capacity_ah: float
    days: float
    formula: str
    source: str


@dataclass(frozen=True, slots=True)
class Dimming:
    """The lamp of a mode that loses most light when another circuit comes on."""

    mode: str
    part: str
    link: str
    alone_v: float  # with nothing but its own circuit on
    volts_v: float  # with everything on
    by: str  # the circuit that takes most
    without_v: float  # with everything on but that
    light_share: float  # of its light that is left when that circuit comes on
