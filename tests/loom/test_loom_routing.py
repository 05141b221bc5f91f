"""Ways along the runs, places of splices, cut lengths and wire numbers, worked by hand."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings

from harness.letters import letters_of
from harness.loom.numbering import wire_numbers
from harness.loom.routing import route
from harness.model.machine import Machine
from harness.model.stages import Routed, RoutedWire
from harness.survey import read
from tests.electric.machines import surveys

# A ring of three runs (the short side is 2 m, the long one 5 m) with two lamps beyond it.
SURVEY = """
machine: {name: ring, voltage: 12 V, chassis post: negative, slack: 10 %}
zones: {deck: {ambient: 40 °C}}
places:
  box: {reach: 0.3 m}
runs:
  - {from: box, to: left, length: 1 m, zone: deck}
  - {from: left, to: fork, length: 1 m, zone: deck, hinge: yes}
  - {from: box, to: fork, length: 5 m, zone: deck}
  - {from: fork, to: near lamp, length: 0.5 m, zone: deck}
  - {from: fork, to: far lamp, length: 2.5 m, zone: deck}
parts:
  battery: {is: battery, at: box, capacity: 70 Ah, cranking: 540 A}
  F1: {is: fuse, at: box}
  switch: {is: switch, at: left}
  lamp one: {is: work lamp, at: near lamp, power: 55 W}
  lamp two: {is: work lamp, at: far lamp, power: 55 W}
  box ground: {is: ground point, at: box, on: frame}
  fork ground: {is: ground point, at: fork, on: frame}
circuits:
  Ground: {paths: [frame > battery -]}
  Lamps: {paths: ["battery + > F1 > switch > (lamp one, lamp two) > frame"]}
"""


def _machine(text: str = SURVEY) -> Machine:
    return read("ring.yaml", text=text)


def _wire(routed: Routed, start: str, end: str) -> RoutedWire:
    return next(wire for wire in routed.wires if (wire.a.part, wire.b.part) == (start, end))


def test_a_wire_takes_the_shorter_side_of_a_ring() -> None:
    wire = _wire(route(_machine(SURVEY.replace("at: left}", "at: fork}"))), "F1", "switch")
    assert wire.runs == ("box - left", "left - fork")
    assert wire.run_length_m == 2.0


def test_a_splice_goes_where_the_wires_part() -> None:
    """Two equal lamps beyond the fork: any place short of it doubles wire, any beyond it takes some back."""
    assert route(_machine()).splice_places == {"S1": "fork"}


def test_the_survey_may_put_the_splice_elsewhere() -> None:
    text = SURVEY.replace("(lamp one, lamp two) >", "(lamp one, lamp two) at left >")
    assert route(_machine(text)).splice_places == {"S1": "left"}


def test_a_body_is_its_ground_point_nearest_to_the_other_end() -> None:
    routed = route(_machine())
    assert _wire(routed, "lamp two", "fork ground").run_length_m == 2.5
    assert _wire(routed, "box ground", "battery").run_length_m == 0.0


def test_a_kept_wire_is_as_long_as_it_is() -> None:
    text = SURVEY + "wires:\n  battery + > F1: {keep: yes, size: 8 AWG, length: 1.23 m}\n"
    wire = _wire(route(_machine(text)), "battery", "F1")
    assert (wire.length_m, wire.additions) == (1.23, ())


@settings(max_examples=20, suppress_health_check=[HealthCheck.too_slow])
@given(surveys())
def test_every_wire_lies_in_just_the_runs_that_join_its_ends(text: str) -> None:
    machine = _machine(text)
    routed = route(machine)
    ends = {run.name: {run.start, run.end} for run in machine.runs}
    lengths = {run.name: run.length_m for run in machine.runs}
    for wire in routed.wires:
        here = wire.a.place
        for run in wire.runs:
            assert here in ends[run]
            (here,) = ends[run] - {here}
        assert here == wire.b.place
        assert wire.run_length_m == pytest.approx(sum(lengths[run] for run in wire.runs))
        assert wire.length_m >= wire.run_length_m
    assert {(run, index) for run, inside in routed.in_run.items() for index in inside} == {
        (run, wire.index) for wire in routed.wires for run in wire.runs
    }


def _numbers(text: str) -> dict[tuple[str, str], str]:
    machine = _machine(text)
    routed = route(machine)
    return {
        (wire.a.part, wire.b.part): number
        for wire, number in zip(routed.wires, wire_numbers(machine, routed), strict=True)
    }


def test_a_number_stays_over_a_splice_and_changes_at_a_fuse_a_switch_and_a_load() -> None:
    """One number for what is electrically one point, a letter for each length (military practice, read)."""
    found = _numbers(SURVEY)
    joint = {found["switch", "S1"], found["S1", "lamp one"], found["S1", "lamp two"]}
    assert {number.rstrip("abc") for number in joint} == {found["switch", "S1"].rstrip("abc")}
    assert {number[-1] for number in joint} == {"a", "b", "c"}
    points = [
        found["battery", "F1"],
        found["F1", "switch"],
        found["switch", "S1"],
        found["lamp one", "fork ground"],
    ]
    assert len({number.rstrip("abc") for number in points}) == 4


@pytest.mark.parametrize("scheme", ["by point", "by circuit", "in order"])
def test_no_two_wires_share_a_number(scheme: str) -> None:
    found = _numbers(SURVEY.replace("slack: 10 %", f"slack: 10 %, numbering: {scheme}"))
    assert len(set(found.values())) == len(found) == 8


@pytest.mark.parametrize(
    ("at", "letters"), [(0, "a"), (25, "z"), (26, "aa"), (51, "az"), (52, "ba"), (701, "zz"), (702, "aaa")]
)
def test_suffixes_go_on_after_z(at: int, letters: str) -> None:
    assert letters_of(at).lower() == letters
