"""Tables that are read by size rise without gaps, and their columns run the same way."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest

from harness.tables import load


def gauge(text: str) -> int:
    """Gauge number that falls as the wire grows: 1/0 and 0 are 0, 4/0 is -3."""
    found = re.fullmatch(r"(\d)/0", text)
    return 1 - int(found[1]) if found else int(text)


def numbers(name: str, column: str) -> list[float]:
    return [float(row[column]) for row in load(name).rows if row[column]]


RISING = [
    ("iso6722_conductor", "area_nominal_mm2"),
    ("iso6722_conductor", "conductor_dia_max_mm"),
    ("iso6722_conductor", "od_max_thick_wall_mm"),
    ("iso6722_conductor", "od_max_thin_wall_mm"),
    ("iso6722_thinwall_maker", "area_nominal_mm2"),
    ("iso6722_thinwall_maker", "current_rating_nominal_A"),
    ("iso6722_thinwall_maker", "od_max_mm"),
    ("iso10133_annex_a_ampacity_30c", "area_nominal_mm2"),
    ("iec60228_resistance", "nominal_mm2"),
    ("iec60228_temperature_factor", "conductor_temp_C"),
    ("cable_ampacity_handbook_din", "area_mm2"),
    ("cable_ampacity_handbook_din", "current_continuous_30C_A"),
    ("cable_ampacity_handbook_din", "current_continuous_50C_A"),
    ("cable_temperature_class_iso", "temp_max_C"),
    ("sae_conductor_area_min", "area_min_mm2_from_cmil"),
    ("sae_conductor_area_min", "area_min_mm2_J1128_J1127"),
    ("sae_conductor_area_min", "awg_area_cmil"),
    ("sae_primary_stranding", "area_mm2_calc"),
    ("sae_gxl_outside_diameter", "od_nominal_mm"),
    ("sae_gxl_outside_diameter", "weight_lb_per_1000ft"),
    ("wire_capacity_xlpe_j1292_based", "current_max_A"),
    ("astm_b258_awg", "diameter_mm"),
    ("astm_b258_awg", "area_mm2"),
    ("fuse_vs_cable_bodybuilder_40c", "fuse_rating_A"),
    ("bundle_factor", "bundle_dia_over_wire_dia"),
    ("lug_barrel_awg", "barrel_inside_dia_mm"),
    ("battery_lugs", "din46235_barrel_id_mm"),
    ("crimp_pull_force_mm2", "min_pull_N"),
]
FALLING = [
    ("iso6722_conductor", "resistance_max_20C_mohm_per_m"),
    ("iec60228_resistance", "class2_plain_max_ohm_per_km_20C"),
    ("iec60228_resistance", "class5_6_plain_max_ohm_per_km_20C"),
    ("iec60228_temperature_factor", "kt_to_bring_reading_to_20C"),
    ("ac43_13_1b_table_11_9", "resistance_max_20C_ohm_per_1000ft"),
    ("nfpa70_ch9_table_8", "stranded_uncoated_75C_ohm_per_kft"),
    ("awg_solid_published", "diameter_in"),
    ("awg_solid_published", "area_cmil"),
    *(("mil_w_5088l_bundle_derating", f"factor_{step}pct_loading") for step in (20, 40, 60, 80, 100)),
    ("nec_bundle_adjustment", "percent_of_table_ampacity"),
    ("abyc_e11_bundle_factor", "factor"),
]


@pytest.mark.parametrize(("name", "column"), RISING)
def test_column_rises_without_a_step_back(name: str, column: str) -> None:
    assert all(low < high for low, high in pairwise(numbers(name, column)))


@pytest.mark.parametrize(("name", "column"), FALLING)
def test_column_falls_without_a_step_back(name: str, column: str) -> None:
    assert all(high > low for high, low in pairwise(numbers(name, column)))


GAUGES = [
    ("sae_conductor_area_min", "gauge_SAE", 2, True),
    ("ampacity_33cfr183_425_table5", "gauge_AWG", 2, True),
    ("sae_j1128_wall_thickness", "gauge_SAE", 2, True),
    ("sae_j1127_wall_thickness", "gauge_SAE", 2, True),
    ("sae_gxl_outside_diameter", "gauge_AWG", 2, True),
    ("ac43_13_1b_table_11_9", "size_AWG", 2, True),
    ("abyc_e11_table4_105c", "awg", 2, True),
    ("astm_b258_awg", "size_AWG", 1, True),
    ("awg_solid_published", "awg", 1, False),
    ("neets_solid_wire_ohms", "awg", 1, False),
]


@pytest.mark.parametrize(("name", "column", "largest_step", "grows"), GAUGES)
def test_gauges_leave_no_size_out(name: str, column: str, largest_step: int, grows: bool) -> None:
    sizes = [gauge(row[column]) for row in load(name).rows]
    steps = [(a - b) if grows else (b - a) for a, b in pairwise(sizes)]
    assert all(1 <= step <= largest_step for step in steps)


FULL = [
    ("ampacity_33cfr183_425_table5", 8),
    ("iso10133_annex_a_ampacity_30c", 7),
    ("mil_w_5088l_bundle_derating", 6),
    ("ac43_13_1b_table_11_9", 6),
    ("astm_b258_awg", 3),
    ("loom_sizes", 5),
    ("standard_fuse_ratings", 5),
    ("contact_resistance", 5),
    ("length_allowances", 7),
    ("allowances", 7),
]


@pytest.mark.parametrize(("name", "columns"), FULL)
def test_tables_that_decide_sizes_have_no_empty_cell(name: str, columns: int) -> None:
    for row in load(name).rows:
        assert all(list(row.values())[:columns]), row


AMPACITY = [
    ("ampacity_33cfr183_425_table5", r"I_\d+C_A"),
    ("iso10133_annex_a_ampacity_30c", r"I_[\d_]+C_A"),
    ("ac43_13_1b_table_11_9", r"I_\d+C_A"),
]


@pytest.mark.parametrize(("name", "pattern"), AMPACITY)
def test_ampacity_never_falls_with_size_or_with_insulation_temperature(name: str, pattern: str) -> None:
    """33 CFR 183.425 table 5, ISO 10133 annex A, AC 43.13-1B table 11-9: cells between cells."""
    rows = load(name).rows
    columns = [key for key in rows[0] if re.fullmatch(pattern, key)]
    assert len(columns) >= 3
    for row in rows:
        across = [float(row[key]) for key in columns]
        assert across == sorted(across), row
    for key in columns:
        down = [float(row[key]) for row in rows]
        assert down == sorted(down), key


RANGES = [
    ("bundle_factor", "n_wires_from", "n_wires_to", 1),
    ("nec_bundle_adjustment", "current_carrying_conductors_from", "current_carrying_conductors_to", 1),
    ("abyc_e11_bundle_factor", "current_carrying_conductors_from", "current_carrying_conductors_to", 1),
    ("fuse_vs_cable_bodybuilder_40c", "max_continuous_current_from_A", "max_continuous_current_to_A", 0),
]


@pytest.mark.parametrize(("name", "first", "last", "gap"), RANGES)
def test_ranges_follow_on_without_hole_or_overlap(name: str, first: str, last: str, gap: float) -> None:
    for row, following in pairwise(load(name).rows):
        assert float(row[first]) <= float(row[last])
        assert float(following[first]) == float(row[last]) + gap


def test_bundle_counts_of_the_derating_curve_run_from_one_by_one() -> None:
    counts = [int(row["wires_in_bundle"]) for row in load("mil_w_5088l_bundle_derating").rows]
    assert counts == list(range(1, len(counts) + 1))


def test_crimp_barrels_from_yellow_up_follow_on_by_area() -> None:
    rows = load("closed_barrel_ranges").rows
    start = next(at for at, row in enumerate(rows) if row["splice_or_terminal_range_awg"] == "12-10")
    for row, following in pairwise(rows[start:]):
        assert row["cma_max_circular_mil"] == following["cma_min_circular_mil"]


@pytest.mark.parametrize("form", ["blade", "large blade", "bolt-in 30 mm", "bolt-in 51 mm", "glass"])
def test_fuse_ratings_of_a_form_rise(form: str) -> None:
    ratings = [float(row["rating_a"]) for row in load("standard_fuse_ratings").rows if row["form"] == form]
    assert len(ratings) >= 7
    assert all(low < high for low, high in pairwise(ratings))


@pytest.mark.parametrize("form", ["blade", "large blade"])
def test_every_blade_rating_has_a_body_colour_of_its_own(form: str) -> None:
    ratings = [row["rating_a"] for row in load("standard_fuse_ratings").rows if row["form"] == form]
    rows = [row for row in load("fuse_colours").rows if row["form"] == form]
    colours = {row["fuse_rating_A"]: row["colour"] for row in rows}
    assert set(ratings) == set(colours)
    assert len(set(colours.values())) == len(colours)


@pytest.mark.parametrize(
    ("name", "column"),
    [("contact_resistance", "item"), ("length_allowances", "end"), ("allowances", "row")],
)
def test_rows_the_program_asks_for_by_name_are_there_once(name: str, column: str) -> None:
    keys = [row[column] for row in load(name).rows]
    assert len(set(keys)) == len(keys)
