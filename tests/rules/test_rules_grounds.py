"""What straps bring home and lose: against sums by hand, a brute search, and a graph library's bridges."""

from __future__ import annotations

from pathlib import Path

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harness import pipeline
from harness.electric.graph import Node
from harness.electric.ruleset import rule_set
from harness.electric.sizing import size_machine
from harness.electric.wanted import Wanted
from harness.loom.routing import route
from harness.model.design import Design
from harness.model.grounds import GroundCable
from harness.model.machine import Machine
from harness.rules.bridges import bridges
from harness.rules.case import Case, conducts, part_end
from harness.rules.grounds import GroundSide
from harness.survey import read
from tests.published.recorder import beside
from tests.rules.surveys import GOOD, OLD, changed, designed, judged
from tests.rules.trial import LEFT

SAMPLES = Path(__file__).parents[2] / "samples"
EDGES = st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9)).filter(lambda e: e[0] != e[1]), max_size=16)


def machine_of(name: str) -> tuple[Machine, Design]:
    machine = read(SAMPLES / f"{name}.yaml")
    return machine, pipeline.design(machine)


def cable_of(design: Design, start: str, end: str) -> GroundCable:
    (found,) = [one for one in design.ground_cables if (one.start, one.end) == (start, end)]
    return found


@beside("networkx", "blocks, bridges and greatest flows of the ways home")
@given(EDGES)
@settings(max_examples=60)
def test_bridges_are_those_of_a_graph_library(edges: list[tuple[int, int]]) -> None:
    graph = nx.MultiGraph(edges)
    graph.add_node(0)
    once = nx.Graph(edges)
    twice = {frozenset(pair) for pair in edges if graph.number_of_edges(*pair) > 1}
    home = set(nx.node_connected_component(graph, 0))
    wanted = {
        frozenset(pair) for pair in nx.bridges(once) if frozenset(pair) not in twice and set(pair) <= home
    }
    found = bridges(edges, [0])
    assert {frozenset(edges[at]) for at in found.span} == wanted


@beside("networkx", "blocks, bridges and greatest flows of the ways home")
@given(EDGES, st.integers(0, 9))
@settings(max_examples=60)
def test_what_hangs_on_a_bridge_cannot_get_home_without_it(edges: list[tuple[int, int]], node: int) -> None:
    graph = nx.MultiGraph()
    graph.add_nodes_from(range(10))
    for at, (a, b) in enumerate(edges):
        graph.add_edge(a, b, key=at)
    if not nx.has_path(graph, node, 0):
        return
    chain = bridges(edges, [0]).chain(node)
    for at, (a, b) in enumerate(edges):
        cut = graph.copy()
        cut.remove_edge(a, b, key=at)
        assert nx.has_path(cut, node, 0) == (at not in chain)


def test_a_strap_brings_home_what_hangs_on_its_body() -> None:
    """Night work: work lamps 2 x 55 W and 2 x 35 W, beacon 55 W, fan 5 A, wiper 3.5 A, at 12 V."""
    _, design = machine_of("roller")
    strap = cable_of(design, "cab strap ground", "console ground")
    assert strap.mode == "night work"
    assert strap.current_a == pytest.approx((110 + 70 + 55) / 12 + 5 + 3.5, abs=1e-3)
    assert set(strap.loses) == {
        "left front work lamp", "right front work lamp", "left rear work lamp", "right rear work lamp",
        "beacon", "cab fan", "wiper motor",
    }  # fmt: skip
    (cab,) = [one for one in design.grounds if one.body == "cab"]
    assert cab.return_a == pytest.approx(strap.current_a, abs=1e-3)
    assert cab.cables == [strap.wire]


