"""Wire ends: the terminal for each fitting, the strip, the sleeve and the label."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harness.fitout import fit
from harness.fitout.barrels import barrel_for, circular_mils, gauge
from harness.model.design import Splice, Wire, WireEnd
from harness.model.machine import Part
from harness.model.stages import Loom
from tests.fitout.small_loom import battery, fuse, ground_point, link, machine, part, splice, wire
from tests.published.recorder import Cells, published

STUDS = ("#10", "1/4", "5/16", "3/8", "1/2", "M4", "M5", "M6", "M8", "M10", "M12")
# gauge, SAE minimum area [mm2] (SAE J1128 and J1127, from memory), outside diameter [mm]
SIZES = {
    "20 AWG": (0.508, 2.4), "18 AWG": (0.76, 2.6), "16 AWG": (1.12, 3.0), "14 AWG": (1.85, 3.5),
    "12 AWG": (2.91, 4.1), "10 AWG": (4.65, 4.8), "8 AWG": (7.23, 6.4), "6 AWG": (12.1, 8.2),
    "4 AWG": (18.9, 9.7), "2 AWG": (31.6, 11.6), "1/0 AWG": (50.1, 14.6), "2/0 AWG": (63.4, 15.9),
    "4/0 AWG": (104.0, 19.8),
}  # fmt: skip


def of(number: str, hop: str, size: str = "14 AWG", place: str = "console", kept: bool = False) -> Wire:
    area_mm2, outside_mm = SIZES[size]
    return wire(number, hop, size, area_mm2, outside_mm, (place, place), kept=kept)


def fitted(parts: Sequence[Part], wires: Sequence[Wire], splices: Sequence[Splice] = ()) -> tuple[Wire, ...]:
    return fit(machine(parts), Loom(tuple(wires), (), tuple(splices))).wires


def box(terminals: dict[str, str], place: str = "console") -> Part:
    return part("box", "module", "load", terminals, [link("1", "2", "load")], place=place)


def end_at(fitting: str, size: str = "14 AWG", place: str = "console") -> WireEnd:
    """What a lone wire of this size gets on such a terminal."""
    return fitted(
        [box({"1": fitting, "2": fitting}), ground_point()],
        [of("1", "box 1 > dash ground stud", size, place)],
    )[0].from_end


# ------------------------------------------------------------------------------------------------- ranges


@pytest.mark.parametrize(
    ("size", "colour", "range_"),
    [
        ("20 AWG", "red", "22-18 AWG"), ("18 AWG", "red", "22-18 AWG"), ("16 AWG", "blue", "16-14 AWG"),
        ("14 AWG", "blue", "16-14 AWG"), ("12 AWG", "yellow", "12-10 AWG"), ("10 AWG", "yellow", "12-10 AWG"),
        ("8 AWG", "", "8 AWG"), ("2/0 AWG", "", "2/0 AWG"),
    ],
)  # fmt: skip
def test_crimp_ranges_by_gauge(size: str, colour: str, range_: str) -> None:
    """Red 22-18, blue 16-14, yellow 12-10 AWG: ranges of a terminal maker's insulated terminals and of an
    uninsulated ring sheet; copper tube lugs above."""
    barrel = barrel_for(size=size, area_mm2=SIZES[size][0])
    assert barrel is not None
    assert (barrel.colour, barrel.range) == (colour, range_)


@pytest.mark.parametrize(
    ("area_mm2", "colour", "range_"),
    [
        (0.5, "red", "0.5-1.5 mm2"), (1.5, "red", "0.5-1.5 mm2"), (2.5, "blue", "1.5-2.5 mm2"),
        (4.0, "yellow", "4-6 mm2"), (6.0, "yellow", "4-6 mm2"), (10.0, "", "10 mm2"), (70.0, "", "70 mm2"),
    ],
)  # fmt: skip
def test_crimp_ranges_by_area(area_mm2: float, colour: str, range_: str) -> None:
    """Red 0.5-1.5, blue 1.5-2.5, yellow 4-6 mm2: two terminal makers' pages."""
    barrel = barrel_for(size=f"{area_mm2:g} mm2", area_mm2=area_mm2)
    assert barrel is not None
    assert (barrel.colour, barrel.range, barrel.notes) == (colour, range_, ())


