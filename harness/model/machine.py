"""The checked machine: what a survey says once every name, unit and path in it has been resolved.

Units are in the names: ``_m`` metres, ``_a`` amperes, ``_v`` volts, ``_w`` watts, ``_c`` degrees Celsius,
``_mm`` and ``_mm2`` millimetres, ``_ohm`` ohms, ``_s`` seconds, ``_ah`` ampere-hours.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from harness.model.accepted import Accepted
from harness.model.assembly import OldWire
from harness.model.catalogue import Catalogue
from harness.model.doubts import Doubt
from harness.model.joints import JointWish
from harness.model.laying import FREE, Laying
from harness.model.problem import Where
from harness.model.spares import LONG_BRANCHES, USUAL, SpareAsk, SpareRules, SpareWireRule

Post = Literal["negative", "positive"]
LinkKind = Literal["contact", "fuse", "load", "bus", "source"]
EngineState = Literal["stopped", "cranking", "running"]
Speed = Literal["rated", "idle"]


@dataclass(frozen=True, slots=True)
class Zone:
    """How hot and how wet it is along a run or at a place."""

    name: str
    ambient_c: float
    wet: bool
    closed: bool  # inside a cab, dash or box: out of reach of stones and boots
    assumed: bool
    where: Where
    sun: bool = False  # the sun stands on it
    shakes: bool = False  # it vibrates


@dataclass(frozen=True, slots=True)
class Run:
    """The measured way between two places."""

    name: str  # "battery box - left rail"
    start: str
    end: str
    length_m: float
    zone: str
    hole_mm: float | None  # bore of the plate hole it passes, None when there is none
    plate_mm: float | None  # thickness of that plate
    grommet: bool  # False when the survey says the hole stays bare
    moves: bool  # crosses a hinge or other joint that moves
    near: tuple[str, ...]  # of "exhaust", "edge", "hose", "fuel line"
    covering: str | None  # as survey.words.COVERINGS; None lets the tool choose
    where: Where
    fine: bool = False  # wires in it are fine-stranded, made to bend
    edge_m: float | None = None  # how much of it lies against an edge; None: not said
    clamps_every_m: float | None = None  # most there may be between two; None: by zone and cable
    ties_every_m: float | None = None
    shrink: str = ""  # heat-shrink all over it: "yes", "thin", "adhesive"


@dataclass(frozen=True, slots=True)
class Terminal:
    """Where a wire can land on a part."""

    name: str
    fitting: Literal["stud", "blade", "post", "pigtail", "pin", "screw"]
    size: str  # thread of a stud ("M8", "3/8"), width of a blade in mm ("6.3"), else ""


@dataclass(frozen=True, slots=True)
class Load:
    """What a load draws. Steady is what it draws for as long as it is on (or for ``steady_s`` at most)."""

    steady_a: float
    steady_s: float | None  # None: as long as the mode lasts; else the longest spell in seconds
    peak_a: float | None  # inrush or pull-in
    peak_s: float | None
    power_w: float | None  # as the survey gave it, None when it gave amperes
    nature: Literal["lamp", "motor", "heater", "coil", "electronics", "signal"]
    off_s: float | None = None  # on for ``steady_s``, off for this long, again and again; None: not repeated


@dataclass(frozen=True, slots=True)
class Link:
    """A way for current inside a part, from one of its terminals to another.

    ``b`` may be ``"case"``: the metal of the part, bonded to the body the part sits on.
    """

    name: str  # "30/15"
    a: str
    b: str
    kind: LinkKind
    resistance_ohm: float  # 0 for loads and sources
    load: Load | None = None
    rating_a: float | None = None  # fuse rating the survey fixed, or what a contact may carry
    form: str | None = None  # form of fuse
    opens: Literal["manual", "automatic", "power off"] | None = None  # SAE J553 type III, I, II breaker


@dataclass(frozen=True, slots=True)
class Part:
    """Anything with terminals."""

    name: str
    kind: str
    title: str  # the kind in words, for lists
    role: Literal["source", "load", "switch", "relay", "fuse", "stud", "ground", "sender", "gauge", "coupler"]
    letter: str  # IEC 81346-2 class letter
    symbol: str  # name of the symbol in the drawings
    place: str
    body: str | None  # the lump of metal its case sits on, when that carries its return
    terminals: tuple[Terminal, ...]
    links: tuple[Link, ...]
    inlet: str
    outlet: str
    rated_v: float | None
    capacity_ah: float | None
    cranking_a: float | None  # cold-cranking rating, SAE J537 (-18 °C) or EN
    output_a: float | None  # what an alternator or dynamo can give
    needs_polarity: bool  # does not work, or burns, the wrong way round
    suppressed: bool | None  # a coil with diode or resistor across it; None: not a coil
    allowance: str  # row of the drop allowance table that its main load falls under
    assumed: tuple[str, ...]  # what was filled in from the kind and not measured
    notes: str
    where: Where
    idle_output_a: float | None = None  # what a generator gives at idle
    charge: float | None = None  # state of charge of a battery, 0 to 1, when the machine is started
    insulated: bool | None = None  # its return stands apart from its case; None: not said
    range_ohm: tuple[float, float] | None = None  # a sender's, or what a gauge wants: empty to full
    pin_a: float | None = None  # what one pin of a connector may carry
    way_a: float | None = None  # the most one way of a coupler may carry
    bare_coil: bool = False  # the survey says that nothing is across its coil


@dataclass(frozen=True, slots=True)
class Body:
    """A lump of metal that carries return current."""

    name: str
    where: Where
    metal: str = ""  # "steel", "iron", "aluminium"; "" when not said


class End(NamedTuple):
    """One end of a wire: a part's terminal, a splice, or (before routing) a body.

    ``kind`` says which: a part has both names set; at a splice or a body ``terminal`` is "".
    A tuple and no dataclass: it is the key of nearly every index, and a tuple is hashed far faster.
    """

    kind: Literal["part", "splice", "body"]
    name: str
    terminal: str = ""

    def __str__(self) -> str:
        return f"{self.name} {self.terminal}".rstrip()


@dataclass(frozen=True, slots=True)
class WireSpec:
    """One wire as the paths call for it, before it has a route or a size."""

    index: int
    a: End  # the end nearer the source, as the path is written
    b: End
    circuit: str  # the first circuit that calls for it
    keep: bool  # an old cable that stays
    size: str | None  # as the survey fixed it: "2/0 AWG", "16 mm2"
    length_m: float | None  # measured, overrides the runs
    colour: str | None
    cable: str | None
    where: Where
    ends: str = ""  # of a kept cable: "crimped", "soldered", "clamp-on"; "" when not said
    labelled: bool = False  # a kept wire that carries its number at both ends
    mate_mm2: float = 0.0  # least area that fits the contact its other half in a coupler needs
    whole: bool = False  # cut at a coupler it would be too thick for a contact
    origin: int | None = None  # index of the wire it is a half of
    laying: Laying = FREE  # which way it must go


@dataclass(frozen=True, slots=True)
class SpliceSpec:
    """A joint of one wire to several that the paths call for."""

    name: str  # "S1"
    place: str | None  # None lets the tool choose
    circuit: str
    where: Where
    chosen: bool = False  # the tool put it there, and other looms already hang on that
    joint: JointWish | None = None  # how this branch is made; None: as the machine says
    open_to: tuple[str, ...] = ()  # places that the ways of its wires leave it; (): any


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a path: along a wire (``wire`` is its index) or through a part (``part`` and ``link``)."""

    wire: int | None = None
    part: str | None = None
    link: str | None = None