@pytest.mark.parametrize("name", ["roller", "grader", "orchard", "pump"])
def test_a_strap_carries_its_own_body_and_those_behind_it(name: str) -> None:
    """Kirchhoff: while it cranks nothing charges, so the last cable brings home what all loads draw."""
    machine, design = machine_of(name)
    (mode,) = [mode.name for mode in machine.modes if mode.engine == "cranking"]
    last = max(design.ground_cables, key=lambda one: len(one.loses))
    wire = next(wire for wire in design.wires if wire.number == last.wire)
    drawn = sum(seen.current_a for load in design.loads for seen in load.modes if seen.mode == mode)
    into_posts = [wire for wire in design.wires if "battery" in (wire.from_.part + wire.to.part)]
    assert wire in into_posts
    in_series = _in_series(machine, design, mode)
    assert wire.current_a[mode] == pytest.approx(drawn - in_series, rel=1e-3)


def _in_series(machine: Machine, design: Design, mode: str) -> float:
    """Current of loads whose return goes into another load: counted once on its way home."""
    case = Case(machine, design)
    inlets = {part_end(part, link.a) for part, link in case.loads()}
    found = 0.0
    for load in design.loads:
        part, link = case.load_link(load)
        if link.kind == "load" and inlets & case.reach([part_end(part, link.b)], conducts).keys():
            found += sum(seen.current_a for seen in load.modes if seen.mode == mode)
    return found


@pytest.mark.parametrize("name", ["roller", "grader", "orchard", "pump"])
def test_what_a_cable_loses_is_what_a_search_without_it_does_not_find(name: str) -> None:
    machine, design = machine_of(name)
    case = Case(machine, design)
    at = {wire.number: index for index, wire in enumerate(design.wires)}
    for cable in design.ground_cables:
        cut = at[cable.wire]
        left = case.reach(
            case.return_posts, lambda way, here, cut=cut: way.wire != cut and conducts(way, here),
            stops=case.is_live_post,
        )  # fmt: skip
        gone = [
            part.name
            for part, link in case.loads()
            if link.kind == "load" and (end := part_end(part, link.b)) in case.returned and end not in left
        ]
        sources = {part.name for part in case.alternators}
        assert sorted(set(cable.loses) - sources) == sorted(set(gone))


def test_a_meshed_strap_loses_nothing_and_names_the_way_round() -> None:
    text = changed(("paths: [engine > frame]", "paths: [engine > frame, frame > battery -]"))
    _, design = designed(text)
    numbers = {
        (wire.from_.part, wire.to.part): wire.number for wire in design.wires if wire.circuit == "Straps"
    }
    engine = cable_of(design, "engine", "battery -")
    assert engine.loses == []
    assert sorted(engine.other_way) == sorted(numbers.values())


def test_a_changeover_contact_to_ground_is_no_way_round() -> None:
    """The winch relays' resting contacts ground the motor; the bar still hangs on its own ground point."""
    machine, design = designed(OLD)
    side = GroundSide(Case(machine, design))
    anchors = {outlet.part.name: str(outlet.anchor) for outlet in side.outlets}
    assert anchors["winch motor"] == "dash ground stud"
    (strap,) = [one for one in design.ground_cables if {one.start, one.end} == {"engine", "frame"}]
    assert {"winch motor", "horn", "left turn"} <= set(strap.loses)
    assert "starter" not in strap.loses


def test_a_way_home_through_another_load_is_named_with_its_share_of_the_volts() -> None:
    """Two lamps of 35 W on one switch, one grounded on the engine: the strap's loss joins them.

    What drives it is all that hangs on the frame; it, the lamp taken backwards and the lamp on the engine lie
    in series, so the last one sees (1 / 2.92) of the sum of the three.
    """
    text = changed(
        (LEFT, "'panel F3 > lamp switch > (left head lamp > frame, right head lamp > engine)'"),
        ("  Right head lamp:\n    works in: night\n    paths: [panel F4 > right head lamp > frame]\n", ""),
    )  # fmt: skip
    machine, design = designed(text)
    (strap,) = [one for one in design.ground_cables if {one.start, one.end} == {"engine", "frame"}]
    (sneak,) = [one for one in strap.sneaks if "left head lamp" in one.through]
    assert sneak.out_by == ["right head lamp"]
    drivers = sum(
        link.load.steady_a
        for name in strap.loses if name != "left head lamp"
        for link in machine.parts[name].links if link.load is not None
    )  # fmt: skip
    lamp = 35 / 12
    assert sneak.share == pytest.approx((1 / lamp) / (1 / drivers + 2 / lamp), rel=1e-6)