def test_sizes_between_the_printed_ranges_are_noted() -> None:
    """3 mm2 is in no insulated range, but within the 12-10 AWG closed barrel of 2.625 to 6.638 mm2;
    12 mm2 cable goes into the 16 mm2 lug."""
    between, odd = barrel_for(size="3 mm2", area_mm2=3.0), barrel_for(size="12 mm2", area_mm2=12.0)
    assert between is not None
    assert between.colour == "yellow"
    assert between.notes
    assert odd is not None
    assert odd.range == "16 mm2"
    assert odd.notes


def test_no_barrel_beyond_the_tables() -> None:
    assert barrel_for(size="30 AWG", area_mm2=0.05) is None
    assert barrel_for(size="240 mm2", area_mm2=240.0) is None


def test_gauge_numbers() -> None:
    assert [gauge(size) for size in ("18 AWG", "1 AWG", "0 AWG", "1/0 AWG", "4/0 AWG", "16 mm2")] == [
        18, 1, 0, 0, -3, None,
    ]  # fmt: skip


@published("NFPA 70 chapter 9 table 8", "14 AWG, 2.08 mm2, in circular mils", "memory")
def test_circular_mils(cells: Cells) -> None:
    cells.near("circular mils", circular_mils(2.082), 4110, rel=1e-3)


# ------------------------------------------------------------------------------------------------- studs


def test_ring_fits_wire_and_stud() -> None:
    """M8: 8.4 mm hole (DIN 46234, ISO 273 fine). Bare barrel 0.25 in, so strip 6.4 to 7.1 mm (a maker's
    sheet)."""
    end = end_at("stud M8", place="rail")
    assert end.terminal == "ring terminal, bare, for 16-14 AWG, M8 stud (8.4 mm hole)"
    assert end.stud == "M8"
    assert 6.4 <= end.strip_mm <= 7.1


def test_insulated_terminal_where_it_is_dry_and_sheltered() -> None:
    """Insulated blue: strip 3/16 to 7/32 in, 5.6 mm at most; yellow 7.1 to 7.9 mm (makers' practice)."""
    blue, yellow = end_at("stud M8"), end_at("stud M8", "12 AWG")
    assert blue.terminal.startswith("ring terminal, blue insulated, for 16-14 AWG")
    assert (blue.strip_mm, yellow.strip_mm) == (5.6, 7.9)
    assert (blue.shrink, blue.shrink_mm) == ("", 0.0)


def test_a_thin_wire_no_tube_grips_gets_a_terminal_with_a_sleeve_of_its_own() -> None:
    """0.75 mm2 thin-wall cable is 1.9 mm, the bare barrel 3.3 mm: tube 4/1 opens to 3.2 mm, 6/2 grips 2.2."""
    parts = [box({"1": "stud M5", "2": "stud M5"}), ground_point()]
    thin = wire("1", "box 1 > dash ground stud", "0.75 mm2", 0.75, 1.9, ("rail", "rail"))
    end = fitted(parts, [thin])[0].from_end
    assert end.terminal.startswith("ring terminal, red, with its own adhesive-lined sleeve")
    assert (end.shrink, end.shrink_mm) == ("", 0.0)
    assert end.strip_mm == 5.6


def test_where_no_thin_wall_fits_an_adhesive_lined_tube_does() -> None:
    """18 AWG of 2.6 mm at a 3.3 mm barrel: thin wall 4.8/2.4 grips 2.64 mm, 3.2/1.6 passes 2.56; dual wall
    6/2 grips 2.2 and passes 4.8."""
    assert end_at("stud M5", "18 AWG", "engine").shrink == "heat-shrink, adhesive-lined, 3:1, 6/2 mm"


