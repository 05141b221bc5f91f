"""The design: the whole answer computed from one survey, and the shape of design.json.

Field names are the JSON keys, so a change here is a change of the published format. Units are in the names.
``None`` means "does not apply".
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from harness.model.assembly import AssemblyStep
from harness.model.bands import ModeBands
from harness.model.bundles import Bend, Fastener, Fill, Spacing, Stretch, Trim
from harness.model.buying import BuyingTotal, OffcutUse, Purchase
from harness.model.grounds import ChargeLine, Ground, GroundCable
from harness.model.hardware import StudStack, Suppressor
from harness.model.joints import JointResult
from harness.model.labels import LabelRule
from harness.model.laying import WayTaken
from harness.model.looms import CouplerResult, LoomResult
from harness.model.operating import ChargeBalance, Dimming, Operating, Standing, StartResult
from harness.model.shorts import FaultResult, FuseCurve, FuseOrder
from harness.model.spares import PanelWays
from harness.model.tools import Tool

Severity = Literal["danger", "fault", "advice"]


@dataclass(frozen=True, slots=True)
class Point:
    """One end of a wire."""

    part: str  # part or splice name
    terminal: str  # "" at a splice
    place: str
    kind: Literal["part", "splice"]

    def __str__(self) -> str:
        """In words: "key 15", "splice S1"."""
        return f"splice {self.part}" if self.kind == "splice" else f"{self.part} {self.terminal}".rstrip()


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit on one wire: the least area it asks for and the numbers it was worked out from."""

    name: Literal[
        "ampacity", "heat", "loom heat", "short time", "protection", "drop", "strap", "coupler", "mechanical",
        "survey", "as wired",
    ]  # fmt: skip
    least_size: str  # smallest size that satisfies it, e.g. "14 AWG"; "" when none does
    least_area_mm2: float | None  # None when no size satisfies it
    value: float  # what the wire has to carry or stay under
    allowed: float  # what the chosen size allows
    unit: str
    formula: str  # with the numbers in it
    source: str  # document and table, with its certainty


@dataclass(frozen=True, slots=True)
class Breach:
    """One limit that a wire would break if it were a size thinner."""

    limit: str  # as in Limit
    load: str  # the load that would lose too much, "" for limits of the wire itself
    link: str  # which of the part's loads
    mode: str
    value: float  # what the thinner wire would have to carry, or the load lose
    allowed: float
    unit: str
    text: str


@dataclass(frozen=True, slots=True)
class NextSize:
    """The next size down from the chosen one, and what it would break."""

    size: str  # "" when there is none
    area_mm2: float | None
    breaks: list[Breach]
    note: str  # why it is not taken where it breaks nothing, or why there is none


@dataclass(frozen=True, slots=True)
class WireLoad:
    """What one load that hangs on a wire loses at its worst, and how much it has to spare."""

    load: str
    link: str  # which of the part's loads: "50/case"
    mode: str
    at_peak: bool  # while it draws its peak
    here_v: float  # in this wire
    drop_v: float  # on its way
    allowed_v: float
    slack_v: float  # below zero where it is starved
    source: str  # who allows so much
    side: str  # "live side" or "ground side" where only that stretch of the way is held to it


@dataclass(frozen=True, slots=True)
class WireEnd:
    """What goes on one end of a wire, in the order it is threaded on."""

    terminal: str  # catalogue text: "ring M8, for 14-16 AWG" or "butt splice", "" at a pigtail joint
    stud: str  # stud or blade it fits, "" when none
    strip_mm: float
    shrink: str  # catalogue text of the heat-shrink, "" when none
    shrink_mm: float  # cut length of the heat-shrink
    label: str  # text on the label
    notes: str
    source: str
    boot: str = ""  # catalogue text of the rubber boot, "" when none
    threading: list[str] = field(default_factory=list)  # what to do at this end, in this order
    pull_n: float = 0.0  # least pull a trial crimp must hold; 0 when no table says
    pull_source: str = ""  # whose figure that is
    die: str = ""  # what it is crimped with, "tube lug, 2/0 AWG"; "" when nothing is crimped
    label_near_mm: float | None = None  # from the terminal to the label; None: one label, in the middle
    label_far_mm: float | None = None  # it may sit as far off as this


