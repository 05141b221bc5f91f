"""Forced and forbidden ways, against a reference library's shortest paths and by trying every place."""

from __future__ import annotations

from itertools import product

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harness.loom.routing import route
from harness.loom.ways import Ways
from harness.model.laying import FREE, Laying
from harness.model.machine import Machine
from harness.model.problem import SurveyWrong
from harness.model.stages import RoutedWire
from harness.pipeline import design
from harness.survey import read
from tests.loom.test_loom_ways import Run, webs
from tests.published.recorder import beside

FAR = "far"


def _name(run: Run) -> str:
    return f"p{run[0]} - p{run[1]}"


def _graph(runs: list[Run], avoid: tuple[str, ...] = (), ends: tuple[str, ...] = ()) -> nx.Graph[str]:
    """The runs without those to be avoided, and without places to be avoided but a wire's own ends."""
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from({f"p{at}" for run in runs for at in run[:2]})
    for run in runs:
        if _name(run) not in avoid:
            graph.add_edge(f"p{run[0]}", f"p{run[1]}", far=run[2])
    graph.remove_nodes_from([place for place in avoid if place in graph and place not in ends])
    return graph


def _far(graph: nx.Graph[str], start: str, end: str) -> float:
    try:
        return float(nx.dijkstra_path_length(graph, start, end, weight=FAR))
    except (nx.NetworkXNoPath, nx.NodeNotFound):
        return float("inf")


def _survey(runs: list[Run], lamps: tuple[str, str], circuit: str = "", wires: str = "") -> str:
    lines = [f"  - {{from: p{start}, to: p{end}, length: {far} cm, zone: deck}}" for start, end, far in runs]
    return "\n".join(
        [
            "machine: {name: web, voltage: 12 V, chassis post: negative}",
            "zones: {deck: {ambient: 40 °C}}",
            "runs:",
            *lines,
            "places:",
            *(f"  {place}: {{reach: 0.3 m}}" for place in sorted(_graph(runs))),
            "parts:",
            "  battery: {is: battery, at: p0, capacity: 70 Ah}",
            "  F1: {is: fuse, at: p0}",
            "  g: {is: ground point, at: p0, on: frame}",
            *(f"  lamp {at}: {{is: lamp, at: {place}, power: 100 W}}" for at, place in enumerate(lamps)),
            "circuits:",
            "  Ground: {paths: [frame > battery -]}",
            "  Feed: {paths: [battery + > F1]}",
            "  Lamps:",
            *([circuit] if circuit else []),
            '    paths: ["F1 > (lamp 0, lamp 1) > frame"]',
            "  Single: {paths: [F1 > lamp 0]}",
            *(["wires:", wires] if wires else []),
        ]
    )


def _read(text: str) -> Machine:
    return read("web.yaml", text=text)


def _complaints(text: str) -> list[str]:
    with pytest.raises(SurveyWrong) as caught:
        _read(text)
    return [problem.what for problem in caught.value.problems]


def _wire(machine: Machine, start: str, end: str) -> RoutedWire:
    return next(
        wire for wire in route(machine).wires if (wire.a.part, wire.b.part) == (start, end)
    )  # fmt: skip


@beside("networkx", "shortest ways along the runs")
@settings(max_examples=40, deadline=None)
@given(webs(), st.data())
def test_a_wire_goes_the_shortest_way_that_is_not_forbidden(runs: list[Run], data: st.DataObject) -> None:
    places = sorted(_graph(runs))
    lamp = data.draw(st.sampled_from(places))
    names = st.sampled_from([*places, *map(_name, runs)])
    avoid = tuple(data.draw(st.lists(names, min_size=1, max_size=4, unique=True)))
    wires = f"  F1 > lamp 0: {{avoid: [{', '.join(avoid)}]}}"
    shortest = _far(_graph(runs, avoid, ("p0", lamp)), "p0", lamp)
    text = _survey(runs, (lamp, lamp), wires=wires)
    if shortest == float("inf"):
        assert all(" is left for the wire F1 " in what for what in _complaints(text))
        return
    wire = _wire(_read(text), "F1", "lamp 0")
    assert 100 * wire.run_length_m == pytest.approx(shortest)
    assert not set(wire.runs) & set(avoid)


