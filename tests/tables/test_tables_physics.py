"""Tables agree with the metal, with arithmetic and with each other as far as physics ties them."""

from __future__ import annotations

from itertools import pairwise
from math import log10, pi, sqrt

import pytest

from harness.tables import load

COPPER = 17.241  # ohm mm2/km at 20 °C, annealed copper, IEC 60028
COPPER_CMIL = 10.371  # ohm circular mil/ft, the same metal
CMIL_MM2 = 5.0671e-4  # pi/4 x 0.0254 mm squared
IN = 25.4
LBF_N = 4.4482


@pytest.mark.parametrize(
    ("name", "area", "ohm_per_km", "most"),
    [
        ("iso6722_conductor", "area_nominal_mm2", "resistance_max_20C_mohm_per_m", 20.0),
        ("cable_ampacity_handbook_din", "area_mm2", "resistance_20C_mohm_per_m", 20.0),
        ("iec60228_resistance", "nominal_mm2", "class2_plain_max_ohm_per_km_20C", 19.5),
        ("iec60228_resistance", "nominal_mm2", "class5_6_plain_max_ohm_per_km_20C", 20.0),
        ("iec60228_resistance", "nominal_mm2", "class5_6_tinned_max_ohm_per_km_20C", 20.6),
    ],
)
def test_resistance_times_area_is_near_that_of_copper(
    name: str, area: str, ohm_per_km: str, most: float
) -> None:
    for row in load(name).rows:
        assert COPPER < float(row[area]) * float(row[ohm_per_km]) < most, row


def test_nfpa_ohms_at_75_c_are_those_of_copper_with_at_most_4_percent_for_lay() -> None:
    """10.371 x (234.5 + 75) / 254.5 = 12.612 ohm circular mil/ft; areas by the gauge's definition."""
    for row in load("nfpa70_ch9_table_8").rows:
        text = row["size_AWG"]
        n = 1 - int(text[0]) if "/" in text else int(text)
        cmil = (5 * 92 ** ((36 - n) / 39)) ** 2
        ideal = 12.612 / cmil * 1000
        assert 0.995 < float(row["stranded_uncoated_75C_ohm_per_kft"]) / ideal < 1.04, row
        if row["solid_uncoated_75C_ohm_per_kft"]:
            assert 0.995 < float(row["solid_uncoated_75C_ohm_per_kft"]) / ideal < 1.005, row


def test_aircraft_resistance_limits_lie_above_plain_copper() -> None:
    """AC 43.13-1B table 11-9: tinned strands, 11 to 31 % above 10.371 ohm circular mil/ft."""
    for row in load("ac43_13_1b_table_11_9").rows:
        product = float(row["resistance_max_20C_ohm_per_1000ft"]) * float(row["area_cmil"]) / 1000
        assert 1.10 < product / COPPER_CMIL < 1.31, row


def test_sae_areas_follow_from_their_circular_mils_and_stay_below_the_gauge() -> None:
    for row in load("sae_conductor_area_min").rows:
        cmil, mm2, other = (row[key] for key in list(row)[2:5])
        if cmil:
            assert float(mm2) == pytest.approx(float(cmil) * CMIL_MM2, abs=0.0006 * float(mm2) + 0.0005)
            assert float(cmil) < float(row["awg_area_cmil"]), row
        if cmil and other:
            assert float(other) <= float(mm2), row


def test_sae_strandings_sold_hold_at_least_the_least_area() -> None:
    least = load("sae_conductor_area_min").column("gauge_SAE", "area_min_cmil_J378_33CFR")
    for row in load("sae_primary_stranding").rows:
        cmil = int(row["strands"]) * (float(row["strand_dia_in"]) * 1000) ** 2
        assert cmil == pytest.approx(float(row["area_cmil_calc"]), rel=0.001)
        assert float(row["area_mm2_calc"]) == pytest.approx(cmil * CMIL_MM2, rel=0.002)
        if row["gauge_SAE"] in least:
            assert cmil >= least[row["gauge_SAE"]], row


def test_gxl_weighs_more_than_its_copper_and_is_wider() -> None:
    copper = load("sae_primary_stranding").column("gauge_SAE", "area_mm2_calc")
    for row in load("sae_gxl_outside_diameter").rows:
        area = copper[row["gauge_AWG"]]
        copper_lb_per_kft = area * 8.89 / 1000 / 0.45359 * 304.8
        assert 0.4 < copper_lb_per_kft / float(row["weight_lb_per_1000ft"]) < 0.85, row
        assert float(row["od_nominal_mm"]) > sqrt(4 * area / pi) + 0.8, row
        assert float(row["od_nominal_mm"]) == pytest.approx(float(row["od_nominal_in"]) * IN, abs=0.06)


