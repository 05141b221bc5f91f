"""Cells of every table of the fit-out, typed by hand from what was read of their documents.

Where a document was not seen the figure is typed from memory of it, and says so.
"""

from __future__ import annotations

import ast
import re
from collections import Counter
from pathlib import Path

import pytest

import harness
from harness.tables import load
from tests.published.recorder import Cells, published

Where = dict[str, str]
# how the note of a document ends: how sure it is, and how the figure follows from what is printed
SURE = re.compile(r" \((read-from-secondary|read|memory)\b[^()]*\)(:.*)?$")
BARREL = "splice_or_terminal_range_awg"
ENOUGH = 5  # cells of each table
CODE = Path(harness.__file__).parent
# words of our own, or figures that stand in a test of their own
NOT_HERE = {"colour_functions", "length_allowances"}

RING = "a maker's sheet of uninsulated brazed ring terminals, inches (read)"
RANGES = "two terminal makers' pages, wire ranges by colour (read)"
SHEET = "a maker's 2:1 thin-wall data sheet (read)"
AMS = "SAE-AMS-DTL-23053/5 class 1 (memory)"
DUAL = "makers' dual-wall series, expanded/recovered (memory)"
GUIDE = "a maker's sizing guide (read)"
TABS = "IEC 61210 and UL 310, tab sizes (read in their scopes)"
DIN_LUG = "DIN 46235, tube of copper lugs (memory)"
LUG_SHEET = "a lug maker's gauge size table, inches (read)"
RANGE_CMA = "makers' closed barrel ranges, circular mils (memory)"
PLUG = "a plug seller's table of contacts (read)"
AN = "AN931 and MS35489 chart quoted by an owners' club (read)"
NW = "corrugated tube tables, outside diameters common to makers (memory)"
MS = "MS21919: dash number in 1/16 in, hole for a No. 10 screw 0.203 in (memory)"
DIN_CLAMP = "DIN 3016, 15 mm band, 6.4 mm hole (memory)"
TIES = "trade catalogues of cable ties (memory)"
STUDS = "ISO 273 fine series and UNC major diameters (memory)"
BRAID = "catalogues of expandable braid, inches (memory)"

DRIVE = "a drive maker's manual, round terminals and tightening torque, p. 2-25 (read)"
FERRULE = "a maker's sheet of insulated wire ferrules p. 3 (read)"
UL = {"scheme": "UL486A_commercial"}
UL_PULL = "UL 486A, pull-out in pounds, in a terminal maker's specification (read)"
TORQUE = "US Army TM 5-3895-382-24 p. 233, middle value and tolerance (read)"
IEC_PULL = "IEC 60352-2:2006 table 1 (memory)"

TRIM = "U strip by panel thickness, trade practice (memory)"
WRAP = "catalogues of spiral wrap (memory)"
GLASS = "catalogues of coated glass-fibre sleeve (memory)"
NFPA = "NFPA 70 chapter 9 table 1 as quoted (read-from-secondary)"
COUNTER = "rolls and sticks over the counter, feet in metres (common practice)"

