"""The nodal solve against physics: Kirchhoff's laws, power balance, and a circuit worked by hand."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harness.electric.network import Branch, Network

OHMS = st.floats(min_value=1e-3, max_value=100, allow_nan=False)


@st.composite
def networks(draw: st.DrawFn) -> tuple[list[Branch], dict[tuple[int, int], float]]:
    """A tree of branches on up to 12 nodes, chords across it, one battery, and some load currents."""
    count = draw(st.integers(2, 12))
    branches = [Branch(draw(st.integers(0, node - 1)), node, draw(OHMS)) for node in range(1, count)]
    pairs = st.tuples(st.integers(0, count - 1), st.integers(0, count - 1)).filter(
        lambda pair: pair[0] != pair[1]
    )
    branches += [Branch(a, b, draw(OHMS)) for a, b in draw(st.lists(pairs, max_size=6))]
    branches.append(Branch(count - 1, 0, draw(OHMS), draw(st.floats(1, 30))))
    loads = {pair: draw(st.floats(0.1, 50)) for pair in draw(st.lists(pairs, max_size=4, unique=True))}
    return branches, loads


@settings(max_examples=60, deadline=None)
@given(networks())
def test_currents_at_every_node_sum_to_zero_and_power_balances(
    case: tuple[list[Branch], dict[tuple[int, int], float]],
) -> None:
    branches, loads = case
    network = Network(branches, 0)
    volts = network.volts(loads)
    into = dict.fromkeys(volts, 0.0)
    scale = 1.0
    given_w = lost_w = 0.0
    for branch in branches:
        amps = network.current_a(branch, volts)
        scale = max(scale, abs(amps))
        into[branch.a] -= amps
        into[branch.b] += amps
        given_w -= branch.emf_v * amps
        lost_w += amps * amps * branch.ohm
    for (start, end), amps in loads.items():
        into[start] -= amps
        into[end] += amps
        lost_w += (volts[start] - volts[end]) * amps
    assert all(abs(rest) < 1e-6 * scale for rest in into.values())
    assert given_w == pytest.approx(lost_w, rel=1e-6, abs=1e-6 * scale * scale)


def test_a_loaded_divider_by_hand() -> None:
    """12 V behind 0.1 ohm feeds 10 A through 0.05 ohm out and 0.02 ohm home.

    By hand: 12 - 10 x 0.1 = 11 V at the post; out loses 0.5 V, home lifts the load's return by 0.2 V.
    """
    network = Network(
        [
            Branch("post", "chassis", 0.1, 12.0),
            Branch("post", "load", 0.05),
            Branch("return", "chassis", 0.02),
        ],
        "chassis",
    )
    volts = network.volts({("load", "return"): 10.0})
    assert volts["post"] == pytest.approx(11.0)
    assert volts["load"] == pytest.approx(10.5)
    assert volts["return"] == pytest.approx(0.2)


def test_what_no_branch_ties_to_the_reference_takes_no_current() -> None:
    network = Network([Branch("post", "chassis", 0.1, 12.0), Branch("adrift", "lost", 1.0)], "chassis")
    volts = network.volts({("adrift", "chassis"): 5.0})
    assert "adrift" not in volts
    assert volts["post"] == pytest.approx(12.0)


@settings(max_examples=60, deadline=None)
@given(networks())
def test_what_one_load_adds_is_the_difference_of_two_solves(
    case: tuple[list[Branch], dict[tuple[int, int], float]],
) -> None:
    """Superposition in a linear network (textbook): with a load less without it, branch by branch."""
    branches, loads = case
    network = Network(branches, 0)
    for (start, end), amps in loads.items():
        others = {pair: drawn for pair, drawn in loads.items() if pair != (start, end)}
        with_it, without = (network.currents_a(network.solve(drawn)) for drawn in (loads, others))
        shares = network.shares(start, end)
        scale = max(map(abs, [*with_it, *without, amps]))
        for at, (one, other) in enumerate(zip(with_it, without, strict=True)):
            assert one - other == pytest.approx(shares.get(at, 0.0) * amps, abs=1e-6 * scale)


def test_a_load_on_a_twig_is_felt_only_on_its_own_way() -> None:
    """Two lamps on one post, home over a body with two straps: the second lamp's own wires feel nothing.

    By hand: the post's feed carries it all, the straps of 1 and 3 milliohm share it as 3 to 1.
    """
    branches = [
        Branch("post", "chassis", 0.01, 12.0),
        Branch("post", "bus", 0.002),
        Branch("bus", "lamp one", 0.1),
        Branch("bus", "lamp two", 0.1),
        Branch("cab", "home one", 0.1),
        Branch("cab", "chassis", 0.001),
        Branch("cab", "chassis", 0.003),
    ]
    shares = Network(branches, "chassis").shares("lamp one", "home one")
    assert shares == pytest.approx({0: -1, 1: 1, 2: 1, 4: -1, 5: 0.75, 6: 0.25})