def test_walls_lie_in_their_order_of_thickness() -> None:
    for row in load("sae_j1128_wall_thickness").rows:
        walls = [row[f"wall_nominal_mm_{kind}"] for kind in ("TWP_TXL", "GPT_GXL", "SXL")]
        present = [float(wall) for wall in walls if wall]
        assert all(thin < thick for thin, thick in pairwise(present)), row


def test_iso_outside_diameters_lie_in_their_order_and_hold_the_conductor() -> None:
    for row in load("iso6722_conductor").rows:
        kinds = (
            "conductor_dia_max_mm",
            "od_max_ultra_thin_wall_mm",
            "od_max_thin_wall_mm",
            "od_max_thick_wall_mm",
        )
        present = [float(row[key]) for key in kinds if row[key]]
        assert all(inner < outer for inner, outer in pairwise(present)), row
        assert pi / 4 * float(row["conductor_dia_max_mm"]) ** 2 > float(row["area_nominal_mm2"]), row


def test_thin_wall_outside_diameters_agree_with_a_makers_sheet_but_for_the_smallest() -> None:
    """Two sources: the table from memory has 1.6 mm for 0.5 mm2, the maker's sheet 1.7 mm; both are kept."""
    memory = load("iso6722_conductor").column("area_nominal_mm2", "od_max_thin_wall_mm")
    apart = {}
    for row in load("iso6722_thinwall_maker").rows:
        area = f"{float(row['area_nominal_mm2']):g}"
        if area in memory and memory[area] != float(row["od_max_mm"]):
            apart[area] = (memory[area], float(row["od_max_mm"]))
    assert apart == {"0.5": (1.6, 1.7)}


def test_abyc_table_iv_is_the_105_c_column_of_33_cfr() -> None:
    coast = load("ampacity_33cfr183_425_table5").column("gauge_AWG", "I_105C_A")
    for row in load("abyc_e11_table4_105c").rows:
        gauge = "0" if row["awg"] == "1/0" else row["awg"]
        assert float(row["amps_outside_engine_space_30C"]) == coast[gauge]


def test_a_hot_fuse_drops_a_quarter_to_two_thirds_more_than_a_cold_one() -> None:
    """Blade fuse maker's sheet: millivolts at rated current against cold milliohms times amperes."""
    pairs = [row for row in load("fuse_cold_resistance").rows if row["v_drop_at_rated_mV"]]
    assert len(pairs) == 4
    for row in pairs:
        cold_mv = float(row["cold_resistance_typ_mohm"]) * float(row["fuse_rating_A"])
        assert 1.25 < float(row["v_drop_at_rated_mV"]) / cold_mv < 1.67, row


def test_fuse_times_fall_as_current_rises_and_windows_are_open() -> None:
    forms: dict[str, list[dict[str, str]]] = {}
    for row in load("fuse_time_current").rows:
        if "glass" not in row["form"]:
            forms.setdefault(row["form"], []).append(row)
    for rows in forms.values():
        assert all(float(a["current_percent"]) < float(b["current_percent"]) for a, b in pairwise(rows))
        least = [float(row["time_min_s"]) for row in rows if row["time_min_s"]]
        most = [float(row["time_max_s"]) for row in rows if row["time_max_s"]]
        assert least == sorted(least, reverse=True)
        assert most == sorted(most, reverse=True)
        for row in rows:
            if row["time_min_s"] and row["time_max_s"]:
                assert float(row["time_min_s"]) < float(row["time_max_s"])


def test_heat_shrink_shrinks_by_its_ratio() -> None:
    for row in load("heat_shrink").rows:
        ratio = next(r for r in (2, 3, 4) if f"{r}:1" in row["family"])
        share = float(row["expanded_id_min_mm"]) / float(row["recovered_id_max_mm"])
        assert ratio * 0.97 < share < ratio * 1.07, row


