"""Waste of buying: the pump set's spools added up by hand, and sums that must close for any design."""

from __future__ import annotations

from dataclasses import replace
from math import fsum

import pytest
from hypothesis import given, settings

from harness.buying.plan import buying_plan
from harness.buying.totals import BY_LENGTH, buying_totals
from harness.lists.materials import materials
from harness.model.design import Design
from harness.model.stock import Offcut
from tests.book.factories import designs, small_design, wire


def test_waste_of_three_spools_added_up_by_hand() -> None:
    """Black 0.70 m: 3 ft cut. Blue and white 5.05 m: a roll of 25 ft. Red 2.45 m: 9 ft cut.

    Bought 12 x 0.3048 + 7.62 = 11.2776 m for 8.20 m, so 3.0776 m or 27.3 % is left. Naively each of the
    three is a roll of 25 ft: 22.86 m, of which 14.66 m or 64.1 % is left. Table sold_as, common practice.
    """
    plan = buying_plan(small_design())
    colours = {line.colour: line for line in plan if line.group == "wire"}
    assert {colour: round(line.waste or 0, 3) for colour, line in colours.items()} == {
        "BK": 0.234,  # 0.2144 of 0.9144
        "BU/WH": 0.337,  # 2.57 of 7.62
        "RD": 0.107,  # 0.2932 of 2.7432
    }
    wires = buying_totals(plan)[0]
    assert (wires.group, wires.materials, wires.unplanned) == ("wire", 3, 0)
    assert (wires.need_m, wires.bought_m, wires.left_m) == pytest.approx((8.2, 11.2776, 3.0776))
    assert wires.waste_share == pytest.approx(0.2729, abs=1e-4)
    assert (wires.naive_m, wires.naive_left_m) == pytest.approx((22.86, 14.66))
    assert wires.naive_waste_share == pytest.approx(0.6413, abs=1e-4)


def test_what_comes_off_the_shelf_is_neither_bought_nor_waste() -> None:
    plan = buying_plan(small_design(), [Offcut("wire, GXL", "16 AWG", "BU/WH", 9.0)])
    blue = next(line for line in plan if line.colour == "BU/WH")
    assert (blue.bought, blue.waste) == (0, 0)
    wires = buying_totals(plan)[0]
    assert wires.from_shelf_m == pytest.approx(5.05)
    assert wires.bought_m == pytest.approx(12 * 0.3048)


def test_a_spool_that_cannot_be_planned_is_counted_apart() -> None:
    design = small_design(wires=[wire("1", "F1 in", "F1 out", 40.0, colour="RD")])
    plan = buying_plan(design)
    assert next(line for line in plan if line.colour == "RD").waste is None
    wires = buying_totals(plan)[0]
    assert (wires.materials, wires.unplanned, wires.bought_m, wires.need_m) == (1, 1, 0, 0)


@given(designs())
@settings(max_examples=40, deadline=None)
def test_what_is_bought_is_used_or_left_and_totals_are_sums(design: Design) -> None:
    plan = buying_plan(replace(design, materials=materials(design, waste=0.12)))
    totals = {one.group: one for one in buying_totals(plan)}
    assert set(totals) <= {*BY_LENGTH, "all"}
    for one in totals.values():
        assert one.bought_m - one.left_m + one.from_shelf_m == pytest.approx(one.need_m, abs=1e-2)
        assert 0 <= one.waste_share < 1
    if totals:
        groups = [one for group, one in totals.items() if group != "all"]
        assert totals["all"].bought_m == pytest.approx(fsum(one.bought_m for one in groups))
        assert totals["all"].left_m == pytest.approx(fsum(one.left_m for one in groups))