def test_wet_places_get_adhesive_lined_shrink_and_dry_open_ones_thin_wall() -> None:
    assert end_at("stud M8", place="rail").shrink == "heat-shrink, adhesive-lined, 3:1, 9/3 mm"
    assert end_at("stud M8", place="engine").shrink == "heat-shrink, thin wall, 2:1, 4.8 mm"


def test_a_place_without_a_zone_is_taken_as_wet() -> None:
    assert "adhesive" in end_at("stud M8", place="nowhere").shrink


def test_heavy_cable_gets_a_sealed_lug_even_where_it_is_dry() -> None:
    """M10: 10.5 mm hole (ISO 273 fine). A lug's barrel grows about 10 % in the press, so strip that much
    more."""
    end = end_at("stud M10", "2/0 AWG")
    assert end.terminal == "copper tube lug, for 2/0 AWG, M10 stud (10.5 mm hole)"
    assert "adhesive" in end.shrink
    assert end.strip_mm == 31  # 28 mm barrel (DIN 46235, from memory), 30.8 mm with the growth


@pytest.mark.parametrize(
    ("fitting", "size"),
    [("stud M4", "8 AWG"), ("stud M12", "18 AWG"), ("stud M7", "14 AWG"), ("stud", "14 AWG")],
)
def test_no_ring_is_invented_for_a_stud_it_is_not_made_for(fitting: str, size: str) -> None:
    """8 AWG lugs start at M5, red rings end at M10 and 3/8; M7 and a blank are no stud sizes."""
    end = end_at(fitting, size)
    assert end.terminal == ""
    assert "stud" in end.notes


def test_inch_studs() -> None:
    """3/8 in: 9.93 mm (0.391 in) hole; the size may be written with its unit."""
    assert "3/8 stud (9.93 mm hole)" in end_at("stud 3/8").terminal
    assert end_at("stud 3/8 in").stud == "3/8"


def test_screws_get_a_ring() -> None:
    end = end_at("screw M4")
    assert "M4 stud (4.3 mm hole)" in end.terminal
    assert "fork" in end.notes


# ------------------------------------------------------------------------------------------------- blades


@pytest.mark.parametrize(
    ("width", "size"),
    [("2.8", "18 AWG"), ("4.8", "14 AWG"), ("6.3", "10 AWG"), ("6.3", "20 AWG"), ("9.5", "8 AWG")],
)
def test_push_ons_a_blade_takes(width: str, size: str) -> None:
    """Wire ranges of the tabs: 2.8 mm 22-18, 4.8 mm 20-14, 6.3 mm 18-10 (red ones 22-18 too), 9.5 mm 12-8
    AWG."""
    end = end_at(f"blade {width}", size)
    assert end.terminal.startswith("female push-on")
    assert end.terminal.endswith(f"{width} mm blade")
    assert end.stud == f"{width} mm"
    assert end.strip_mm > 0


@pytest.mark.parametrize(
    ("width", "size"), [("2.8", "14 AWG"), ("4.8", "12 AWG"), ("6.3", "8 AWG"), ("9.5", "18 AWG")]
)
def test_no_push_on_for_a_wire_a_blade_does_not_take(width: str, size: str) -> None:
    end = end_at(f"blade {width}", size)
    assert end.terminal == ""
    assert f"{size} does not go into a push-on for a {width} mm blade" in end.notes


def test_blades_by_area() -> None:
    """6.3 mm tab: 1.0 to 6.0 mm2; red insulated ones of 0.5-1.5 mm2 are made for it too."""
    parts = [box({"1": "blade 6.3", "2": "blade 6.3"}), ground_point()]
    good, thin = (
        fitted(parts, [wire("1", "box 1 > dash ground stud", f"{area:g} mm2", area, 3.0)])[0].from_end
        for area in (2.5, 0.35)
    )
    assert good.terminal == "female push-on, blue insulated, for 1.5-2.5 mm2, 6.3 mm blade"
    assert thin.terminal == ""


