"""The shape of a survey as pydantic forms: which keys stand where, and the JSON Schema for editors."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from harness.kinds import kinds
from harness.survey.fields import (
    Allowance,
    AlsoNothing,
    AlsoText,
    Altitude,
    Ambient,
    CableField,
    Capacity,
    CatalogueFile,
    Charge,
    ClampSpacing,
    CoilPeak,
    CoilSpell,
    Coldest,
    Colour,
    ColoursField,
    CoveringField,
    Cranking,
    CurrentSpell,
    Drop,
    DutyField,
    EdgeLength,
    EndsField,
    EngineField,
    HiddenField,
    HoleMm,
    IdleOutput,
    JointField,
    MetalField,
    Name,
    NearField,
    Note,
    NumberingField,
    OhmRange,
    OptionalRating,
    Output,
    PartName,
    PathText,
    Peak,
    PlaceName,
    PlateMm,
    PostField,
    PowerSpell,
    Rated,
    Rating,
    ResetsField,
    Resistance,
    RouteField,
    RulesField,
    RunLength,
    Share,
    ShrinkField,
    SizesField,
    SpeedField,
    StrandsField,
    StudSize,
    TieSpacing,
    Times,
    Voltage,
    WireCableField,
    WireLength,
    WireSize,
    YesNo,
    empty_list,
    empty_mapping,
    one_or_list,
    read_ways,
)
from harness.survey.keyhelp import key_helps
from harness.survey.shares import CountField, ExtraField, PerField
from harness.survey.words import functions

GroundNames = Annotated[list[Name], BeforeValidator(one_or_list), AlsoText()]  # places and runs


class Form(BaseModel):
    """What all forms share: unknown keys are refused, nothing is changed afterwards."""

    model_config = ConfigDict(defer_build=True, extra="forbid", frozen=True)


class MachineForm(Form):
    """The machine as a whole."""

    name: Name
    voltage_v: Voltage = Field(alias="voltage")
    chassis_post: PostField = Field(alias="chassis post")
    cable: CableField | None = None
    sizes: SizesField | None = None
    rules: RulesField | None = None
    colours: ColoursField | None = None
    numbering: NumberingField | None = None
    route: RouteField | None = None
    joints: JointField | None = None
    slack: Share | None = None
    waste: Share | None = None
    spare: Note | None = None
    looked_for: Annotated[list[HiddenField], BeforeValidator(one_or_list), AlsoText()] = Field(
        default=[], alias="looked for"
    )
    coldest: Coldest | None = None
    altitude: Altitude | None = None
    catalogue: CatalogueFile | None = None
    revision: Name | None = None
    clamps_every: ClampSpacing | None = Field(default=None, alias="clamps every")
    ties_every: TieSpacing | None = Field(default=None, alias="ties every")
    self_propelled: YesNo | None = Field(default=None, alias="self-propelled")


class ZoneForm(Form):
    """How hot and how wet it is."""

    ambient: Ambient | None = None
    wet: YesNo | None = None
    closed: YesNo | None = None
    sun: YesNo | None = None
    shakes: YesNo | None = None


class BodyForm(Form):
    """A lump of metal."""

    metal: MetalField | None = None


class PlaceForm(Form):
    """A place with a zone of its own, or with parts that stand apart."""

    zone: Name | None = None
    reach: RunLength | None = None
    loom: Name | None = None


class RunForm(Form):
    """The measured way between two places."""

    start: PlaceName = Field(alias="from")
    end: PlaceName = Field(alias="to")
    length: RunLength
    zone: Name
    hole: HoleMm | None = None
    plate: PlateMm | None = None
    grommet: YesNo | None = None
    hinge: YesNo | None = None
    edge: EdgeLength | None = None
    clamps_every: ClampSpacing | None = Field(default=None, alias="clamps every")
    ties_every: TieSpacing | None = Field(default=None, alias="ties every")
    shrink: ShrinkField | None = None
    near: Annotated[list[NearField], BeforeValidator(one_or_list), AlsoText()] = []
    covering: CoveringField | None = None
    strands: StrandsField | None = None
    name: Name | None = None


class PartForm(Form):
    """One part; which of the keys its kind takes is checked when the kind is known."""

    kind: Name = Field(alias="is", examples=list(kinds()))
    place: PlaceName = Field(alias="at")
    body: PartName | None = Field(default=None, alias="on")
    power: PowerSpell | None = None
    current: CurrentSpell | None = None
    peak: Peak | None = None
    duty: DutyField | None = None
    coil: CoilSpell | None = None
    coil_peak: CoilPeak | None = Field(default=None, alias="coil peak")
    rating: Rating | None = None
    form: Name | None = None
    ways: Annotated[dict[PartName, OptionalRating], BeforeValidator(read_ways), AlsoText()] | None = None
    resets: ResetsField | None = None
    capacity: Capacity | None = None
    cranking: Cranking | None = None
    output: Output | None = None
    idle_output: IdleOutput | None = Field(default=None, alias="idle output")
    charge: Charge | None = None
    rated: Rated | None = None
    resistance: Resistance | None = None
    stud: StudSize | None = None
    terminals: dict[PartName, Name] | None = None
    suppressed: YesNo | None = None
    polarised: YesNo | None = None
    insulated: YesNo | None = None
    range: OhmRange | None = None
    notes: Note | None = None


class AllowancesForm(Form):
    """What wires are cut longer by, in the words of the table length_allowances."""

    stud: Allowance | None = None
    blade: Allowance | None = None
    screw: Allowance | None = None
    pigtail: Allowance | None = None
    splice: Allowance | None = None
    coupler: Allowance | None = None
    fuse_panel: Allowance | None = Field(default=None, alias="fuse panel")
    battery_post: Allowance | None = Field(default=None, alias="battery post")
    heavy_lug: Allowance | None = Field(default=None, alias="heavy lug")
    drip_loop: Allowance | None = Field(default=None, alias="drip loop")
    spare: Allowance | None = None
    hinge: Allowance | None = None
    round_up: Allowance | None = Field(default=None, alias="round up")
    reterminate: Times | None = Field(default=None, alias="re-terminate")


class ModeForm(Form):
    """A state of the machine."""

    engine: EngineField
    speed: SpeedField | None = None


class CircuitForm(Form):
    """A named set of paths."""

    works_in: Annotated[list[Name], BeforeValidator(one_or_list), AlsoText()] | None = Field(
        default=None, alias="works in"
    )
    drop: Drop | None = None
    function: Name | None = Field(default=None, examples=list(functions()))
    colour: Colour | None = None
    paths: Annotated[list[PathText], BeforeValidator(one_or_list), AlsoText()]
    via: GroundNames = []
    avoid: GroundNames = []


class WireForm(Form):
    """Facts about a single wire."""

    keep: YesNo | None = None
    size: WireSize | None = None
    length: WireLength | None = None
    colour: Colour | None = None
    cable: WireCableField | None = None
    ends: EndsField | None = None
    labels: YesNo | None = None
    joint: JointField | None = None
    via: GroundNames = []
    avoid: GroundNames = []


class SparesForm(Form):
    """How much more is bought than is needed."""

    terminals: ExtraField | None = None
    splices: ExtraField | None = None
    seals: ExtraField | None = None
    ties: ExtraField | None = None
    labels: ExtraField | None = None
    grommets: ExtraField | None = None
    clamps: ExtraField | None = None
    relays: ExtraField | None = None
    fuses: ExtraField | None = None
    fuse_ways: ExtraField | None = Field(default=None, alias="fuse ways")
    wires: PerField | None = None
    wire_size: WireSize | None = Field(default=None, alias="wire size")
    wire_colour: Colour | None = Field(default=None, alias="wire colour")


class SpareWireForm(Form):
    """Spare wires from one place to another."""

    start: PlaceName = Field(alias="from")
    end: PlaceName = Field(alias="to")
    size: WireSize | None = None
    colour: Colour | None = None
    count: CountField | None = None


class OldWireForm(Form):
    """An old wire that still lies in the machine."""

    start: PlaceName = Field(alias="from")
    end: PlaceName = Field(alias="to")
    through: GroundNames = []
    colour: Colour | None = None
    pulls: YesNo | None = Field(default=None, alias="pull-through")
    tag: Name | None = None
    size: WireSize | None = None
    kept: YesNo | None = None
    why: Note | None = None
    photo: Note | None = None


class SurveyForm(Form):
    """A whole survey."""

    machine: MachineForm
    zones: Annotated[
        dict[Name, Annotated[ZoneForm, BeforeValidator(empty_mapping), AlsoNothing()]],
        BeforeValidator(empty_mapping),
        AlsoNothing(),
    ] = {}
    places: Annotated[
        dict[PlaceName, Annotated[PlaceForm, BeforeValidator(empty_mapping), AlsoNothing()]],
        BeforeValidator(empty_mapping),
        AlsoNothing(),
    ] = {}
    runs: Annotated[list[RunForm], BeforeValidator(empty_list), AlsoText(), AlsoNothing()] = []
    bodies: (
        Annotated[
            dict[PartName, Annotated[BodyForm, BeforeValidator(empty_mapping), AlsoNothing()]],
            BeforeValidator(empty_mapping),
            AlsoNothing(),
        ]
        | None
    ) = None
    parts: dict[PartName, PartForm]
    allowances: Annotated[AllowancesForm, BeforeValidator(empty_mapping), AlsoNothing()] = AllowancesForm()
    modes: Annotated[dict[Name, ModeForm], BeforeValidator(empty_mapping), AlsoNothing()] = {}
    circuits: dict[Name, CircuitForm]
    wires: Annotated[
        dict[PathText, Annotated[WireForm, BeforeValidator(empty_mapping), AlsoNothing()]],
        BeforeValidator(empty_mapping),
        AlsoNothing(),
    ] = {}
    old_wires: Annotated[list[OldWireForm], BeforeValidator(empty_list), AlsoText(), AlsoNothing()] = Field(
        default=[], alias="old wires"
    )
    spares: Annotated[SparesForm, BeforeValidator(empty_mapping), AlsoNothing()] = SparesForm()
    spare_wires: Annotated[list[SpareWireForm], BeforeValidator(empty_list), AlsoText(), AlsoNothing()] = (
        Field(default=[], alias="spare wires")
    )
    notes: Annotated[list[Note], BeforeValidator(empty_list), AlsoText(), AlsoNothing()] = []


# Which form stands at which depth below a section: machine itself, an entry of zones, an item of runs.
SECTION_FORMS: dict[str, type[Form]] = {
    "machine": MachineForm,
    "zones": ZoneForm,
    "places": PlaceForm,
    "runs": RunForm,
    "bodies": BodyForm,
    "parts": PartForm,
    "allowances": AllowancesForm,
    "modes": ModeForm,
    "circuits": CircuitForm,
    "wires": WireForm,
    "old wires": OldWireForm,
    "spares": SparesForm,
    "spare wires": SpareWireForm,
}


def keys_of(form: type[Form]) -> list[str]:
    """The keys a form takes, as a survey writes them."""
    return [field.alias or name for name, field in form.model_fields.items()]


def survey_schema() -> dict[str, Any]:
    """JSON Schema of a survey, for editors that complete and check while one types.

    Every key carries its help; where a word of a list is usual but another may stand, the list is offered.
    """
    schema = SurveyForm.model_json_schema()
    helps = key_helps()
    forms = {form.__name__: section for section, form in SECTION_FORMS.items()}
    for name, form in schema["$defs"].items():
        form.pop("title", None)
        _explain(form["properties"], helps[forms[name]])
    _explain(schema["properties"], helps["survey"])
    _offer(schema["$defs"]["PartForm"]["properties"]["is"])
    _offer(schema["$defs"]["CircuitForm"]["properties"]["function"])
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "harness survey",
        **{key: value for key, value in schema.items() if key != "title"},
    }


def _explain(properties: dict[str, Any], helps: Mapping[str, str]) -> None:
    """Give every key its help, and take away what pydantic makes of its name."""
    for key, field in properties.items():
        field.pop("title", None)
        if field.get("default", 0) is None:
            del field["default"]  # an editor would type it in
        field["description"] = helps[key]


def _offer(field: dict[str, Any]) -> None:
    """Offer the examples of a field as words to choose from, while others may stand too."""
    words = {"enum": field.pop("examples")}
    others = {key: field.pop(key) for key in ("type", "maxLength") if key in field}
    field["anyOf"] = [words, *field.pop("anyOf", [others])]
