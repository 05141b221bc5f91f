"""Tests before the battery, the first lamp, cranking, and what must refuse: worked out by hand.

Sources: resistivity of copper 0.017241 ohm mm2/m at 20 °C (IEC 60028); least areas of SAE J1128 as
remembered; limits of test_acceptance; everything else counted by hand in the surveys.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from harness.commissioning.cold import continuity, isolation
from harness.commissioning.cranking import cranking_tests
from harness.commissioning.guarding import backfeeds, guards, interlocks
from harness.commissioning.judging import judged
from harness.commissioning.plan import by_key
from harness.commissioning.touch import first_touch
from harness.commissioning.trial import Test
from harness.model.design import Design
from tests.samples import made as samples

SAMPLES = Path(__file__).parents[2] / "samples"
COPPER = 0.017241  # ohm mm2/m at 20 °C, IEC 60028


@cache
def sample(name: str) -> Design:
    return samples.design(name)


def named(tests: list[Test]) -> dict[str, Test]:
    assert len({test.key for test in tests}) == len(tests)
    return {test.key: test for test in tests}


@pytest.mark.parametrize("name", ["pump", "orchard", "roller", "grader"])
def test_every_wire_is_measured_and_every_probe_has_something_to_touch(name: str) -> None:
    rows = continuity(sample(name))
    told = " ".join(f"{row.what} ".replace(",", " ") for row in rows).split()
    assert {wire.number for wire in sample(name).wires} <= set(told)
    assert not any(f"on {splice.name} " in row.how for splice in sample(name).splices for row in rows)


def test_the_ohms_of_a_wire_are_those_of_its_copper() -> None:
    """Pump: wire 9 is 2.45 m of 18 AWG, 0.76 mm2; 7a and 7b are in a row, 18 and 16 AWG."""
    rows = named(continuity(sample("pump")))
    by_hand = COPPER * 2.45 / 0.76
    assert rows["wire:9"].expected == pytest.approx(by_hand, rel=0.03)  # lay of the strands adds two per cent
    assert rows["wire:7a:7b"].expected == pytest.approx(COPPER * (0.25 / 0.76 + 2.7 / 1.12), rel=0.03)
    # 120 % of the calculated ohms (a construction specification) and 0.10 ohm (test_acceptance)
    assert rows["wire:9"].high == pytest.approx(1.2 * by_hand + 0.1, abs=0.003)


def test_every_fuse_has_its_circuit_measured_against_the_chassis() -> None:
    """NASA's least insulation of one circuit: 1 Mohm."""
    rows = named(isolation(sample("pump")))
    assert set(rows) == {"isolation:main fuse", "isolation:charge fuse", "isolation:run fuse"}
    assert {row.low for row in rows.values()} == {1.0}
    assert "on or bridged: oil switch" in rows["isolation:run fuse"].how
    assert "charge lamp, oil lamp, fuel valve" in rows["isolation:run fuse"].how
    assert not judged(rows["isolation:run fuse"], 0.4).good


@pytest.mark.parametrize(("name", "ohm"), [("pump", 28.8), ("orchard", 7.2), ("grader", 115.2)])
def test_the_first_lamp_stays_dark_on_a_sound_machine_and_tells_a_lamp_left_on(name: str, ohm: float) -> None:
    """A 5 W lamp has V x V / 5 ohm: 28.8 at 12 V, 7.2 at 6 V, 115.2 at 24 V. A lamp of 10 W was left on."""
    out, into = first_touch(sample(name))
    assert into.expected is not None and into.high is not None
    assert into.high > 0.0499 * ohm  # 0.05 A; test_bands, parked drain
    volts = sample(name).machine.voltage_v
    in_row = volts * ohm / (ohm + volts**2 / 10)  # as if both had the ohms of a lamp that glows
    assert in_row == pytest.approx(2 * volts / 3)
    assert not judged(into, in_row).good and not judged(out, in_row).good
    assert judged(into, into.expected).good and judged(out, 0.0).good