@dataclass(frozen=True, slots=True)
class Addition:
    """What a wire is cut longer by, and why."""

    what: str
    length_m: float  # below zero where it is cut shorter: its splice lies on its way


@dataclass(frozen=True, slots=True)
class Wire:
    """One wire of the design."""

    number: str
    circuit: str
    from_: Point  # "from" in the JSON
    to: Point
    length_m: float  # cut length: run length with slack and end allowances, rounded up
    run_length_m: float  # along the runs, as measured
    size: str  # "14 AWG" or "2.5 mm2"
    area_mm2: float
    outside_mm: float
    cable: str
    colour: str  # "RD/BK" (IEC 60757 letters, base/tracer)
    current_a: dict[str, float]  # by mode, steady; magnitude
    continuous_a: float  # worst mode, without what is on for a short spell only
    short_a: float  # worst sum with short-spell loads and peaks
    short_s: float  # for how long at most; 0 when there is none
    drop_v: float  # at the worst mode's steady current, working temperature
    resistance_ohm: float  # at working temperature
    conductor_c: float  # working temperature of the conductor, hottest stretch
    ambient_c: float  # hottest zone on its way
    ampacity_a: float  # corrected
    ampacity_base_a: float
    ambient_factor: float
    bundle_factor: float
    bundle_loaded: int
    margin: float  # ampacity over current, as a share; 0.25 means a quarter to spare
    fuse: str  # the nearest fuse that guards it, "" when none
    fuse_a: float | None
    runs: list[str]
    decided_by: str  # name of the limit that set the size
    limits: list[Limit]
    kept: bool
    from_end: WireEnd
    to_end: WireEnd
    assumed: list[str]
    next_down: NextSize | None = None
    loads: list[WireLoad] = field(default_factory=list)  # the one with the least to spare first
    fine_stranded: bool = False  # made to bend: it lies in a run that the survey wants so
    freeing: list[str] = field(default_factory=list)  # where its size does not do: what conflicts, what frees
    cost: str = ""  # of its length by the price list, a decimal number; "" without one
    additions: list[Addition] = field(
        default_factory=list
    )  # from the length along the runs to the cut length
    way: WayTaken | None = None  # where something was asked of its way


@dataclass(frozen=True, slots=True)
class LoadVolts:
    """What one load sees in one mode."""

    mode: str
    current_a: float
    volts_v: float
    drop_v: float  # with everything on at once
    judged_v: float  # with its own current and what stays on: held against the allowance
    source_v: float


@dataclass(frozen=True, slots=True)
class LoadResult:
    """One load and the volts it sees in every mode that works it."""

    part: str
    link: str  # which of the part's loads: "50/case"
    circuit: str
    place: str
    steady_a: float
    peak_a: float | None
    peak_s: float | None
    allowance_v: float
    allowance_source: str
    peak_allowance_v: float | None
    peak_drop_v: float | None
    modes: list[LoadVolts]
    fuse: str
    assumed: list[str]
    freeing: list[str] = field(default_factory=list)  # where no size feeds it: what conflicts, what frees it


@dataclass(frozen=True, slots=True)
class Fuse:
    """One fuse, breaker or fusible link of the design."""

    name: str  # "F4", or "panel F3"
    part: str
    link: str
    place: str
    form: str  # "blade (ISO 8820-3 type C)"
    rating_a: float
    colour: str  # of its body
    fixed: bool  # the survey gave the rating
    load_a: float  # steady, worst mode
    peak_a: float
    peak_s: float
    least_a: float  # smallest rating the load allows
    most_a: float  # largest the wires behind it allow
    wires: list[str]  # numbers of the wires it guards
    formula: str
    source: str
    continuous_share: float = 1.0  # of its rating, carried for ever where it sits
    ambient_c: float = 25.0  # of that place
    share_words: str = ""  # how the share came about
    share_source: str = ""
    asks_a: float = 0.0  # ampacity asked of every wire behind it: rating, or sure to open over 1.45
    size: str = ""  # of a fusible link: "14 AWG"
    length_m: float | None = None  # of a fusible link