def _through(runs: list[Run], start: str, vias: list[str], end: str) -> float:
    """Every way round every run to be passed is tried, with shortest paths of the library between."""
    graph = _graph(runs)
    named = {_name(run): run for run in runs}
    options = []
    for via in vias:
        run = named.get(via)
        options.append(
            [(via, via, 0)]
            if run is None
            else [(f"p{run[0]}", f"p{run[1]}", run[2]), (f"p{run[1]}", f"p{run[0]}", run[2])]
        )
    totals = []
    for chosen in product(*options):
        here, total = start, 0.0
        for entered, left, far in chosen:
            total += _far(graph, here, entered) + far
            here = left
        totals.append(total + _far(graph, here, end))
    return min(totals)


@beside("networkx", "shortest ways along the runs")
@settings(max_examples=40, deadline=None)
@given(webs(), st.data())
def test_a_wire_goes_the_shortest_way_through_what_is_forced_in_order(
    runs: list[Run], data: st.DataObject
) -> None:
    places = sorted(_graph(runs))
    lamp = data.draw(st.sampled_from(places))
    vias = data.draw(st.lists(st.sampled_from([*places, *map(_name, runs)]), min_size=1, max_size=3))
    vias = list(dict.fromkeys(vias))
    wires = f"  F1 > lamp 0: {{via: [{', '.join(vias)}]}}"
    wire = _wire(_read(_survey(runs, (lamp, lamp), wires=wires)), "F1", "lamp 0")
    assert 100 * wire.run_length_m == pytest.approx(_through(runs, "p0", vias, lamp))
    ends = {_name(run): {f"p{run[0]}", f"p{run[1]}"} for run in runs}
    here, passed = "p0", ["p0"]
    for name in wire.runs:
        (here,) = ends[name] - {here}
        passed += [name, here]
    assert here == lamp
    left = iter(passed)
    assert all(via in left for via in vias), (passed, vias)  # each after the one before


@beside("every case", "places of a splice")
@settings(max_examples=40, deadline=None)
@given(webs(), st.data())
def test_a_splice_goes_where_the_ways_left_take_least_copper(runs: list[Run], data: st.DataObject) -> None:
    """Each place is tried: feed of two lamps and a wire to each, all by the ways the circuit leaves them."""
    places = sorted(_graph(runs))
    lamps = (data.draw(st.sampled_from(places)), data.draw(st.sampled_from(places)))
    names = st.sampled_from([*places, *map(_name, runs)])
    avoid = tuple(data.draw(st.lists(names, min_size=1, max_size=3, unique=True)))
    lamp_a = 100 / 12
    pulls = (("p0", 2 * lamp_a + 0.5), (lamps[0], lamp_a + 0.5), (lamps[1], lamp_a + 0.5))

    def copper(place: str) -> float:
        return sum(
            amps * _far(_graph(runs, avoid, (place, there)), place, there) if place != there else 0.0
            for there, amps in pulls
        )

    open_to = [place for place in places if place not in avoid]
    best = min(map(copper, open_to), default=float("inf"))
    homes = [_far(_graph(runs, avoid, (lamp, "p0")), lamp, "p0") for lamp in lamps]
    text = _survey(runs, lamps, circuit=f"    avoid: [{', '.join(avoid)}]")
    if best == float("inf") or float("inf") in homes:
        assert all("no way is left" in what for what in _complaints(text))
        return
    found = route(_read(text)).splice_places["S1"]
    assert found not in avoid
    assert copper(found) <= best + 1e-3


@settings(max_examples=40, deadline=None)
@given(webs(), st.data())
def test_a_circuits_via_is_for_wires_that_need_not_turn_back(runs: list[Run], data: st.DataObject) -> None:
    places = sorted(_graph(runs))
    lamp, via = data.draw(st.sampled_from(places)), data.draw(st.sampled_from(places))
    text = _survey(runs, (lamp, lamp)).replace("Single: {paths", f"Single: {{via: {via}, paths")
    wire = _wire(_read(text), "F1", "lamp 0")
    assert len(set(wire.runs)) == len(wire.runs)
    shortest, through = _far(_graph(runs), "p0", lamp), _through(runs, "p0", [via], lamp)
    assert 100 * wire.run_length_m in (pytest.approx(shortest), pytest.approx(through))
    if lamp == "p0":
        assert wire.runs == ()


