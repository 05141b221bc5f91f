"""The buying plan: counted by hand on a small pump set, and what must hold for any design."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from math import isclose

import pytest
from hypothesis import given, settings

from harness.buying.plan import buying_plan
from harness.lists.materials import materials
from harness.model.buying import Purchase
from harness.model.design import Design
from harness.model.stock import Offcut
from tests.book.factories import designs, small_design, wire


def planned(design: Design, *offcuts: Offcut) -> dict[str, Purchase]:
    listed = replace(design, materials=materials(design, waste=0.12))
    return {line.key: line for line in buying_plan(listed, offcuts)}


def lots(line: Purchase) -> list[tuple[str, int]]:
    return [(lot.unit, lot.count) for lot in line.lots]


def test_a_short_length_is_cut_and_a_long_one_is_a_roll() -> None:
    """A cut foot costs as much as 1.5 ft on a roll (table sold_as, memory): from 17 ft on a roll wins.

    Blue and white: 3.2 + 1.85 m = 5.05 m = 16.57 ft, so 17 ft cut would cost as 25.5 ft on a roll.
    Red: 2.45 m = 8.04 ft, 9 ft cut cost as 13.5 ft: cut.
    """
    plan = planned(small_design())
    blue = plan["wire: wire, GXL; 16 AWG; BU/WH"]
    assert lots(blue) == [("roll of 25 ft", 1)]
    assert [piece.length_m for piece in blue.cuts[0].pieces] == sorted(
        (piece.length_m for piece in blue.cuts[0].pieces), reverse=True
    )
    assert blue.left == pytest.approx(7.62 - 5.05)
    red = plan["wire: wire, GXL; 10 AWG; RD"]
    assert lots(red) == [("9 ft cut", 1)]
    assert red.bought == pytest.approx(9 * 0.3048)
    assert red.proven


def test_an_offcut_of_the_very_wire_is_used_first() -> None:
    shelf = (Offcut("wire, GXL", "10 AWG", "RD", 2.5), Offcut("wire, GXL", "16 AWG", "RD", 9.0))
    red = planned(small_design(), *shelf)["wire: wire, GXL; 10 AWG; RD"]
    assert [cut.stock for cut in red.cuts] == ["offcut of 2.5 m"]
    assert (red.bought, red.lots) == (0, [])
    blue = planned(small_design(), *shelf)["wire: wire, GXL; 16 AWG; BU/WH"]
    assert lots(blue) == [("roll of 25 ft", 1)]


def test_pieces_are_sold_in_packs_over_count_and_spares() -> None:
    """Three push-ons, five with spares (see the list of materials): a pack of 10, seven left over."""
    line = planned(small_design())["terminals: blade 6.3, for 14-16 AWG; 6.3"]
    assert lots(line) == [("pack of 10", 1)]
    assert (line.need, line.bought, line.left) == (3, 10, 7)


def test_a_wire_longer_than_any_roll_is_still_sold_by_the_foot_over_8_mm2() -> None:
    design = small_design()
    long = replace(
        design, wires=[wire("1", "F1 in", "F1 out", 40.0, size="3/0 AWG", area_mm2=80.0, colour="RD")]
    )
    line = planned(long)["wire: wire, GXL; 3/0 AWG; RD"]
    assert line.bought == pytest.approx(132 * 0.3048)  # 40 m = 131.2 ft
    assert len(line.cuts) == 1


def test_a_thin_wire_longer_than_any_roll_is_said() -> None:
    design = small_design()
    long = replace(design, wires=[wire("1", "F1 in", "F1 out", 40.0, colour="RD")])
    line = planned(long)["wire: wire, GXL; 16 AWG; RD"]
    assert (line.lots, line.proven) == ([], False)
    assert line.note == "a piece of 40 m is longer than any roll: ask for a cut length"


@given(design=designs())
@settings(max_examples=40)
def test_every_piece_is_cut_once_and_whole(design: Design) -> None:
    plan = planned(design)
    named = Counter(
        piece.name
        for line in plan.values()
        if line.group == "wire"
        for cut in line.cuts
        for piece in cut.pieces
    )
    unsold = {line.key for line in plan.values() if line.note}
    new = Counter(
        each.number
        for each in design.wires
        if not each.kept
        and f"wire: wire, {each.cable}; {each.size}; {each.colour}".rstrip("; ") not in unsold
    )
    assert named == new
    for line in plan.values():
        for cut in line.cuts:
            used = sum(piece.length_m for piece in cut.pieces)
            assert isclose(used + cut.left_m, cut.length_m, abs_tol=1e-3)
            assert cut.left_m >= 0
        if not line.note:
            assert line.bought >= line.need - 1e-6 or any("offcut" in cut.stock for cut in line.cuts)
        if line.cuts:
            assert isclose(sum(lot.amount * lot.count for lot in line.lots), line.bought, abs_tol=1e-6)