@dataclass(frozen=True, slots=True)
class TerminalUse:
    """One terminal of a part and what lands on it."""

    terminal: str
    fitting: str
    size: str
    wires: list[str]


@dataclass(frozen=True, slots=True)
class InnerLink:
    """A way for current inside a part, as drawn."""

    name: str
    a: str
    b: str
    kind: str  # contact, fuse, load, bus, source


@dataclass(frozen=True, slots=True)
class PartResult:
    """One part with its terminals."""

    name: str
    kind: str
    title: str
    role: str
    letter: str
    symbol: str
    place: str
    body: str | None
    terminals: list[TerminalUse]
    links: list[InnerLink]
    assumed: list[str]
    notes: str


@dataclass(frozen=True, slots=True)
class Splice:
    """One joint of one wire to several."""

    name: str
    place: str
    chosen: bool  # the tool chose the place
    circuit: str
    wires: list[str]
    fitting: str  # catalogue text of the splice
    shrink: str
    shrink_mm: float
    run: str = ""  # the run it lies in, "" where it lies at its place
    from_place: str = ""  # the end of that run it is measured from
    offset_m: float = 0.0  # from there to its middle
    spot: str = ""  # the same in words: "140 mm from left rail towards bulkhead"


@dataclass(frozen=True, slots=True)
class RunResult:
    """One run with what lies in it and what goes round it."""

    name: str
    start: str
    end: str
    length_m: float
    zone: str
    ambient_c: float
    wires: list[str]
    bundle_mm: float
    bundle_formula: str
    hole_mm: float | None
    plate_mm: float | None
    grommet: str  # catalogue text, "" when there is no hole or none fits
    grommet_inside_mm: float | None
    covering: str  # catalogue text, "" when bare
    covering_outside_mm: float
    ties: int
    tie: str  # catalogue text
    clamps: int
    clamp: str
    moves: bool
    loom_c: float | None = None  # its hottest conductor with the currents of its worst mode; None when empty
    loom_mode: str = ""  # that mode
    bend: Bend | None = None  # None when nothing lies in it
    spares: list[str] = field(default_factory=list)  # numbers of the spare wires in it
    spacing: Spacing | None = None  # None where nothing is tied or clamped
    fill: Fill | None = None  # of its tube or sleeve; None when what goes round it lies close
    covering_m: float = 0.0  # length of covering to cut: more than the run where it is wound on
    fasteners: list[Fastener] = field(default_factory=list)  # of all its clamps
    stretch: Stretch | None = None  # heat-shrink over all of it
    trims: list[Trim] = field(default_factory=list)  # over a hole no grommet lines, along an edge


@dataclass(frozen=True, slots=True)
class PathStep:
    """One step of a circuit as drawn: a wire or a way through a part."""

    wire: str | None
    part: str | None
    link: str | None


@dataclass(frozen=True, slots=True)
class CircuitResult:
    """One circuit as drawn and listed."""

    name: str
    modes: list[str]
    function: str
    colour: str
    paths: list[list[PathStep]]
    texts: list[str]  # the paths as the survey wrote them
    wires: list[str]


@dataclass(frozen=True, slots=True)
class Material:
    """One line to buy."""

    group: Literal[
        "wire", "terminals", "splices", "heat-shrink", "grommets", "covering", "ties", "clamps",
        "labels", "fuses", "relays", "holders", "other",
    ]  # fmt: skip
    item: str  # words a counter person can pick from
    size: str
    colour: str
    quantity: float  # exact need
    with_waste: float  # what to ask for
    unit: Literal["m", "each"]
    longest_m: float | None  # longest single piece, for wire and sleeving
    used_on: list[str]  # wire numbers, runs or parts
    source: str  # of the figures, with certainty
    key: str = ""  # the same for the same thing in every design: what a price list is matched by


@dataclass(frozen=True, slots=True)
class Finding:
    """Something the design rules have to say."""

    rule: str
    severity: Severity
    subject: str  # wire, part, run or circuit it is about
    text: str  # what is wrong, with the numbers
    source: str
    cure: str
    where: str  # spot in the survey


