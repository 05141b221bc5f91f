"""The cut list of a pump set, counted by hand, and what must hold for any design."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import replace
from itertools import combinations
from math import fsum, isclose

from hypothesis import given, settings

from harness.lists.cutlist import cut_list
from harness.model.design import Design
from tests.book.factories import designs, end, small_design, wire


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
    for each in design.wires:
        if not each.kept:
            needed[each.cable, each.size, each.colour].append(each.length_m)
    spools = cut_list(design)
    assert {(s.cable, s.size, s.colour) for s in spools} == set(needed)
    for spool in spools:
        lengths = needed[spool.cable, spool.size, spool.colour]
        assert sorted(line.length_m for line in spool.lines) == sorted(lengths)
        assert isclose(spool.total_m, fsum(lengths))
        assert spool.longest_m == max(lengths)
        assert [line.length_m for line in spool.lines] == sorted(lengths, reverse=True)


# ------------------------------------------------------------------------------------------- rolls, batches


def alike(design: Design) -> dict[str, tuple[object, ...]]:
    """What a batch goes by, worked out again: spool, length, and the two fittings in any order."""
    return {
        wire.number: (
            wire.cable, wire.fine_stranded, wire.size, wire.colour, wire.length_m,
            frozenset(Counter((end.terminal, end.stud) for end in (wire.from_end, wire.to_end)).items()),
        )
        for wire in design.wires
        if not wire.kept
    }  # fmt: skip


@given(designs())
@settings(max_examples=100, deadline=None)
def test_batch_marks_are_equal_just_where_spool_length_and_fittings_are(design: Design) -> None:
    marks = {line.number: line.batch for spool in cut_list(design) for line in spool.lines}
    kinds = alike(design)
    assert set(marks) == set(kinds)
    for one, two in combinations(marks, 2):
        assert (kinds[one] == kinds[two]) == (marks[one] == marks[two] != "")
    for number, mark in marks.items():
        assert bool(mark) == (Counter(kinds.values())[kinds[number]] > 1)


def test_batches_turned_end_for_end_are_one_and_are_lettered_in_order() -> None:
    ring, blade = end("ring M5", stud="M5"), end("blade 6.3")
    design = small_design(
        wires=[
            wire("1", "panel F1", "relay 30", 1.0, from_end=ring, to_end=blade),
            wire("2", "panel F1", "relay 30", 1.0, from_end=blade, to_end=ring),
            wire("3", "panel F1", "relay 30", 1.0, from_end=ring, to_end=ring),
            wire("4", "panel F1", "relay 30", 2.0, from_end=ring, to_end=ring),
            wire("5", "panel F1", "relay 30", 2.0, from_end=ring, to_end=ring),
            wire("6", "panel F1", "relay 30", 2.0, from_end=ring, to_end=ring, colour="RD"),
        ]
    )
    marks = {line.number: line.batch for spool in cut_list(design) for line in spool.lines}
    assert marks == {"4": "A", "5": "A", "1": "B", "2": "B", "3": "", "6": ""}


def test_letters_go_on_behind_z() -> None:
    wires = [
        wire(f"{size}{twin}", "panel F1", "relay 30", 1.0 + size) for size in range(60) for twin in ("a", "b")
    ]
    marks = [line.batch for spool in cut_list(small_design(wires=wires)) for line in spool.lines]
    assert len(set(marks)) == 60
    assert marks[50:54] == ["Z", "Z", "AA", "AA"]  # the 26th and the 27th pair


@given(designs())
@settings(max_examples=100, deadline=None)
def test_what_is_left_on_every_roll_is_what_was_there_less_every_cut_so_far(design: Design) -> None:
    rolls: dict[tuple[str, str], float] = {}  # what still hangs on each roll, cut by cut as listed
    for line in design.buying:
        for cut in line.cuts:
            assert isclose(
                fsum(piece.length_m for piece in cut.pieces) + cut.left_m, cut.length_m, abs_tol=1e-3
            )
    lengths = {
        piece.name: cut.length_m
        for line in design.buying
        if line.group == "wire"
        for cut in line.cuts
        for piece in cut.pieces
    }
    last: dict[tuple[str, str], float] = {}
    for spool in cut_list(design):
        for line in spool.lines:
            if not line.roll:
                assert line.left_m is None
                continue
            key = (spool.title, line.roll)
            left = rolls.setdefault(key, lengths[line.number]) - line.length_m
            rolls[key] = left
            last[key] = left
            assert line.left_m is not None
            assert isclose(line.left_m, left, abs_tol=1e-9)
            assert left > -1e-3
    kept_back = sorted(cut.left_m for line in design.buying if line.group == "wire" for cut in line.cuts)
    assert len(last) == len(kept_back)  # every roll has a name of its own within its spool
    assert all(isclose(a, b, abs_tol=1e-3) for a, b in zip(sorted(last.values()), kept_back, strict=True))
