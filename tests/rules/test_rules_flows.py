"""Blocks and flows against a reference library of graphs."""

from __future__ import annotations

from math import inf

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harness.rules.flows import blocks_at, most_flow
from tests.published.recorder import beside

PAIRS = st.tuples(st.integers(0, 9), st.integers(0, 9)).filter(lambda pair: pair[0] != pair[1])


@beside("networkx", "blocks, bridges and greatest flows of the ways home")
@settings(max_examples=150, deadline=None)
@given(st.lists(PAIRS, min_size=1, max_size=24))
def test_blocks_are_those_of_the_reference_library(joined: list[tuple[int, int]]) -> None:
    root = joined[0][0]
    reference = [block for block in nx.biconnected_components(nx.Graph(joined)) if root in block]
    assert sorted(map(sorted, blocks_at(root, joined))) == sorted(map(sorted, reference))


@beside("networkx", "blocks, bridges and greatest flows of the ways home")
@settings(max_examples=100, deadline=None)
@given(st.dictionaries(PAIRS, st.integers(1, 50), min_size=1, max_size=30), st.sets(st.integers(0, 9)))
def test_the_flow_is_that_of_the_reference_library(
    room: dict[tuple[int, int], int], starts: set[int]
) -> None:
    end = next(iter(room))[1]
    graph = nx.DiGraph()
    graph.add_weighted_edges_from(((a, b, each) for (a, b), each in room.items()), weight="capacity")
    graph.add_edges_from(("hub", start) for start in starts)
    graph.add_node("hub")
    if end in starts:
        assert most_flow(room, starts, end) == inf
    else:
        found = most_flow({pair: float(each) for pair, each in room.items()}, starts, end)
        assert found == pytest.approx(nx.maximum_flow_value(graph, "hub", end))


def test_a_point_in_no_room_at_all_gets_nothing() -> None:
    assert most_flow({}, ["here"], "there") == 0
    assert blocks_at("here", []) == []
