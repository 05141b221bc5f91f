"""The integer program of sizes against trying every combination."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harness.electric.optimum import Choice, DropLimit, least_copper

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