CELLS: list[tuple[str, Where, str, str, str]] = [
    ("ring_terminal_dims", {"wire_awg": "22-18", "stud": "#10"}, "barrel_id_in", "0.07", RING),
    ("ring_terminal_dims", {"wire_awg": "16-14", "stud": "1/4"}, "L_overall_in", "0.93", RING),
    ("ring_terminal_dims", {"wire_awg": "16-14", "stud": "#6"}, "barrel_length_in", "0.25", RING),
    ("ring_terminal_dims", {"wire_awg": "12-10", "stud": "3/8"}, "barrel_id_in", "0.135", RING),
    ("ring_terminal_dims", {"wire_awg": "12-10", "stud": "1/4"}, "thickness_in", "0.04", RING),
    ("terminal_insulated_ranges", {"colour": "red"}, "wire_awg_from", "22", RANGES),
    ("terminal_insulated_ranges", {"colour": "red"}, "wire_mm2_to", "1.5", RANGES),
    ("terminal_insulated_ranges", {"colour": "blue"}, "wire_awg_to", "14", RANGES),
    ("terminal_insulated_ranges", {"colour": "blue"}, "wire_mm2_to", "2.5", RANGES),
    ("terminal_insulated_ranges", {"colour": "yellow"}, "wire_awg_to", "10", RANGES),
    ("terminal_insulated_ranges", {"colour": "yellow"}, "wire_mm2_to", "6.0", RANGES),
    ("battery_lugs", {"wire_mm2": "16"}, "din46235_barrel_id_mm", "5.5", DIN_LUG),
    ("battery_lugs", {"wire_mm2": "25"}, "din46235_barrel_id_mm", "7", DIN_LUG),
    ("battery_lugs", {"wire_mm2": "35"}, "din46235_barrel_id_mm", "8.2", DIN_LUG),
    ("battery_lugs", {"wire_mm2": "50"}, "din46235_barrel_id_mm", "10", DIN_LUG),
    ("battery_lugs", {"wire_mm2": "70"}, "din46235_barrel_id_mm", "11.5", DIN_LUG),
    ("battery_lugs", {"wire_mm2": "95"}, "din46235_barrel_id_mm", "13.5", DIN_LUG),
    ("lug_barrels", {"wire_mm2": "16"}, "barrel_outside_mm", "8.5", DIN_LUG),
    ("lug_barrels", {"wire_mm2": "25"}, "barrel_outside_mm", "10", DIN_LUG),
    ("lug_barrels", {"wire_mm2": "35"}, "barrel_outside_mm", "12.5", DIN_LUG),
    ("lug_barrels", {"wire_mm2": "50"}, "barrel_length_mm", "28", DIN_LUG),
    ("lug_barrels", {"wire_mm2": "95"}, "barrel_length_mm", "35", DIN_LUG),
    ("lug_barrel_awg", {"wire_awg": "8"}, "barrel_inside_dia_in", "0.186", LUG_SHEET),
    ("lug_barrel_awg", {"wire_awg": "6"}, "barrel_inside_dia_in", "0.232", LUG_SHEET),
    ("lug_barrel_awg", {"wire_awg": "2"}, "barrel_inside_dia_in", "0.337", LUG_SHEET),
    ("lug_barrel_awg", {"wire_awg": "2/0"}, "barrel_inside_dia_in", "0.46", LUG_SHEET),
    ("lug_barrel_awg", {"wire_awg": "4/0"}, "barrel_inside_dia_in", "0.56", LUG_SHEET),
    ("closed_barrel_ranges", {BARREL: "22-16"}, "cma_min_circular_mil", "509", RANGE_CMA),
    ("closed_barrel_ranges", {BARREL: "22-16"}, "cma_max_circular_mil", "3260", RANGE_CMA),
    ("closed_barrel_ranges", {BARREL: "16-14"}, "cma_min_circular_mil", "2050", RANGE_CMA),
    ("closed_barrel_ranges", {BARREL: "12-10"}, "cma_max_circular_mil", "13100", RANGE_CMA),
    ("closed_barrel_ranges", {BARREL: "2/0"}, "cma_max_circular_mil", "150500", RANGE_CMA),
    ("blade_tabs", {"tab_width_mm": "2.8", "tab_thickness_mm": "0.5"}, "tab_width_in", "0.11", TABS),
    ("blade_tabs", {"tab_width_mm": "4.8", "tab_thickness_mm": "0.5"}, "tab_thickness_in", "0.02", TABS),
    ("blade_tabs", {"tab_width_mm": "4.8", "tab_thickness_mm": "0.8"}, "tab_width_in", "0.187", TABS),
    ("blade_tabs", {"tab_width_mm": "6.3"}, "tab_thickness_in", "0.032", TABS),
    ("blade_tabs", {"tab_width_mm": "6.3"}, "tab_width_in", "0.25", TABS),
    ("blade_tabs", {"tab_width_mm": "9.5"}, "tab_thickness_in", "0.047", TABS),
    ("coupler_contacts", {"contact_size": "20"}, "wire_from", "24 AWG", PLUG),
    ("coupler_contacts", {"contact_size": "20"}, "continuous_a", "7.5", PLUG),
    ("coupler_contacts", {"contact_size": "16"}, "wire_to", "14 AWG", PLUG),
    ("coupler_contacts", {"contact_size": "16"}, "continuous_a", "13", PLUG),
    ("coupler_contacts", {"contact_size": "12"}, "wire_to", "10 AWG", PLUG),
    ("coupler_contacts", {"contact_size": "12"}, "continuous_a", "22", PLUG),
    ("heat_shrink", {"nominal_size": "3.2"}, "recovered_id_max_mm", "1.6", SHEET),
    ("heat_shrink", {"nominal_size": "12.7"}, "recovered_id_max_mm", "6.4", SHEET),
    ("heat_shrink", {"nominal_size": "12.7"}, "recovered_wall_nom_mm", "0.62", SHEET),
    ("heat_shrink", {"nominal_size": "50.8"}, "recovered_wall_nom_mm", "1.1", SHEET),
    ("heat_shrink", {"nominal_size": "3/4"}, "expanded_id_min_in", "0.75", AMS),
    ("heat_shrink", {"nominal_size": "3/4"}, "recovered_id_max_in", "0.375", AMS),
    ("heat_shrink", {"nominal_size": "19/6"}, "recovered_id_max_mm", "6", DUAL),
    ("heat_shrink", {"nominal_size": "8/2"}, "expanded_id_min_mm", "8", DUAL),
    ("heat_shrink", {"nominal_size": "32/8"}, "recovered_id_max_mm", "8", DUAL),
    ("heat_shrink_rules", {"rule": "lower limit of object size"}, "figure", "1.10 x recovered ID", GUIDE),
    ("heat_shrink_rules", {"rule": "upper limit of object size"}, "figure", "0.80 x expanded ID", GUIDE),
    ("heat_shrink_rules", {"rule": "if several sizes fit"}, "figure", "take the largest", GUIDE),
    (
        "heat_shrink_rules", {"rule": "length shrinkage allowance"}, "figure", "5 to 15 % of cut length",
        "a seller's guide (read)",
    ),
    (
        "heat_shrink_rules", {"rule": "length shrinkage, 23053/5 thin wall"}, "figure", "5 % maximum loss",
        "SAE-AMS-DTL-23053/5, longitudinal change (memory)",
    ),
    ("grommets", {"designation": "AN931-8-13"}, "inside_dia_in", "0.5", AN),
    ("grommets", {"designation": "AN931-16-22 = MS35489-23"}, "inside_dia_in", "1", AN),
    ("grommets", {"designation": "AN931-16-22 = MS35489-23"}, "panel_hole_in", "1.375", AN),
    ("grommets", {"designation": "AN931-20-38 = MS35489-25"}, "inside_dia_in", "1.25", AN),
    ("grommets", {"designation": "AN931-20-38 = MS35489-25"}, "panel_hole_in", "2.375", AN),
    ("loom_sizes", {"nominal": "NW10"}, "outside_dia_mm", "13", NW),
    ("loom_sizes", {"nominal": "NW12"}, "outside_dia_mm", "15.8", NW),
    ("loom_sizes", {"nominal": "NW17"}, "outside_dia_mm", "21.2", NW),
    ("loom_sizes", {"nominal": "NW23"}, "outside_dia_mm", "28.5", NW),
    ("loom_sizes", {"nominal": "NW29"}, "inside_dia_mm", "29", NW),
    ("loom_sizes", {"nominal": "3/4"}, "inside_dia_mm", "19.1", "the fraction itself: 3/4 in is 19.05 mm"),
    ("braided_sleeving", {"nominal_in": "1/8"}, "max_bundle_mm", "6.3", f"{BRAID}: 1/4 in"),
    ("braided_sleeving", {"nominal_in": "1/4"}, "min_bundle_mm", "3.2", f"{BRAID}: 1/8 in"),
    ("braided_sleeving", {"nominal_in": "1/2"}, "max_bundle_mm", "19", f"{BRAID}: 3/4 in"),
    ("braided_sleeving", {"nominal_in": "3/4"}, "min_bundle_mm", "12.7", f"{BRAID}: 1/2 in"),
    ("braided_sleeving", {"nominal_in": "3/4"}, "max_bundle_mm", "31.8", f"{BRAID}: 1-1/4 in"),
    ("p_clamps", {"designation": "1/4 in"}, "tube_or_bundle_dia_in", "0.25", MS),
    ("p_clamps", {"designation": "9/16 in"}, "tube_or_bundle_dia_in", "0.5625", MS),
    ("p_clamps", {"designation": "1-1/8 in"}, "bolt_hole_mm", "5.16", f"{MS}: 0.203 x 25.4"),
    ("p_clamps", {"designation": "25 mm"}, "bolt_hole_mm", "6.4", DIN_CLAMP),
    ("p_clamps", {"designation": "40 mm"}, "band_width_mm", "15", DIN_CLAMP),
    ("cable_tie_lengths", {"tie_length_mm": "100"}, "max_bundle_mm", "22", TIES),
    ("cable_tie_lengths", {"tie_length_mm": "140"}, "tie_width_mm", "3.6", TIES),
    ("cable_tie_lengths", {"tie_length_mm": "200", "tie_width_mm": "4.8"}, "max_bundle_mm", "50", TIES),
    ("cable_tie_lengths", {"tie_length_mm": "300"}, "max_bundle_mm", "76", TIES),
    ("cable_tie_lengths", {"tie_length_mm": "370", "tie_width_mm": "7.6"}, "max_bundle_mm", "102", TIES),
    ("stud_holes", {"stud_size": "M6"}, "ring_hole_typical_mm", "6.4", STUDS),
    ("stud_holes", {"stud_size": "M8"}, "ring_hole_typical_mm", "8.4", STUDS),
    ("stud_holes", {"stud_size": "M10"}, "ring_hole_typical_mm", "10.5", STUDS),
    ("stud_holes", {"stud_size": "#8"}, "stud_dia_in", "0.164", STUDS),
    ("stud_holes", {"stud_size": "#10"}, "stud_dia_in", "0.19", STUDS),
    ("stud_holes", {"stud_size": "3/8"}, "stud_dia_in", "0.375", STUDS),
    ("crimp_prep_rules", {"applies_to": "turned contact size 20"}, "value", "4 to 5 (0.157-0.186 in)",
     "US Army TM 55-1520-240-23-3 para 4-11.3 (read)"),
    ("crimp_prep_rules", {"item": "pull test sample length"}, "value", "150 (6.0 in)",
     "a terminal maker's crimp handbook (read)"),
    ("crimp_prep_rules", {"item": "two wires in one barrel"}, "value",
     "add circular mils, use the next larger equivalent size", "NASA-STD-8739.4 ch. 6 19.11 p. 86 (read)"),
    ("crimp_prep_rules", {"applies_to": "20 AWG and smaller"}, "value", "0.75 (0.03 in)",
     "NASA-STD-8739.4 ch. 6 10.1 b(2) (read)"),
    ("crimp_prep_rules", {"applies_to": "insulated yellow 12-10 ring/butt (9/32 to 5/16 in)"}, "value", "7.9",
     "5/16 in, terminal makers' practice (memory)"),
    ("stud_torque", {"kind": "ring lug", "thread": "M4"}, "most_nm", "1.2", DRIVE),
    ("stud_torque", {"kind": "ring lug", "thread": "M6"}, "most_nm", "2.5", DRIVE),
    ("stud_torque", {"kind": "ring lug", "thread": "M8"}, "most_nm", "6.0", DRIVE),
    ("stud_torque", {"kind": "ring lug", "thread": "M10"}, "least_nm", "10.0", DRIVE),
    ("ferrules", {"wire_mm2": "0.5"}, "barrel_inside_mm", "1.0", FERRULE),
    ("ferrules", {"wire_mm2": "1.5"}, "barrel_length_mm", "8", FERRULE),
    ("ferrules", {"wire_mm2": "2.5"}, "wire_awg", "14", FERRULE),
    ("ferrules", {"wire_mm2": "2.5"}, "overall_mm", "17.4", FERRULE),
    ("ferrules", {"wire_mm2": "10"}, "barrel_outside_mm", "4.9", FERRULE),
    ("ferrules", {"wire_mm2": "35"}, "barrel_length_mm", "16", FERRULE),
    ("crimp_pull_force_awg", {**UL, "wire_awg": "22"}, "min_pull_lbf", "8", UL_PULL),
    ("crimp_pull_force_awg", {**UL, "wire_awg": "18"}, "min_pull_lbf", "20", UL_PULL),
    ("crimp_pull_force_awg", {**UL, "wire_awg": "16"}, "min_pull_lbf", "30", UL_PULL),
    ("crimp_pull_force_awg", {**UL, "wire_awg": "14"}, "min_pull_lbf", "50", UL_PULL),
    ("crimp_pull_force_awg", {**UL, "wire_awg": "12"}, "min_pull_lbf", "70", UL_PULL),
    ("crimp_pull_force_awg", {**UL, "wire_awg": "10"}, "min_pull_lbf", "80", UL_PULL),
    ("crimp_pull_force_awg", {**UL, "wire_awg": "2/0"}, "min_pull_lbf", "300", UL_PULL),
    ("crimp_pull_force_mm2", {"wire_mm2": "0.5"}, "min_pull_N", "60", IEC_PULL),
    ("crimp_pull_force_mm2", {"wire_mm2": "1.0"}, "min_pull_N", "108", IEC_PULL),
    ("crimp_pull_force_mm2", {"wire_mm2": "1.5"}, "min_pull_N", "150", IEC_PULL),
    ("crimp_pull_force_mm2", {"wire_mm2": "2.5"}, "min_pull_N", "230", IEC_PULL),
    ("crimp_pull_force_mm2", {"wire_mm2": "4"}, "min_pull_N", "310", IEC_PULL),
    ("crimp_pull_force_mm2", {"wire_mm2": "6"}, "min_pull_N", "360", IEC_PULL),
    ("support_rules", {"rule": "largest spacing of supports"}, "figure_in", "24",
     "AC 43.13-1B 11-96 a (read)"),
    ("support_rules", {"rule": "largest spacing of supports"}, "figure_mm", "610", "24 in"),
    ("support_rules", {"rule": "ties needed when supports are more than"}, "figure_in", "12 apart",
     "AC 43.13-1B 11-158 b (read)"),
    ("support_rules", {"rule": "bend radius, wire or cable"}, "figure_in", "10 x outside diameter",
     "US Army TM 1-1500-204-23-4 item (27) (read)"),
    ("support_rules", {"rule": "largest spacing of supports (boats)"}, "figure_in", "18",
     "ABYC E-11 (memory)"),
    ("stud_torque", {"terminal": "B+", "volts": "12"}, "least_nm", "2.6", f"{TORQUE}: 3.5 less 0.9"),
    ("stud_torque", {"terminal": "B+", "volts": "12"}, "most_nm", "4.4", f"{TORQUE}: 3.5 and 0.9"),
    ("stud_torque", {"terminal": "B+", "volts": "24"}, "least_nm", "7.5", f"{TORQUE}: 7.75 less 0.25"),
    ("stud_torque", {"terminal": "B+", "volts": "24"}, "most_nm", "8", f"{TORQUE}: 7.75 and 0.25"),
    ("stud_torque", {"terminal": "B-"}, "least_nm", "2.8", f"{TORQUE}: 3.6 less 0.8"),
    ("stud_torque", {"terminal": "B-"}, "most_nm", "4.4", f"{TORQUE}: 3.6 and 0.8"),
    ("marking_rules", {"rule": "first mark from the end (figure)"}, "figure_in", "3",
     "AC 43.13-1B figure 11-23 (read)"),
    ("marking_rules", {"rule": "first mark from the end (figure)"}, "figure_mm", "76", "3 in"),
    ("marking_rules", {"rule": "mark printed on the wire: at each end and every"}, "figure_in", "15 max",
     "AC 43.13-1B 11-208 (read)"),
    ("marking_rules", {"rule": "mark printed on the wire: at each end and every"}, "figure_mm", "381",
     "15 in"),
    ("marking_rules", {"rule": "sleeve (indirect) marks: at each end and every"}, "figure_mm", "1829",
     "6 ft, AC 43.13-1B 11-208 b (the figure read, its unit memory)"),
    ("edge_trim", {"plate_from_mm": "0.8"}, "plate_to_mm", "2", TRIM),
    ("edge_trim", {"plate_from_mm": "2"}, "plate_to_mm", "4", TRIM),
    ("edge_trim", {"plate_from_mm": "4"}, "plate_to_mm", "6", TRIM),
    ("edge_trim", {"plate_from_mm": "0.8"}, "lip_mm", "2", TRIM),
    ("edge_trim", {"plate_from_mm": "4"}, "lip_mm", "3", TRIM),
    ("clamp_fasteners", {"bolt_hole_mm": "5.16"}, "bolt", "No. 10-32 x 3/4 in", MS),
    ("clamp_fasteners", {"bolt_hole_mm": "5.16"}, "washer", "No. 10", MS),
    ("clamp_fasteners", {"bolt_hole_mm": "5.16"}, "nut", "No. 10-32", MS),
    ("clamp_fasteners", {"bolt_hole_mm": "6.4"}, "bolt", "M6 x 20", DIN_CLAMP),
    ("clamp_fasteners", {"bolt_hole_mm": "6.4"}, "nut", "M6", DIN_CLAMP),
    ("support_spacing", {"run": "sheltered"}, "clamps_every_m", "0.61", "AC 43.13-1B 11-96 a, 24 in (read)"),
    ("support_spacing", {"run": "sheltered"}, "ties_every_m", "0.305", "AC 43.13-1B 11-158 b, 12 in (read)"),
    ("support_spacing", {"run": "open"}, "clamps_every_m", "0.45",
     "ISO 10133:2012 7.3 (read-from-secondary)"),
    ("support_spacing", {"run": "battery cable"}, "clamps_every_m", "0.3",
     "ISO 10133:2012 7.4 (read-from-secondary)"),
    ("support_spacing", {"run": "shaking"}, "clamps_every_m", "0.3", "200 to 300 mm (common practice)"),
    ("spiral_wrap", {"nominal": "1/4 in"}, "min_bundle_mm", "4.8", WRAP),
    ("spiral_wrap", {"nominal": "1/4 in"}, "max_bundle_mm", "50.8", WRAP),
    ("spiral_wrap", {"nominal": "1/2 in"}, "min_bundle_mm", "9.5", WRAP),
    ("spiral_wrap", {"nominal": "10 mm"}, "max_bundle_mm", "60", WRAP),
    ("spiral_wrap", {"nominal": "24 mm"}, "min_bundle_mm", "20", WRAP),
    ("glass_sleeve", {"inside_dia_mm": "2"}, "outside_dia_mm", "3", GLASS),
    ("glass_sleeve", {"inside_dia_mm": "6"}, "outside_dia_mm", "7", GLASS),
    ("glass_sleeve", {"inside_dia_mm": "10"}, "outside_dia_mm", "11.4", GLASS),
    ("glass_sleeve", {"inside_dia_mm": "20"}, "outside_dia_mm", "22", GLASS),
    ("glass_sleeve", {"inside_dia_mm": "40"}, "outside_dia_mm", "42", GLASS),
    ("loom_fill_rules", {"rule": "loom inside diameter over bundle diameter"}, "figure", "1.20 to 1.25",
     "how-to pages (read-from-secondary)"),
    ("loom_fill_rules", {"rule": "area fill, 3 or more conductors"}, "figure", "40 %", NFPA),
    ("loom_fill_rules", {"rule": "area fill, 1 conductor / 2 conductors"}, "figure", "53 % / 31 %", NFPA),
    ("loom_fill_rules", {"rule": "check: 1.25 on diameter is"}, "figure", "64 % fill by bundle circle area",
     "1 / 1.25 squared (calculated)"),
    ("loom_fill_rules", {"rule": "conduit inside diameter over bundle diameter"}, "figure",
     "1.5, plus 10 % if over 10 m or with bends", "CEI 64-8 as quoted (read-from-secondary)"),
    ("sold_as", {"group": "wire", "name": "roll of 25 ft"}, "amount", "7.62", COUNTER),
    ("sold_as", {"group": "wire", "name": "roll of 100 ft"}, "amount", "30.48", COUNTER),
    ("sold_as", {"group": "heat-shrink", "sizes": "AWG"}, "amount", "1.2192", COUNTER),
    ("sold_as", {"group": "heat-shrink", "sizes": "mm2"}, "amount", "1.2", COUNTER),
    ("sold_as", {"group": "ties"}, "amount", "100", COUNTER),
]  # fmt: skip


