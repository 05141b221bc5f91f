"""How far published ampacities lie from the heat balance, by size: for the test, and for the guide's tables.

A figure is what the table allows over what the balance allows for the same wire, less one. The rows of a
table are the program's own copies; tests elsewhere retype cells of each from its document.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from math import pi, sqrt

from harness.electric.ampacity import curve_bundle_factor
from harness.electric.conductor import awg_area_mm2
from harness.electric.heat import Cable, cable_of, curve
from harness.electric.looms import Place, loom_c
from harness.electric.ruleset import rule_set
from harness.tables import load
from tests.published import heat_balance as own

GAUGES = ("18", "16", "14", "12", "10", "8", "6", "4", "2", "1", "1/0", "2/0", "3/0", "4/0")
SQUARES = ("0.75", "1", "1.5", "2.5", "4", "6", "10", "16", "25", "35", "50", "70", "95", "120")
COUNTS = (2, 3, 5, 7, 10, 12, 15, 19)
LOADINGS = (20, 40, 60, 80, 100)
PVC_K_M_PER_W = 6.0  # the worst of IEC 60287-2-1 table 1 (memory)
PVC_J_PER_K_MM3 = 1.7e-3  # not needed at rest
BUILDING_WALL_MM = {"8": 1.14, "6": 1.52, "4": 1.52, "2": 1.52}  # UL 83 TW; 0.76 to 10 gauge, 2.03 from 1 up
HIGH_SHARE = 0.79  # of sea-level ampacity at 60,000 ft, AC 43.13-1B figure 11-5 (memory)


@dataclass(frozen=True)
class Compared:
    """One column of a published table against the balance."""

    name: str
    condition: str
    over: Mapping[str, float]  # size -> table over balance, less one


def _alone_a(cable: Cable, *, limit_c: float, ambient_c: float) -> float:
    return curve(cable, ambient_c=ambient_c).current_at_a(limit_c)


def _of_rules(name: str, rules_name: str, cable: str) -> Compared:
    """A rule set's own table: its base ampacities at 30 °C, at the temperature of its column."""
    rules = rule_set(rules_name, cable)
    return Compared(
        name,
        f"{rules.limit_c:g} °C, as {cable}",
        {
            size.label.split()[0]: size.base_a
            / _alone_a(cable_of(rules, size), limit_c=rules.limit_c, ambient_c=30)
            - 1
            for size in rules.sizes
        },
    )


def _building_wire(gauge: str) -> Cable:
    """Solid up to 10 gauge, with the wall of PVC building wire (UL 83 TW, memory)."""
    solid = gauge in ("20", "18", "16", "14", "12", "10")
    area = awg_area_mm2(gauge)
    across = sqrt(4 * area / pi / (1.0 if solid else 0.76))
    wall = 0.76 if solid else BUILDING_WALL_MM.get(gauge, 2.03)
    ohm = 17.241e-3 / area * (1.0 if solid else 1.02)
    return Cable(area, across + 2 * wall, ohm, PVC_K_M_PER_W, PVC_J_PER_K_MM3)


def _free_air(limit: int) -> Compared:
    rows = load("kuphaldt_free_air_ampacity_30c").column("awg", f"amps_{limit}C_insulation")
    return Compared(
        "building wire in free air (an electricity textbook, read)",
        f"{limit} °C, 30 °C air",
        {
            gauge: amps / _alone_a(_building_wire(gauge), limit_c=limit, ambient_c=30) - 1
            for gauge, amps in rows.items()
            if gauge in GAUGES
        },
    )


def _transmission_maker() -> Compared:
    rules = rule_set("sae", "GXL")
    rows = load("wire_capacity_xlpe_j1292_based").column("gauge_AWG", "current_max_A")
    return Compared(
        "transmission maker's guide after SAE J1292 (read; no ambient stated)",
        "125 °C, 30 °C air taken",
        {
            gauge: amps / _alone_a(cable_of(rules, rules.size(f"{gauge} AWG")), limit_c=125, ambient_c=30) - 1
            for gauge, amps in rows.items()
            if gauge in GAUGES
        },
    )


def _trailer(fahrenheit: int) -> Compared:
    rules = rule_set("sae", "GPT")
    rows = load("pvc_trailer_cable_capacity").column("gauge", f"current_max_ambient_{fahrenheit}F_A")
    air_c = (fahrenheit - 32) / 1.8
    return Compared(
        "trailer lamp maker's page, PVC (read)",
        f"82 °C, {air_c:.0f} °C air",
        {
            gauge: amps / _alone_a(cable_of(rules, rules.size(f"{gauge} AWG")), limit_c=82.2, ambient_c=air_c)
            - 1
            for gauge, amps in rows.items()
            if gauge in GAUGES
        },
    )


def _handbook(air_c: int) -> Compared:
    cables = {float(row["area_nominal_mm2"]): row for row in load("iso6722_conductor").rows}
    found = {}
    for row in load("cable_ampacity_handbook_din").rows:
        area = float(row["area_mm2"])
        wide = cables[area]["od_max_thick_wall_mm"] or cables[area]["od_max_thin_wall_mm"]
        ohm = float(row["resistance_20C_mohm_per_m"]) / 1000
        cable = Cable(area, float(wide), ohm, PVC_K_M_PER_W, PVC_J_PER_K_MM3)
        amps = float(row[f"current_continuous_{air_c}C_A"])
        found[row["area_mm2"]] = amps / _alone_a(cable, limit_c=70, ambient_c=air_c) - 1
    return Compared("automotive handbook after DIN VDE 0298-4 (memory)", f"70 °C, {air_c} °C air", found)


