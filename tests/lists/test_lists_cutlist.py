"""The cut list of a pump set, counted by hand, and what must hold for any design."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from math import fsum, isclose

from hypothesis import given

from harness.lists.cutlist import cut_list
from harness.model.design import Design
from tests.book.factories import designs, small_design


def test_pieces_lie_by_spool_and_longest_first() -> None:
    spools = cut_list(small_design())
    assert [spool.title for spool in spools] == ["GXL 16 AWG BK", "GXL 16 AWG BU/WH", "GXL 10 AWG RD"]
    black, blue, red = spools
    assert [line.number for line in black.lines] == ["6", "7"]  # equal lengths: by number
    assert [line.number for line in blue.lines] == ["4", "5b", "3", "5a"]  # 3.20, 0.75, 0.60, 0.50 m
    assert [line.number for line in red.lines] == ["2"]


def test_spool_totals_are_the_sum_of_their_pieces() -> None:
    black, blue, red = cut_list(small_design())
    assert isclose(black.total_m, 0.70)  # 0.35 + 0.35
    assert isclose(blue.total_m, 5.05)  # 3.20 + 0.75 + 0.60 + 0.50
    assert isclose(red.total_m, 2.45)
    assert (black.longest_m, blue.longest_m, red.longest_m) == (0.35, 3.2, 2.45)


def test_a_line_says_what_goes_on_both_ends() -> None:
    line = cut_list(small_design())[1].lines[2]
    assert (line.number, line.circuit, line.length_m, line.length_ft_in) == ("3", "Lamps", 0.6, "1' 11 3/4\"")
    start, finish = line.from_, line.to
    assert (start.part, start.terminal, start.place) == ("panel", "F1", "dash")
    assert (start.label, start.shrink, start.shrink_mm, start.strip_mm) == ("3", "shrink 4.8", 30.0, 7.0)
    assert (finish.part, finish.terminal, finish.fitting) == ("relay", "30", "ring M5, for 14-16 AWG")


def test_a_line_says_in_which_order_its_ends_are_made() -> None:
    red = cut_list(small_design())[2].lines[0]
    assert red.to.threading == (
        "label",
        "boot",
        "strip 7 mm",
        "crimp",
        "pull by hand",
        "boot over it once bolted",
    )


def test_the_kept_cable_is_not_cut() -> None:
    numbers = [line.number for spool in cut_list(small_design()) for line in spool.lines]
    assert "1" not in numbers
    assert len(numbers) == 7


def test_nothing_to_cut_makes_no_spool() -> None:
    design = small_design()
    assert cut_list(replace(design, wires=[replace(wire, kept=True) for wire in design.wires])) == []


@given(designs())
def test_every_new_wire_is_cut_once_and_no_length_is_lost(design: Design) -> None:
    needed: dict[tuple[str, str, str], list[float]] = defaultdict(list)
    for wire in design.wires:
        if not wire.kept:
            needed[wire.cable, wire.size, wire.colour].append(wire.length_m)
    spools = cut_list(design)
    assert {(s.cable, s.size, s.colour) for s in spools} == set(needed)
    for spool in spools:
        lengths = needed[spool.cable, spool.size, spool.colour]
        assert sorted(line.length_m for line in spool.lines) == sorted(lengths)
        assert isclose(spool.total_m, fsum(lengths))
        assert spool.longest_m == max(lengths)
        assert [line.length_m for line in spool.lines] == sorted(lengths, reverse=True)
