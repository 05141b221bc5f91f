"""Fusible links: gauge against cable, what they carry, and when they melt."""

from __future__ import annotations

import pytest

from harness.electric.links import (
    carries_a,
    guards,
    length_m,
    link_clears_s,
    link_holds,
    link_melts_a2s,
    link_sizes,
)
from harness.electric.ruleset import rule_set
from harness.model.design import Design
from harness.pipeline import design
from harness.survey import read

SURVEY = """
machine: {name: links, voltage: 12 V, chassis post: negative, cable: GXL, sizes: AWG}
zones: {deck: {ambient: 30 °C, closed: yes}}
runs:
  - {from: box, to: dash, length: 1.5 m, zone: deck}
parts:
  battery: {is: battery, at: box, capacity: 70 Ah, cranking: 540 A}
  main link: {is: fusible link, at: box}
  lamp: {is: work lamp, at: dash, power: 360 W}
  dash ground: {is: ground point, at: dash, on: frame}
  box ground: {is: ground point, at: box, on: frame}
circuits:
  Ground: {paths: [frame > battery -]}
  Lamp: {paths: [battery + > main link > lamp > frame]}
"""


@pytest.fixture(scope="module")
def found() -> Design:
    return design(read("links.yaml", text=SURVEY))


# SAE J156 in a test laboratory's summary: a 10 gauge link for a 6 gauge cable (read-from-secondary).
@pytest.mark.parametrize(
    ("link", "cable", "enough"),
    [
        ("10 AWG", "6 AWG", True),
        ("10 AWG", "8 AWG", False),
        ("14 AWG", "10 AWG", True),
        ("4 AWG", "1/0 AWG", True),
    ],
)
def test_a_link_is_four_gauge_numbers_thinner(link: str, cable: str, enough: bool) -> None:
    rules = rule_set("sae", "GXL")
    assert guards(rules.size(link), rules.size(cable)) is enough


def test_in_mm2_the_areas_stand_as_four_gauge_numbers_do() -> None:
    """ASTM B258: four numbers are a factor of 92^(8/39) = 2.529 in area; 2.5 mm2 wants 6.3 mm2."""
    rules = rule_set("iso", "class B")
    assert guards(rules.size("1 mm2"), rules.size("4 mm2"))
    assert not guards(rules.size("2.5 mm2"), rules.size("6 mm2"))
    assert guards(rules.size("2.5 mm2"), rules.size("10 mm2"))


def test_a_load_of_30_a_by_hand(found: Design) -> None:
    """360 W / 12 V = 30 A. 33 CFR 183.425 table 5, 105 °C (a link's TWP): 14 AWG 35 A at 30 °C is the first
    to carry that; four numbers thicker is 10 AWG, for everything behind it."""
    fuse = found.fuses[0]
    assert (fuse.form, fuse.size) == ("fusible link", "14 AWG")
    assert fuse.rating_a == pytest.approx(35)
    behind = [wire for wire in found.wires if wire.number in fuse.wires]
    assert {wire.from_.part for wire in behind} >= {"main link"}
    assert min(wire.area_mm2 for wire in behind) == pytest.approx(
        rule_set("sae", "GXL").size("10 AWG").area_mm2
    )


def test_links_are_bought_by_gauge_and_length(found: Design) -> None:
    """6 in is the usual length (trade pages, read): 152 mm."""
    assert length_m() == pytest.approx(0.1524)
    line = next(one for one in found.materials if "link" in one.item)
    assert (line.size, line.quantity, line.with_waste, line.used_on) == ("14 AWG", 1, 2, ["main link"])
    assert "152 mm" in line.item
    assert not any(one.group == "holders" for one in found.materials)


def test_a_link_melts_before_the_cross_linked_wire_it_guards_suffers() -> None:
    """IEC 60364-4-43: k 143 from 90 to 250 °C. Four gauge numbers are an area of 92^(8/39) = 2.529 less."""
    assert link_melts_a2s(10.0 / 2.529) < (143 * 10.0) ** 2
    assert link_melts_a2s(10.0 / 2.529) == pytest.approx((226 * 1.2822 * 10 / 2.529) ** 2, rel=0.001)


def test_melting_current_against_preece() -> None:
    """Preece, constant 10244 by diameter in inches (printed): 0.0457 in of copper fuses at 100 A in the end.
    By its own heat alone the same wire (1.058 mm2) needs 94 kA²s, 9.4 s at 100 A: of the same order, and
    under the 10 s of SAE J156; at half the current it may never melt."""
    area = 3.14159 / 4 * (0.0457 * 25.4) ** 2
    time = link_clears_s(area, current_a=100)
    assert time is not None
    assert 5 < time < 10
    assert link_clears_s(area, current_a=50) is None


def test_an_inrush_takes_at_most_half_of_what_melts_a_link() -> None:
    melts = link_melts_a2s(2.0)
    assert link_holds(2.0, current_a=(0.49 * melts) ** 0.5, seconds_s=1)
    assert not link_holds(2.0, current_a=(0.51 * melts) ** 0.5, seconds_s=1)


def test_a_hot_place_leaves_a_link_less() -> None:
    """Square-root law: TWP stands 105 °C, so at 85 °C sqrt(20 / 75) = 0.516 of its 30 °C figure is left."""
    size = link_sizes("sae")[2]
    hot, cool = (carries_a(size, "sae", ambient_c=celsius) for celsius in (85, 30))
    assert hot / cool == pytest.approx(0.516, abs=0.001)