def test_both_sides_of_the_starter_make_up_what_it_loses() -> None:
    """Kirchhoff: volts at the posts are those at the starter and what both sides lose."""
    for name in ("pump", "orchard", "roller"):
        rows = named(cranking_tests(sample(name)))
        start = sample(name).starts[0]
        state = next(one for one in sample(name).operating if one.mode == start.mode)
        own = next(one for one in state.loads if (one.part, one.link) == (start.part, start.link))
        sides = [rows[f"crank:{start.part}:{start.mode}:{side}"] for side in ("live", "ground")]
        lost = sum(row.expected or 0.0 for row in sides)
        assert lost == pytest.approx(state.posts_v - own.volts_v, abs=0.003), name
        assert all(row.expected < row.high for row in sides if row.expected is not None and row.high)
        posts = rows[f"crank:{start.mode}:posts"]
        assert posts.low is not None and posts.high is not None and posts.expected is not None
        assert posts.low < posts.expected < posts.high


def test_a_joint_of_two_milliohm_is_seen_on_its_side_of_the_starter() -> None:
    """Roller: 300 A through 2 mohm are 0.6 V."""
    row = named(cranking_tests(sample("roller")))["crank:starter:cranking:live"]
    assert row.expected is not None
    assert not judged(row, row.expected + 300 * 0.002).good
    assert "red on battery +" in row.how and "black on starter 30" in row.how


def test_on_positive_ground_the_red_probe_goes_where_plus_is() -> None:
    rows = named(cranking_tests(sample("orchard")))
    assert "red on starter 30" in rows["crank:starter:cranking:live"].how
    assert "red on battery +" in rows["crank:starter:cranking:ground"].how


def test_guards_in_the_way_to_the_starter_and_no_others_must_refuse() -> None:
    """Roller: key 30/50 > neutral switch > start relay; its brake switch only lights a lamp."""
    assert guards(sample("roller")) == ["neutral switch"]
    assert guards(sample("grader")) == ["neutral switch"]
    assert guards(sample("pump")) == []
    rows = named(interlocks(sample("roller")))
    assert set(rows) == {"interlock:neutral switch:starter", "interlock:key:starter"}
    bridged = judged(rows["interlock:neutral switch:starter"], 12.1)
    assert not bridged.good and "bridged" in bridged.points_to


def test_the_key_has_to_leave_nothing_live_behind_it() -> None:
    row = named(backfeeds(sample("roller")))["backfeed:key 15"]
    assert row.high == pytest.approx(1.2)  # a tenth of 12 V, at which relays have let go (common practice)
    assert "exciter" in judged(row, 9.0).points_to


@pytest.mark.parametrize("name", ["pump", "orchard", "roller", "grader"])
def test_every_test_outside_of_its_band_points_somewhere(name: str) -> None:
    for test in by_key(sample(name)).values():
        if test.low is not None and test.low > 0:
            assert judged(test, test.low * 0.5).points_to, test.key
        if test.high is not None:
            assert judged(test, test.high * 1.5 + 1.0).points_to, test.key


def test_what_fault_finding_is_asked_reads_more_than_nought_on_either_ground() -> None:
    """Red on the plus side, as the probes of the test: the second point named is the red one."""
    lamp = next(one for key, one in by_key(sample("orchard")).items() if key.startswith("load:left lamp"))
    volts = by_key(sample("orchard"))[lamp.key.rpartition(":")[0] + ":V"]
    assert volts.asks == "left lamp - to left lamp +"
    assert "red on left lamp +" in volts.how
    live = named(cranking_tests(sample("orchard")))["crank:starter:cranking:live"]
    assert live.asks == "battery - to starter 30" and "red on starter 30" in live.how
    ground = named(cranking_tests(sample("roller")))["crank:starter:cranking:ground"]
    assert ground.asks == "battery - to bare metal of engine"
