"""The rule sets: which sizes there are, what each may carry and weighs on, and which tables say so."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from math import pi, sqrt
from typing import NamedTuple

from harness.electric.ampacity import BundleRule, by_count, by_curve, insulation_limit_c
from harness.electric.conductor import awg_area_mm2, stranded_r20_ohm_per_m
from harness.model.machine import Machine
from harness.tables import NotInTable, load

THIN_WALL = ("TXL",)  # less surface to lose heat from: a heat balance puts its thinnest gauges below the
THIN_GAUGES = ("18", "16")  # 125 °C column of the table by 6 to 13 %, so these take its 105 °C column
COPPER_FILL = 0.75  # copper's share of a stranded conductor's round, common practice
HEAVY_MM2 = 12.0  # from here on a cable is battery cable: J1127 instead of J1128


class UnknownSize(Exception):
    """A size that no table or gauge rule knows."""


class UnknownRules(Exception):
    """A rule set nobody has written."""


class Size(NamedTuple):
    """One size of cable as sold. A tuple, for its quick hash."""

    label: str  # "14 AWG" or "2.5 mm2"
    area_mm2: float  # least copper area
    r20_ohm_per_m: float  # most resistance at 20 °C
    outside_mm: float
    base_a: float  # ampacity of a single wire at the rule set's base ambient


@dataclass(frozen=True, slots=True)
class RuleSet:
    """How wires are sized: the list of sizes for one insulation, and the corrections."""

    name: str
    title: str
    cable: str
    insulation_c: float  # what the insulation stands for good
    limit_c: float  # conductor temperature of the ampacity table's column, never above that
    base_c: float  # ambient of the ampacity table
    sizes: tuple[Size, ...]  # rising
    bundle: BundleRule
    mechanical_mm2: float  # least area inside a loom
    lone_mm2: float  # least area where it leaves the loom alone
    mechanical_source: str
    ampacity_source: str
    bundle_source: str
    sources: tuple[str, ...]
    engine_space: bool = False  # its table prints factors for engine spaces

    def size(self, label: str) -> Size:
        """The size called ``label``; a foreign size carries what the next smaller one here may.

        Raises UnknownSize.
        """
        wanted = _tidy(label)
        for size in self.sizes:
            if size.label == wanted:
                return size
        return self._foreign(wanted)

    def _foreign(self, label: str) -> Size:
        area = area_of(label)
        smaller = [size for size in self.sizes if size.area_mm2 <= area]
        base = smaller[-1].base_a if smaller else 0.0
        outside = _stranded_mm(area) + 2 * (1.65 if area > HEAVY_MM2 else 0.8)
        return Size(label, area, stranded_r20_ohm_per_m(area), round(outside, 1), base)


def _tidy(label: str) -> str:
    text = " ".join(label.replace("²", "2").split())
    found = re.fullmatch(r"(\d+(?:/0)?|0|00|000|0000)\s*(?:AWG|awg|ga|gauge)", text)
    if found:
        zeros = {"0": "1/0", "00": "2/0", "000": "3/0", "0000": "4/0"}
        return f"{zeros.get(found[1], found[1])} AWG"
    found = re.fullmatch(r"(\d+(?:[.,]\d+)?)\s*(?:mm2|mm\^2|sq ?mm)", text)
    if found:
        return f"{float(found[1].replace(',', '.')):g} mm2"
    raise UnknownSize(label)


def area_of(label: str) -> float:
    """Least copper area of a size of either system [mm2]; an SAE gauge holds less than the AWG of its number.

    Raises UnknownSize.
    """
    text = _tidy(label)
    if text.endswith("mm2"):
        return float(text.removesuffix("mm2"))
    gauge = text.removesuffix(" AWG")
    return _sae_areas().get(gauge) or 0.88 * awg_area_mm2(gauge)


def _stranded_mm(area_mm2: float) -> float:
    return sqrt(4 * area_mm2 / pi / COPPER_FILL)


@cache
def _sae_areas() -> dict[str, float]:
    """SAE gauge -> least area [mm2]: the smaller of the two figures read for it, where there are two."""
    found = {}
    for row in load("sae_conductor_area_min").rows:
        both = [float(row[key]) for key in ("area_min_mm2_from_cmil", "area_min_mm2_J1128_J1127") if row[key]]
        found["1/0" if row["gauge_SAE"] == "0" else row["gauge_SAE"]] = min(both)
    return found


def _sae_wall_mm(gauge: str, cable: str, heavy: bool) -> float:
    if heavy:
        walls = load("sae_j1127_wall_thickness").column("gauge_SAE", "wall_nominal_mm_SGT_SGX")
        return walls[gauge]
    column = {
        "TXL": "wall_nominal_mm_TWP_TXL",
        "TWP": "wall_nominal_mm_TWP_TXL",
        "SXL": "wall_nominal_mm_SXL",
    }
    walls = load("sae_j1128_wall_thickness").column("gauge_SAE", column.get(cable, "wall_nominal_mm_GPT_GXL"))
    return walls[gauge]


def _sae_outside_mm(gauge: str, cable: str, area_mm2: float) -> float:
    read = load("sae_gxl_outside_diameter").column("gauge_AWG", "od_nominal_mm")
    if cable == "GXL" and gauge in read:
        return read[gauge]
    return round(_stranded_mm(area_mm2) + 2 * _sae_wall_mm(gauge, cable, area_mm2 > HEAVY_MM2), 1)


def _column_for(limit_c: float, columns: dict[float, str]) -> tuple[float, str]:
    """The hottest column that the insulation still stands; never a hotter one."""
    best = max((temp for temp in columns if temp <= limit_c), default=min(columns))
    return best, columns[best]


def sae(cable: str, insulation_c: float) -> RuleSet:
    """SAE J1128/J1127 gauges, ampacity of 33 CFR 183.425 table 5, bundle curve of MIL-W-5088L.

    ``insulation_c``: what the insulation stands [°C]. Raises UnknownRules for a cable of no SAE type.
    """
    if cable not in {row["type"] for row in load("sae_j1128_types").rows}:
        raise UnknownRules(f"cable {cable!r} is no SAE type")
    table = load("ampacity_33cfr183_425_table5")
    columns = {float(temp): f"I_{temp}C_A" for temp in (60, 75, 80, 90, 105, 125, 200)}
    limit_c, column = _column_for(insulation_c, columns)
    base = {
        "1/0" if gauge == "0" else gauge: amps for gauge, amps in table.column("gauge_AWG", column).items()
    }
    if cable in THIN_WALL:
        cooler = table.column("gauge_AWG", "I_105C_A")
        base |= {gauge: min(base[gauge], cooler[gauge]) for gauge in THIN_GAUGES}
    areas = _sae_areas()
    sizes = [
        Size(
            f"{gauge} AWG", areas[gauge], stranded_r20_ohm_per_m(areas[gauge]),
            _sae_outside_mm(gauge, cable, areas[gauge]), amps,
        )
        for gauge, amps in base.items()
        if gauge in areas
    ]  # fmt: skip
    bundle = load("mil_w_5088l_bundle_derating")
    return RuleSet(
        name="sae",
        title="SAE: J1128/J1127 cable, ampacity 33 CFR 183.425 table 5, bundles MIL-W-5088L",
        cable=cable,
        insulation_c=insulation_c,
        limit_c=limit_c,
        base_c=30.0,
        sizes=tuple(sorted(sizes, key=lambda size: size.area_mm2)),
        bundle=by_curve,
        mechanical_mm2=areas["18"],
        lone_mm2=areas["16"],
        mechanical_source="SAE J1614-2024: 0.8 mm2 (18 gauge) in a loom, 1.0 mm2 (16) exposed or leaving it"
        " alone (read-from-secondary)",
        ampacity_source=f"{table.source}, column {limit_c:g} °C",
        bundle_source=f"{bundle.source}; above 19 wires {load('nec_bundle_adjustment').source}",
        sources=(
            str(table.source), str(bundle.source), str(load("sae_conductor_area_min").source),
            str(load("sae_j1128_types").source),
        ),
        engine_space=True,
    )  # fmt: skip


def iso(cable: str, insulation_c: float) -> RuleSet:
    """ISO 6722-1 sizes and resistances, ampacity of ISO 10133 annex A, bundles by count.

    ``insulation_c``: what the insulation stands [°C]. Raises UnknownRules for a cable of no class.
    """
    if cable not in {f"class {row['class']}" for row in load("cable_temperature_class_iso").rows}:
        raise UnknownRules(f"cable {cable!r} is no ISO 6722-1 class")
    table = load("iso10133_annex_a_ampacity_30c")
    columns = {
        60.0: "I_60C_A",
        70.0: "I_70C_A",
        85.0: "I_85_90C_A",
        105.0: "I_105C_A",
        125.0: "I_125C_A",
        200.0: "I_200C_A",
    }
    limit_c, column = _column_for(insulation_c, columns)
    base = table.column("area_nominal_mm2", column)
    sizes = []
    for row in load("iso6722_conductor").rows:
        area = row["area_nominal_mm2"]
        if area in base:
            outside = row["od_max_thin_wall_mm"] or row["od_max_thick_wall_mm"]
            ohm = float(row["resistance_max_20C_mohm_per_m"]) / 1000
            sizes.append(Size(f"{float(area):g} mm2", float(area), ohm, float(outside), base[area]))
    bundle = load("nec_bundle_adjustment")
    return RuleSet(
        name="iso",
        title="ISO: 6722-1 cable, ampacity ISO 10133 annex A, bundles by count",
        cable=cable,
        insulation_c=insulation_c,
        limit_c=limit_c,
        base_c=30.0,
        sizes=tuple(sorted(sizes, key=lambda size: size.area_mm2)),
        bundle=by_count,
        mechanical_mm2=0.75,
        lone_mm2=1.0,
        mechanical_source=str(load("min_cable_size_rules").source) + ": ISO 10133:2012 7.7, 0.75 mm2 in a"
        " sheath, 1.0 mm2 single",
        ampacity_source=f"{table.source}, column {limit_c:g} °C",
        bundle_source=str(bundle.source),
        sources=(
            str(table.source), str(bundle.source), str(load("iso6722_conductor").source),
            str(load("cable_temperature_class_iso").source),
        ),
    )  # fmt: skip


RULE_SETS = {"sae": sae, "iso": iso}

# A machine may be sized by the other set, which lends its list of sizes; temperatures stay the cable's own.
_SAE_OF_ISO = {"class A": "GPT", "class B": "GPT"} | {f"class {letter}": "GXL" for letter in "CDEFGH"}
_ISO_OF_SAE = (
    dict.fromkeys(("GPT", "HDT", "SGT", "STT", "SGR"), "class A")
    | dict.fromkeys(("TXL", "GXL", "SXL", "SGX", "STX"), "class C")
    | {"TWP": "class B"}
)


@cache
def rule_set(name: str, cable: str) -> RuleSet:
    """The rule set called ``name`` for a cable. Raises UnknownRules, naming those there are."""
    if name not in RULE_SETS:
        raise UnknownRules(f"no rule set {name!r}; there are: {', '.join(sorted(RULE_SETS))}")
    swap = _SAE_OF_ISO if name == "sae" else _ISO_OF_SAE
    return RULE_SETS[name](swap.get(cable, cable), _stands_c(cable))


def _stands_c(cable: str) -> float:
    """What a cable's insulation stands [°C]; of a type whose figure was not read, what the coolest one does.

    Raises UnknownRules.
    """
    try:
        return insulation_limit_c(cable)
    except NotInTable:
        types = load("sae_j1128_types").rows
        if cable not in {row["type"] for row in types}:
            raise UnknownRules(f"cable {cable!r} is no SAE type and no ISO 6722-1 class") from None
        return min(float(row["temp_max_C"]) for row in types if row["temp_max_C"])


def sizes_of_cables(machine: Machine) -> tuple[str, ...]:
    """Every size of every cable of a machine, as "GXL 12 AWG". Raises UnknownRules."""
    cables = dict.fromkeys([machine.cable, *(spec.cable for spec in machine.wires if spec.cable)])
    return tuple(f"{cable} {size.label}" for cable in cables for size in rule_set(machine.rules, cable).sizes)