@dataclass(frozen=True, slots=True)
class Path:
    """One path as written, flattened depth first; a branch returns to its splice without a step for it."""

    text: str
    steps: tuple[Step, ...]
    where: Where


@dataclass(frozen=True, slots=True)
class Circuit:
    """A named set of paths with a purpose, the modes it works in and what drop it may have."""

    name: str
    modes: tuple[str, ...]
    allowance_v: float | None  # whole circuit, feed and return; None: by the kind of load
    function: str  # row of the colour table
    colour: str | None
    paths: tuple[Path, ...]
    where: Where


@dataclass(frozen=True, slots=True)
class Mode:
    """A state of the machine that draws current."""

    name: str
    engine: EngineState
    where: Where
    speed: Speed = "rated"  # of a running engine


@dataclass(frozen=True, slots=True)
class Machine:
    """Everything the survey says, checked."""

    name: str
    voltage_v: float
    chassis_post: Post
    cable: str  # "GXL", "TXL", ... or "class A" ... "class H"
    sizes: Literal["AWG", "mm2"]
    rules: str  # name of the rule set
    colours: Literal["by function", "BS AU 7a", "numbered"]
    numbering: Literal["by point", "by circuit", "in order"]
    slack: float  # share added to run lengths, 0.05 is 5 %
    waste: float  # share added when buying wire
    spare: str  # free text of what may be added later, printed with the machine
    zones: Mapping[str, Zone]
    place_zones: Mapping[str, str]  # every place, with the zone that governs it
    runs: tuple[Run, ...]
    bodies: Mapping[str, Body]
    parts: Mapping[str, Part]
    modes: tuple[Mode, ...]
    circuits: tuple[Circuit, ...]
    wires: tuple[WireSpec, ...]
    splices: tuple[SpliceSpec, ...]
    assumed: tuple[str, ...] = ()  # machine-level things that were filled in
    file: str = ""
    digest: str = ""  # of the survey text, printed on drawings
    notes: tuple[str, ...] = field(default=())
    place_reach_m: Mapping[str, float] = field(default_factory=dict)  # place -> how far apart its parts stand
    altitude_m: float = 0.0  # above sea level, 0 when the survey says nothing
    coldest_c: float = -10.0  # lowest temperature it must start at
    looked_for: tuple[str, ...] = ()  # hidden things searched for in the old loom: "diode", ...
    route: Literal["short", "cool"] = "short"
    joints: JointWish = "splice"  # how branches are made
    loom_names: Mapping[str, str] = field(default_factory=dict)  # place -> what its loom is called
    allowances_m: Mapping[str, float] = field(default_factory=dict)  # what is added, as the survey says it
    reterminate: int = 2  # how often the wire at an end is long enough to be cut back and crimped again
    spares: SpareRules = USUAL  # how much more than is needed
    catalogue: Catalogue = field(default_factory=Catalogue)  # the user's own items
    spare_wires: SpareWireRule = LONG_BRANCHES
    spare_asks: tuple[SpareAsk, ...] = ()
    old_wires: tuple[OldWire, ...] = ()  # that still lie in the machine
    revision: str = ""  # which state of the drawings this is, as the survey says it
    clamps_every_m: float | None = None  # on every run that says nothing else
    ties_every_m: float | None = None
    doubts: tuple[Doubt, ...] = ()  # figures written with a question mark: not measured
    accepted: Accepted = field(default_factory=Accepted)  # substitutions of the counter
    self_propelled: bool | None = None  # whether it can drive off; None where the survey says nothing
