"""Splices: the barrel by the copper in it, and a sleeve that seals the thin side and passes over the
thick."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harness.fitout import fit
from harness.fitout.barrels import barrel_for_several
from harness.fitout.splices import side_mm
from harness.model.design import Splice, Wire
from harness.model.stages import Loom
from tests.fitout.small_loom import machine, part, splice, wire

SIZES = {"18 AWG": (0.779, 2.6), "16 AWG": (1.184, 3.0), "14 AWG": (1.876, 3.5), "12 AWG": (2.956, 4.1)}


def joint(coming: str, *leaving: str) -> tuple[Wire, ...]:
    wires = [wire("0", "box 1 > S1", coming, *SIZES[coming])]
    return (*wires, *(wire(str(n), "S1 > box 2", size, *SIZES[size]) for n, size in enumerate(leaving, 1)))


def fitted(wires: Sequence[Wire]) -> Splice:
    box = part("box", "module", "load", {"1": "stud M6", "2": "stud M6"})
    made = Loom(tuple(wires), (), (splice("S1", [each.number for each in wires]),))
    return fit(machine([box]), made).splices[0]


@pytest.mark.parametrize(
    ("sizes", "range_"),
    [
        # SAE J378 circular mils: 18 AWG 1537, 16 AWG 2336, 14 AWG 3702, 12 AWG 5833.
        # Closed barrels: 22-16 takes 509 to 3260, 16-14 2050 to 5180, 12-10 5180 to 13100, 8 13100 to 20800.
        (("18 AWG", "18 AWG", "18 AWG"), "16-14 AWG"),  # 4611
        (("14 AWG", "16 AWG", "16 AWG"), "12-10 AWG"),  # 8374
        (("12 AWG", "14 AWG", "14 AWG"), "8 AWG"),  # 13237
    ],
)
def test_the_barrel_is_found_by_adding_circular_mils(sizes: tuple[str, ...], range_: str) -> None:
    """Two wires in one barrel: add circular mils and take the next equivalent size (NASA-STD-8739.4 ch. 6
    19.11)."""
    made = fitted(joint(*sizes))
    assert made.fitting == f"parallel splice, bare closed barrel, for {range_} in all"


def test_two_wires_get_a_butt_splice_and_two_sizes_a_step_down() -> None:
    assert fitted(joint("14 AWG", "16 AWG")).fitting == "butt splice, bare, for 16-14 AWG"
    assert (
        fitted(joint("12 AWG", "18 AWG")).fitting == "step-down butt splice, bare, for 12-10 AWG to 22-18 AWG"
    )


def test_the_sleeve_overlaps_the_insulation_at_both_sides() -> None:
    """At least 6 mm each end, shops use 10 to 13: a 15 mm butt splice finishes 35 to 41 mm long (trade
    practice)."""
    made = fitted(joint("14 AWG", "16 AWG"))
    assert 35 <= made.shrink_mm * 0.85 <= 41
    # 3.0 mm wire and 3.81 mm barrel: 6/2 takes 2.2 to 4.8 mm, 9/3 would need 3.3
    assert made.shrink == "heat-shrink, adhesive-lined, 3:1, 6/2 mm"


def test_more_copper_than_any_barrel_takes_is_left_blank() -> None:
    heavy = [wire(str(n), "S1 > box 2", "4/0 AWG", 104.0, 19.8) for n in range(2)]
    assert barrel_for_several(areas_mm2=(104.0, 104.0, 104.0), awg=True) is None
    made = fitted([wire("9", "box 1 > S1", "4/0 AWG", 104.0, 19.8), *heavy])
    assert (made.fitting, made.shrink, made.shrink_mm) == ("", "", 0.0)


def test_a_thin_wire_to_a_thick_bunch_is_taped() -> None:
    """2.0 mm to five of 4.1 mm, 1.2 x 4.1 x root 5 = 11.0 mm: no tube shrinks to 1.8 and opens to 13.8."""
    wires = [wire("0", "box 1 > S1", "20 AWG", 0.508, 2.0)]
    wires += [wire(str(n), "S1 > box 2", "12 AWG", *SIZES["12 AWG"]) for n in range(1, 6)]
    made = fitted(wires)
    assert made.shrink == ""
    assert made.fitting.endswith(", wrapped in self-fusing tape")


def test_a_splice_with_one_wire_joins_nothing() -> None:
    assert fitted(joint("14 AWG")).fitting == ""


def test_metric_looms_name_the_barrel_in_mm2() -> None:
    wires = [wire("0", "box 1 > S1", "2.5 mm2", 2.5, 3.0)]
    wires += [wire(str(n), "S1 > box 2", "1.5 mm2", 1.5, 2.4) for n in (1, 2)]
    assert fitted(wires).fitting == "parallel splice, bare closed barrel, for 2.62-6.64 mm2 in all"


@given(st.lists(st.floats(min_value=1.0, max_value=20.0), min_size=1, max_size=12))
def test_a_side_is_never_thinner_than_its_two_thickest_wires(outsides_mm: list[float]) -> None:
    """Round wires cannot overlap: three alike span 2.16 diameters (bundle table of a wire seller), two
    span 2."""
    assert side_mm(outsides_mm) >= sum(sorted(outsides_mm)[-2:]) - 1e-9


@given(st.sampled_from(sorted(SIZES)), st.lists(st.sampled_from(sorted(SIZES)), min_size=2, max_size=5))
def test_a_splice_sleeve_satisfies_both_limits(coming: str, leaving: list[str]) -> None:
    """Nominal "a/b" is expanded and recovered inside diameter; limits of a maker's sizing guide (read)."""
    made = fitted(joint(coming, *leaving))
    assert made.fitting
    if made.shrink:
        expanded_mm, recovered_mm = map(float, made.shrink.rsplit(", ", 1)[1].removesuffix(" mm").split("/"))
        thin_mm = min(SIZES[coming][1], side_mm([SIZES[size][1] for size in leaving]))
        thick_mm = max(SIZES[coming][1], side_mm([SIZES[size][1] for size in leaving]))
        assert 1.10 * recovered_mm <= thin_mm
        assert thick_mm <= 0.80 * expanded_mm
        assert made.shrink_mm * 0.85 >= 2 * 6
    else:
        assert made.fitting.endswith("wrapped in self-fusing tape")