RING = """
machine: {name: ring, voltage: 12 V, chassis post: negative}
zones: {deck: {ambient: 40 °C}}
places: {box: {reach: 0.3 m}}
runs:
  - {from: box, to: left, length: 1 m, zone: deck}
  - {from: left, to: fork, length: 1 m, zone: deck}
  - {from: box, to: fork, length: 5 m, zone: deck, name: right rail}
  - {from: fork, to: lamp post, length: 0.5 m, zone: deck}
parts:
  battery: {is: battery, at: box, capacity: 70 Ah, cranking: 540 A}
  F1: {is: fuse, at: box}
  lamp one: {is: work lamp, at: lamp post, power: 55 W}
  box ground: {is: ground point, at: box, on: frame}
circuits:
  Ground: {paths: [frame > battery -]}
  Lamp: {paths: ["battery + > F1 > lamp one > frame"]}
"""


@pytest.mark.parametrize(
    "words", ["via: right rail", "avoid: left", "avoid: [left - box]", "via: [right rail, fork]"]
)
def test_a_wire_is_led_round_the_other_side_of_a_ring(words: str) -> None:
    text = RING + f"wires:\n  F1 > lamp one: {{{words}}}\n"
    assert _wire(_read(text), "F1", "lamp one").runs == ("right rail", "fork - lamp post")
    assert _wire(_read(text), "lamp one", "box ground").run_length_m == 2.5


def test_a_circuits_words_hold_for_all_its_wires_and_a_wires_own_via_goes_before() -> None:
    text = RING.replace("Lamp: {paths", "Lamp: {via: right rail, paths")
    assert _wire(_read(text), "F1", "lamp one").run_length_m == 5.5
    assert _wire(_read(text), "lamp one", "box ground").run_length_m == 5.5
    assert _wire(_read(text), "battery", "F1").runs == ()
    own = text + "wires:\n  F1 > lamp one: {via: left}\n"
    assert _wire(_read(own), "F1", "lamp one").run_length_m == 2.5


def test_the_ground_point_of_a_forced_wire_is_the_nearest_on_its_way() -> None:
    """From the lamp by the right rail to the box, 5.5 m; a stud at the fork would be behind it."""
    more = RING.replace(
        "  box ground:", "  fork ground: {is: ground point, at: fork, on: frame}\n  box ground:"
    )
    assert _wire(_read(more), "lamp one", "fork ground").run_length_m == 0.5
    forced = _read(more + "wires:\n  lamp one > frame: {via: right rail}\n")
    assert _wire(forced, "lamp one", "box ground").run_length_m == 5.5


def test_each_half_of_a_wire_cut_at_a_coupler_keeps_its_part_of_the_way() -> None:
    """The plug sits half way along the right rail: what is forced before it stays with the first half."""
    parted = RING.replace(
        "  - {from: box, to: fork, length: 5 m, zone: deck, name: right rail}",
        "  - {from: box, to: joint, length: 2 m, zone: deck, name: near rail}\n"
        "  - {from: joint, to: fork, length: 3 m, zone: deck, name: far rail}",
    ).replace("parts:\n", "parts:\n  plug: {is: coupler, at: joint}\n")
    text = parted + "wires:\n  F1 > lamp one: {via: [near rail, fork]}\n"
    made = design(_read(text))
    halves = [wire for wire in made.wires if "plug" in (wire.from_.part, wire.to.part)]
    assert [wire.runs for wire in halves] == [["near rail"], ["far rail", "fork - lamp post"]]


def test_a_joint_is_kept_off_the_side_that_another_wires_words_cut_off() -> None:
    """S1's feed may not leave the box by any run, so S1 sits there, though the lamps pull it to the fork."""
    second = "  lamp two: {is: work lamp, at: lamp post, power: 55 W}\n"
    text = RING.replace("> lamp one >", "> (lamp one, lamp two) >")
    text = text.replace("  lamp one:", second + "  lamp one:")
    assert route(_read(text)).splice_places["S1"] != "box"
    cut = _read(text + "wires:\n  F1 > (lamp one, lamp two): {avoid: [box - left, right rail]}\n")
    assert route(cut).splice_places["S1"] == "box"
    assert cut.splices[0].open_to == ("box",)


def test_without_words_nothing_is_asked_of_a_way() -> None:
    machine = _read(RING)
    assert {wire.laying for wire in machine.wires} == {FREE}
    ways = Ways(machine)
    assert ways.laid(("box",), FREE).runs("fork") == ways.of("box").runs("fork")
    assert Laying(("a", "b"), ("c",)).back() == Laying(("b", "a"), ("c",))
