"""The integer program of sizes against trying every combination."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harness.electric.optimum import Choice, DropLimit, TooFewKinds, least_copper, pick_sizes

AREAS_MM2 = (0.8, 1.2, 1.9, 3.0, 4.7)


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
    return sum(choices[wire][at].copper_kg for wire, at in picked.items())


def _meets(picked: dict[int, int], limits: list[DropLimit], choices: dict[int, list[Choice]]) -> bool:
    return all(
        sum(amps * choices[wire][picked[wire]].ohm for wire, amps in limit.share_a.items()) <= limit.left_v
        for limit in limits
    )


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
    few = [one for one in every if len({choices[wire][at].kind for wire, at in one.items()}) <= most]
    if not few:
        with pytest.raises(TooFewKinds):
            pick_sizes(limits, choices, most_kinds=most)
        return
    picked = pick_sizes(limits, choices, most_kinds=most)
    good = [_copper(one, choices) for one in few if _meets(one, limits, choices)]
    assert len({choices[wire][at].kind for wire, at in picked.at.items()}) <= most
    if good:
        assert _meets(dict(picked.at), limits, choices)
        assert _copper(dict(picked.at), choices) == pytest.approx(min(good), rel=1e-6)
        assert picked.bound_kg <= min(good) * (1 + 1e-6)


@settings(max_examples=40, deadline=None)
@given(programs())
def test_the_bound_is_the_copper_of_the_best_pick(
    program: tuple[list[DropLimit], dict[int, list[Choice]]],
) -> None:
    limits, choices = program
    picked = pick_sizes(limits, choices)
    assert picked.gap == 0
    if _meets(dict(picked.at), limits, choices):
        assert picked.bound_kg == pytest.approx(_copper(dict(picked.at), choices), rel=1e-6)


def test_a_wire_without_a_choice_takes_its_volts_first() -> None:
    """By hand: the fixed wire loses 10 A x 22 mohm = 0.22 V of 0.40; 1.9 mm2 over 2 m loses 0.185 V.

    That is too much; 3.0 mm2 loses 0.117 V, in all 0.337 V.
    """
    fixed = [Choice(0.01, 0.022)]
    picked = least_copper([DropLimit({0: 10.0, 1: 10.0}, 0.40)], {0: fixed, 1: _choices(2.0)})
    assert picked == {0: 0, 1: 3}
