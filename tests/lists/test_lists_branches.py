"""The order on the board: laid out by hand for a small loom, and what must hold for any design."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import pairwise

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harness.lists.branches import PAST, Branch, by_branch
from harness.lists.cutlist import cut_list
from harness.model.design import Design, Wire
from harness.model.looms import LoomResult
from tests.book.factories import designs, point, run, small_design, wire
from tests.published.recorder import beside
from tests.samples import made as samples


def laid(number: str, a: str, b: str, length_m: float, *runs: str, **changes: object) -> Wire:
    return wire(
        number, "panel F1", "relay 30", length_m,
        from_=point("panel F1", a), to=point("relay 30", b), runs=list(runs), **changes,
    )  # fmt: skip


def tree() -> Design:
    """A box in the middle: two thick runs to the left, one run to the right with a fork.

    lamp -- tee -- box -- fork -- horn
                              \\-- rear -- far
    """
    runs = [
        run("box - tee", 1.0), run("tee - lamp", 1.0), run("box - fork", 2.0),
        run("fork - horn", 0.5), run("fork - rear", 1.0), run("rear - far", 1.0),
    ]  # fmt: skip
    wires = [
        laid("1", "box", "lamp", 2.2, "box - tee", "tee - lamp"),
        laid("2", "lamp", "box", 2.3, "tee - lamp", "box - tee"),
        laid("3", "box", "tee", 1.1, "box - tee"),
        laid("4", "box", "horn", 2.7, "box - fork", "fork - horn"),
        laid("5", "far", "box", 4.2, "rear - far", "fork - rear", "box - fork"),
        laid("6", "box", "rear", 3.2, "box - fork", "fork - rear"),
        laid("7", "box", "rear", 3.2, "box - fork", "fork - rear"),
        laid("8", "box", "box", 0.3),
        laid("9", "far", "horn", 2.8, "rear - far", "fork - rear", "fork - horn"),
        laid("10", "tee", "lamp", 1.2, "tee - lamp", kept=True),
    ]
    return small_design(runs=runs, wires=wires, looms=[])


def words(branches: list[Branch]) -> list[tuple[str, list[str]]]:
    return [(one.title, [line.number for line in one.lines]) for one in branches]


def test_the_trunk_is_laid_first_and_the_longest_wire_of_each_branch() -> None:
    """The box is touched by all but wire 9. Four wires leave it to the fork, three to the tee; at the fork
    four go on to the rear and two to the horn; wire 9 lies from far to horn, of which far is farther off.
    """
    assert words(by_branch(tree())) == [
        ("trunk: box - fork - rear - far", ["5", "6", "7", "9", "8"]),
        ("branch: box - tee - lamp", ["2", "1", "3"]),
        ("branch: fork - horn", ["4"]),
    ]  # fmt: skip


def test_each_loom_has_a_trunk_and_what_goes_past_comes_last() -> None:
    design = tree()
    front = LoomResult("front", [], ["4", "5", "6", "7", "8", "9"], 1.0, 1.0, 1.0)
    rear = LoomResult("rear", [], ["1", "2"], 1.0, 1.0, 1.0)
    found = by_branch(replace(design, looms=[rear, front]))
    assert [(one.loom, one.title) for one in found] == [
        ("rear", "trunk: box - tee - lamp"),
        ("front", "trunk: box - fork - rear - far"),
        ("front", "branch: fork - horn"),
        (PAST, "trunk: box - tee"),
    ]  # fmt: skip
    assert [line.number for line in found[-1].lines] == ["3"]


def test_a_ring_is_laid_as_a_branch_of_its_own() -> None:
    design = tree()
    ring = replace(
        design,
        runs=[*design.runs, run("lamp - horn", 9.0)],
        wires=[*design.wires, laid("11", "lamp", "horn", 9.2, "lamp - horn")],
    )
    found = by_branch(ring)
    assert (found[-1].title, found[-1].runs, found[-1].lines) == ("branch: lamp - horn", ("lamp - horn",), ())
    assert {name for one in found for name in one.runs} == {one.name for one in ring.runs}


SAMPLES = ("pump", "roller", "grader", "orchard")


@beside("networkx", "shortest ways along the runs")
@pytest.mark.parametrize("name", SAMPLES)
def test_every_wire_of_a_sample_lies_in_the_branch_of_its_farther_end(name: str) -> None:
    """Distances along the laid runs by networkx, from the place where the loom's trunk begins."""
    design = samples.design(name)
    runs = {one.name: one for one in design.runs}
    wires = {one.number: one for one in (*design.wires, *design.spares)}
    found = by_branch(design)
    for loom in {one.loom for one in found}:
        mine = [one for one in found if one.loom == loom]
        graph = nx.Graph()
        graph.add_node(mine[0].places[0])
        for line in (line for one in mine for line in one.lines):
            for each in wires[line.number].runs:
                graph.add_edge(runs[each].start, runs[each].end, length=runs[each].length_m)
        far = nx.single_source_dijkstra_path_length(graph, mine[0].places[0], weight="length")
        for one in mine:
            assert [far[place] for place in one.places] == sorted(far[place] for place in one.places)
            for line in one.lines:
                ends = {wires[line.number].from_.place, wires[line.number].to.place}
                reach = max(far.get(place, 0.0) for place in ends)
                assert any(far.get(place, 0.0) == reach for place in ends & set(one.places)), line.number
    assert Counter(line.number for one in found for line in one.lines) == Counter(
        line.number for spool in cut_list(design) for line in spool.lines
    )


@st.composite
def looms(draw: st.DrawFn) -> Design:
    """Wires along the runs of a tree that grew at random, some of them kept."""
    many = draw(st.integers(min_value=1, max_value=9))
    graph = nx.Graph()
    graph.add_node("p0")
    runs = []
    for at in range(1, many):
        before = draw(st.integers(min_value=0, max_value=at - 1))
        length = draw(st.integers(min_value=1, max_value=5)) / 2
        runs.append(run(f"p{before} - p{at}", length))
        graph.add_edge(f"p{before}", f"p{at}", name=runs[-1].name)
    places = st.sampled_from(sorted(graph))
    wires = []
    for number in range(draw(st.integers(min_value=0, max_value=12))):
        a, b = draw(places), draw(places)
        way = nx.shortest_path(graph, a, b)
        names = [graph.edges[pair]["name"] for pair in pairwise(way)]
        wires.append(
            laid(str(number + 1), a, b, draw(st.integers(1, 9)) / 4, *names, kept=draw(st.booleans()))
        )
    return small_design(runs=runs, wires=wires, looms=[])


@given(looms())
@settings(max_examples=150, deadline=None)
def test_any_loom_is_laid_whole_and_outwards(design: Design) -> None:
    found = by_branch(design)
    new = [one.number for one in (*design.wires, *design.spares) if not one.kept]
    assert sorted(line.number for one in found for line in one.lines) == sorted(new)
    used = {name for one in (*design.wires, *design.spares) if not one.kept for name in one.runs}
    assert Counter(name for one in found for name in one.runs) == dict.fromkeys(used, 1)
    seen: set[str] = set()
    for one in found:
        assert one.kind != "branch" or one.places[0] in seen  # it leaves what is laid already
        seen.update(one.places)
        lengths = [line.length_m for line in one.lines]
        assert lengths == sorted(lengths, reverse=True)


@given(designs())
@settings(max_examples=60, deadline=None)
def test_both_orders_hold_the_same_pieces(design: Design) -> None:
    spooled = {line.number: line for spool in cut_list(design) for line in spool.lines}
    assert {line.number: line for one in by_branch(design) for line in one.lines} == spooled