def figure(text: str) -> float | None:
    """A cell's number; None where it holds words."""
    try:
        return float(text)
    except ValueError:
        return None


def same(cell: str, typed: str) -> bool:
    """Whether a cell says the same, figures by their value."""
    try:
        return float(cell) == float(typed)
    except ValueError:
        return cell == typed


def against(cell: tuple[str, Where, str, str, str]) -> list[pytest.MarkDecorator]:
    """The mark of a cell retyped from a document; none where the note is arithmetic or common practice."""
    sure = SURE.search(cell[4])
    return [published(cell[4][: sure.start()], cell[0].replace("_", " "), sure[1])] if sure else []


@pytest.mark.parametrize(
    "cell",
    [pytest.param(cell, marks=against(cell), id=f"{cell[0]}-{cell[2]}-{cell[3]}") for cell in CELLS],
)
def test_a_cell_is_as_its_document_has_it(
    cell: tuple[str, Where, str, str, str], request: pytest.FixtureRequest
) -> None:
    name, where, column, typed, document = cell
    rows = [row for row in load(name).rows if all(same(row[key], value) for key, value in where.items())]
    assert rows, f"{name} has no row {where}"
    assert all(same(row[column], typed) for row in rows), f"{[row[column] for row in rows]}, {document}"
    if request.node.get_closest_marker("published") is None:
        return
    cells: Cells = request.getfixturevalue("cells")
    told = " ".join(where.values())
    if figure(typed) is None:
        cells.kept(f"{told}, {column}", rows[0][column], typed)
    else:
        cells.kept(f"{told}, {column}", float(rows[0][column]), float(typed))


