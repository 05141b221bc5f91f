"""Spots of splices along runs: by hand, and over drawn machines against a reference library's distances."""

from __future__ import annotations

from itertools import combinations, pairwise

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harness.fitout.barrels import barrel_for_several
from harness.fitout.shrink import on_splice_mm
from harness.loom.routing import route
from harness.loom.spots import sleeve_m
from harness.model.machine import Machine
from harness.model.stages import Routed
from harness.pipeline import design
from harness.survey import read
from harness.tables import load
from tests.loom.test_loom_laying import RING
from tests.published.recorder import beside

CLEAR_M, GAP_M = 0.100, 0.025  # of the table splice_spots, common practice


@st.composite
def forests(draw: st.DrawFn) -> str:
    """A survey of a tree of runs, some with holes or hinges or beside the exhaust, and up to six splices."""
    count = draw(st.integers(3, 9))
    words = st.sampled_from(["", "", "", ", hinge: yes", ", hole: 40 mm, plate: 2 mm", ", near: exhaust"])
    runs = [
        f"  - {{from: p{draw(st.integers(0, at - 1))}, to: p{at}, "
        f"length: {draw(st.integers(15, 250))} cm, zone: deck{draw(words)}}}"
        for at in range(1, count)
    ]
    parts, paths = [], []
    for number in range(draw(st.integers(1, 6))):
        lamps = []
        for each in range(draw(st.integers(2, 4))):
            place = draw(st.integers(0, count - 1))
            lamps.append(f"lamp {number} {each}")
            parts.append(f"  {lamps[-1]}: {{is: lamp, at: p{place}, power: {draw(st.integers(5, 90))} W}}")
        paths.append(f"      - F1 > ({', '.join(lamps)}) > frame")
    return "\n".join(
        [
            "machine: {name: web, voltage: 12 V, chassis post: negative}",
            "zones: {deck: {ambient: 40 °C}}",
            "runs:",
            *runs,
            "places:",
            *(f"  p{at}: {{reach: 0.3 m}}" for at in range(count)),
            "parts:",
            "  battery: {is: battery, at: p0, capacity: 70 Ah}",
            "  F1: {is: fuse, at: p0}",
            "  g: {is: ground point, at: p0, on: frame}",
            *parts,
            "circuits:",
            "  Ground: {paths: [frame > battery -]}",
            "  Lamps:",
            "    paths:",
            "      - battery + > F1",
            *paths,
        ]
    )


def _read(text: str) -> Machine:
    return read("web.yaml", text=text)


@settings(max_examples=60, deadline=None)
@given(forests())
def test_splices_lie_clear_of_branches_holes_hinges_and_each_other(text: str) -> None:
    machine = _read(text)
    routed = route(machine)
    runs = {run.name: run for run in machine.runs}
    lying: dict[str, list[tuple[float, float]]] = {}
    for name, spot in routed.splice_spots.items():
        run = runs[spot.run]
        assert not run.moves and run.hole_mm is None and "exhaust" not in run.near
        assert spot.place == routed.splice_places[name]
        assert {spot.place, spot.towards} == {run.start, run.end}
        wires = [wire for wire in routed.wires if name in (wire.a.part, wire.b.part)]
        half = sleeve_m(len(wires)) / 2
        middle = spot.offset_m if spot.place == run.start else run.length_m - spot.offset_m
        lying.setdefault(run.name, []).append((middle - half, middle + half))
    for name, taken in lying.items():
        for start, end in taken:
            assert start >= CLEAR_M - 1e-9 and end <= runs[name].length_m - CLEAR_M + 1e-9
        for one, other in combinations(taken, 2):
            assert one[1] + GAP_M <= other[0] + 1e-9 or other[1] + GAP_M <= one[0] + 1e-9


@beside("networkx", "shortest ways along the runs")
@settings(max_examples=60, deadline=None)
@given(forests())
def test_each_wire_is_as_long_as_the_runs_to_the_very_spot(text: str) -> None:
    """The runs are cut at every spot, and the library measures from end to end of each wire."""
    machine = _read(text)
    routed = route(machine)
    graph: nx.Graph[str] = nx.Graph()
    cuts: dict[str, list[tuple[float, str]]] = {}
    for name, spot in routed.splice_spots.items():
        run = next(run for run in machine.runs if run.name == spot.run)
        at = spot.offset_m if spot.place == run.start else run.length_m - spot.offset_m
        cuts.setdefault(run.name, []).append((at, f"splice {name}"))
    for run in machine.runs:
        graph.add_nodes_from((run.start, run.end))
        line = [(0.0, run.start), *sorted(cuts.get(run.name, ())), (run.length_m, run.end)]
        for (before, here), (after, there) in pairwise(line):
            graph.add_edge(here, there, far=after - before)
    for wire in routed.wires:
        ends = [
            f"splice {point.part}" if point.part in routed.splice_spots else point.place
            for point in (wire.a, wire.b)
        ]
        moved = sum(length for what, length in wire.additions if " lies " in what or " along " in what)
        found = nx.dijkstra_path_length(graph, *ends, weight="far")
        assert wire.run_length_m + moved == pytest.approx(found)


