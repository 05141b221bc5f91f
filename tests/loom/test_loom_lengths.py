"""Cut lengths with every addition, worked by hand from the figures a shop adds (common practice)."""

from __future__ import annotations

from pathlib import Path

import pytest

from harness.loom.routing import route
from harness.model.stages import RoutedWire
from harness.pipeline import design
from harness.survey import read
from harness.tables import load

SAMPLES = sorted((Path(__file__).parents[2] / "samples").glob("*.yaml"))

SURVEY = """
machine: {name: hoist, voltage: 12 V, chassis post: negative, slack: 10 %}
zones: {deck: {ambient: 40 °C}, spray: {ambient: 40 °C, wet: yes}}
places:
  box: {reach: 0.3 m}
runs:
  - {from: box, to: dash, length: 1 m, zone: deck}
  - {from: dash, to: arm, length: 2 m, zone: deck, hinge: yes}
  - {from: arm, to: head, length: 0.5 m, zone: spray}
parts:
  battery: {is: battery, at: box, capacity: 70 Ah, cranking: 540 A}
  main: {is: main fuse, at: box, stud: M8}
  panel: {is: fuse panel, at: dash, stud: M8, ways: {F1: , F2: }}
  switch: {is: switch, at: dash}
  lamp: {is: work lamp, at: head, power: 55 W, terminals: {+: blade 6.3, -: blade 6.3}}
  left lamp: {is: work lamp, at: dash, power: 20 W, terminals: {+: blade 6.3, -: blade 6.3}}
  head stud: {is: ground point, at: head, on: frame, stud: M6}
  box stud: {is: ground point, at: box, on: frame, stud: M10}
circuits:
  Ground: {paths: [frame > battery -]}
  Feed: {paths: [battery + > main > panel]}
  Lamps: {paths: ["panel F1 > switch > (lamp, left lamp) > frame"]}
"""


def _wire(start: str, end: str, more: str = "") -> RoutedWire:
    routed = route(read("hoist.yaml", text=SURVEY + more))
    return next(wire for wire in routed.wires if (wire.a.part, wire.b.part) == (start, end))


def _added(wire: RoutedWire) -> dict[str, float]:
    return {what: round(length_m * 1000, 3) for what, length_m in wire.additions}


def test_an_end_holds_two_re_terminations_and_is_not_given_them_twice() -> None:
    """A blade end adds 50 mm in all: two times 14 mm (7.9 of strip, 6 under the shrink), and reach.

    Splice at the dash to the lamp over the hinge: 2.5 m of run, 10 % of it, hinge 100, splice 50, blade 50,
    drip loop 50 as the head is wet: 3.000 m, a whole number of 50 mm.
    """
    wire = _wire("S1", "lamp")
    assert _added(wire) == {
        "slack 10% of the runs": 250,
        "moving joint dash - arm": 100,
        "re-terminate 2 x 14 mm, splice at S1": 28,
        "reach, splice at S1": 22,
        "re-terminate 2 x 14 mm, blade at lamp": 28,
        "reach, blade at lamp": 22,
        "drip loop at lamp": 50,
        "rounded up to the next 50 mm": 0,
    }
    assert (wire.run_length_m, wire.length_m) == (2.5, pytest.approx(3.0))


def test_a_battery_cable_is_cut_to_its_finished_length() -> None:
    """Two lugs 0.3 m apart, 25 mm each, up to the next 50 mm; both lugs heavy, so no re-termination."""
    wire = _wire("battery", "main")
    assert _added(wire) == {
        "across box, from part to part": 300,
        "cut to finished length, battery post at battery": 25,
        "cut to finished length, heavy lug at main": 25,
        "rounded up to the next 50 mm": 0,
    }
    assert wire.length_m == pytest.approx(0.35)


def test_a_fuse_panel_gets_its_service_loop() -> None:
    """1 m, 10 % slack, stud 50, panel 150: 1.30 m."""
    wire = _wire("main", "panel")
    assert _added(wire)["service loop, fuse panel at panel"] == 122
    assert wire.length_m == pytest.approx(1.30)


MORE = """
allowances:
  {stud: 60 mm, blade: 45 mm, splice: 40 mm, drip loop: 2 in, re-terminate: 3, hinge: 0.2 m, round up: 10 mm}
"""


def test_every_figure_can_be_changed() -> None:
    """2.5 m + 0.25; hinge 200; splice 3 x 14 = 42, more than its 40; blade 45; drip 50.8: up to 3090 mm."""
    wire = _wire("S1", "lamp", MORE)
    assert _added(wire) == {
        "slack 10% of the runs": 250,
        "moving joint dash - arm": 200,
        "re-terminate 3 x 14 mm, splice at S1": 42,
        "re-terminate 3 x 14 mm, blade at lamp": 42,
        "reach, blade at lamp": 3,
        "drip loop at lamp": 50.8,
        "rounded up to the next 10 mm": 2.2,
    }
    assert wire.length_m == pytest.approx(3.09)


def test_nothing_need_be_added_or_rounded() -> None:
    keys = ("blade", "splice", "drip loop", "hinge", "round up")
    nothing = ", ".join(f"{key}: 0 mm" for key in keys)
    wire = _wire("S1", "lamp", f"\nallowances: {{{nothing}, re-terminate: 0}}\n")
    assert _added(wire) == {"slack 10% of the runs": 250}
    assert wire.length_m == pytest.approx(2.75)


def test_a_wire_measured_by_itself_still_gets_its_ends() -> None:
    """1.9 m as measured, two blades of 50 mm."""
    wire = _wire("panel", "switch", "\nwires:\n  panel F1 > switch: {length: 1.9 m}\n")
    assert wire.length_m == pytest.approx(1.9 + 0.15 + 0.05)


def test_what_is_left_out_is_listed_as_assumed() -> None:
    none = read("hoist.yaml", text=SURVEY).assumed
    assert "lengths added at wire ends and joints (common practice)" in none
    some = read("hoist.yaml", text=SURVEY + MORE).assumed
    assert (
        "added lengths: screw, pigtail, coupler, fuse panel, battery post, heavy lug, spare (common practice)"
        in some
    )


def test_one_re_termination_is_the_longest_strip_of_the_small_terminals_and_the_wire_under_the_shrink() -> (
    None
):
    """Yellow insulated terminals strip 7.9 mm (crimp_prep_rules), shrink covers 6 mm (TM 5-3805-291-23-1)."""
    rows = load("length_allowances").rows
    assert {row["each_mm"] for row in rows} == {"14", "0"}
    assert 14 >= 7.9 + 6


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_every_small_end_of_the_samples_can_really_be_made_twice_again(sample: Path) -> None:
    """Of each end's own terminal: twice its strip and 6 mm, against what the wire got for that end."""
    tried = 0
    for wire in design(read(sample)).wires:
        for point, end in ((wire.from_, wire.from_end), (wire.to, wire.to_end)):
            spare = [
                each.length_m
                for each in wire.additions
                if each.what.startswith("re-terminate") and each.what.endswith(f" at {point.part}")
            ]
            if wire.area_mm2 <= 6.0 and spare and end.strip_mm and point.kind == "part":
                assert max(spare) >= 2 * (end.strip_mm + 6) / 1000, (wire.number, point)
                tried += 1
    assert tried > 5
