"""Every size of heat-shrink at its limits, and which kind is taken: thin 2:1, adhesive 3:1, adhesive 4:1.

The sizes are typed by hand from a maker's 2:1 data sheet (read) and makers' dual-wall series (memory); the
limits are those of a maker's sizing guide (read): 1.10 x recovered and 0.80 x expanded.
"""

from __future__ import annotations

import pytest

from harness.fitout import shrink

THIN = {
    "1.6": (1.6, 0.8), "2.4": (2.4, 1.2), "3.2": (3.2, 1.6), "4.8": (4.8, 2.4), "6.4": (6.4, 3.2),
    "9.5": (9.5, 4.8), "12.7": (12.7, 6.4), "19.1": (19.1, 9.5), "25.4": (25.4, 12.7), "38.1": (38.1, 19.1),
    "50.8": (50.8, 25.4), "76.2": (76.2, 38.1), "102": (102, 50.8), "125": (125, 63.5),
}  # fmt: skip
THREE = {"3/1": (3, 1), "6/2": (6, 2), "9/3": (9, 3), "12/4": (12, 4), "19/6": (19, 6), "24/8": (24, 8)}
THREE |= {"40/13": (40, 13)}
FOUR = {"4/1": (4, 1), "8/2": (8, 2), "12/3": (12, 3), "16/4": (16, 4), "24/6": (24, 6), "32/8": (32, 8)}
FOUR |= {"52/13": (52, 13)}
JUST_MM = 0.001


def typed() -> list[tuple[bool, float, str, float, float]]:
    kinds = ((False, 2.0, THIN), (True, 3.0, THREE), (True, 4.0, FOUR))
    return [
        (adhesive, ratio, nominal, *sizes)
        for adhesive, ratio, kind in kinds
        for nominal, sizes in kind.items()
    ]


def test_the_groups_are_those_typed_with_the_least_ratio_first() -> None:
    found = [
        (tube.adhesive, tube.ratio, tube.nominal, tube.expanded_mm, tube.recovered_mm)
        for adhesive in (False, True)
        for group in shrink.tubes(adhesive=adhesive)
        for tube in group
    ]
    assert found == typed()


@pytest.mark.parametrize(("adhesive", "ratio", "nominal", "expanded_mm", "recovered_mm"), typed())
def test_a_size_at_its_two_limits_and_just_beyond(
    adhesive: bool, ratio: float, nominal: str, expanded_mm: float, recovered_mm: float
) -> None:
    tube = shrink.Tube(ratio, nominal, expanded_mm, recovered_mm, adhesive)
    least_mm, most_mm = 1.10 * recovered_mm, 0.80 * expanded_mm
    assert shrink.fits(tube, smallest_mm=least_mm, largest_mm=most_mm)
    assert not shrink.fits(tube, smallest_mm=least_mm - JUST_MM, largest_mm=most_mm)
    assert not shrink.fits(tube, smallest_mm=least_mm, largest_mm=most_mm + JUST_MM)
    chosen = shrink.choose(smallest_mm=least_mm, largest_mm=most_mm, adhesive=adhesive)
    assert chosen is not None
    assert (chosen.ratio, chosen.expanded_mm) <= (ratio, 125)


@pytest.mark.parametrize(
    ("wire_mm", "barrel_mm", "sealed", "words"),
    [
        # dry, and little step: 9.5/4.8 grips 5.28 and passes 7.6
        (5.5, 7.0, False, "thin wall, 2:1, 9.5 mm"),
        # the same in the wet: 12/4 grips 4.4 and passes 9.6; 19/6 would need 6.6
        (5.5, 7.0, True, "adhesive-lined, 3:1, 12/4 mm"),
        # dry, but the step is more than 2:1 can take (0.80 x 2 / 1.10 = 1.45): adhesive 3:1 up to 2.18
        (5.0, 8.0, False, "adhesive-lined, 3:1, 12/4 mm"),
        # more than 3:1 can take: 4:1 up to 2.9: 16/4 grips 4.4 and passes 12.8
        (5.0, 12.0, True, "adhesive-lined, 4:1, 16/4 mm"),
        (5.0, 12.0, False, "adhesive-lined, 4:1, 16/4 mm"),
        # 3:1 has a gap between 19/6 (passes 15.2) and 24/8 (grips 8.8): 4:1 24/6 grips 6.6, passes 19.2
        (7.0, 16.0, True, "adhesive-lined, 4:1, 24/6 mm"),
        # battery cable: 40/13 grips 14.3 and passes 32
        (15.0, 20.0, True, "adhesive-lined, 3:1, 40/13 mm"),
        # the thinnest: 3/1 grips 1.1
        (1.1, 2.4, True, "adhesive-lined, 3:1, 3/1 mm"),
    ],
)
def test_which_kind_is_taken(wire_mm: float, barrel_mm: float, sealed: bool, words: str) -> None:
    assert str(shrink.over(wire_mm=wire_mm, barrel_mm=barrel_mm, sealed=sealed)) == f"heat-shrink, {words}"


@pytest.mark.parametrize(("wire_mm", "barrel_mm"), [(5.0, 15.0), (0.9, 1.0), (60.0, 70.0)])
def test_none_where_no_kind_grips_and_passes(wire_mm: float, barrel_mm: float) -> None:
    """A step of 3 is more than 4:1 takes (0.80 x 4 / 1.10 = 2.9); nothing lined shrinks below 1 mm or holds
    70 mm."""
    assert shrink.over(wire_mm=wire_mm, barrel_mm=barrel_mm, sealed=True) is None


@pytest.mark.parametrize(
    ("barrel_mm", "adhesive", "terminal_mm", "splice_mm"),
    [
        # 6.35 + 6 = 12.35 finished, under the least of 25; 15 + 20 = 35: / 0.85 = 41.2, / 0.95 = 36.8
        (6.35, True, 25, 35),
        (15.0, True, 25, 45),
        (15.0, False, 25, 40),
        # 28 + 6 = 34: / 0.85 = 40 exactly; 28 + 20 = 48: / 0.85 = 56.5
        (28.0, True, 40, 60),
        (28.0, False, 40, 55),
        # 35 + 6 = 41: / 0.85 = 48.2, / 0.95 = 43.2; 55: / 0.85 = 64.7, / 0.95 = 57.9
        (35.0, True, 50, 65),
        (35.0, False, 45, 60),
    ],
)
def test_cut_length_with_what_is_lost_in_length(
    barrel_mm: float, adhesive: bool, terminal_mm: float, splice_mm: float
) -> None:
    """5 to 15 % of the cut length (a seller's guide), 5 % for 23053/5 thin wall; 6 mm of wire behind a
    terminal (US Army TM 5-3805-291-23-1), 10 mm on each side of a splice; up to the
    next 5 mm, 25 mm at least."""
    assert shrink.on_terminal_mm(barrel_mm=barrel_mm, adhesive=adhesive) == terminal_mm
    assert shrink.on_splice_mm(barrel_mm=barrel_mm, adhesive=adhesive) == splice_mm