def test_two_wires_on_one_blade_need_one_piggy_back() -> None:
    parts = [box({"1": "blade 6.3", "2": "blade 6.3"}), ground_point()]
    first, second = fitted(parts, [of("1", "box 1 > dash ground stud"), of("2", "box 1 > dash ground stud")])
    assert first.from_end.terminal.startswith("piggy-back push-on")
    assert "two on one blade" in first.from_end.notes
    assert second.from_end.terminal.startswith("female push-on")


def test_the_new_wire_takes_the_piggy_back_beside_a_kept_one() -> None:
    parts = [box({"1": "blade 6.3", "2": "blade 6.3"}), ground_point()]
    kept = of("1", "box 1 > dash ground stud", kept=True)
    assert "piggy-back" in fitted(parts, [kept, of("2", "box 1 > dash ground stud")])[1].from_end.terminal


@pytest.mark.parametrize(("count", "width"), [(3, "6.3"), (2, "4.8")])
def test_a_crowded_blade_gets_no_terminal(count: int, width: str) -> None:
    parts = [box({"1": f"blade {width}", "2": "blade 6.3"}), ground_point()]
    wires = [of(str(n), "box 1 > dash ground stud", "16 AWG") for n in range(count)]
    for each in fitted(parts, wires):
        assert each.from_end.terminal == ""
        assert "on" in each.from_end.notes


# ------------------------------------------------------------------------------------------------- posts


def test_the_thickest_wire_carries_the_battery_clamp() -> None:
    parts = [battery(), ground_point(stud="M10")]
    thin, thick = fitted(parts, [
        of("1", "battery + > dash ground stud", "10 AWG"), of("2", "battery + > dash ground stud", "2/0 AWG"),
    ])  # fmt: skip
    assert thick.from_end.terminal == "battery clamp, positive post, for 2/0 AWG"
    assert thick.from_end.shrink
    assert thin.from_end.stud == "M8"
    assert "under the bolt of the positive battery clamp" in thin.from_end.notes


def test_a_kept_cable_keeps_its_clamp() -> None:
    parts = [battery(), ground_point(stud="M10")]
    kept, new = fitted(parts, [
        of("1", "dash ground stud > battery -", "4 AWG", kept=True),
        of("2", "dash ground stud > battery -", "2/0 AWG"),
    ])  # fmt: skip
    assert kept.to_end.terminal == ""
    assert "negative battery clamp" in new.to_end.notes
    assert new.to_end.stud == "M8"


def test_a_thin_wire_alone_on_a_post_still_needs_a_clamp() -> None:
    end = fitted([battery(), ground_point()], [of("1", "battery + > dash ground stud", "12 AWG")])[0].from_end
    assert "buy a positive battery clamp" in end.notes


# --------------------------------------------------------------------------------------- leads, plugs


def test_pigtails_get_a_sealed_butt_splice() -> None:
    end = fitted([fuse("F1"), ground_point()], [of("1", "F1 2 > dash ground stud", place="rail")])[0].from_end
    assert end.terminal == "butt splice, bare, for 16-14 AWG"
    assert "adhesive" in end.shrink
    assert end.shrink_mm * 0.85 >= 15 + 2 * 6  # the barrel and at least 6 mm of insulation at both sides


def test_two_wires_on_one_lead_share_a_barrel_by_the_sum_of_their_copper() -> None:
    """Two 14 AWG of 3702 circular mils (SAE J378) are 7404: the 12-10 barrel, 5180 to 13100 circular mils."""
    first, second = fitted([fuse("F1"), ground_point()], [
        of("1", "F1 2 > dash ground stud"), of("2", "F1 2 > dash ground stud"),
    ])  # fmt: skip
    assert first.from_end.terminal == "butt splice, yellow insulated, for 12-10 AWG"
    assert second.from_end.terminal == ""
    assert second.from_end.notes == "goes into the butt splice of wire 1"
    assert first.from_end.strip_mm == second.from_end.strip_mm == 7.9  # insulated yellow, 5/16 in at most