def loaded(folder: Path) -> set[str]:
    """Names of the tables that the files of a folder load."""
    found = set()
    for path in sorted(folder.glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "load":
                found |= {each.value for each in node.args if isinstance(each, ast.Constant)}
    return found


def test_enough_cells_of_every_table_of_the_fit_out_are_retyped() -> None:
    """A new table of the fit-out needs five cells above, each from its document."""
    count = Counter(name for name, *_ in CELLS)
    assert {name for name in loaded(CODE / "fitout") if count[name] < ENOUGH} <= NOT_HERE


@pytest.mark.parametrize(
    ("mils", "mm2"), [("cma_min_circular_mil", "mm2_min"), ("cma_max_circular_mil", "mm2_max")]
)
def test_circular_mils_are_square_millimetres(mils: str, mm2: str) -> None:
    """A circular mil is pi/4 x (0.0254 mm)^2 = 5.0671e-4 mm2."""
    for row in load("closed_barrel_ranges").rows:
        assert float(row[mm2]) == pytest.approx(float(row[mils]) * 5.0671e-4, rel=0.001), row


def test_a_lug_of_the_wire_gauge_takes_the_wire() -> None:
    """A strand of so many circular mils is wider than solid wire of them: the bore must be wider still."""
    mils = {"8": 16510, "6": 26240, "4": 41740, "2": 66360, "1/0": 105600, "2/0": 133100, "4/0": 211600}
    bores = load("lug_barrel_awg").column("wire_awg", "barrel_inside_dia_in")
    for gauge, area in mils.items():
        assert bores[gauge] > area**0.5 / 1000, gauge
