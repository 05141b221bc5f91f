"""The buying plan: counted by hand on a small pump set, and what must hold for any design."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from math import isclose

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harness.buying.plan import buying_plan, offcut_uses
from harness.lists.materials import materials
from harness.model.buying import OffcutUse, Purchase
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


# ------------------------------------------------------------------------------------------- the shelf


def shelved(design: Design, *offcuts: Offcut) -> tuple[list[Purchase], list[OffcutUse]]:
    listed = replace(design, materials=materials(design, waste=0.12))
    plan = buying_plan(listed, offcuts)
    return plan, offcut_uses(plan, offcuts)


def test_every_offcut_is_taken_or_left_with_its_reason() -> None:
    """Red is one piece of 2.45 m; blue and white 3.2, 0.75, 0.6 and 0.5 m."""
    _, uses = shelved(
        small_design(),
        Offcut("wire, GXL", "10 AWG", "RD", 2.45),
        Offcut("wire, GXL", "10 AWG", "RD", 2.44),
        Offcut("wire, GXL", "16 AWG", "BU/WH", 0.4),
        Offcut("wire, GXL", "16 AWG", "GN", 9.0),
    )
    assert [use.pieces for use in uses] == [["2"], [], [], []]
    assert [use.left_m for use in uses] == [0.0, 2.44, 0.4, 9.0]
    assert [use.note for use in uses] == [
        "", "shorter than the shortest piece, 2.45 m", "shorter than the shortest piece, 0.5 m",
        "this machine takes nothing of it",
    ]  # fmt: skip


def test_no_wire_is_joined_of_two_offcuts() -> None:
    """Two offcuts of 1.3 m are longer together than the red piece of 2.45 m, and hold none of it."""
    plan, uses = shelved(small_design(), *[Offcut("wire, GXL", "10 AWG", "RD", 1.3)] * 2)
    red = next(line for line in plan if line.key == "wire: wire, GXL; 10 AWG; RD")
    assert (red.from_shelf, lots(red)) == (0.0, [("9 ft cut", 1)])
    assert all(not use.pieces for use in uses)


def test_battery_cable_of_the_same_insulation_serves_and_a_cooler_one_does_not() -> None:
    design = small_design()
    heavy = replace(
        design, wires=[wire("1", "F1 in", "F1 out", 1.5, size="2/0 AWG", area_mm2=64.0, colour="RD")]
    )
    for cable, taken in (("SGX", True), ("STX", True), ("SGT", False), ("GPT", False)):
        _, (use,) = shelved(heavy, Offcut(f"wire, {cable}", "2/0 AWG", "RD", 2.0))
        assert bool(use.pieces) is taken, cable


def test_shrink_and_covering_come_off_the_shelf_too() -> None:
    plan, _ = shelved(small_design())
    tube, cover = (
        next(line for line in plan if line.group == group) for group in ("heat-shrink", "covering")
    )
    plan, uses = shelved(small_design(), Offcut(tube.item, "", "", 3.0), Offcut(cover.item, "", "", 30.0))
    for line, use in zip((tube, cover), uses, strict=True):
        again = next(each for each in plan if each.key == line.key)
        assert (again.lots, again.bought) == ([], 0)
        assert again.from_shelf == pytest.approx(line.need)
        assert use.left_m == pytest.approx(use.length_m - line.need)


SHELVES = st.lists(
    st.builds(
        Offcut,
        st.sampled_from(["wire, GXL", "wire, TXL"]),
        st.sampled_from(["18 AWG", "16 AWG", "10 AWG"]),
        st.sampled_from(["RD", "BK", "BU/WH"]),
        st.integers(min_value=1, max_value=250_000).map(lambda marks: marks / 10_000),
    ),
    max_size=12,
)


@given(design=designs(), offcuts=SHELVES)
@settings(max_examples=60, deadline=None)
def test_a_shelf_loses_no_length_and_never_makes_more_be_bought(
    design: Design, offcuts: list[Offcut]
) -> None:
    plain, _ = shelved(design)
    plan, uses = shelved(design, *offcuts)
    assert [use.length_m for use in uses] == [one.length_m for one in offcuts]
    for use in uses:
        lengths = {wire.number: wire.length_m for wire in design.wires}
        assert sum(lengths[name] for name in use.pieces) + use.left_m == pytest.approx(use.length_m, abs=1e-9)
        assert bool(use.pieces) != bool(use.note)
    taken = Counter(name for use in uses for name in use.pieces)
    by_shelf = Counter(piece.name for line in plan for cut in line.cuts if cut.shelf for piece in cut.pieces)
    assert taken == by_shelf
    for before, after in zip(plain, plan, strict=True):
        if before.group == "wire" and not before.note and not after.note:
            assert after.bought - after.left + after.from_shelf == pytest.approx(after.need)
            if before.proven and after.proven:
                assert cost(after) <= cost(before) + 1e-9


def cost(line: Purchase) -> float:
    """What its lots cost at one a metre off the roll and half as much again cut (table sold_as)."""
    heavy = line.size not in ("18 AWG", "16 AWG", "10 AWG")
    return sum(
        lot.amount * lot.count * (1.5 if "cut" in lot.unit and not heavy else 1.0) for lot in line.lots
    )
