"""The integer program of sizes against trying every combination."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from harness.electric.branching import Pieces, dual_prices
from harness.electric.optimum import Choice, Picked, TooFewKinds, pick_sizes
from harness.electric.program import DropLimit, Entry, Strap, solve
from tests.electric.trees import tree
from tests.published.recorder import beside

AREAS_MM2 = (0.8, 1.2, 1.9, 3.0, 4.7)


def least_copper(limits: Sequence[DropLimit], choices: Mapping[int, Sequence[Choice]]) -> dict[int, int]:
    """Index of the size of every wire."""
    return dict(pick_sizes(limits, choices).at)


def _choices(length_m: float) -> list[Choice]:
    return [Choice(area * length_m * 0.00889, 0.0176 / area * length_m) for area in AREAS_MM2]


@st.composite
def programs(draw: st.DrawFn) -> tuple[list[DropLimit], dict[int, list[Choice]]]:
    wires = draw(st.integers(1, 5))
    choices = {wire: _choices(draw(st.floats(0.2, 6))) for wire in range(wires)}
    limits = []
    for _ in range(draw(st.integers(1, 4))):
        share = {wire: draw(st.floats(-2, 25)) for wire in range(wires) if draw(st.booleans())}
        if share:
            limits.append(DropLimit(share, draw(st.floats(0.05, 1.5))))
    return limits, choices


def _copper(picked: dict[int, int], choices: dict[int, list[Choice]]) -> float:
    return sum(choices[wire][at].cost for wire, at in picked.items())


def _meets(picked: dict[int, int], limits: list[DropLimit], choices: dict[int, list[Choice]]) -> bool:
    return all(
        sum(amps * choices[wire][picked[wire]].ohm for wire, amps in limit.share_a.items()) <= limit.left_v
        for limit in limits
    )


@beside("every case", "sizes of least copper")
@settings(max_examples=60, deadline=None)
@given(programs())
def test_no_combination_of_sizes_is_lighter(program: tuple[list[DropLimit], dict[int, list[Choice]]]) -> None:
    limits, choices = program
    picked = least_copper(limits, choices)
    every = (
        dict(zip(choices, sizes, strict=True))
        for sizes in product(range(len(AREAS_MM2)), repeat=len(choices))
    )
    good = [_copper(one, choices) for one in every if _meets(one, limits, choices)]
    if not good:
        return
    assert _meets(picked, limits, choices)
    assert _copper(picked, choices) == pytest.approx(min(good), rel=1e-6)


def test_a_load_no_size_can_feed_takes_the_thickest() -> None:
    """100 A through 10 m may lose 0.01 V; the thickest loses 3.7 V and is still the least bad."""
    assert least_copper([DropLimit({0: 100.0}, 0.01)], {0: _choices(10.0)}) == {0: 4}


def test_wires_on_one_way_share_the_drop() -> None:
    """A thick short wire and a thin long one: the optimum raises the one that buys more volts a gram.

    By hand, 10 A, 0.30 V: wire 0 (0.5 m) and wire 1 (2 m) both at 0.8 mm2 lose 0.11 + 0.44 = 0.55 V; wire 1
    at 1.9 mm2 loses 0.185, in all 0.295 V: enough, and lighter than raising wire 1 one more step.
    """
    picked = least_copper([DropLimit({0: 10.0, 1: 10.0}, 0.30)], {0: _choices(0.5), 1: _choices(2.0)})
    assert picked == {0: 0, 1: 2}


@beside("every case", "sizes of least copper")
@settings(max_examples=40, deadline=None)
@given(programs(), st.integers(1, 3))
def test_no_combination_of_so_few_kinds_is_lighter(
    program: tuple[list[DropLimit], dict[int, list[Choice]]], most: int
) -> None:
    """Every second wire has a colour of its own, so that a kind is size and colour as a spool is."""
    limits, plain = program
    choices = {
        wire: [replace(one, kind=(size, wire % 2)) for size, one in enumerate(own)]
        for wire, own in plain.items()
    }
    every = (
        dict(zip(choices, sizes, strict=True))
        for sizes in product(range(len(AREAS_MM2)), repeat=len(choices))
    )
    every = list(every)
    few = [one for one in every if len({choices[wire][at].kind for wire, at in one.items()}) <= most]
    good = [_copper(one, choices) for one in few if _meets(one, limits, choices)]
    reach = [one for one in every if _meets(one, limits, choices)]
    if not few or (reach and not good):
        with pytest.raises(TooFewKinds) as raised:
            pick_sizes(limits, choices, most_kinds=most)
        if reach:
            needs = min(len({choices[wire][at].kind for wire, at in one.items()}) for one in reach)
            assert raised.value.least == needs
        return
    picked = pick_sizes(limits, choices, most_kinds=most)
    assert len({choices[wire][at].kind for wire, at in picked.at.items()}) <= most
    if good:
        assert _meets(dict(picked.at), limits, choices)
        assert _copper(dict(picked.at), choices) == pytest.approx(min(good), rel=1e-6)
        assert picked.bound <= min(good) * (1 + 1e-6)


@beside("every case", "sizes of least copper")
@settings(max_examples=40, deadline=None)
@given(programs())
def test_the_bound_is_the_copper_of_the_best_pick(
    program: tuple[list[DropLimit], dict[int, list[Choice]]],
) -> None:
    limits, choices = program
    picked = pick_sizes(limits, choices)
    assert picked.gap == 0
    if _meets(dict(picked.at), limits, choices):
        assert picked.bound == pytest.approx(_copper(dict(picked.at), choices), rel=1e-6)


def test_a_wire_without_a_choice_takes_its_volts_first() -> None:
    """By hand: the fixed wire loses 10 A x 22 mohm = 0.22 V of 0.40; 1.9 mm2 over 2 m loses 0.185 V.

    That is too much; 3.0 mm2 loses 0.117 V, in all 0.337 V.
    """
    fixed = [Choice(0.01, 0.022)]
    picked = least_copper([DropLimit({0: 10.0, 1: 10.0}, 0.40)], {0: fixed, 1: _choices(2.0)})
    assert picked == {0: 0, 1: 3}


def _every(choices: Mapping[int, Sequence[Choice]]) -> list[dict[int, int]]:
    wires = sorted(choices)
    return [
        dict(zip(wires, at, strict=True)) for at in product(*(range(len(choices[wire])) for wire in wires))
    ]


def _general(limits: Sequence[DropLimit], choices: Mapping[int, Sequence[Choice]]) -> float | None:
    """The same question put plainly to the general solver (HiGHS), with nothing left out or merged."""
    entries = {wire: [Entry(one.cost, one.ohm) for one in own] for wire, own in choices.items()}
    found = solve([DropLimit(one.share_a, one.left_v - 1e-7) for one in limits], entries)
    return None if found is None else found.cost


@beside("scipy", "sizes of least copper, and their bound")
@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000), st.integers(2, 9))
def test_the_search_agrees_with_the_general_solver(seed: int, loads: int) -> None:
    """HiGHS, an independent solver, on machines of up to 40 wires hung on a trunk, in two modes."""
    limits, choices = tree(seed, loads)
    picked = pick_sizes(limits, choices)
    assert picked.gap == 0
    assert _meets(dict(picked.at), limits, choices)
    assert _copper(dict(picked.at), choices) == pytest.approx(_general(limits, choices), rel=1e-6)


@pytest.mark.parametrize("loads", [150, 600])
def test_a_machine_of_many_coupled_wires_is_proven(loads: int) -> None:
    """One trunk couples all of them; the general solver alone needs minutes for that."""
    limits, choices = tree(3, loads)
    picked = pick_sizes(limits, choices)
    assert picked.gap == 0
    assert _meets(dict(picked.at), limits, choices)
    some = list(picked.at.items())[:: max(1, loads // 50)]
    for wire, at in some:  # and no single wire can be a size thinner
        if at:
            assert not _meets({**picked.at, wire: at - 1}, limits, choices)


def test_what_the_search_gives_up_goes_to_the_general_solver(monkeypatch: pytest.MonkeyPatch) -> None:
    limits, choices = tree(5, 6)
    before = pick_sizes(limits, choices)
    monkeypatch.setattr("harness.electric.branching.MOST_STEPS", 0)
    after = pick_sizes(limits, choices)
    assert after.gap == 0
    assert after.cost == pytest.approx(before.cost, rel=1e-9)


@beside("every case", "sizes of least copper")
@settings(max_examples=40, deadline=None)
@given(programs(), st.data())
def test_no_pick_that_keeps_a_strap_thick_enough_is_lighter(
    program: tuple[list[DropLimit], dict[int, list[Choice]]], data: st.DataObject
) -> None:
    """Every combination tried: the way back no thinner than the thinnest of the way there."""
    limits, plain = program
    limits = [one for one in limits if min(one.share_a.values()) >= 0]
    if len(plain) < 2:
        return
    choices = {
        wire: [replace(one, area_mm2=area) for one, area in zip(own, AREAS_MM2, strict=True)]
        for wire, own in plain.items()
    }
    cut = data.draw(st.integers(1, len(plain) - 1))
    strap = Strap(tuple(range(cut)), tuple(range(cut, len(plain))))

    def keeps(at: Mapping[int, int]) -> bool:
        thinnest = min(choices[wire][at[wire]].area_mm2 for wire in strap.there)
        return all(choices[wire][at[wire]].area_mm2 >= thinnest for wire in strap.back)

    kept = [one for one in _every(choices) if keeps(one)]
    good = [_copper(one, choices) for one in kept if _meets(one, limits, choices)]
    for most in (None, len(AREAS_MM2)):  # by the search, and by the general solver
        picked = pick_sizes(limits, choices, straps=[strap], most_kinds=most)
        assert keeps(picked.at)
        assert picked.gap == 0
        if good:
            assert _meets(dict(picked.at), limits, choices)
            assert _copper(dict(picked.at), choices) == pytest.approx(min(good), rel=1e-6)


def test_a_strap_that_cannot_grow_so_far_takes_its_thickest() -> None:
    """The way there needs 4.7 mm2 for its drop; the strap comes up to 1.2 mm2 only."""
    there = [replace(one, area_mm2=area) for one, area in zip(_choices(2.0), AREAS_MM2, strict=True)]
    picked = pick_sizes([DropLimit({0: 100.0}, 0.8)], {0: there, 1: there[:2]}, straps=[Strap((0,), (1,))])
    assert picked.at == {0: 4, 1: 1}


def _with_unfit(length_m: float, fit: int) -> list[Choice]:
    return [replace(one, unfit=at >= fit) for at, one in enumerate(_choices(length_m))]


def test_a_size_that_does_not_go_onto_its_terminal_is_taken_only_where_it_saves_a_load() -> None:
    """By hand, 10 A over 2 m: 0.44 V at 0.8 mm2, 0.185 at 1.9, 0.117 at 3.0, 0.075 at 4.7 mm2.

    Sizes up to 1.9 mm2 fit. 0.20 V: 1.9 fits and does. 0.12 V: only 3.0 does. 0.05 V: none does, so the
    thickest that fits.
    """
    own = {0: _with_unfit(2.0, 3)}
    for left_v, at in ((0.20, 2), (0.12, 3), (0.05, 2)):
        assert least_copper([DropLimit({0: 10.0}, left_v)], own) == {0: at}


def test_few_kinds_never_cost_a_terminal_its_fit_where_some_pick_keeps_it() -> None:
    """One kind for two wires: 1.9 mm2 fits both; 3.0 would be unfit, 0.8 would starve the load."""
    own = {wire: _with_unfit(2.0, 3) for wire in range(2)}
    own = {wire: [replace(one, kind=at) for at, one in enumerate(sizes)] for wire, sizes in own.items()}
    picked = pick_sizes([DropLimit({0: 10.0}, 0.20)], own, most_kinds=1)
    assert picked.at == {0: 2, 1: 2}


def test_limits_against_each_other_in_a_mesh_give_way_by_the_least() -> None:
    """A thicker wire costs one load what it gives the other; both give way together by as little as can be.

    By hand: wire 0 loses 10 A x r in one limit, and gives 10 A x r in the other; 0.10 V and -0.30 V cannot
    both be; every size is 0.20 V short in all, so the lightest is taken.
    """
    limits = [DropLimit({0: 10.0}, 0.10), DropLimit({0: -10.0}, -0.30)]
    picked = pick_sizes(limits, {0: _choices(2.0)})
    short = sum(max(0.0, one.share_a[0] * _choices(2.0)[picked.at[0]].ohm - one.left_v) for one in limits)
    best = min(
        sum(max(0.0, one.share_a[0] * choice.ohm - one.left_v) for one in limits) for choice in _choices(2.0)
    )
    assert short == pytest.approx(best, abs=1e-5)


def test_the_gap_is_the_share_that_could_be_saved() -> None:
    assert Picked({}, 2.0, 1.5).gap == pytest.approx(0.25)


@beside("scipy", "sizes of least copper, and their bound")
@given(data=st.data())
@settings(max_examples=60)
def test_prices_of_the_relaxation_are_those_of_a_general_solver(data: st.DataObject) -> None:
    """The bound of the dual against scipy's linear solver, a millionth apart at most."""
    rows = data.draw(st.integers(1, 6))
    columns = data.draw(st.integers(rows, 20))
    share = st.one_of(st.just(0.0), st.floats(0.01, 1.0))
    gives = np.array(data.draw(st.lists(share, min_size=rows * columns, max_size=rows * columns)))
    gives = gives.reshape(rows, columns)
    assume(np.all(gives.sum(axis=1) > 0))
    over = np.array(data.draw(st.lists(st.floats(0.05, 0.95), min_size=rows, max_size=rows)))
    gives = gives / (gives.sum(axis=1) * over)[:, None]
    cost = np.array(data.draw(st.lists(st.floats(0.01, 1.0), min_size=columns, max_size=columns)))
    with pytest.MonkeyPatch.context() as patch:
        if data.draw(st.booleans()):
            patch.setattr("harness.electric.branching.MOST_DENSE", 0)  # as for hundreds of wires
        price = dual_prices(gives, Pieces(np.arange(columns), np.ones(columns), cost))
    bound = price.sum() - np.maximum(0.0, price @ gives - cost).sum()
    exact = linprog(cost, A_ub=-gives, b_ub=-np.ones(rows), bounds=(0, 1), method="highs").fun
    assert np.all(price >= 0)
    assert exact - 1e-6 * max(1.0, exact) <= bound <= exact + 1e-9