def test_a_spare_wire_is_cut_flush_and_sealed() -> None:
    spare = part("spare 1", "spare", "stud", {"1": "pigtail"})
    end = fitted([spare, ground_point()], [of("1", "spare 1 1 > dash ground stud")])[0].from_end
    assert end.terminal == ""
    assert "adhesive" in end.shrink
    assert "cut flush" in end.notes


def test_plug_contacts() -> None:
    """Size 20 contacts: strip 4 to 5 mm; size 16: 6 to 7 mm (TM 55-1520-240-23-3)."""
    thin, usual, thick = (end_at("pin", size) for size in ("20 AWG", "16 AWG", "8 AWG"))
    assert 4 <= thin.strip_mm <= 5
    assert 6 <= usual.strip_mm <= 7
    assert "plug" in usual.terminal
    assert thick.terminal == ""


def test_ends_at_a_splice_are_only_stripped_and_labelled() -> None:
    parts = [box({"1": "stud M6", "2": "stud M6"}), ground_point()]
    wires = [of(str(n), hop, place="rail") for n, hop in enumerate(
        ("box 1 > S1", "S1 > box 2", "S1 > dash ground stud"))]  # fmt: skip
    end = fitted(parts, wires, [splice("S1", ["0", "1", "2"])])[0].to_end
    assert (end.terminal, end.shrink) == ("", "")
    assert end.strip_mm > 0
    assert end.label == "0"
    assert "splice S1" in end.notes


def test_a_terminal_the_part_does_not_have() -> None:
    end = fitted(
        [box({"1": "stud M6", "2": "stud M6"}), ground_point()], [of("1", "box 9 > dash ground stud")]
    )[0].from_end
    assert end.terminal == ""
    assert "box has no terminal '9'" in end.notes


# --------------------------------------------------------------------------------------- labels, kept


def test_kept_wires_stay_as_they_are() -> None:
    kept = fitted([battery(), ground_point()], [of("1", "battery + > dash ground stud", kept=True)])[0]
    assert kept.from_end == kept.to_end == WireEnd("", "", 0.0, "", 0.0, "", "kept", "")


@pytest.mark.parametrize(("length_m", "short"), [(0.05, True), (0.178, True), (0.2, False), (5.0, False)])
def test_both_ends_are_labelled(length_m: float, short: bool) -> None:
    """AC 43.13-1B 11-208: on wires of 3 to 7 in (178 mm) one mark near the middle is enough."""
    made = fitted([box({"1": "stud M6", "2": "stud M6"})], [wire("17B", "box 1 > box 2", length_m=length_m)])[
        0
    ]
    assert made.from_end.label == made.to_end.label == "17B"
    assert ("middle" in made.from_end.notes) is short


@given(
    st.sampled_from(sorted(SIZES)),
    st.sampled_from([f"stud {size}" for size in STUDS] + [f"blade {w}" for w in ("2.8", "4.8", "6.3", "9.5")]
                    + ["pigtail", "pin", "screw M4", "screw M5"]),
    st.sampled_from(["console", "engine", "rail"]),
)  # fmt: skip
def test_every_end_says_what_to_do(size: str, fitting: str, place: str) -> None:
    """A terminal comes with a strip, a source and no bare metal outside a sheltered place; none comes with
    a reason."""
    end = end_at(fitting, size, place)
    assert end.source
    if end.terminal:
        assert end.strip_mm > 0
        words = ("insulated", "own adhesive-lined sleeve", "plug")
        assert end.shrink_mm >= 25 or any(word in end.terminal for word in words)
    else:
        assert end.notes
    if place == "rail" and end.terminal and fitting != "pin":
        assert "insulated" not in end.terminal