@dataclass(frozen=True, slots=True)
class ModeResult:
    """One mode: who feeds the machine and what it draws."""

    name: str
    engine: str
    source_v: float  # at the battery posts
    load_a: float  # sum of the loads
    charge_a: float  # what the alternator can give


@dataclass(frozen=True, slots=True)
class MachineInfo:
    """The machine's own data, as printed in title blocks."""

    name: str
    voltage_v: float
    chassis_post: str
    cable: str
    sizes: str
    rules: str
    rules_title: str
    rules_sources: list[str]
    colours: str
    numbering: str
    file: str
    digest: str
    assumed: list[str]
    catalogue: str = ""  # the user's own items it was designed with, file and digest; "" without
    revision: str = ""  # as the survey says it, "" where it does not
    choices: list[str] = field(
        default_factory=list
    )  # settled for the machine, in words; the first is the file
    notes: list[str] = field(default_factory=list)  # of the survey, as they were written
    spare: str = ""  # the survey's remark on spare wires


@dataclass(frozen=True, slots=True)
class Totals:
    """What the whole loom comes to."""

    wires: int
    kept_wires: int
    wire_length_m: float  # of new wire, cut lengths
    copper_kg: float  # of new wire
    baseline_copper_kg: float  # the same by the plain wire-by-wire rule
    baseline_unfit: int  # wires which that rule makes too thick for the terminals they land on
    worst_drop_v: float
    worst_drop_load: str
    worst_drop_share: float  # of system voltage
    method: str = (
        "optimum"  # or "table", the wire-by-wire rule; "as wired": the least new wire beside what is there
    )
    proven_gap: float | None = None  # of the last size program, at its currents; 0: proven there
    spools: int = 0  # different size, colour and cable of new wire
    baseline_spools: int = 0  # the same by the wire-by-wire rule
    wire_cost: str = ""  # of new wire by length, a decimal number; "" without a price list
    baseline_wire_cost: str = ""  # the same by the wire-by-wire rule
    currency: str = ""  # as the price list says
    baseline_starved: int = 0  # loads which that rule would leave without their volts


@dataclass(frozen=True, slots=True)
class Design:
    """The whole answer."""

    format: str  # "harness design 1"
    program: str
    machine: MachineInfo
    modes: list[ModeResult]
    places: dict[str, str]  # place -> zone
    parts: list[PartResult]
    circuits: list[CircuitResult]
    wires: list[Wire]
    splices: list[Splice]
    runs: list[RunResult]
    fuses: list[Fuse]
    loads: list[LoadResult]
    materials: list[Material]
    findings: list[Finding]
    totals: Totals
    cautions: list[str]
    faults: list[FaultResult] = field(default_factory=list)
    fuse_order: list[FuseOrder] = field(default_factory=list)
    fuse_curves: list[FuseCurve] = field(default_factory=list)
    buying: list[Purchase] = field(default_factory=list)
    grounds: list[Ground] = field(default_factory=list)
    ground_cables: list[GroundCable] = field(default_factory=list)
    operating: list[Operating] = field(default_factory=list)
    charge_balance: list[ChargeBalance] = field(default_factory=list)
    starts: list[StartResult] = field(default_factory=list)
    standing: list[Standing] = field(default_factory=list)
    dimming: list[Dimming] = field(default_factory=list)
    charge_lines: list[ChargeLine] = field(default_factory=list)
    couplers: list[CouplerResult] = field(default_factory=list)
    looms: list[LoomResult] = field(default_factory=list)
    offcuts: list[OffcutUse] = field(default_factory=list)
    buying_totals: list[BuyingTotal] = field(default_factory=list)
    panels: list[PanelWays] = field(default_factory=list)
    spares: list[Wire] = field(default_factory=list)  # capped at both ends, in no circuit
    joints: list[JointResult] = field(default_factory=list)  # branches, and what each way comes to
    assembly: list[AssemblyStep] = field(default_factory=list)
    studs: list[StudStack] = field(default_factory=list)
    suppressors: list[Suppressor] = field(default_factory=list)
    tools: list[Tool] = field(default_factory=list)
    label_rule: LabelRule | None = None  # how large labels are
    bands: list[ModeBands] = field(default_factory=list)  # between which a sound machine's readings lie