def test_a_body_with_no_strap_has_no_height() -> None:
    _, design = designed(changed(("  Straps:\n    paths: [engine > frame]\n", "")))
    heights = {one.body: one.lift_v for one in design.grounds}
    assert heights["frame"] is None and heights["engine"] is not None


def test_the_drop_of_a_cable_is_ohms_times_amperes() -> None:
    """0.9 m of 2/0 AWG kept: 0.2563 mohm a metre at 20 °C (ASTM B258), up to 1.4 of that when warm.

    Joints in mohm (contact_resistance): heavy lug 0.05, post clamp 0.05, ground point in its metal 0.174.
    """
    _, design = designed(GOOD + "wires:\n  engine > battery -: {keep: yes, size: 2/0 AWG, length: 0.9 m}\n")
    cable = cable_of(design, "engine", "battery -")
    copper = 0.9 * 0.2563e-3 * cable.current_a
    assert cable.current_a >= 250
    joints = (0.05 + 0.05 + 0.174) * 1e-3 * cable.current_a
    assert copper < cable.drop_v - joints < 1.4 * copper


def test_without_a_battery_all_goes_back_to_the_alternator() -> None:
    text = """
machine: {name: Lamp set, voltage: 12 V, chassis post: negative}
zones: {open: {ambient: 40 °C}}
runs:
  - {from: block, to: mast, length: 1 m, zone: open}
parts:
  alternator: {is: alternator, at: block, on: engine}
  fuse: {is: fuse, at: block}
  lamp: {is: lamp, at: mast, on: frame, power: 24 W}
  block ground: {is: ground point, at: block, on: engine}
  mast ground: {is: ground point, at: mast, on: frame}
circuits:
  Lamp: {paths: [alternator B+ > fuse > lamp, frame > engine]}
"""
    _, design = designed(text)
    (strap,) = design.ground_cables
    assert (strap.start, strap.end, strap.loses) == ("frame", "engine", ["lamp"])
    assert strap.current_a == pytest.approx(2.0)
    assert not [one for one in judged(text) if one.rule == "body with no strap"]


def test_the_charging_line_says_what_alternator_it_would_stand() -> None:
    """Drop is proportional to current (Ohm), so 0.40 V of 0.20 V lost at 55 A would be lost at 110 A."""
    _, design = designed(GOOD)
    (line,) = design.charge_lines
    (load,) = [load for load in design.loads if load.part == "alternator"]
    lost = max(seen.judged_v for seen in load.modes)
    assert line.output_a == 55 and line.by_drop_a is not None
    assert line.by_drop_a / line.output_a == pytest.approx(load.allowance_v / lost)
    carried = {wire.number: wire.ampacity_a for wire in design.wires}
    assert line.ampacity_a == carried[line.weakest] == min(carried[number] for number in line.wires)
    assert len(line.wires) == 3  # B+ to the fuse, the fuse to the stud, the starter cable back


@pytest.mark.parametrize("name", ["roller", "grader", "orchard", "pump"])
def test_how_far_a_body_is_lifted_is_what_the_network_solves_to(name: str) -> None:
    """While it cranks, against the nodal solve of the whole network (itself held against ngspice).

    No sample has straps side by side, so the shortest way home is the only one and both must agree.
    """
    machine = read(SAMPLES / f"{name}.yaml")
    design = pipeline.design(machine)
    routed = route(machine)
    sizing = size_machine(machine, routed, rule_set(machine.rules, machine.cable), Wanted())
    (mode,) = [mode.name for mode in machine.modes if mode.engine == "cranking"]
    (solved,) = [one for one in sizing.solutions if one.activity.mode.name == mode]
    volts = solved.case("steady").volts
    for ground in design.grounds:
        at = volts[Node("body", ground.body)]
        assert ground.cranking_lift_v is not None
        # at most: a stud that two straps share is counted for each of them
        assert abs(at) * 0.98 <= ground.cranking_lift_v <= abs(at) * 1.02 + 0.1 * machine.voltage_v / 12
