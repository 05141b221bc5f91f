"""The hook-up sheet: each wire end lands once, the thickest lug nearest the part."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from hypothesis import given

from harness.lists.hookup import HookPart, hook_up
from harness.model.design import Design
from tests.book.factories import designs, point, small_design, wire


def _part(design: Design, name: str) -> HookPart:
    return next(part for part in hook_up(design) if part.name == name)


def test_a_terminal_shows_its_wires_with_lug_and_other_end() -> None:
    plus, minus = _part(small_design(), "battery").terminals
    assert [(at.number, at.size, at.kept) for at in plus.landings] == [
        ("1", "2/0 AWG", True),
        ("2", "10 AWG", False),
    ]
    assert plus.landings[1].lug == "ring M8, for 10-12 AWG"
    assert (plus.landings[1].other.part, plus.landings[1].other.terminal) == ("panel", "in")
    assert minus.landings == ()


def test_a_splice_is_hooked_up_like_a_part() -> None:
    splice = _part(small_design(), "S1")
    assert splice.title == "splice"
    assert splice.terminals[0].fitting == "closed splice, for 3 x 16 AWG"
    assert [at.number for at in splice.terminals[0].landings] == ["4", "5a", "5b"]


def test_the_thickest_wire_sits_nearest_the_part() -> None:
    thin, thick = small_design().wires[2], small_design().wires[1]
    on_bus = [replace(each, to=point("bus stud")) for each in (thin, thick)]
    landings = _part(small_design(wires=on_bus), "bus").terminals[0].landings
    assert [at.size for at in landings] == ["10 AWG", "16 AWG"]


def test_a_wire_on_a_terminal_the_part_does_not_list_is_still_shown() -> None:
    design = small_design(wires=[wire("9", "starter case", "ground front stud", 0.4)])
    assert [at.number for at in _part(design, "starter").terminals[-1].landings] == ["9"]


@given(designs())
def test_each_wire_lands_twice_in_all(design: Design) -> None:
    landed = Counter(
        landing.number
        for part in hook_up(design)
        for terminal in part.terminals
        for landing in terminal.landings
    )
    assert landed == {wire.number: 2 for wire in design.wires}
