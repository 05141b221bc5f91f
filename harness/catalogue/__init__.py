"""The kinds of items a shop's own catalogue may add to or take from, and the table behind each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Reading = Literal[
    "length", "gauge", "studs", "current", "text", "shrink", "barrel", "stud", "group", "amount"
]


@dataclass(frozen=True, slots=True)
class Key:
    """One thing that is said of an item, and the column of the table it goes into."""

    word: str
    column: str
    reads: Reading = "length"
    also: str = ""  # column that holds the same in inches, or as a gauge
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
    cell: str = ""  # column with a list of words that an own item adds a word to, instead of a row
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
)


def kind_of(name: str) -> ItemKind | None:
    """The kind of that name, None when there is none."""
    return next((kind for kind in KINDS if kind.name == name), None)
