"""The kinds of items a shop's own catalogue may add to or take from, and the table behind each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Reading = Literal[
    "length", "gauge", "studs", "stud", "current", "text", "shrink", "colour", "group", "amount"
]


@dataclass(frozen=True, slots=True)
class Key:
    """One thing that is said of an item, and the column of the table it goes into."""

    word: str
    column: str
    reads: Reading = "length"
    also: str = ""  # column that holds the same in inches, as a gauge, or as it was written
    needed: bool = True
    default: str = ""  # what stands in the column when it is left out, made from the other columns


@dataclass(frozen=True, slots=True)
class ItemKind:
    """One kind of item: a section of the file, and an entry in the list of the command."""

    name: str
    what: str
    table: str
    keys: tuple[Key, ...]
    example: str  # one item as it is written
    group: str  # of the list of materials
    mark: str = ""  # what its line there holds, made from the columns
    grows: tuple[str, ...] = ()  # keys of which each must be larger than the one before
    series: tuple[str, ...] = ()  # the table is in series: an own item is had in each of them
    sort: str = ""  # column by which the rows of a series rise
    fixed: Mapping[str, str] = field(default_factory=dict)  # columns that are the same for every own item
    beside: str = ""  # a second table that takes the same row
    cell: str = ""  # column whose list of words an own item adds a word to, instead of a row
    first: bool = False  # own rows are looked at before the others


KINDS: tuple[ItemKind, ...] = (
    ItemKind(
        name="grommets",
        what="rubber grommets, by the hole they sit in",
        table="grommets",
        keys=(
            Key("hole", "panel_hole_mm", also="panel_hole_in"),
            Key("inside", "inside_dia_mm", also="inside_dia_in"),
            Key("groove", "groove_width_mm", needed=False),
        ),
        example="{hole: 27 mm, inside: 19 mm}",
        group="grommets",
        mark="{panel_hole_mm} mm hole, {inside_dia_mm} mm inside",
        grows=("inside", "hole"),
        series=("inch", "metric"),
    ),
    ItemKind(
        name="heat-shrink",
        what="heat-shrink tube, by its inside diameter as bought and shrunk free",
        table="heat_shrink",
        keys=(
            Key("kind", "family", "shrink"),
            Key("expanded", "expanded_id_min_mm", also="expanded_id_min_in"),
            Key("recovered", "recovered_id_max_mm", also="recovered_id_max_in"),
            Key("wall", "recovered_wall_nom_mm", also="recovered_wall_nom_in", needed=False),
        ),
        example="{kind: adhesive 6:1, expanded: 33 mm, recovered: 5.5 mm}",
        group="heat-shrink",
        mark="{lining}, {ratio}, {nominal_size} mm",
        grows=("recovered", "expanded"),
    ),
    ItemKind(
        name="split tube",
        what="split corrugated tube, by its inside and outside diameter",
        table="loom_sizes",
        keys=(
            Key("inside", "inside_dia_mm"),
            Key("outside", "outside_dia_mm"),
            Key("name", "nominal", "text", needed=False, default="{inside_dia_mm} mm"),
        ),
        example="{inside: 22 mm, outside: 27 mm, name: NW22}",
        group="covering",
        mark="split corrugated tube, {nominal}",
        grows=("inside", "outside"),
        series=("metric corrugated NW", "inch split loom"),
        sort="inside_dia_mm",
    ),
    ItemKind(
        name="braided sleeve",
        what="expandable braided sleeve, by the least and greatest bundle it goes round",
        table="braided_sleeving",
        keys=(
            Key("from", "min_bundle_mm"),
            Key("to", "max_bundle_mm"),
            Key("name", "nominal_in", "text", needed=False, default="{min_bundle_mm} to {max_bundle_mm} mm"),
        ),
        example="{from: 15 mm, to: 38 mm, name: 1 in}",
        group="covering",
        mark="braided sleeve, {nominal_in}",
        grows=("from", "to"),
        sort="max_bundle_mm",
    ),
    ItemKind(
        name="clamps",
        what="rubber-lined P-clamps, by bore and bolt hole",
        table="p_clamps",
        keys=(
            Key("bore", "tube_or_bundle_dia_mm", also="tube_or_bundle_dia_in"),
            Key("bolt hole", "bolt_hole_mm"),
            Key("band", "band_width_mm", needed=False),
            Key("name", "designation", "text", needed=False, default="{tube_or_bundle_dia_mm} mm"),
        ),
        example="{bore: 21 mm, bolt hole: 6.4 mm}",
        group="clamps",
        mark="P-clamp, {designation}",
        series=("inch", "metric"),
        sort="tube_or_bundle_dia_mm",
    ),
    ItemKind(
        name="ties",
        what="cable ties, by length, width and the largest bundle they go round",
        table="cable_tie_lengths",
        keys=(
            Key("length", "tie_length_mm"),
            Key("width", "tie_width_mm"),
            Key("bundle", "max_bundle_mm"),
        ),
        example="{length: 290 mm, width: 4.8 mm, bundle: 75 mm}",
        group="ties",
        mark="cable tie, {tie_length_mm} x {tie_width_mm} mm",
        grows=("width", "bundle", "length"),
    ),
    ItemKind(
        name="lugs",
        what="copper tube lugs, by the wire they take and the studs they are made for",
        table="battery_lugs",
        beside="lug_barrels",
        keys=(
            Key("wire", "wire_mm2", "gauge", also="wire_awg_nearest"),
            Key("studs", "stud_choice_metric", "studs"),
            Key("barrel outside", "barrel_outside_mm"),
            Key("barrel length", "barrel_length_mm"),
            Key("barrel inside", "din46235_barrel_id_mm", needed=False),
        ),
        example="{wire: 1 AWG, studs: [M8, M10], barrel outside: 13.5 mm, barrel length: 24 mm}",
        group="terminals",
        sort="wire_mm2",
    ),
    ItemKind(
        name="ring terminals",
        what="insulated ring terminals, by colour: the studs each is stocked for",
        table="terminal_insulated_ranges",
        keys=(Key("colour", "colour", "colour"), Key("stud", "studs_usually_stocked", "stud")),
        example="{colour: red, stud: 1/2}",
        group="terminals",
        cell="studs_usually_stocked",
    ),
    ItemKind(
        name="push-ons",
        what="push-on terminals, by the blade and the wire they take",
        table="blade_tabs",
        keys=(
            Key("blade", "tab_width_mm", also="tab_width_in"),
            Key("thickness", "tab_thickness_mm", also="tab_thickness_in"),
            Key("from", "wire_mm2_from", "gauge", also="wire_awg_from"),
            Key("to", "wire_mm2_to", "gauge", also="wire_awg_to"),
            Key("current", "current_max_A", "current", needed=False),
        ),
        example="{blade: 9.5 mm, thickness: 1.2 mm, from: 12 AWG, to: 6 AWG}",
        group="terminals",
        grows=("from", "to"),
        first=True,
    ),
    ItemKind(
        name="ferrules",
        what="insulated wire ferrules for clamp screws, by the wire and the length of the barrel",
        table="ferrules",
        keys=(
            Key("wire", "wire_mm2", "gauge", also="wire_awg"),
            Key("barrel length", "barrel_length_mm"),
        ),
        example="{wire: 2.5 mm2, barrel length: 12 mm}",
        group="terminals",
        first=True,
    ),
    ItemKind(
        name="coupler contacts",
        what="pins and sockets of a sealed coupler, by the wire they take and the amperes they carry",
        table="coupler_contacts",
        keys=(
            Key("size", "contact_size", "text"),
            Key("from", "wire_from_mm2", "gauge", also="wire_from"),
            Key("to", "wire_to_mm2", "gauge", also="wire_to"),
            Key("current", "continuous_a", "current"),
        ),
        example="{size: 8, from: 10 AWG, to: 8 AWG, current: 60 A}",
        group="terminals",
        grows=("from", "to"),
    ),
    ItemKind(
        name="packs",
        what="how things are sold: so many pieces, or a length, in one pack, stick or roll",
        table="sold_as",
        keys=(
            Key("of", "group", "group"),
            Key("amount", "amount", "amount", also="unit"),
            Key("name", "name", "text", needed=False, default="pack of {amount}"),
            Key("with", "item_has", "text", needed=False),
        ),
        example="{of: ties, amount: 25}",
        group="",
        fixed={"price_share": "1"},
        first=True,
    ),
)


def kind_of(name: str) -> ItemKind | None:
    """The kind of that name, None when there is none."""
    return next((kind for kind in KINDS if kind.name == name), None)
