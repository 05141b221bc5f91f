"""Runs: covering with room in it, grommets the bundle passes, ties and clamps close enough."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harness.fitout import fit
from harness.fitout.covering import covering
from harness.fitout.grommets import grommet
from harness.fitout.support import clamp_count, clamp_text, tie_count, tie_text
from harness.model.design import RunResult
from harness.model.stages import Loom
from harness.tables import load
from tests.fitout.small_loom import box_wires, machine, run, survey_run

BUNDLES = st.floats(min_value=1.5, max_value=70.0)


def fitted(
    bundle_mm: float = 10.0, *, kept: bool = False, sizes: str = "AWG", ambient_c: float = 40.0, **survey: Any
) -> RunResult:
    """One run with one wire in it, fitted out."""
    surveyed = survey_run(**survey)
    box, wires = box_wires(kept=kept)
    made = machine([box], runs=(surveyed,), sizes=sizes)
    bare = run(surveyed, [wires[0].number], bundle_mm, ambient_c)
    return fit(made, Loom(wires, (bare,), ())).runs[0]


def number_before(words: str, text: str) -> float:
    found = re.search(rf"([\d.]+) {re.escape(words)}", text)
    assert found is not None, text
    return float(found.group(1))


# ------------------------------------------------------------------------------------------------- covering


def test_corrugated_tube_by_a_quarter_more_than_the_bundle() -> None:
    """Inside diameter 1.20 to 1.25 x the bundle (how-to pages, weak): 10 mm needs 12.5, 1/2 in tube is
    12.7 mm."""
    made = fitted(10.0)
    assert made.covering == "split corrugated tube, 1/2 in (12.7 mm inside), polyethylene or nylon"
    assert made.covering_outside_mm == 17.0


def test_metric_tube_on_metric_machines() -> None:
    """NW12 is 12 mm inside, too tight for 10 mm x 1.25; NW14 is 14 mm."""
    assert fitted(10.0, sizes="mm2").covering.startswith("split corrugated tube, NW14 (14 mm inside)")


def test_a_single_heavy_cable_is_covered_too() -> None:
    """2/0 AWG of 15.9 mm needs 19.9 mm inside: 1 in tube, as 3/4 in is 19.1."""
    assert "1 in (25.4 mm inside)" in fitted(15.9).covering


@pytest.mark.parametrize(
    ("asked", "word"), [("braid", "braided"), ("tape", "tape"), ("corrugated", "corrugated")]
)
def test_the_survey_may_ask_for_another_covering(asked: str, word: str) -> None:
    made = fitted(10.0, covering=asked)
    assert word in made.covering
    assert made.covering_outside_mm > 10.0


def test_a_bare_run_stays_bare() -> None:
    made = fitted(10.0, covering="none")
    assert (made.covering, made.covering_outside_mm) == ("", 10.0)


def test_hot_runs_ask_for_a_hotter_class() -> None:
    assert "125 °C class" in fitted(ambient_c=95.0).covering
    assert "125 °C class" in fitted(near=("exhaust",)).covering
    assert "heat-stabilised" in fitted(ambient_c=95.0).tie
    assert "glass-fibre" in fitted(ambient_c=150.0).covering
    assert "125" not in fitted(ambient_c=60.0).covering


def test_bundles_beyond_the_tubes_get_the_next_form() -> None:
    """2 in tube (50.8 mm) takes 40.6 mm; 2 in braid takes 38.1 to 88.9 mm; tape takes what is left."""
    forms = [
        covering(asked=None, bundle_mm=size, ambient_c=40, near=(), sizes="AWG").text for size in (40, 45, 95)
    ]
    assert [form.split(",")[0] for form in forms] == [
        "split corrugated tube", "expandable braided sleeve", "harness tape",
    ]  # fmt: skip


@given(BUNDLES, st.sampled_from(["AWG", "mm2"]), st.sampled_from([None, "corrugated", "braid", "tape"]))
def test_every_bundle_fits_its_covering(bundle_mm: float, sizes: str, asked: str | None) -> None:
    made = covering(asked=asked, bundle_mm=bundle_mm, ambient_c=40.0, near=(), sizes=sizes)
    assert made.text
    assert made.outside_mm > bundle_mm
    if "corrugated" in made.text:
        assert number_before("mm inside", made.text) >= 1.25 * bundle_mm


# ------------------------------------------------------------------------------------------------- grommets


@pytest.mark.parametrize(
    ("hole_mm", "covered_mm", "inside_mm"),
    [
        (34.9, 20.0, 25.4),  # MS35489-23: 1.375 in hole, 1.000 in inside (an owners' club's chart, read)
        (60.3, 30.0, 31.75),  # MS35489-25: 2.375 in hole, 1.250 in inside (the same)
        (
            25.4,
            17.0,
            19.05,
        ),  # trade series, 1 in hole, 3/4 in inside (memory); the metric one for 25 mm is wider
        (12.5, 9.0, 9.52),  # 1/2 in hole, 3/8 in inside
    ],
)
def test_a_grommet_for_the_hole_that_is_there(hole_mm: float, covered_mm: float, inside_mm: float) -> None:
    made = grommet(hole_mm=hole_mm, plate_mm=3.0, bundle_mm=8.0, covered_mm=covered_mm)
    assert made.inside_mm == inside_mm
    assert "groove for 3 mm plate" in made.text
    assert "open the hole" not in made.text


def test_a_hole_of_no_size_is_opened_to_the_next() -> None:
    """No grommet has a 28 mm hole; the next panel hole is 30 mm, 25 mm inside."""
    made = grommet(hole_mm=28.0, plate_mm=None, bundle_mm=15.0, covered_mm=22.0)
    assert "open the hole from 28 to 30 mm" in made.text
    assert made.inside_mm == 25.0


def test_the_covering_stops_at_a_hole_it_does_not_pass() -> None:
    made = grommet(hole_mm=25.4, plate_mm=None, bundle_mm=14.0, covered_mm=24.0)
    assert made.inside_mm == 19.05
    assert "covering stops" in made.text


@pytest.mark.parametrize("hole_mm", [20.0, 25.0, 32.0, 100.0])
def test_no_grommet_where_the_bundle_does_not_pass(hole_mm: float) -> None:
    assert grommet(hole_mm=hole_mm, plate_mm=3.0, bundle_mm=40.0, covered_mm=46.0).text == ""


def test_a_loose_bundle_is_built_up() -> None:
    assert "build the bundle up" in grommet(hole_mm=38.0, plate_mm=3, bundle_mm=5.0, covered_mm=7.4).text


def test_no_hole_and_a_hole_left_bare_get_no_grommet() -> None:
    assert fitted().grommet == ""
    assert fitted(hole_mm=32.0, grommet=False).grommet_inside_mm is None
    assert fitted(hole_mm=32.0).grommet_inside_mm == 25.4


@given(st.floats(min_value=5.0, max_value=70.0), BUNDLES, st.floats(min_value=0.0, max_value=12.0))
def test_what_passes_a_hole_fits_its_grommet(hole_mm: float, bundle_mm: float, cover_mm: float) -> None:
    made = grommet(hole_mm=hole_mm, plate_mm=3.0, bundle_mm=bundle_mm, covered_mm=bundle_mm + cover_mm)
    assert (made.text == "") is (made.inside_mm is None)
    if made.inside_mm is not None:
        assert made.inside_mm >= bundle_mm
        assert "covering stops" in made.text or made.inside_mm >= bundle_mm + cover_mm
        sold = {(float(row["panel_hole_mm"]), float(row["inside_dia_mm"])) for row in load("grommets").rows}
        assert (number_before("mm hole", made.text), made.inside_mm) in sold
        assert number_before("mm hole", made.text) >= hole_mm - 0.5


# --------------------------------------------------------------------------------------- ties, clamps


@given(st.floats(min_value=0.02, max_value=20.0))
def test_ties_are_never_more_than_a_foot_apart(length_m: float) -> None:
    """AC 43.13-1B 11-158 b: ties no more than 12 in (305 mm) apart; on machines that shake 200 to 300 mm
    (trade)."""
    count = tie_count(length_m=length_m)
    assert count >= length_m / 0.305
    assert length_m / (count - 1) <= 0.300


@given(st.floats(min_value=0.02, max_value=20.0), st.booleans())
def test_clamps_are_never_more_than_18_inches_apart(length_m: float, moves: bool) -> None:
    """ABYC E-11: 18 in (457 mm). A run that moves is held at both ends, so it has one clamp more than
    spans."""
    count = clamp_count(length_m=length_m, moves=moves)
    spans = count - 1 if moves else count
    assert spans >= 1
    assert length_m / spans <= 0.4573


@given(st.floats(min_value=1.5, max_value=100.0))
def test_ties_reach_round_the_run(outside_mm: float) -> None:
    """A tie needs pi x D and about 30 mm for head and tail (trade catalogues)."""
    text = tie_text(outside_mm=outside_mm, hot=False)
    found = re.match(r"cable tie, (\d+) x ([\d.]+) mm", text)
    assert found is not None
    assert float(found.group(1)) >= math.pi * outside_mm + 30
    assert float(found.group(2)) >= 3.6


@given(st.floats(min_value=1.5, max_value=50.0), st.sampled_from(["AWG", "mm2"]))
def test_clamps_are_the_smallest_that_take_the_run(outside_mm: float, sizes: str) -> None:
    series = "inch" if sizes == "AWG" else "metric"
    bores = {row["designation"]: float(row["tube_or_bundle_dia_mm"])
             for row in load("p_clamps").rows if row["series"] == series}  # fmt: skip
    name = (
        clamp_text(outside_mm=outside_mm, sizes=sizes).removeprefix("rubber-lined P-clamp, ").split(" (")[0]
    )
    assert bores[name] == min(bore for bore in bores.values() if bore >= outside_mm)


def test_nothing_in_the_tables_goes_round_a_tree() -> None:
    assert tie_text(outside_mm=400.0, hot=False) == ""
    assert clamp_text(outside_mm=400.0, sizes="AWG") == ""


def test_moving_runs_are_held_at_both_ends() -> None:
    assert fitted(length_m=0.3, moves=True).clamps == 2
    assert fitted(length_m=0.3).clamps == 1


def test_clamp_by_the_covered_diameter() -> None:
    """10 mm bundle in 1/2 in tube is 17 mm outside: 11/16 in clamp, 17.46 mm, hole for a No. 10 screw
    (MS21919)."""
    assert fitted(10.0).clamp == "rubber-lined P-clamp, 11/16 in (5.2 mm bolt hole)"


# --------------------------------------------------------------------------------------------- bending


def test_a_cable_alone_bends_by_its_own_diameter() -> None:
    """TM 1-1500-204-23-4 item 27 (read): 10 x outside diameter. AC 43.13-1B 11-96 (memory): 3 x at a terminal
    strip where it is held. A wire of 3.5 mm: 35 and 10.5 mm."""
    found = fitted(3.5).bend
    assert found is not None
    assert (found.loom_mm, found.wire_mm, found.strip_mm) == (35.0, 35.0, 10.5)
    assert "TM 1-1500-204-23-4" in found.source
    assert "memory" in found.source


def test_a_loom_bends_by_its_bundle_and_a_wire_that_leaves_it_by_its_own() -> None:
    surveyed = survey_run()
    box, (first, *_) = box_wires(kept=False)
    wires = (replace(first, number="1"), replace(first, number="2", outside_mm=9.5))
    bare = run(surveyed, ["1", "2"], 13.0)
    found = fit(machine([box], runs=(surveyed,)), Loom(wires, (bare,), ())).runs[0].bend
    assert found is not None
    assert (found.loom_mm, found.wire, found.wire_mm, found.strip_mm) == (130.0, "2", 95.0, 28.5)


# --------------------------------------------------------------------------------------- kept, empty


def test_a_run_with_kept_cables_only_gets_a_grommet_and_nothing_else() -> None:
    made = fitted(15.0, kept=True, hole_mm=25.4)
    assert made.grommet_inside_mm == 19.05
    assert (made.covering, made.ties, made.clamps) == ("", 0, 0)
    assert fitted(15.0, kept=True, covering="braid").covering


def test_an_empty_run_gets_nothing() -> None:
    surveyed = survey_run(hole_mm=32.0)
    box, wires = box_wires(kept=False)
    bare = run(surveyed, [], 0.0)
    filled = fit(machine([box], runs=(surveyed,)), Loom(wires, (bare,), ())).runs[0]
    assert filled == replace(bare, covering_outside_mm=0.0)
    assert filled.bend is None