def _aircraft(limit: int) -> Compared:
    """Table 11-9: its looms of 33 or 9 wires in 70 °C air, a fifth of them loaded, at 60,000 ft."""
    found = {}
    for row in load("ac43_13_1b_table_11_9").rows:
        gauge = row["size_AWG"]
        if gauge not in GAUGES:
            continue
        area = float(row["area_cmil"]) * 5.067e-4
        ohm = float(row["resistance_max_20C_ohm_per_1000ft"]) / 304.8
        # thin fluoropolymer walls of 0.25 mm (common practice)
        cable = Cable(area, sqrt(4 * area / pi / 0.75) + 0.5, ohm, 5.0, PVC_J_PER_K_MM3)
        wires, loaded = (33, 7) if gauge in ("18", "16", "14", "12", "10") else (9, 2)
        idle = [(cable, 0.0)] * (wires - loaded)

        def excess(amps: float, cable: Cable = cable, loaded: int = loaded, idle: list = idle) -> float:  # type: ignore[type-arg]
            return loom_c([(cable, amps)] * loaded + idle, Place(70.0)) - limit

        found[gauge] = float(row[f"I_{limit}C_A"]) / (own.root(excess, 0.01, 2000.0) * HIGH_SHARE) - 1
    return Compared(
        "FAA AC 43.13-1B table 11-9 (read), against the loom's balance", f"{limit} °C, 70 °C air", found
    )


@cache
def by_gauge() -> tuple[Compared, ...]:
    """Every published table in gauges."""
    return (
        *(
            _of_rules("33 CFR 183.425 table 5 (read)", "sae", cable)
            for cable in ("GPT", "TWP", "GXL", "TXL", "class F")
        ),
        *(_free_air(limit) for limit in (60, 75, 90)),
        _transmission_maker(),
        *(_trailer(fahrenheit) for fahrenheit in (120, 150)),
        *(_aircraft(limit) for limit in (105, 150, 200)),
    )


@cache
def by_square() -> tuple[Compared, ...]:
    """Every published table in mm2."""
    return (
        *(
            _of_rules("ISO 10133 annex A (memory)", "iso", cable)
            for cable in ("GPT", "class A", "TWP", "class C", "class F")
        ),
        _handbook(30),
        _handbook(50),
    )


@cache
def bundle_over(gauge: str, count: int, percent: int, form: str = "") -> float | None:
    """MIL-W-5088L's factor over the loom balance's, less one; None where no whole wires fill the column."""
    loaded, rest = divmod(count * percent, 100)
    if rest or not loaded:
        return None
    rules = rule_set("sae", "GXL")
    cable = cable_of(rules, rules.size(f"{gauge} AWG"))
    alone = _alone_a(cable, limit_c=125, ambient_c=30)
    wires = [(cable, 0.0)] * (count - loaded)

    def excess(amps: float) -> float:
        return loom_c([(cable, amps)] * loaded + wires, Place(30.0, form)) - 125

    ours = own.root(excess, 0.01, 2 * alone) / alone
    return curve_bundle_factor(loaded=count, loading=percent / 100) / ours - 1


def _percent(over: float | None) -> str:
    if over is None:
        return ""
    whole = round(100 * over)
    return f"{whole:+d}" if whole else "0"


def _page(found: tuple[Compared, ...], sizes: tuple[str, ...], unit: str) -> list[str]:
    head = f"| table | insulation, air | {' | '.join(sizes[:-1])} | {sizes[-1]} {unit} |"
    return [
        head,
        "|---|---|" + "---|" * len(sizes),
        *(
            f"| {one.name} | {one.condition} | "
            + " | ".join(_percent(one.over.get(size)) for size in sizes)
            + " |"
            for one in found
        ),
    ]


def gauges() -> list[str]:
    """The guide's table in gauges, percent."""
    return _page(by_gauge(), GAUGES, "AWG")


def squares() -> list[str]:
    """The guide's table in mm2, percent."""
    return _page(by_square(), SQUARES, "mm²")


def bundles() -> list[str]:
    """The guide's table of bundle factors for 14 gauge, percent."""
    rows = [("bare, " + str(load_), load_, "") for load_ in LOADINGS] + [
        ("in corrugated tube, 100", 100, "corrugated")
    ]
    return [
        f"| wires loaded % | {' | '.join(map(str, COUNTS[:-1]))} | {COUNTS[-1]} wires |",
        "|---|" + "---|" * len(COUNTS),
        *(
            f"| {name} | "
            + " | ".join(_percent(bundle_over("14", count, percent, form)) for count in COUNTS)
            + " |"
            for name, percent, form in rows
        ),
    ]


PAGES: Mapping[str, Callable[[], list[str]]] = {"gauges": gauges, "squares": squares, "bundles": bundles}

if __name__ == "__main__":
    for name, page in PAGES.items():
        print(name, *page(), sep="\n")