@pytest.mark.parametrize(
    ("name", "inch", "mm"),
    [
        ("heat_shrink", "expanded_id_min_in", "expanded_id_min_mm"),
        ("grommets", "inside_dia_in", "inside_dia_mm"),
        ("grommets", "panel_hole_in", "panel_hole_mm"),
        ("p_clamps", "tube_or_bundle_dia_in", "tube_or_bundle_dia_mm"),
        ("stud_holes", "stud_dia_in", "stud_dia_mm"),
        ("stud_holes", "ring_hole_typical_in", "ring_hole_typical_mm"),
        ("lug_barrel_awg", "barrel_inside_dia_in", "barrel_inside_dia_mm"),
        ("blade_tabs", "tab_width_in", "tab_width_mm"),
    ],
)
def test_inch_and_millimetre_columns_say_the_same(name: str, inch: str, mm: str) -> None:
    for row in load(name).rows:
        assert float(row[mm]) == pytest.approx(float(row[inch]) * IN, abs=0.06), row


@pytest.mark.parametrize(
    ("name", "inner", "outer"),
    [
        ("grommets", "inside_dia_mm", "panel_hole_mm"),
        ("loom_sizes", "inside_dia_mm", "outside_dia_mm"),
        ("braided_sleeving", "min_bundle_mm", "max_bundle_mm"),
        ("stud_holes", "stud_dia_mm", "ring_hole_typical_mm"),
    ],
)
def test_what_goes_inside_is_smaller(name: str, inner: str, outer: str) -> None:
    assert all(float(row[inner]) < float(row[outer]) for row in load(name).rows)


def test_a_tie_is_long_enough_for_the_bundle_it_is_said_to_take() -> None:
    for row in load("cable_tie_lengths").rows:
        assert float(row["tie_length_mm"]) > pi * float(row["max_bundle_mm"]), row


def test_pull_forces_in_newton_follow_from_pounds_but_for_one_known_misprint() -> None:
    """The terminal maker's sheet prints 1235.0 N for 300 lbf; 300 x 4.4482 = 1334 N."""
    wrong = [
        (row["scheme"], row["wire_awg"])
        for row in load("crimp_pull_force_awg").rows
        if float(row["min_pull_N"]) != pytest.approx(float(row["min_pull_lbf"]) * LBF_N, rel=0.015)
    ]
    assert wrong == [("UL486A_commercial", "2/0")]


def test_short_circuit_constants_follow_from_the_heat_of_copper() -> None:
    """k = 226 sqrt(ln((234.5 + Tf) / (234.5 + Ti))); ICEA's 0.07195 and 0.06773 from its own formula."""
    rows = load("adiabatic_constants").rows
    by_insulation = {row["insulation"]: row for row in rows if row["conductor"] == "copper"}
    assert float(by_insulation["PVC"]["k_A_s05_per_mm2"]) == 115
    assert float(by_insulation["XLPE/EPR"]["k_A_s05_per_mm2"]) == 143
    assert sqrt(0.0297 * log10((250 + 234) / (90 + 234))) == pytest.approx(0.07195, abs=0.0001)
    assert sqrt(0.0297 * log10((250 + 234) / (105 + 234))) == pytest.approx(0.06773, abs=0.0001)
    assert "0.07195" in by_insulation["thermoset 90 C"]["formula"]
    assert "0.06773" in by_insulation["thermoset 105 C"]["formula"]


def test_joint_resistances_worked_out_from_a_drop_and_a_current() -> None:
    """MIL-DTL-83454A table VIII: 7.5 mV at 43 A; relay sheet: 60 mV at 10 A; 0.1 V over 320 A."""
    chosen = load("contact_resistance").column("item", "resistance_mohm")
    assert chosen["stud joint small"] == pytest.approx(7.5 / 43, abs=0.0005)
    assert chosen["relay contact"] == pytest.approx(60 / 10)
    assert chosen["isolator contact"] == pytest.approx(100 / 320, rel=0.05)


def test_allowances_at_24_v_are_no_tighter_than_at_12_v_and_no_looser_than_double() -> None:
    for row in load("allowances").rows:
        assert 1 <= float(row["drop_24v_v"]) / float(row["drop_12v_v"]) <= 2, row


def test_the_two_sides_of_a_starter_make_up_its_whole_circuit() -> None:
    """Battery tester maker's manual p. 15: positive 0.5, ground 0.3, total 0.8 V."""
    table = load("allowances")
    assert {row["counts"] for row in table.rows} == {"whole circuit", "live side", "ground side"}
    for column in ("drop_12v_v", "drop_24v_v"):
        volts = table.column("row", column)
        assert volts["starter live side"] + volts["starter ground side"] == pytest.approx(
            volts["starter motor"]
        )
    assert table.column("row", "drop_12v_v")["starter motor"] == 0.8
