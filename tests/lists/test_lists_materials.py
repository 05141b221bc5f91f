"""What a pump set has to buy, counted by hand, and what must hold for any design."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import replace
from functools import partial
from math import fsum, isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harness.lists.materials import materials
from harness.model.design import Design, Material
from harness.model.spares import USUAL, Extra, SpareRules
from tests.book.factories import designs, end, fuse, part, small_design, wire


def _lines(
    design: Design, group: str, waste: float = 0.12
) -> dict[tuple[str, str, str], tuple[float, float]]:
    return {
        (line.item, line.size, line.colour): (line.quantity, line.with_waste)
        for line in materials(design, waste=waste)
        if line.group == group
    }


def test_wire_is_bought_by_size_and_colour_with_waste_rounded_up() -> None:
    assert _lines(small_design(), "wire") == {
        ("wire, GXL", "10 AWG", "RD"): (2.45, 2.8),  # 2.45 x 1.12 = 2.744
        ("wire, GXL", "16 AWG", "BK"): (0.7, 0.8),  # 0.70 x 1.12 = 0.784
        ("wire, GXL", "16 AWG", "BU/WH"): (5.05, 5.7),  # 5.05 x 1.12 = 5.656
    }


def test_the_longest_piece_is_said_so_that_no_offcuts_are_sold() -> None:
    longest = [line.longest_m for line in materials(small_design(), waste=0.12) if line.group == "wire"]
    assert longest == [2.45, 0.35, 3.2]


def test_terminals_are_counted_where_wires_land_on_parts() -> None:
    # Wires 3, 4, 7 start on a blade; 3 and 5b end on an M5 ring, 6 and 7 on an M6; 2 has a ring at each end.
    # 5a and 6 meet the left lamp's own leads: those are splices. A tenth of so few is less than the 2 spares.
    assert _lines(small_design(), "terminals") == {
        ("blade 6.3, for 14-16 AWG", "6.3", ""): (3, 5),
        ("ring M5, for 10-12 AWG", "M5", ""): (1, 3),
        ("ring M5, for 14-16 AWG", "M5", ""): (2, 4),
        ("ring M6, for 14-16 AWG", "M6", ""): (2, 4),
        ("ring M8, for 10-12 AWG", "M8", ""): (1, 3),
    }


def test_splices_are_counted_once_a_joint_and_once_a_flying_lead() -> None:
    assert _lines(small_design(), "splices") == {
        ("butt splice, for 14-16 AWG", "", ""): (2, 4),
        ("closed splice, for 3 x 16 AWG", "", ""): (1, 3),
    }


def test_heat_shrink_has_pieces_and_metres() -> None:
    # Wire 3: 30 + 40; 4: 30 at its start; 5b: 40 at its end; 7: 30 at its start. 170 mm x 1.12 = 190 mm.
    assert _lines(small_design(), "heat-shrink") == {
        ("shrink 4.8", "5 pieces of 30 to 40 mm", ""): (0.17, 0.2),
        ("shrink 6.4", "1 piece of 45 mm", ""): (0.045, 0.1),
    }


def test_what_goes_round_the_runs() -> None:
    design = small_design()
    assert _lines(design, "grommets") == {("grommet 32 / 19", "", ""): (1, 1)}
    assert _lines(design, "covering") == {
        ("corrugated 10", "2 runs", ""): (4.6, 5.2)
    }  # 2.0 + 2.6; x 1.12 = 5.152
    assert _lines(design, "ties") == {("tie 100 x 2.5", "", ""): (10, 12)}  # 3 + 7
    assert _lines(design, "clamps") == {("clamp 13", "", ""): (4, 4)}  # 2 + 2


def test_labels_fit_their_wire_and_are_two_a_wire() -> None:
    # 10 AWG: wire 2, both ends. 16 AWG: 3, 4, 5a, 5b, 7 both ends, 6 at its start only: 11.
    assert _lines(small_design(), "labels") == {
        ("label sleeve for 10 AWG GXL", "4 mm outside", ""): (2, 4),
        ("label sleeve for 16 AWG GXL", "2.4 mm outside", ""): (11, 13),
    }


def test_relays_and_holders_are_bought_but_lamps_and_motors_are_not() -> None:
    design = small_design()
    assert _lines(design, "relays") == {("relay, one contact", "12 V", ""): (1, 1)}
    assert _lines(design, "holders") == {
        ("bus stud", "M8", ""): (1, 1),
        ("fuse panel", "2 ways", ""): (1, 1),
        ("relay base with a mounting lug, for push-ons", "4 blades", ""): (1, 1),
    }
    items = {line.item for line in materials(design, waste=0.12)}
    assert not items & {"lamp", "starter motor", "battery", "ground point"}


BLADE = "blade (ISO 8820-3 type C)"


def test_a_box_with_one_rating_gets_two_spares() -> None:
    assert _lines(small_design(), "fuses") == {(f"fuse, {BLADE}", "7.5 A", "brown"): (2, 4)}


def test_a_box_with_several_ratings_gets_one_spare_of_each() -> None:
    fuses = [fuse("panel F1", "panel", 7.5, "brown"), fuse("panel F2", "panel", 15.0, "blue")]
    assert _lines(small_design(fuses=fuses), "fuses") == {
        (f"fuse, {BLADE}", "7.5 A", "brown"): (1, 2),
        (f"fuse, {BLADE}", "15 A", "blue"): (1, 2),
    }


def test_single_holders_share_their_spares_and_each_needs_a_holder() -> None:
    holders = [
        part(name, "fuse", "fuse", {"1": ("pigtail", ""), "2": ("pigtail", "")}) for name in ("FA", "FB")
    ]
    fuses = [fuse("FA", "FA", 10.0, "red"), fuse("FB", "FB", 10.0, "red")]
    design = small_design(parts=holders, fuses=fuses)
    assert _lines(design, "fuses") == {(f"fuse, {BLADE}", "10 A", "red"): (2, 4)}
    assert _lines(design, "holders") == {(f"holder for one fuse, {BLADE}", "", ""): (2, 2)}


def test_a_breaker_needs_no_spare_and_no_holder() -> None:
    breaker = part("CB", "breaker", "fuse", {"1": ("stud", "M5"), "2": ("stud", "M5")})
    design = small_design(
        parts=[breaker], fuses=[fuse("CB", "CB", 40.0, "", form="breaker (SAE J553 type I)")]
    )
    assert _lines(design, "fuses") == {("breaker (SAE J553 type I)", "40 A", ""): (1, 1)}
    assert _lines(design, "holders") == {}


def test_small_things_are_not_forgotten() -> None:
    # One ground point on M6. Both ends of wire 2 list a boot.
    found = _lines(small_design(), "other")
    assert found["serrated lock washer", "M6", ""] == (1, 1)
    assert found["rubber boot over lug", "for 10 AWG cable", ""] == (2, 2)
    assert {item for item, _, _ in found} >= {"contact grease", "protective paint", "insulating tape"}


def test_a_post_with_only_ring_terminals_needs_a_clamp() -> None:
    new = wire("2", "battery +", "panel in", 1.0, from_end=end("ring M8, for 10-12 AWG", stud="M8"))
    clamp = ("battery clamp with bolt", "+ post", "")
    assert _lines(small_design(wires=[new]), "other")[clamp] == (1, 1)
    assert clamp not in _lines(small_design(), "other")  # the kept cable has its clamp
    crimped = replace(new, from_end=end("battery clamp, positive post, for 2/0 AWG"))
    assert clamp not in _lines(small_design(wires=[crimped]), "other")


def test_every_line_says_where_its_figures_come_from_and_what_it_is_for() -> None:
    for line in materials(small_design(), waste=0.12):
        assert line.source
        assert line.used_on


def test_lines_stand_by_group_and_then_by_size() -> None:
    lines = materials(small_design(), waste=0.12)
    order = (
        "wire terminals splices heat-shrink grommets covering ties clamps labels fuses relays holders other"
    )
    groups = [line.group for line in lines]
    assert list(dict.fromkeys(groups)) == order.split()
    assert groups == sorted(groups, key=order.split().index)
    assert [line.size for line in lines if line.group == "wire"] == ["10 AWG", "16 AWG", "16 AWG"]


def test_negative_waste_is_refused() -> None:
    with pytest.raises(ValueError, match=r"-0\.1"):
        materials(small_design(), waste=-0.1)


def _of(lines: list[Material], group: str) -> list[Material]:
    return [line for line in lines if line.group == group]


@given(designs(), st.floats(min_value=0, max_value=0.5))
def test_wire_bought_is_wire_cut(design: Design, waste: float) -> None:
    needed: dict[tuple[str, str, str], list[float]] = defaultdict(list)
    for each in design.wires:
        if not each.kept:
            needed[f"wire, {each.cable}", each.size, each.colour].append(each.length_m)
    lines = _of(materials(design, waste=waste), "wire")
    assert {(line.item, line.size, line.colour) for line in lines} == set(needed)
    for line in lines:
        total_m = fsum(needed[line.item, line.size, line.colour])
        assert isclose(line.quantity, total_m, abs_tol=0.001)
        assert line.quantity >= total_m - 1e-9
        assert line.with_waste >= total_m * (1 + waste) - 1e-9
        assert line.longest_m == max(needed[line.item, line.size, line.colour])


@given(designs())
def test_every_crimp_of_a_new_wire_is_bought(design: Design) -> None:
    fitted = Counter(
        each.terminal
        for wire in design.wires
        if not wire.kept
        for each, at in ((wire.from_end, wire.from_), (wire.to_end, wire.to))
        if each.terminal and at.kind == "part"
    )
    fitted.update(
        splice.fitting
        for splice in design.splices
        if splice.fitting and any(not wire.kept for wire in design.wires if wire.number in splice.wires)
    )
    lines = materials(design, waste=0.1)
    bought: Counter[str] = Counter()
    for line in _of(lines, "terminals") + _of(lines, "splices"):
        bought[line.item] += int(line.quantity)
        assert line.with_waste >= line.quantity + 2
    assert bought == fitted


@given(designs())
def test_a_machine_of_kept_wires_buys_nothing_that_goes_on_wires(design: Design) -> None:
    kept = replace(design, wires=[replace(each, kept=True) for each in design.wires])
    groups = {line.group for line in materials(kept, waste=0.1)}
    assert not groups & {"wire", "terminals", "splices", "heat-shrink", "labels"}


@given(designs(), st.randoms(use_true_random=False))
def test_the_order_of_wires_does_not_change_what_is_bought(design: Design, random: object) -> None:
    shuffled = list(design.wires)
    random.shuffle(shuffled)  # type: ignore[attr-defined]

    def bought(lines: list[Material]) -> list[tuple[str, str, str, str, float, float]]:
        return [(x.group, x.item, x.size, x.colour, x.quantity, x.with_waste) for x in lines]

    assert bought(materials(design, waste=0.1)) == bought(
        materials(replace(design, wires=shuffled), waste=0.1)
    )


def _asked(rules: SpareRules) -> dict[str, list[tuple[float, float, str]]]:
    found: dict[str, list[tuple[float, float, str]]] = defaultdict(list)
    for line in materials(small_design(), waste=0.12, spares=rules):
        found[line.group].append((line.quantity, line.with_waste, line.source))
    return found


def test_the_survey_changes_how_much_more_is_bought_of_every_piece() -> None:
    """Each group by a rule of its own, the sum worked here; what it says is told as surveyed."""
    said = partial(Extra, assumed=False)
    rules = SpareRules(
        terminals=said(0.0, 5), splices=said(0.5, 0), ties=said(0.25, 1), labels=said(0.0, 0),
        grommets=said(0.0, 1), clamps=said(1.0, 0), relays=said(0.0, 2), fuses=said(0.0, 3),
    )  # fmt: skip
    more = {
        "terminals": lambda need: 5,
        "splices": lambda need: -(-need // 2),
        "ties": lambda need: max(1, -(-need // 4)),
        "labels": lambda _: 0,
        "grommets": lambda need: 1,
        "clamps": lambda need: need,
        "relays": lambda need: 2,
        "fuses": lambda need: 3,
    }
    found = _asked(rules)
    for group, extra in more.items():
        assert found[group]
        for need, ask, source in found[group]:
            assert ask == need + extra(need)
            assert source.endswith("as surveyed")
    assert _asked(USUAL)["wire"] == found["wire"]  # metres have their waste


def test_a_rule_that_was_filled_in_says_so() -> None:
    found = _asked(USUAL)
    for group in ("terminals", "splices", "ties", "labels", "fuses"):
        assert all(source.endswith("common practice (memory), assumed") for *_, source in found[group])