@settings(max_examples=40, deadline=None)
@given(forests())
def test_a_splice_without_a_spot_had_no_room_in_any_run_of_its_wires(text: str) -> None:
    machine = _read(text)
    routed = route(machine)
    runs = {run.name: run for run in machine.runs}
    for name in routed.splice_places:
        if name in routed.splice_spots:
            continue
        wires = [wire for wire in routed.wires if name in (wire.a.part, wire.b.part)]
        sleeve = sleeve_m(len(wires))
        for wire in wires:
            for run_name in wire.runs[-1:] if wire.b.part == name else wire.runs[:1]:
                run = runs[run_name]
                barred = run.moves or run.hole_mm is not None or "exhaust" in run.near
                others = sum(
                    sleeve_m(sum(other in (wire.a.part, wire.b.part) for wire in routed.wires)) + GAP_M + 0.01
                    for other, spot in routed.splice_spots.items()
                    if spot.run == run_name
                )
                assert barred or run.length_m < 2 * CLEAR_M + sleeve + 0.01 + others


FORK = RING.replace(
    "  - {from: fork, to: lamp post, length: 0.5 m, zone: deck}",
    "  - {from: fork, to: lamp post, length: 0.5 m, zone: deck}\n"
    "  - {from: fork, to: mast, length: 2 m, zone: deck}",
).replace(
    "  box ground:", "  lamp two: {is: work lamp, at: mast, power: 55 W}\n  box ground:"
).replace("> lamp one > frame", "> (lamp one, lamp two) > frame")  # fmt: skip


def _lengths(routed: Routed) -> dict[str, list[tuple[str, float]]]:
    return {
        f"{wire.a.part} > {wire.b.part}": [each for each in wire.additions if " lies " in each[0]]
        for wire in routed.wires
    }


def test_a_splice_and_its_wires_by_hand() -> None:
    """Both lamps' current comes to the fork from the left, so there the splice costs least.

    100 mm clear, half of a 65 mm sleeve, up to the centimetre: 132.5, 140 mm. The feed gets so much shorter,
    both lamps' wires so much longer.
    """
    routed = route(_read(FORK))
    spot = routed.splice_spots["S1"]
    assert (spot.run, spot.offset_m) == ("left - fork", 0.14)
    assert str(spot) == "140 mm from fork towards left"
    words = "S1 lies 140 mm from fork towards left"
    found = _lengths(routed)
    assert found["F1 > S1"] == [(words, -0.14)]
    assert found["S1 > lamp one"] == found["S1 > lamp two"] == [(words, 0.14)]
    (splice,) = design(_read(FORK)).splices
    assert (splice.run, splice.from_place, splice.offset_m) == ("left - fork", "fork", 0.14)
    assert splice.spot == str(spot)


@pytest.mark.parametrize("words", ["hinge: yes", "hole: 40 mm, plate: 2 mm", "near: exhaust"])
def test_a_run_that_moves_or_passes_a_hole_or_the_exhaust_takes_none(words: str) -> None:
    text = FORK.replace("to: fork, length: 1 m, zone: deck", f"to: fork, length: 1 m, zone: deck, {words}")
    assert route(_read(text)).splice_spots["S1"].run in ("fork - mast", "fork - lamp post")


def test_a_place_that_the_survey_names_is_left_alone() -> None:
    text = FORK.replace("(lamp one, lamp two)", "(lamp one, lamp two) at fork")
    assert route(_read(text)).splice_spots == {}


def test_the_room_kept_for_a_splice_is_that_of_the_longest_sleeve() -> None:
    """Every barrel of the tables through the fit-out's own rule for the heat-shrink over it."""
    several = [
        barrel_for_several(areas_mm2=(float(row["mm2_max"]) - 0.01,), awg=True)
        for row in load("closed_barrel_ranges").rows
    ]
    assert sleeve_m(3) * 1000 == max(
        on_splice_mm(barrel_mm=barrel.length_mm, adhesive=True) for barrel in several if barrel
    )
    lugs = [float(row["barrel_length_mm"]) for row in load("lug_barrels").rows]
    assert sleeve_m(2) * 1000 == max(on_splice_mm(barrel_mm=2 * each, adhesive=True) for each in lugs)
